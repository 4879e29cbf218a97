"""Power vectors, turned axes, meridians."""

from math import cos, hypot, radians, sin, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lenscalc import InputError, thick_lens
from lenscalc.lens import (
    PowerVector,
    edge_thickness_mm,
    meridional_sag_mm,
    power_vector,
    rotation_residual,
    sphere_cylinder,
    toric_edge_thickness_mm,
    toric_lens,
    turned,
)

spheres, cylinders, axes, angles = st.floats(-30.0, 40.0), st.floats(-10.0, 10.0), st.floats(0.0, 179.999), st.floats(-360.0, 360.0)


def along(S, C, axis, meridian):
    """Power in a meridian: S + C·sin² of the angle from the axis (any text of optometry)."""
    return S + C * sin(radians(meridian - axis)) ** 2


@given(spheres, cylinders, axes)
def test_the_components_are_those_of_the_meridians(S, C, axis):
    M, J0, J45 = power_vector(S, cylinder_D=C, axis_deg=axis)
    F = [along(S, C, axis, meridian) for meridian in (0.0, 45.0, 90.0, 135.0)]
    assert pytest.approx((F[0] + F[2]) / 2.0, abs=1e-12) == M
    assert pytest.approx((F[0] - F[2]) / 2.0, abs=1e-12) == J0
    assert pytest.approx((F[1] - F[3]) / 2.0, abs=1e-12) == J45


@given(spheres, cylinders, axes)
def test_there_and_back(S, C, axis):
    vector = power_vector(S, cylinder_D=C, axis_deg=axis)
    for positive in (True, False):
        back = sphere_cylinder(vector.mean_power_D, j0_D=vector.j0_D, j45_D=vector.j45_D, positive_cylinder=positive)
        assert 0.0 <= back.axis_deg < 180.0
        assert (back.cylinder_D >= 0.0) == positive or back.cylinder_D == 0.0
        for meridian in (0.0, 30.0, 77.0, 140.0):
            assert along(*back, meridian) == pytest.approx(along(S, C, axis, meridian), abs=1e-10)


@given(spheres, cylinders, axes, angles)
def test_turning_keeps_the_length_and_half_a_turn_is_nothing(S, C, axis, turn):
    vector = power_vector(S, cylinder_D=C, axis_deg=axis)
    new = turned(vector, rotation_deg=turn)
    assert sqrt(sum(x * x for x in new)) == pytest.approx(sqrt(sum(x * x for x in vector)), abs=1e-12)
    assert turned(vector, rotation_deg=180.0) == vector
    assert turned(vector, rotation_deg=-360.0) == vector
    assert turned(new, rotation_deg=-turn) == pytest.approx(vector, abs=1e-12)


@given(spheres, cylinders, axes, st.floats(-90.0, 90.0))
def test_a_turned_lens_is_the_lens_at_a_turned_axis(S, C, axis, turn):
    vector = turned(power_vector(S, cylinder_D=C, axis_deg=axis), rotation_deg=turn)
    assert vector == pytest.approx(power_vector(S, cylinder_D=C, axis_deg=axis + turn), abs=1e-12)


@given(cylinders, axes, st.floats(-90.0, 90.0))
def test_what_a_turn_leaves(C, axis, turn):
    rest = rotation_residual(C, axis_deg=axis, rotation_deg=turn)
    assert rest.cylinder_D == pytest.approx(2.0 * abs(C * sin(radians(turn))), abs=1e-10)
    assert rest.sphere_D == pytest.approx(-rest.cylinder_D / 2.0, abs=1e-10)
    for meridian in (0.0, 50.0, 120.0):
        wanted = along(0.0, C, axis + turn, meridian) - along(0.0, C, axis, meridian)
        assert along(*rest, meridian) == pytest.approx(wanted, abs=1e-10)


def test_quarter_turns_are_exact():
    assert turned(PowerVector(20.0, 1.5, 0.0), rotation_deg=90.0) == (20.0, -1.5, 0.0)
    assert power_vector(20.0, cylinder_D=3.0, axis_deg=45.0) == (21.5, 0.0, -1.5)
    assert sphere_cylinder(20.0, j0_D=0.0, j45_D=0.0) == (20.0, 0.0, 0.0)
    # at the furthest axes too: 2 D at 720 + 630 = 1350°, which is 90°, less 2 D at 720°, which is 0°
    assert rotation_residual(2.0, axis_deg=720.0, rotation_deg=630.0) == (-2.0, 4.0, 90.0)
    assert meridional_sag_mm(15.0, 12.0, 3.0, meridian_deg=180e6 + 30.0) == meridional_sag_mm(15.0, 12.0, 3.0, meridian_deg=30.0)


