"""Planes of focus where geometry ends or begins: of a lens of a tenth of a millidioptre, and in front of the lens."""

import numpy as np
import pytest

from lenscalc.errors import InputError
from lenscalc.lens import image_with_moved_index
from lenscalc.light import Beam, Surface, System, mtf, paraxial_image, point_spread, strehl_ratio, trace, wavefront_um, zernike_coefficients

INDICES = [1.336, 1.49, 1.336]
# the back radius of a meniscus with 1 mm in the middle that has this power, from (n − m)(c1 − c2) + (n − m)²·t·c1·c2/n = F
C1 = 1 / 20.0


def meniscus(power_D):
    d = 1.49 - 1.336
    c2 = (power_D / 1000 / d - C1) / (d * 1.0 * C1 / 1.49 - 1.0)
    return System([Surface(20.0), Surface(1 / c2)], INDICES, [1.0])


@pytest.mark.parametrize("power_D", [5e-3, 1e-3, 1e-4, 1e-5])
@pytest.mark.parametrize(("focus", "part"), [("least_wavefront", 0.5), ("least_spot", None)])
def test_the_best_plane_of_a_lens_of_nearly_no_power(power_D, focus, part):
    """Third order: the least wavefront is half the way from the paraxial to the marginal focus in vergence (Welford, Aberrations of Optical Systems,
    ch. 8; from memory, to be confirmed against the text). The next order is 0.5 % of it."""
    lens = meniscus(power_D)
    paraxial = float(paraxial_image(lens).image_distance_mm)
    assert paraxial == pytest.approx(1336.0 / power_D, rel=0.01, abs=0.0)
    rim = trace(lens, x_mm=1.5)
    marginal = rim.z_mm - rim.x_mm * rim.direction_z / rim.direction_x
    best = paraxial + mtf(lens, Beam(3.0), frequency_per_mm=power_D / 100, wavelength_nm=546.07, focus=focus).focus_shift_mm
    assert marginal < best < paraxial
    if part:
        assert (1.0 / best - 1.0 / paraxial) / (1.0 / marginal - 1.0 / paraxial) == pytest.approx(part, rel=6e-3, abs=0.0)


def test_a_plane_in_front_of_the_lens_catches_no_wave():
    lens = System([Surface(15.0), Surface(-15.0)], INDICES, [0.9])  # its focus lies 64.86 mm behind it
    for of in (
        lambda f: mtf(lens, Beam(1.0), frequency_per_mm=1.0, wavelength_nm=546.07, focus=f),
        lambda f: strehl_ratio(lens, Beam(1.0), wavelength_nm=546.07, focus=f),
        lambda f: wavefront_um(lens, Beam(1.0), pupil_x=1.0, pupil_y=0.0, focus=f),
        lambda f: zernike_coefficients(lens, Beam(1.0), focus=f),
        lambda f: point_spread(lens, Beam(1.0), wavelength_nm=546.07, half_width_mm=0.1, focus=f),
    ):
        with pytest.raises(InputError, match=r"lies 35\.1374 mm in front of the last vertex"):
            of(-100.0)


def test_a_plane_begins_behind_the_last_vertex():
    lens = System([Surface(15.0), Surface(-15.0)], INDICES, [0.9])
    paraxial = float(paraxial_image(lens).image_distance_mm)
    with pytest.raises(InputError, match="lies 0 mm in front of the last vertex"):
        wavefront_um(lens, Beam(1.0), pupil_x=1.0, pupil_y=0.0, focus=-paraxial)
    # n'h²/2·(1/f − 1/z) of a thin pencil, both from the exit pupil, which is the image of the front vertex by the back surface
    pupil = 1.336 / (1.49 / -0.9 + (1.336 - 1.49) / -15.0)
    near = wavefront_um(lens, Beam(0.1), pupil_x=1.0, pupil_y=0.0, focus=0.5 - paraxial)
    assert near.item() == pytest.approx(1336.0 * 0.05**2 / 2.0 * (1.0 / (paraxial - pupil) - 1.0 / (0.5 - pupil)), rel=0.02, abs=0.0)


def test_a_plane_may_be_typed_where_a_word_finds_it():
    weak, asked = meniscus(1e-3), {"frequency_per_mm": 1e-5, "wavelength_nm": 546.07}
    by_word = mtf(weak, Beam(3.0), **asked, focus="least_wavefront")
    assert by_word.focus_shift_mm < -6e4
    assert mtf(weak, Beam(3.0), **asked, focus=by_word.focus_shift_mm).mtf == by_word.mtf
    with pytest.raises(InputError, match="focus is missing or not a number"):
        mtf(weak, Beam(3.0), **asked, focus=np.nan)


def test_a_weak_lens_with_a_moved_index_keeps_its_old_plane():
    """0.01 D, n − m a tenth higher: F grows by a tenth, and the focus moves from 133.6 m to 121.5 m; what was asked names no plane."""
    found = image_with_moved_index(
        15400.0, back_radius_mm=np.inf, center_thickness_mm=0.9, n_lens=1.49, index_error=0.0154, pupil_diameter_mm=3.0, frequency_per_mm=0.001,
    )  # fmt: skip
    assert found.focus_moved_mm == pytest.approx(133600.0 / 1.1 - 133600.0, rel=1e-5, abs=0.0)
    assert 0.0 < found.mtf_in_old_plane <= found.mtf_after < 1.0


@pytest.mark.parametrize("part", [1e-6, 1e-3, 0.003, 0.01, 0.03, 0.1, 0.5, 0.99])
def test_the_quadrature_is_exact_where_there_is_no_aberration(part):
    """A surface free of aberration (Descartes: k = −1/n²); diffraction is (2/π)(arccos s − s√(1 − s²)) by hand."""
    perfect = System([Surface(16.8, conic=-1 / 1.336**2)], [1.0, 1.336])
    cut = 3.0 * 0.020 / 546.07e-6
    found = mtf(perfect, Beam(3.0), frequency_per_mm=part * cut, wavelength_nm=546.07, focus="paraxial").mtf
    assert found == pytest.approx(2 / np.pi * (np.arccos(part) - part * np.sqrt(1 - part * part)), abs=2e-9)
