"""Defaults that are stated, edges that belong to what is allowed, and a scatter about nothing."""

from dataclasses import FrozenInstanceError, replace

import pytest

from lenscalc.errors import InputError
from lenscalc.eye import (
    chromatic_span_change,
    eye_mtf,
    image_size_mm_per_radian,
    implanted,
    in_proportion,
    light_way,
    published_eye,
    refraction_change,
    refraction_change_with_temperature,
    refraction_of_index_error,
    thin_implanted,
    what_if,
)
from lenscalc.eye.schematic import TEACHING_EYE
from lenscalc.material import Dispersion

EYE = published_eye("le_grand_full")
MADE = implanted(EYE, front_radius_mm=15.0, back_radius_mm=-15.0, center_thickness_mm=0.9, n_lens=1.4926)


def test_colours_run_over_the_visible_unless_said_otherwise():
    low = thin_implanted(EYE, 20.0, n_lens=1.4926), Dispersion.from_abbe(1.4906, 58.0)
    high = thin_implanted(EYE, 20.0, n_lens=1.55), Dispersion.from_abbe(1.548, 37.0)
    assert chromatic_span_change(EYE, low, high) == chromatic_span_change(EYE, low, high, short_nm=400.0, long_nm=700.0)
    with pytest.raises(TypeError):
        chromatic_span_change(EYE, low, high, 400.0, 700.0)


@pytest.mark.parametrize("um", [5.0, -5.0])
def test_the_largest_aberration_and_the_widest_cornea_are_allowed(um):
    assert 0.0 < eye_mtf(EYE, MADE, frequency_per_mm=20.0, cornea_zernike_4_0_um=um, at_pupil_mm=12.0).mtf < 1.0
    for more in ({"cornea_zernike_4_0_um": um * 1.001}, {"cornea_zernike_4_0_um": 0.1, "at_pupil_mm": 12.01}):
        with pytest.raises(InputError):
            eye_mtf(EYE, MADE, frequency_per_mm=20.0, **more)


def test_the_published_scatter_is_about_nothing():
    assert in_proportion().scatter_D.value == 0.0
    assert in_proportion().lot_bias_D == 0.0


def test_a_span_is_extrapolated_where_either_of_the_two_is():
    """By its Abbe number a polymer is known from F to C, by readings as far as these reach."""
    near = thin_implanted(EYE, 20.0, n_lens=1.49), Dispersion.from_abbe(1.49, 58.0)
    far = thin_implanted(EYE, 20.0, n_lens=1.49), Dispersion.fit([400.0, 550.0, 700.0], [1.507, 1.493, 1.487])
    for first, second, beyond in ((near, far, True), (far, near, True), (near, near, True), (far, far, False)):
        assert chromatic_span_change(EYE, first, second, short_nm=405.0, long_nm=690.0).extrapolated is beyond


def test_the_iris_of_an_eye_whose_lens_is_thin_stands_in_front_of_it():
    """By similar triangles and thin lenses: cornea 1000·0.336/7.8 D, iris 3.6 mm behind it; an implant of 20 D, the retina at 24 mm.
    A ray of angle 1 through the middle of the iris came from the height −3.6 mm at the cornea: outside, its angle is 1.336·1 − F·3.6/1000. Onwards it
    meets the implant and goes on to the retina.
    """
    eye = published_eye("gullstrand_simplified")
    outside = 1.336 - 1000.0 * 0.336 / 7.8 * 3.6e-3
    implant = thin_implanted(eye, 20.0)
    height = implant.depth_mm - 3.6
    angle = 1.0 - 20.0 * height / 1000.0 / 1.336
    size = (height + (24.0 - implant.depth_mm) * angle) / outside
    assert image_size_mm_per_radian(eye, implant) == pytest.approx(size, rel=1e-9, abs=0.0)


@pytest.mark.parametrize(("error", "allowed"), [(0.1, True), (-0.1, True), (0.11, False), (1.0, False), (-0.11, False), (float("nan"), False)])
def test_an_error_of_the_index_is_a_tenth_at_most(error, allowed):
    if allowed:
        assert refraction_of_index_error(EYE, MADE, error) * error < 0
    else:
        with pytest.raises(InputError, match=r"must be -0\.1 to 0\.1"):
            refraction_of_index_error(EYE, MADE, error)


@pytest.mark.parametrize(("at", "allowed"), [(1.0, True), (0.99, False), (12.0, True)])
def test_a_cornea_is_told_of_over_one_to_twelve_millimetres(at, allowed):
    given = {"frequency_per_mm": 20.0, "cornea_zernike_4_0_um": 0.0, "at_pupil_mm": at}
    if allowed:
        assert 0.0 < eye_mtf(EYE, MADE, **given).mtf < 1.0
    else:
        with pytest.raises(InputError, match=r"at_pupil_mm = 0\.99 mm: must be 1 to 12 mm"):
            eye_mtf(EYE, MADE, **given)


@pytest.mark.parametrize(("expansion", "allowed"), [(1 / 300, True), (0.0034, False)])
def test_the_limit_of_an_expansion_is_that_of_the_volume(expansion, allowed):
    """Three times the linear one, 0.01 /K at most."""
    asked = {"dn_dt_per_K": -1.1e-4, "linear_expansion_per_K": expansion}
    if allowed:
        refraction_change_with_temperature(EYE, thin_implanted(EYE, 20.0), 34.0, **asked)
    else:
        with pytest.raises(InputError, match="volume_expansion_per_K"):
            refraction_change_with_temperature(EYE, thin_implanted(EYE, 20.0), 34.0, **asked)


@pytest.mark.parametrize(("key", "mm"), [("gullstrand_simplified", 0.0), ("gullstrand_exact", 3.6), ("le_grand_full", 4.0), ("liou_brennan", 4.02)])
def test_how_thick_the_lenses_of_published_eyes_are(key, mm):
    """Gullstrand's layers of 0.546, 2.419 and 0.635 mm; Le Grand's lens of 4.00 mm; Liou and Brennan's halves of 1.59 and 2.43 mm."""
    assert published_eye(key).lens_thickness_mm == pytest.approx(mm, abs=1e-12)


def test_a_bias_without_end_is_none():
    for bias in (float("inf"), float("-inf"), float("nan")):
        with pytest.raises(InputError):
            in_proportion(lot_bias_D=bias)


def test_spectacles_stand_twelve_millimetres_in_front_and_a_lens_of_149_in_the_way_unless_it_is_said_otherwise():
    assert TEACHING_EYE.vertex_distance_mm == 12.0
    for call in (light_way, what_if):
        assert call(20.0, 21.0, eye="le_grand_full") == call(20.0, 21.0, eye="le_grand_full", n_lens=1.49)
        assert call(20.0, 21.0, eye="le_grand_full") != call(20.0, 21.0, eye="le_grand_full", n_lens=1.5)
    assert thin_implanted(EYE, 20.0) == thin_implanted(EYE, 20.0, n_lens=1.49)


def test_an_eye_and_a_change_are_themselves_and_stay_as_they_are():
    for held in (EYE, refraction_change(EYE, MADE, MADE)):
        assert replace(held) != held
        for name in held.__dataclass_fields__:
            with pytest.raises(FrozenInstanceError):
                setattr(held, name, None)
