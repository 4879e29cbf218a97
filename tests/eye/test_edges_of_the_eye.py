"""Defaults that are stated, edges that belong to what is allowed, and a scatter about nothing."""

import pytest

from lenscalc.errors import InputError
from lenscalc.eye import chromatic_span_change, eye_mtf, implanted, in_proportion, published_eye, thin_implanted
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
