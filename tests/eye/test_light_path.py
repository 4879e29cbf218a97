"""Vergence and matrices give one answer; cardinal points are what Gauss says they are. Values from outside are in reference_cases/."""

from fractions import Fraction

import mpmath
import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from lenscalc.errors import InputError
from lenscalc.eye import (
    TEACHING_EYE,
    Plane,
    cardinal_points_of,
    focus_of,
    implant_path,
    implanted,
    light_path_of,
    planes_with_implant,
    published_eyes,
    ray_transfer_of,
    refraction,
    refraction_by_matrix,
    thin_implanted,
)
from lenscalc.eye.published import Layer

EYES = tuple(published_eyes().values())


@st.composite
def seen_through(draw):
    """A published eye with an implant and departures, as they may be stated."""
    eye = draw(st.sampled_from(EYES))
    s = implanted(
        eye, front_radius_mm=draw(st.floats(9.0, 60.0)), back_radius_mm=-draw(st.floats(9.0, 60.0)), center_thickness_mm=draw(st.floats(0.0, 1.5)),
        n_lens=draw(st.floats(1.40, 1.56)), deeper_mm=draw(st.floats(-0.5, 1.0)), longer_mm=draw(st.floats(-2.0, 3.0)),
        steeper_D=draw(st.floats(-4.0, 4.0)),
    )  # fmt: skip
    return eye, s


@given(seen_through())
def test_vergence_and_matrices_agree_to_1e_12(case):
    planes = planes_with_implant(*case)
    assert refraction_by_matrix(planes) == pytest.approx(light_path_of(planes).refraction_D, rel=0, abs=1e-12)


@given(seen_through())
def test_so_do_both_in_thirty_digits(case):
    planes = planes_with_implant(*case)
    with mpmath.workdps(30):
        exact = [Plane(p.name, *(mpmath.mpf(float(x)) for x in p[1:])) for p in planes]
        by_vergence = light_path_of(exact).refraction_D
        assert abs(by_vergence - refraction_by_matrix(exact)) < 1e-24
    assert abs(float(by_vergence) - light_path_of(planes).refraction_D) < 1e-12


@given(seen_through())
def test_light_that_is_corrected_ends_on_the_retina(case):
    planes = planes_with_implant(*case)
    assert focus_of(light_path_of(planes).refraction_D, planes) == pytest.approx(planes[-1].distance_mm, rel=1e-12, abs=0.0)


@given(seen_through())
def test_every_vergence_on_the_way_is_there(case):
    path, planes = implant_path(*case), planes_with_implant(*case)
    assert len(path.names) == len(path.before_D) == len(path.behind_D) == len(path.heights) == len(planes)
    for plane, before, behind in zip(planes, path.before_D, path.behind_D, strict=True):
        assert behind - before == pytest.approx(plane.power_D, abs=1e-11)
    for i, plane in enumerate(planes[:-1]):  # distances to the focus instead of vergences
        if abs(path.behind_D[i]) > 1e-6:
            to_focus = 1000.0 * plane.n_behind / path.behind_D[i] - plane.distance_mm
            assert path.before_D[i + 1] == pytest.approx(1000.0 * plane.n_behind / to_focus, rel=1e-9, abs=0.0)


@given(seen_through(), st.integers(0, 3))
def test_a_thin_power_where_the_ray_is_h_high_counts_h_squared(case, at):
    planes = planes_with_implant(*case)
    at = min(at, len(planes) - 1)
    stepped = [p._replace(power_D=p.power_D + 1e-30j) if i == at else p for i, p in enumerate(planes)]
    height = light_path_of(planes).heights[at]
    assert np.imag(light_path_of(stepped).refraction_D) / 1e-30 == pytest.approx(-height * height, rel=1e-12, abs=0.0)


@given(seen_through())
def test_the_determinant_is_one(case):
    for to_retina in (False, True):
        m = ray_transfer_of(planes_with_implant(*case), to_retina=to_retina)
        assert m.a * m.d - m.b * m.c == pytest.approx(1.0, abs=1e-12)


@given(seen_through())
def test_light_from_far_comes_to_the_back_focal_point(case):
    planes = planes_with_implant(*case)[1:]
    points = cardinal_points_of(planes)
    assume(points.power_D > 20.0)
    to_last = sum(p.distance_mm for p in planes[:-1])
    assert points.back_focal_point_mm == pytest.approx(to_last + focus_of(0.0, planes), rel=1e-10, abs=0.0)
    assert points.front_nodal_point_mm - points.front_principal_point_mm == pytest.approx(
        points.back_nodal_point_mm - points.back_principal_point_mm, abs=1e-9
    )


