"""A gradient along the axis is a length, and light from the front focal point leaves parallel."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from lenscalc.eye import cardinal_points_of, planes_with_implant, published_eyes, ray_transfer_of, thin_implanted
from lenscalc.eye.published import Layer, _slices


# n = n0 + n1·z: the reduced length is ∫dz/n = ln((n0 + n1·L)/n0)/n1, and no light is bent
@pytest.mark.parametrize("n1", [0.02, -0.015])
def test_a_gradient_along_the_axis_alone_is_a_reduced_length(n1):
    n0, length = 1.37, 3.0
    m = ray_transfer_of(_slices(Layer(length, (n0, n1), 0.0)), to_retina=True)
    assert m.b == pytest.approx(np.log((n0 + n1 * length) / n0) / n1 / 1000.0, rel=2e-9, abs=0.0)
    assert m.c == 0.0


def test_the_gradient_lens_is_the_paraxial_ray_equation():
    """d(n·dy/dz)/dz = 2ρ·y from surface to surface, by Dormand and Prince's eighth order in scipy; a surface takes (n' − n)/R·y from n·dy/dz."""
    eye = published_eyes()["liou_brennan"]
    y, p, n, z = 1.0, 0.0, 1.0, 0.0  # height 1, parallel in air

    def refracted(radius, behind):
        return p - (behind - n) / radius * y

    for surface, way in zip(eye.cornea, (0.5, 3.66 - 0.5), strict=True):
        p, n, z = refracted(surface.radius_mm, surface.n_behind), surface.n_behind, z + way
        y += way * p / n
    for i, layer in enumerate(eye.gradient):
        index = np.polynomial.Polynomial(layer.n_axis)
        if i == 0:
            p = refracted(eye.lens[0].radius_mm, index(0.0))
        way = layer.thickness_mm
        ray = solve_ivp(
            lambda z, x, n=index, rho=layer.radial_per_mm2: (x[1] / n(z), 2.0 * rho * x[0]), (0.0, way), (y, p), "DOP853", rtol=1e-12, atol=1e-14
        )
        y, p = ray.y[:, -1]
        n, z = index(way), z + way
    p = refracted(eye.lens[1].radius_mm, 1.336)
    found = eye.cardinal_points()
    assert found.power_D == pytest.approx(-1000.0 * p, abs=1e-5)  # what is stated of the slices
    assert found.back_focal_point_mm == pytest.approx(z - 1.336 * y / p, abs=1e-5)


def test_a_layer_cut_in_two_is_the_same_layer():
    eye = published_eyes()["liou_brennan"]
    front, back = eye.gradient
    a, _, c = back.n_axis  # a + c·z², from z = 1 on a + c + 2c·z + c·z²
    cut = (front, back._replace(thickness_mm=1.0), back._replace(thickness_mm=1.43, n_axis=(a + c, 2.0 * c, c)))
    assert replace(eye, gradient=cut).cardinal_points() == pytest.approx(eye.cardinal_points(), abs=1e-5)


@pytest.mark.parametrize("key", ["le_grand_full", "navarro_1985", "bennett_rabbetts"])
def test_light_from_the_front_focal_point_leaves_parallel(key):
    eye = published_eyes()[key]
    planes = planes_with_implant(eye, thin_implanted(eye, 20.0))[1:]  # without the spectacles
    points = cardinal_points_of(planes)
    vergence = 1000.0 / points.front_focal_point_mm  # a point so many mm in front of the cornea, in air
    assert vergence < 0
    for plane in planes[:-1]:
        behind = vergence + plane.power_D
        vergence = 1.0 / (1.0 / behind - plane.distance_mm / 1000.0 / plane.n_behind)
    assert vergence + planes[-1].power_D == pytest.approx(0.0, abs=1e-9)
    assert points.front_focal_point_mm == pytest.approx(points.front_principal_point_mm - 1000.0 / points.power_D, rel=1e-12, abs=0.0)