@pytest.mark.parametrize("none", [np.nan, np.inf])
def test_a_meridian_that_is_none_leaves_its_sag_open_and_the_others_as_they_are(none):
    sag = meridional_sag_mm(15.0, 12.0, 3.0, meridian_deg=[0.0, none])
    assert sag[0] == meridional_sag_mm(15.0, 12.0, 3.0, meridian_deg=0.0)
    assert np.isnan(sag[1])
    assert np.isnan(toric_edge_thickness_mm(15.0, -15.0, 0.9, 6.0, back_radius_across_mm=-12.0, meridian_deg=none))


def test_columns_broadcast():
    M, J0, _ = power_vector([20.0, 21.0], cylinder_D=2.0, axis_deg=[0.0, 90.0])
    assert M.tolist() == [21.0, 22.0]
    assert J0.tolist() == [-1.0, 1.0]


def test_each_meridian_is_a_thick_lens():
    p = toric_lens(15.0, -20.0, 0.9, 1.49, front_radius_across_mm=12.0, back_radius_across_mm=-18.0, axis_deg=30.0)
    first, second = thick_lens(15.0, -20.0, 0.9, 1.49).power_D, thick_lens(12.0, -18.0, 0.9, 1.49).power_D
    assert (p.power_along_D, p.power_across_D) == (first, second)
    assert p.mean_power_D == pytest.approx((first + second) / 2.0)
    assert (p.sphere_D, p.cylinder_D, p.axis_deg) == (pytest.approx(first), pytest.approx(second - first), pytest.approx(30.0))
    assert hypot(p.j0_D, p.j45_D) == pytest.approx((second - first) / 2.0)
    assert p.j0_D == pytest.approx(-(second - first) / 2.0 * cos(radians(60.0)))


@given(st.floats(6.0, 60.0), st.floats(3.0, 3.0), angles)
def test_equal_radii_are_a_sphere_in_every_meridian(R, h, meridian):
    depth = R - sqrt(R * R - h * h)
    assert float(meridional_sag_mm(R, R, h, meridian_deg=meridian)) == pytest.approx(depth, rel=1e-12, abs=0.0)


@given(st.floats(8.0, 60.0), st.floats(8.0, 60.0), st.floats(0.0, 180.0))
def test_between_the_meridians_a_torus_differs_in_the_fourth_power(R1, R2, meridian):
    """Torus: the circle of R2 in y, turned about an axis at a distance R1 from the vertex."""

    def torus(h):
        x, y = h * cos(radians(meridian)), h * sin(radians(meridian))
        ring = R1 - (R2 - sqrt(R2 * R2 - y * y))
        return R1 - sqrt(ring * ring - x * x)

    # x²y² with a coefficient below 1/(2·R³) of the shorter radius: 0.25·h⁴/(2·8³) at most
    for h in (0.5, 1.0, 2.0):
        assert abs(float(meridional_sag_mm(R1, R2, h, meridian_deg=meridian)) - torus(h)) <= 0.25 * h**4 / (2.0 * min(R1, R2) ** 3)


def test_edge_in_both_principal_meridians_is_that_of_spherical_lenses():
    edge = toric_edge_thickness_mm(15.0, -15.0, 0.9, 6.0, front_radius_across_mm=13.0, back_radius_across_mm=-12.0, meridian_deg=[0.0, 90.0, 180.0])
    assert edge[0] == pytest.approx(float(edge_thickness_mm(15.0, -15.0, 0.9, 6.0)), abs=1e-14)
    assert edge[1] == pytest.approx(float(edge_thickness_mm(13.0, -12.0, 0.9, 6.0)), abs=1e-14)
    assert edge[2] == edge[0]


@pytest.mark.parametrize(
    ("call", "told"),
    [
        (lambda: toric_lens(15.0, -15.0, 0.9, 1.49), "a toric surface has two radii"),
        (lambda: toric_lens(15.0, -15.0, 0.9, 1.49, back_radius_across_mm=0.0), "never 0"),
        (lambda: power_vector(20.0, cylinder_D=np.nan, axis_deg=0.0), "cylinder_D is missing or not a number"),
        (lambda: power_vector(20.0, cylinder_D=1.0, axis_deg="steep"), "axis_deg = 'steep' is not a number"),
        (lambda: power_vector(20.0, cylinder_D=1.0, axis_deg=9000.0), "axis_deg = 9000"),
        (lambda: rotation_residual(1.0, axis_deg=0.0, rotation_deg=[1.0, np.inf]), "rotation_deg"),
    ],
)
def test_impossible_inputs_are_refused(call, told):
    with pytest.raises(InputError, match=told):
        call()