# a rod whose index falls from the axis, no surface of its own: f = 1/(n0·g·sin(g·L)), g = √(−2ρ/n0) (gradient-index optics, any text)
@pytest.mark.parametrize("length", [1.0, 3.0])
def test_a_gradient_layer_is_the_rod_of_the_textbooks(length):
    from lenscalc.eye.published import _slices

    n0, radial = 1.4, -0.002
    g = (-2.0 * radial / n0) ** 0.5
    planes = _slices(Layer(length, (n0,), radial))
    expected = 1000.0 * n0 * g * np.sin(g * length)
    assert -ray_transfer_of(planes).c == pytest.approx(expected, rel=2e-6, abs=0.0)


# a reduced eye of 58 D that is 5 D too long, an object of 0.1 rad: Duane's Clinical Ophthalmology, vol. 1, ch. 33, fig. 69, read on an open copy:
# correction at the first focal point leaves 58 D and an image of 1.72 mm, correction at the surface 53 D and 1.89 mm
@pytest.mark.parametrize(("apart", "power", "image"), [(1000.0 / 58.0, 58.0, 1.72), (0.0, 53.0, 1.89)])
def test_a_worked_example_of_a_corrected_eye(apart, power, image):
    correction = -5.0 / (1.0 - 5.0 * apart / 1000.0)  # the same ocular refraction from farther away
    planes = [Plane("spectacles", correction, apart, 1.0), Plane("eye", 58.0, 1000.0 * 1.336 / 53.0, 1.336)]
    found = cardinal_points_of(planes).power_D
    assert found == pytest.approx(power, abs=1e-9)
    assert 0.1 * 1000.0 / found == pytest.approx(image, abs=0.005)
    assert focus_of(0.0, planes) == pytest.approx(planes[-1].distance_mm, rel=1e-12, abs=0.0)


def height_at_the_spectacles(planes):
    """In fractions, of a ray from the middle of the retina, by matrices from plane to plane: they have no infinity at a focus."""
    height, slope = Fraction(0), Fraction(1)  # slope: times the index, and backwards
    for plane in reversed(planes):
        power, way, n = (Fraction(float(x)) for x in plane[1:])
        height += slope * way / (1000 * n)
        slope -= power * height
    return height


def about_a_focus(planes_with, from_D, to_D):
    """The doubles about the power by which that height is 0."""
    while to_D > np.nextafter(from_D, to_D):
        middle = (from_D + to_D) / 2.0
        from_D, to_D = (middle, to_D) if height_at_the_spectacles(planes_with(middle)) > 0 else (from_D, middle)
    return from_D + np.arange(-12, 13) * np.spacing(from_D)


def of_the_teaching_eye(power):
    K, L, d, n, v = TEACHING_EYE
    return [Plane("spectacles", 0.0, v, 1.0), Plane("cornea", K, d, n), Plane("implant", power, L - d, n)]


@pytest.mark.parametrize(
    ("planes_with", "seen"),
    [(of_the_teaching_eye, refraction)]
    + [
        (lambda P, eye=eye: planes_with_implant(eye, thin_implanted(eye, P)), lambda P, eye=eye: implant_path(eye, thin_implanted(eye, P)))
        for eye in EYES
    ],
)
def test_light_that_meets_its_focus_in_the_very_plane_of_the_spectacles_is_refused(planes_with, seen):
    refused = 0
    for power in about_a_focus(planes_with, 90.0, 120.0):
        for given_D in (float(power), np.array([power, 20.0])):
            try:
                assert np.all(np.isfinite(seen(given_D).refraction_D))
            except InputError:
                refused += 1
    assert 0 < refused < 2 * 25


def test_and_in_that_of_the_cornea():
    """By hand: the implant makes of light from the cornea, 1336/5 D away from it, what ends 18.5 mm behind: 1336/18.5 + 1336/5 D."""
    power = 1336.0 / 18.5 + 1336.0 / 5.0
    for given_D in power + np.arange(-3, 4) * np.spacing(power):
        for asked in (float(given_D), np.array([given_D, 20.0])):
            with pytest.raises(InputError, match="so strong that no light from in front of the eye"):
                refraction(asked)
