"""The image on the retina of a schematic eye: what the beam of a cornea and its aberration do to an implant's MTF."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lenscalc.errors import InputError
from lenscalc.eye import (
    PHOTOPIC,
    eye_mtf,
    image_system,
    implant_path,
    implanted,
    planes_with_implant,
    published_eye,
    published_eyes,
    thin_implanted,
)
from lenscalc.light import diffraction_mtf, mtf, paraxial_image, zernike_coefficients
from lenscalc.material import Dispersion, polymer

EYES = tuple(published_eyes().values())
EYE = published_eye("le_grand_full")
PMMA = polymer("pmma_szczurowski_2013")
MADE = implanted(EYE, front_radius_mm=15.0, back_radius_mm=-15.0, center_thickness_mm=0.9, n_lens=1.4926)
FREQUENCIES = [20.0, 50.0, 100.0]


@pytest.mark.parametrize("eye", EYES, ids=lambda e: e.key)
def test_without_a_corneal_aberration_in_one_colour_it_is_the_lens_in_the_eyes_beam(eye):
    made = implanted(eye, front_radius_mm=15.0, back_radius_mm=-15.0, center_thickness_mm=0.9, n_lens=1.4926)
    system, beam = image_system(eye, made)
    i = implant_path(eye, made).names.index("front of the implant")
    assert float(beam.vergence_D) == pytest.approx(implant_path(eye, made).before_D[i], abs=1e-9)
    alone = mtf(system, beam, frequency_per_mm=FREQUENCIES, wavelength_nm=546.07, focus="least_wavefront")
    found = eye_mtf(eye, made, frequency_per_mm=FREQUENCIES)
    assert np.array_equal(found.mtf, alone.mtf)
    one_line = eye_mtf(eye, made, frequency_per_mm=FREQUENCIES, polymer=PMMA, weights={546.07: 3.0})
    assert np.allclose(one_line.mtf, alone.mtf, rtol=0, atol=1e-12)
    # and the light ends on the retina
    behind = eye.axial_length_mm - made.depth_mm - made.center_thickness_mm
    assert paraxial_image(system, vergence_D=beam.vergence_D).image_distance_mm == pytest.approx(behind, abs=1e-9)


@pytest.mark.parametrize("pupil", [3.0, 4.5])
def test_a_cornea_of_the_opposite_aberration_leaves_what_diffraction_leaves(pupil):
    system, beam = image_system(EYE, MADE, pupil_diameter_mm=pupil)
    own = zernike_coefficients(system, beam, focus="least_wavefront").zernike_4_0_um
    path = implant_path(EYE, MADE)
    on_cornea = pupil * path.heights[1] / path.heights[3]
    found = eye_mtf(EYE, MADE, frequency_per_mm=FREQUENCIES, pupil_diameter_mm=pupil, cornea_zernike_4_0_um=-own, at_pupil_mm=on_cornea)
    assert np.allclose(found.mtf, found.diffraction_mtf, rtol=0, atol=2e-5)  # what is left is of the sixth order
    doubled = eye_mtf(EYE, MADE, frequency_per_mm=FREQUENCIES, pupil_diameter_mm=pupil, cornea_zernike_4_0_um=own, at_pupil_mm=on_cornea)
    assert np.all(doubled.mtf < eye_mtf(EYE, MADE, frequency_per_mm=FREQUENCIES, pupil_diameter_mm=pupil).mtf)


def test_a_colour_needs_both_the_polymer_and_the_wavelength():
    plain = image_system(EYE, MADE)
    for more in ({"polymer": PMMA}, {"wavelength_nm": 450.0}):
        system, beam = image_system(EYE, MADE, **more)
        assert beam.vergence_D == plain[1].vergence_D
        assert paraxial_image(system, vergence_D=40.0) == paraxial_image(plain[0], vergence_D=40.0)


def test_the_limit_of_diffraction_by_hand():
    # s = νλ/(2 n sin θ), with the cone's half angle from the beam's height on the retina's side: 1.5 mm at the front of the implant
    path = implant_path(EYE, MADE)
    slope = 1.5 * path.heights[4] / path.heights[3] / (EYE.axial_length_mm - 5.4)
    s = np.array(FREQUENCIES) * 546.07e-6 / (2 * 1.336 * slope)
    expected = 2 / np.pi * (np.arccos(s) - s * np.sqrt(1 - s * s))
    assert np.allclose(eye_mtf(EYE, MADE, frequency_per_mm=FREQUENCIES).diffraction_mtf, expected, atol=1e-9)


@settings(max_examples=15)
@given(st.floats(-0.3, 0.3), st.floats(2.0, 4.0))
def test_no_aberration_lifts_the_image_above_diffraction(coefficient, pupil):
    found = eye_mtf(EYE, MADE, frequency_per_mm=FREQUENCIES, pupil_diameter_mm=pupil, cornea_zernike_4_0_um=coefficient)
    assert np.all(found.mtf <= found.diffraction_mtf + 1e-9)


def test_a_narrower_pupil_has_the_fourth_power_of_the_aberration_and_a_defocus():
    """The polynomial written out: √5(6s⁴ρ⁴ − 6s²ρ² + 1) less s⁴ of √5(6ρ⁴ − 6ρ² + 1) is a parabola in ρ."""
    path = implant_path(EYE, MADE)
    ratio = path.heights[1] / path.heights[3] / 6.0
    for pupil in (2.0, 4.0):
        assert image_system(EYE, MADE, pupil_diameter_mm=pupil, cornea_zernike_4_0_um=0.27)[1].added_zernike_um[4] == pytest.approx(
            0.27 * (pupil * ratio) ** 4, rel=1e-12
        , abs=0.0)


def test_colours_are_a_sum_of_what_each_does_in_the_common_plane():
    """Two lines by hand: each in its own system and in the common plane, added as numbers with their signs."""
    weights = {500.0: 1.0, 600.0: 3.0}
    shifts, planes, distances = [], [], []
    for nm in weights:
        system, beam = image_system(EYE, MADE, polymer=PMMA, wavelength_nm=nm)
        image = float(paraxial_image(system, vergence_D=beam.vergence_D).image_distance_mm)
        own = mtf(system, beam, frequency_per_mm=20.0, wavelength_nm=nm, focus="least_wavefront").focus_shift_mm
        distances.append(image)
        planes.append(image + own)
    plane = (planes[0] + 3 * planes[1]) / 4
    for nm, image in zip(weights, distances, strict=True):
        system, beam = image_system(EYE, MADE, polymer=PMMA, wavelength_nm=nm)
        shifts.append(mtf(system, beam, frequency_per_mm=20.0, wavelength_nm=nm, focus=plane - image).mtf)
    # symmetric pupils: the transfers are real up to a common sign, here both positive
    found = eye_mtf(EYE, MADE, frequency_per_mm=20.0, polymer=PMMA, weights=weights)
    assert float(found.mtf) == pytest.approx((shifts[0] + 3 * shifts[1]) / 4, abs=2e-4)
    assert found.light == "2 wavelengths, 500 to 600 nm, weighted"
    assert eye_mtf(EYE, MADE, frequency_per_mm=20.0, polymer=PMMA, weights={500.0: 1.0}).light == "500 nm"
    three = {600.0: 1.0, 500.0: 1.0, 550.0: 1.0}
    assert eye_mtf(EYE, MADE, frequency_per_mm=20.0, polymer=PMMA, weights=three).light == "3 wavelengths, 500 to 600 nm, weighted"


def test_more_dispersion_and_more_colours_cost_contrast():
    green = eye_mtf(EYE, MADE, frequency_per_mm=50.0).mtf
    white = [
        eye_mtf(EYE, MADE, frequency_per_mm=50.0, polymer=Dispersion.from_abbe(1.4906, v), weights=PHOTOPIC).mtf for v in (58.0, 40.0, 30.0)
    ]
    assert green > white[0] > white[1] > white[2]


def test_lines_stand_densely_enough():
    every_second = {nm: v for i, (nm, v) in enumerate(PHOTOPIC.items()) if i % 2 == 0}
    both = [eye_mtf(EYE, MADE, frequency_per_mm=FREQUENCIES, polymer=PMMA, weights=w).mtf for w in (PHOTOPIC, every_second)]
    assert np.allclose(*both, atol=1e-3)


def test_the_photopic_curve_is_the_published_one():
    # from memory, as texts print it: one half at 510 and 610 nm, the greatest at 555; 106.857 nm is the integral of the whole
    assert PHOTOPIC[510.0] == PHOTOPIC[610.0] == 0.503
    assert max(PHOTOPIC, key=PHOTOPIC.get) == 560.0
    assert sum(PHOTOPIC.values()) * 10 == pytest.approx(106.857, rel=3e-3, abs=0.0)
    assert all(400.0 <= nm <= 700.0 for nm in PHOTOPIC)


def test_a_degree_is_what_the_image_size_says():
    found = eye_mtf(EYE, MADE, frequency_per_mm=[10.0, 100.0])
    # 17.2 mm/rad is 0.300 mm/° (the image size of the same eye, checked elsewhere)
    assert found.frequency_per_degree == pytest.approx([3.0, 30.0], rel=0.02, abs=0.0)
    assert diffraction_mtf(0.0, cut_off_per_mm=1.0) == 1.0


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"cornea_zernike_4_0_um": 270.0}, "is it in nm"),
        ({"cornea_zernike_4_0_um": float("nan")}, "cornea_zernike_4_0_um = nan µm"),
        ({"cornea_zernike_4_0_um": 0.27, "at_pupil_mm": 3.0}, "nothing is known of the aberration beyond"),
        ({"cornea_zernike_4_0_um": 0.27, "at_pupil_mm": 0.006}, "at_pupil_mm = 0.006 mm"),
        ({"pupil_diameter_mm": 0.0}, "pupil_diameter_mm = 0 mm"),
        ({"weights": PHOTOPIC}, "give the polymer"),
        ({"weights": {}, "polymer": PMMA}, "weights is empty"),
        ({"weights": {0.55: 1.0}, "polymer": PMMA}, "0.55 nm"),
        ({"focus": "least_spot", "cornea_zernike_4_0_um": 0.1}, "know nothing of an added wavefront"),
    ],
)
def test_what_cannot_be_said_is_refused(given, told):
    with pytest.raises(InputError, match=told):
        eye_mtf(EYE, MADE, frequency_per_mm=50.0, **given)


def test_a_refusal_tells_the_width_on_the_cornea_and_the_limits():
    path = implant_path(EYE, MADE)
    width = 3.0 * path.heights[1] / path.heights[3]
    with pytest.raises(InputError, match=f"the beam is {width:.2f} mm wide on the cornea"):
        eye_mtf(EYE, MADE, frequency_per_mm=50.0, cornea_zernike_4_0_um=0.27, at_pupil_mm=3.2)
    for wrong, limits in (({"cornea_zernike_4_0_um": 270.0}, (-5.0, 5.0)), ({"at_pupil_mm": 12.5}, (1.0, 12.0))):
        with pytest.raises(InputError) as refused:
            eye_mtf(EYE, MADE, frequency_per_mm=50.0, **wrong)
        assert refused.value.limits == limits


def test_a_lens_without_thickness_or_many_lenses_are_refused():
    for thin in (thin_implanted(EYE, 20.0), MADE._replace(center_thickness_mm=-0.1), MADE._replace(center_thickness_mm=float("nan"))):
        with pytest.raises(InputError, match="needs a lens that could be made"):
            eye_mtf(EYE, thin, frequency_per_mm=50.0)
    with pytest.raises(InputError, match="one implant"):
        eye_mtf(EYE, MADE._replace(n_lens=np.array([1.49, 1.5])), frequency_per_mm=50.0)


def test_the_planes_are_those_of_the_light_path():
    assert [p.name for p in planes_with_implant(EYE, MADE)][3] == "front of the implant"
