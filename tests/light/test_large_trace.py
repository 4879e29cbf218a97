"""Large work goes another way through the same arithmetic, compiled or not: each ray must come out where geometry puts it, in its own lens."""

import sys

import numpy as np
import pytest

from lenscalc.light import Fate, Surface, System, trace

N, T = 1.9, 8.0  # index and thickness of plano-convex lenses in air
AZIMUTH = np.deg2rad(30.0)


def by_hand(h, R):
    """A ray along the axis at height h: θ = arcsin(h/R) on the sphere, then δ = θ − arcsin(sin θ/n) onto the flat face, total beyond n·sin δ = 1.

    Fate, the surface that lost it, height on the flat face, sine behind it, and the path: the sag in air, then n·(t − sag)/cos δ.
    """
    with np.errstate(invalid="ignore"):
        theta = np.arcsin(h / R)
        delta = theta - np.arcsin(h / R / N)
        sag = R - np.sqrt(R * R - h * h)
        sine = -N * np.sin(delta)
        path = sag + N * (T - sag) / np.cos(delta)
    fate = np.where(np.abs(h) >= R, Fate.MISSED, np.where(np.abs(sine) > 1.0, Fate.REFLECTED, Fate.ARRIVED))
    failed_at = np.select([fate == Fate.MISSED, fate == Fate.REFLECTED], [1, 2], 0)
    numbers = [np.where(fate == Fate.ARRIVED, a, np.nan) for a in (h - (T - sag) * np.tan(delta), sine, path)]
    return fate, failed_at, *numbers


def flat_lenses(radii):
    return System([Surface(radii), Surface()], [1.0, N, 1.0], [T])


@pytest.fixture(params=[256, 65_536], ids=["many slices", "few slices"])
def _all_is_large(monkeypatch, request):
    module = sys.modules["lenscalc.light.trace"]
    monkeypatch.setattr(module, "LARGE", 1)
    monkeypatch.setattr(module, "LARGE_ONCE_COMPILED", 1)
    from lenscalc.light import ray_kernel

    monkeypatch.setattr(ray_kernel, "SLICE", request.param)


@pytest.mark.usefixtures("_all_is_large")
@pytest.mark.parametrize("own_rays", [True, False])
@pytest.mark.parametrize("rays", [700, 100])
def test_every_ray_comes_out_where_geometry_puts_it(own_rays, rays):
    R = np.array([10.0, 12.0, 15.0, 18.0, 25.0])
    widest = np.array([11.0, 14.0, 17.0, 19.0, 24.0]) if own_rays else np.array([16.0])
    h = widest[:, None] * np.linspace(-1.0, 1.0, rays)
    found = trace(flat_lenses(R), x_mm=h * np.cos(AZIMUTH), y_mm=h * np.sin(AZIMUTH))
    fate, failed_at, height, sine, path = by_hand(np.broadcast_to(h, (5, rays)), R[:, None])
    assert {0, 1, 2} == set(failed_at.ravel().tolist())
    assert np.array_equal(found.fate, fate)
    assert np.array_equal(found.failed_at, failed_at)
    for got, wanted in (
        (found.x_mm, height * np.cos(AZIMUTH)), (found.y_mm, height * np.sin(AZIMUTH)), (found.direction_x, sine * np.cos(AZIMUTH)),
        (found.direction_y, sine * np.sin(AZIMUTH)), (found.direction_z, np.sqrt(1.0 - sine * sine)), (found.optical_path_mm, path),
    ):  # fmt: skip
        np.testing.assert_allclose(got, wanted, rtol=1e-9, atol=1e-9)
    assert np.nanmax(np.abs(found.z_mm)) < 1e-12


@pytest.mark.usefixtures("_all_is_large")
def test_a_beam_of_its_own_for_every_lens():
    """A point on the axis at s in front of one sphere: by the sphere's own geometry, the law of sines in the triangle of point, hit and centre."""
    R, n = np.array([20.0, 30.0]), 1.5
    away = np.array([100.0, 150.0])  # mm in front of the vertex
    h = np.linspace(0.1, 4.0, 300)  # heights in the vertex plane
    found = trace(System([Surface(R)], [1.0, n]), x_mm=h, vergence_D=-1000.0 / away, plane_mm=0.0)
    for lens in (0, 1):
        U = np.arctan(h / away[lens])
        sin_I = (away[lens] + R[lens]) * np.sin(U) / R[lens]
        angle, after = np.arcsin(sin_I), np.arcsin(sin_I / n)
        slope = angle - after - U  # downwards, behind the sphere
        hit = R[lens] * np.sin(angle - U)
        sag = R[lens] * (1.0 - np.cos(angle - U))
        np.testing.assert_allclose(found.direction_x[lens], -np.sin(slope), rtol=1e-9)
        np.testing.assert_allclose(found.x_mm[lens], hit + sag * np.tan(slope), rtol=1e-9)
