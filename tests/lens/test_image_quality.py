"""A lens in a beam: the room's own figures, and the beam in which the criterion may be asked."""

import numpy as np
import pytest

from lenscalc.errors import InputError
from lenscalc.lens.image_quality import MODEL_EYE_VERGENCE_D, criterion_applies, image_quality, lens_system
from lenscalc.light import Beam, best_focus, paraxial_image

LENS = {"back_radius_mm": -15.0, "center_thickness_mm": 0.9, "n_lens": 1.49}


def test_the_least_spot_lies_at_two_thirds_of_the_marginal_aberration():
    q = image_quality(15.0, **LENS)
    assert round(q.best_focus_shift_mm / q.longitudinal_spherical_aberration_mm, 3) == 0.667  # third-order theory: 2/3
    # what it means for a power read off the best focus: F·δ/f
    f = 1336 / 20.469666
    assert round(20.469666 * abs(q.best_focus_shift_mm) / f, 2) == 0.09


def test_diffraction_by_hand():
    q = image_quality(15.0, **LENS)
    s = 100.0 * 546.07e-6 / (3.0 * 0.020469666)
    assert abs(q.diffraction_mtf - 2 / np.pi * (np.arccos(s) - s * np.sqrt(1 - s * s))) < 1e-7
    assert abs(q.cut_off_per_mm - 3.0 * 0.020469666 / 546.07e-6) < 1e-5


def test_the_paraxial_image_is_the_thick_lens_own():
    from lenscalc import thick_lens

    system = lens_system(12.0, back_radius_mm=-24.0, center_thickness_mm=1.0, n_lens=1.49, n_medium=1.0, n_medium_behind=1.336)
    p, image = thick_lens(12.0, -24.0, 1.0, 1.49, 1.0, 1.336), paraxial_image(system)
    assert abs(float(image.image_distance_mm) - p.back_focal_length_mm) < 1e-10
    assert abs(float(image.convergence_D) - p.power_D) < 1e-10


def test_a_conic_front_takes_the_aberration_away():
    plain, figured = (image_quality(15.0, **LENS, front_conic=k, vergence_D=MODEL_EYE_VERGENCE_D) for k in (0.0, -6.0))
    assert abs(figured.zernike_4_0_um) < abs(plain.zernike_4_0_um) / 5
    assert plain.mtf < figured.mtf < figured.diffraction_mtf


def test_columns_of_lenses_at_once():
    R = np.array([14.0, 15.0, 16.0])
    q = image_quality(R, back_radius_mm=-R, center_thickness_mm=0.9, n_lens=1.49)
    assert q.mtf.shape == (3,)
    assert abs(q.zernike_4_0_um[1] - image_quality(15.0, **LENS).zernike_4_0_um) < 1e-12
    assert image_quality(15.0, **LENS, frequency_per_mm=[25.0, 50.0]).mtf.shape == (2,)


def test_more_index_brings_less_curvature_and_less_aberration():
    # at one power: 1/R falls with n − m, and spherical aberration with it (any text)
    found = []
    for n in (1.46, 1.49, 1.55):
        R = 2 * 1000 * (n - 1.336) / 20.0
        found.append(abs(best_focus(lens_system(R, back_radius_mm=-R, center_thickness_mm=0.001, n_lens=n), Beam(3.0)).shift_mm))
    assert found[0] > found[1] > found[2]


def test_the_criterion_is_asked_in_the_model_eye_alone():
    beam = {"pupil_diameter_mm": 3.0, "wavelength_nm": 546.07, "frequency_per_mm": 100.0, "vergence_D": MODEL_EYE_VERGENCE_D}
    assert criterion_applies(**beam)
    for other in ({"vergence_D": 0.0}, {"vergence_D": 40.0}, {"pupil_diameter_mm": 4.0}, {"wavelength_nm": 589.3}, {"frequency_per_mm": 50.0}):
        assert not criterion_applies(**{**beam, **other})


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"n_lens": 1.3}, "no real image"),
        ({"pupil_diameter_mm": 40.0}, "rays are lost"),
        ({"wavelength_nm": 0.546}, "is it in µm?"),
        ({"front_conic": "round"}, "not a number"),
        ({"n_lens": 14.9}, "decimal point one place off"),
    ],
)
def test_what_cannot_be_is_refused_in_words(given, told):
    with pytest.raises(InputError) as error:
        image_quality(15.0, **{**LENS, **given})
    assert told in str(error.value)
