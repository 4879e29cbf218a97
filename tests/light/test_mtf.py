"""The image: diffraction alone to 1e-4, the wavefront by a second way, planes, spectra, points."""

import re
import sys

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lenscalc import mtf
from lenscalc.errors import InputError
from lenscalc.lens.image_quality import MODEL_EYE_VERGENCE_D
from lenscalc.light import (
    Beam,
    Surface,
    System,
    cut_off_per_mm,
    diffraction_mtf,
    moved,
    paraxial_image,
    point_spread,
    strehl_ratio,
    through_focus_mtf,
    wavefront_um,
)
from lenscalc.light.mtf import _alike

WAVE_NM = 546.07
LENS = System([Surface(15.0), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9])
ASPHERE = System([Surface(14.0, -1.5, {4: -2.5e-4}), Surface(-17.0, 0.4, {4: 1.2e-4, 6: -4e-6})], [1.336, 1.49, 1.336], [0.9])
# 20 D into 1.336, free of aberration: R = 336/20 mm, k = −(1/1.336)² (Descartes)
PERFECT = System([Surface(16.8, conic=-1 / 1.336**2)], [1.0, 1.336])


@pytest.mark.parametrize("pupil", [2.0, 3.0, 4.5])
@pytest.mark.parametrize("frequency", [10.0, 25.0, 50.0, 100.0, 150.0])
def test_a_perfect_lens_is_limited_by_diffraction(pupil, frequency):
    # (2/π)(arccos s − s√(1 − s²)) by hand, s = νλ/(D·F), F = 20 D = 0.02/mm
    s = min(frequency * WAVE_NM * 1e-6 / (pupil * 0.020), 1.0)
    expected = 2 / np.pi * (np.arccos(s) - s * np.sqrt(1 - s * s))
    found = mtf(PERFECT, Beam(pupil), frequency_per_mm=frequency, wavelength_nm=WAVE_NM)
    assert abs(found.mtf - expected) < 1e-4
    assert abs(found.diffraction_mtf - expected) < 1e-12


def test_a_perfect_bare_lens_of_20_dioptres():
    found = mtf(PERFECT, Beam(3.0), frequency_per_mm=100.0, wavelength_nm=546.0)
    assert round(found.mtf, 3) == 0.032  # worked by hand from the formula above
    assert found.beam == "collimated onto the bare lens, 3 mm wide"


def by_fourier_transform(system, beam, frequencies, focus, azimuth_deg=0.0, across=256, grid=1024):
    """Autocorrelation of a pupil sampled on squares, by FFT: another quadrature of another sampling, on the same path differences."""
    g = (np.arange(across) - across / 2 + 0.5) / (across / 2)
    x, y = np.meshgrid(g, g)
    turn = np.exp(1j * np.deg2rad(azimuth_deg))
    z = turn * (x + 1j * y)
    inside = x * x + y * y <= 1
    pupil = np.zeros((grid, grid), np.complex128)
    W = wavefront_um(system, beam, pupil_x=z.real[inside], pupil_y=z.imag[inside], focus=focus)
    pupil[:across, :across][inside] = np.exp(2j * np.pi * W / (WAVE_NM / 1000))
    correlation = np.abs(np.fft.ifft2(np.abs(np.fft.fft2(pupil)) ** 2))[0]
    cut_off = float(cut_off_per_mm(beam.pupil_diameter_mm, paraxial_image(system, vergence_D=beam.vergence_D).convergence_D, WAVE_NM))
    return np.interp(np.asarray(frequencies) / cut_off * across, np.arange(across), correlation[:across] / correlation[0])


@pytest.mark.parametrize(
    ("system", "beam", "focus", "azimuth"),
    [
        (LENS, Beam(4.0), "least_spot", 0.0),
        (LENS, Beam(3.0, MODEL_EYE_VERGENCE_D), 0.2, 0.0),
        (ASPHERE, Beam(3.0), "paraxial", 30.0),
        (moved(LENS, shift_y_mm=0.5, tilt_x_deg=5.0), Beam(3.0, 48.0), "least_spot", 90.0),
        (moved(ASPHERE, shift_x_mm=0.3, tilt_y_deg=-4.0), Beam(3.0, 48.0), "least_wavefront", 45.0),
    ],
)
def test_the_quadrature_agrees_with_a_fourier_transform(system, beam, focus, azimuth):
    frequencies = [20.0, 50.0, 100.0]
    found = mtf(system, beam, frequency_per_mm=frequencies, wavelength_nm=WAVE_NM, focus=focus, azimuth_deg=azimuth).mtf
    assert np.allclose(found, by_fourier_transform(system, beam, frequencies, focus, azimuth), atol=1e-3)  # the squares' own error


@settings(max_examples=40)
@given(
    st.floats(10.0, 30.0), st.floats(-3.0, 1.0), st.floats(1.0, 4.0), st.floats(0.0, 200.0), st.floats(-0.5, 0.5), st.floats(0.0, 180.0),
    st.floats(-0.6, 0.6),
)
def test_no_aberration_lifts_the_mtf_above_diffraction(radius, conic, pupil, frequency, focus, azimuth, shift):
    system = moved(System([Surface(radius, conic), Surface(-radius)], [1.336, 1.49, 1.336], [1.0]), shift_y_mm=shift)
    found = mtf(system, Beam(pupil, 40.0), frequency_per_mm=frequency, wavelength_nm=WAVE_NM, focus=focus, azimuth_deg=azimuth)
    assert 0.0 <= found.mtf <= found.diffraction_mtf + 1e-6  # the quadrature's own error


def test_the_model_eye_gives_another_value_and_says_so():
    bare = mtf(LENS, Beam(3.0), frequency_per_mm=100.0, wavelength_nm=WAVE_NM)
    eye = mtf(LENS, Beam(3.0, MODEL_EYE_VERGENCE_D), frequency_per_mm=100.0, wavelength_nm=WAVE_NM)
    assert bare.mtf < 0.05
    assert eye.mtf > 0.43
    assert "aberration-free cornea" in eye.beam
    assert Beam(3.0, -5.0).in_words().startswith("diverging by 5 D onto the bare lens")
    assert "0 collimated" in Beam(3.0, np.array([0.0, 48.0])).in_words()


def test_the_medium_of_the_image_counts():
    # all indices by one factor: the same rays, so the cone's numerical aperture and the cut-off grow by that factor
    air = System([Surface(15.0), Surface(-15.0)], [1.0, 1.2, 1.0], [0.9])
    wet = System([Surface(15.0), Surface(-15.0)], [1.336, 1.2 * 1.336, 1.336], [0.9])
    a, b = (mtf(s, Beam(3.0), frequency_per_mm=50.0, wavelength_nm=WAVE_NM).cut_off_per_mm for s in (air, wet))
    assert abs(b / a - 1.336) < 1e-12


def test_nothing_passes_the_cut_off_and_all_at_frequency_zero():
    found = mtf(LENS, Beam(3.0), frequency_per_mm=[0.0, 113.0], wavelength_nm=WAVE_NM)
    assert abs(found.mtf[0] - 1.0) < 1e-10
    assert found.mtf[1] == 0.0


def test_a_decentred_lens_images_worse_and_the_same_on_either_side():
    beam, asked = Beam(3.0, 48.0), {"frequency_per_mm": 100.0, "wavelength_nm": WAVE_NM}
    off = [mtf(moved(LENS, shift_y_mm=s), beam, azimuth_deg=90.0, **asked).mtf for s in (-0.8, -0.4, 0.0, 0.4, 0.8)]
    assert off[2] > off[3] > off[4]
    assert np.allclose(off, off[::-1], atol=1e-9)
    turned = mtf(moved(LENS, shift_x_mm=0.4), beam, azimuth_deg=0.0, **asked).mtf
    assert abs(turned - off[3]) < 1e-9


def test_a_wider_pupil_shows_the_aberration():
    beams = [Beam(p, MODEL_EYE_VERGENCE_D) for p in (2.0, 3.0, 4.0, 5.0)]
    found = [mtf(LENS, beam, frequency_per_mm=50.0, wavelength_nm=WAVE_NM) for beam in beams]
    assert np.all(np.diff([m.mtf / m.diffraction_mtf for m in found]) < 0)


def test_through_focus_is_the_mtf_of_each_plane():
    shifts = np.array([-0.8, -0.3, 0.0, 0.4])
    curve = through_focus_mtf(LENS, Beam(3.0), focus_shift_mm=shifts, frequency_per_mm=60.0, wavelength_nm=WAVE_NM)
    single = [mtf(LENS, Beam(3.0), frequency_per_mm=60.0, wavelength_nm=WAVE_NM, focus=float(s)).mtf for s in shifts]
    assert np.allclose(curve, single, atol=1e-8)
    R = np.array([14.0, 15.0])
    many = System([Surface(R), Surface(-R)], [1.336, 1.49, 1.336], [0.9])
    assert np.allclose(through_focus_mtf(many, Beam(3.0), focus_shift_mm=shifts, frequency_per_mm=60.0, wavelength_nm=WAVE_NM)[1], curve, atol=1e-8)


def test_far_out_of_focus_the_quadrature_still_follows():
    # a geometrical blur disc of a defocused perfect pencil: MTF 2J1(a)/a, a = 2πν·(blur radius), for low frequencies and many waves
    from scipy.special import j1

    shift, frequency = 3.0, 5.0
    found = mtf(PERFECT, Beam(4.0), frequency_per_mm=frequency, wavelength_nm=WAVE_NM, focus=shift).mtf
    distance = float(paraxial_image(PERFECT).image_distance_mm)
    a = 2 * np.pi * frequency * 2.0 * shift / (distance + shift)  # the disc in the scale of the paraxial image
    assert abs(found - abs(2 * j1(a) / a)) < 0.02


def test_beyond_121_waves_it_is_refused():
    """Of at most 400 points a direction 380 follow the phase, one for every two radians: 760 radians, 121 waves of 2π.

    A perfect pencil is off by W = n'h²/2·(1/z − 1/f) at its rim; two pupils ±s apart see the difference run through 8s(1 − s)·W.
    """
    s = 50.0 * WAVE_NM * 1e-6 / (6.0 * 0.020)
    W = 1.336 * 3.0**2 / 2.0 * (1.0 / (66.8 - 40.0) - 1.0 / 66.8)
    with pytest.raises(InputError) as told:
        mtf(PERFECT, Beam(6.0), frequency_per_mm=50.0, wavelength_nm=WAVE_NM, focus=-40.0)
    found = re.fullmatch(
        r"focus: the phase runs through (\d+) waves over the pupil, more than the quadrature of the MTF follows \(121\); take a plane nearer to "
        "the focus or a smaller pupil",
        str(told.value),
    )
    assert float(found[1]) == pytest.approx(8.0 * s * (1.0 - s) * W / (WAVE_NM * 1e-6), rel=0.02, abs=0.0)
    assert mtf(PERFECT, Beam(6.0), frequency_per_mm=50.0, wavelength_nm=WAVE_NM, focus=-20.0).mtf < 0.01  # some 99 waves


@pytest.mark.parametrize(("radians", "points"), [(1.9, [20]), (2.0, [20, 21]), (760.0, [20, 400]), (761.9, [20, 400]), (762.0, None)])
def test_a_point_for_every_two_radians(monkeypatch, radians, points):
    """From 20 points on, and up to 400."""
    module, seen = sys.modules["lenscalc.light.mtf"], []
    monkeypatch.setattr(module, "_autocorrelation", lambda *given: (seen.append(given[-1]), (0.0, np.array([radians])))[1])
    if points is None:
        with pytest.raises(InputError, match=r"runs through 121 waves .* follows \(121\)"):
            mtf(LENS, Beam(1.0), frequency_per_mm=50.0, wavelength_nm=WAVE_NM)
    else:
        mtf(LENS, Beam(1.0), frequency_per_mm=50.0, wavelength_nm=WAVE_NM)
        assert seen == points


def spectrum(n):
    return System([Surface(15.0), Surface(-15.0)], [1.336, np.asarray(n), 1.336], [0.9])


def test_a_spectrum_of_one_line_is_that_line():
    beam, waves = Beam(3.0, 48.0), [480.0, 546.0, 650.0]
    n = [1.495, 1.490, 1.486]
    alone = mtf(LENS, beam, frequency_per_mm=[50.0, 100.0], wavelength_nm=546.0)
    one = mtf(spectrum(n), beam, frequency_per_mm=[50.0, 100.0], wavelength_nm=waves, weights=[0.0, 2.0, 0.0])
    assert np.allclose(one.mtf, alone.mtf, atol=1e-9)
    assert np.allclose(one.diffraction_mtf, alone.diffraction_mtf, atol=1e-12)
    same = mtf(spectrum([1.49] * 3), beam, frequency_per_mm=50.0, wavelength_nm=[546.0] * 3, weights=[1.0, 2.0, 3.0])
    assert abs(same.mtf - alone.mtf[0]) < 1e-9


def test_a_dispersing_lens_images_a_spectrum_worse_than_a_line():
    beam, waves = Beam(3.0, 48.0), [480.0, 546.0, 650.0]
    clear, coloured = (
        mtf(spectrum(n), beam, frequency_per_mm=50.0, wavelength_nm=waves, weights=[1.0, 2.0, 1.0]) for n in ([1.49] * 3, [1.500, 1.490, 1.483])
    )
    assert coloured.mtf < clear.mtf - 0.05


def test_the_point_spread_of_a_perfect_lens_is_airys():
    cut_off = 3.0 * 0.020 / (WAVE_NM * 1e-6)
    image = point_spread(PERFECT, Beam(3.0), wavelength_nm=WAVE_NM, half_width_mm=1.2196699 / cut_off, points=3)  # the first dark ring
    assert abs(image.irradiance[1, 1] - 1.0) < 1e-9
    assert image.irradiance[1, 0] < 1e-10
    assert image.irradiance[0, 1] < 1e-10
    at = 0.5 / cut_off
    from scipy.special import j1

    near = point_spread(PERFECT, Beam(3.0), wavelength_nm=WAVE_NM, half_width_mm=at, points=3).irradiance[1, 2]
    assert abs(near - (2 * j1(np.pi * 0.5) / (np.pi * 0.5)) ** 2) < 1e-7


def test_the_point_spreads_middle_is_strehls_ratio():
    image = point_spread(LENS, Beam(4.0), wavelength_nm=WAVE_NM, half_width_mm=0.02, points=21)
    assert abs(image.irradiance[10, 10] - image.strehl_ratio) < 1e-9
    assert abs(image.strehl_ratio - strehl_ratio(LENS, Beam(4.0), wavelength_nm=WAVE_NM)) < 1e-7


def test_the_point_spread_lies_where_the_rays_fall():
    # coma: the centre of gravity of the diffraction image is the centre of the spot (Hopkins), and the flare points to the same side as the rays'
    system, beam = moved(ASPHERE, shift_x_mm=0.6), Beam(3.0, 48.0)
    image = point_spread(system, beam, wavelength_nm=WAVE_NM, half_width_mm=0.04, points=61)
    weight = image.irradiance / image.irradiance.sum()
    centre = float((weight.sum(axis=0) * image.x_mm).sum())
    skew = float((weight.sum(axis=0) * (image.x_mm - centre) ** 3).sum())
    from lenscalc.light import spot, trace
    from lenscalc.light.pupil import disc

    x, y, w = disc()
    at = spot(system, beam)
    rays = trace(system, x_mm=1.5 * x, y_mm=1.5 * y, vergence_D=48.0, plane_mm=at.distance_mm)
    assert abs(centre) < 2e-3
    assert np.sign(skew) == np.sign(float((w * (rays.x_mm - at.x_mm) ** 3).sum()))


@pytest.mark.parametrize(
    ("call", "told"),
    [
        (lambda: mtf(LENS, Beam(5.0), frequency_per_mm=50.0, wavelength_nm=WAVE_NM, focus=-60.0), "nearer to the focus"),
        (lambda: mtf(LENS, Beam(3.0), frequency_per_mm=-1.0, wavelength_nm=WAVE_NM), "frequency_per_mm = -1"),
        (lambda: mtf(LENS, Beam(3.0), frequency_per_mm=50.0, wavelength_nm=0.546), "is it in µm?"),
        (lambda: mtf(LENS, Beam(3.0), frequency_per_mm=50.0, wavelength_nm=WAVE_NM, weights=[1.0]), "needs arrays of indices"),
        (lambda: mtf(spectrum([1.49, 1.5]), Beam(3.0), frequency_per_mm=50.0, wavelength_nm=[500.0, 600.0], weights=[1.0, -1.0]), "0 or more"),
        (lambda: through_focus_mtf(LENS, Beam(3.0), focus_shift_mm=-70.0, frequency_per_mm=50.0, wavelength_nm=550.0), "in front of the last"),
        (lambda: point_spread(spectrum([1.49, 1.5]), Beam(3.0), wavelength_nm=500.0, half_width_mm=0.01), "takes one lens"),
        (lambda: point_spread(LENS, Beam(3.0), wavelength_nm=500.0, half_width_mm=0.01, points=0), "points = 0"),
        (lambda: diffraction_mtf(np.nan, cut_off_per_mm=100.0), "frequency_per_mm is missing"),
        (lambda: cut_off_per_mm(3.0, 20.0, "green"), "not a number"),
        (lambda: mtf(LENS, Beam(3.0), frequency_per_mm=[], wavelength_nm=WAVE_NM), "frequency_per_mm is empty"),
        (lambda: mtf(LENS, Beam(3.0), frequency_per_mm=50.0, wavelength_nm=[500.0, 600.0]), "its index at each of them"),
        (lambda: strehl_ratio(spectrum([1.49, 1.5]), Beam(3.0), wavelength_nm=[500.0, 550.0, 600.0]), "its index at each of them"),
    ],
)
def test_what_cannot_be_is_refused_in_words(call, told):
    with pytest.raises(InputError) as error:
        call()
    assert told in str(error.value)


@pytest.mark.parametrize(("held", "sizes"), [(3 * 400, [1200] * 4 + [400] * 2), (1, [400] * 14)])
def test_planes_are_taken_together_as_far_as_the_memory_should_hold(monkeypatch, held, sizes):
    """Two pencils of 20·20 points a frequency: of three planes' worth of points three planes at once, of less than one still one; the same bits."""
    module = sys.modules["lenscalc.light.mtf"]
    given = {"focus_shift_mm": np.linspace(-0.2, 0.2, 7), "frequency_per_mm": 50.0, "wavelength_nm": WAVE_NM}
    at_once, seen = through_focus_mtf(LENS, Beam(1.0), **given), []
    whole = module.path_difference_mm
    monkeypatch.setattr(module, "AT_ONCE", held)
    monkeypatch.setattr(module, "path_difference_mm", lambda *a: (seen.append(np.size(found := whole(*a))), found)[1])
    assert through_focus_mtf(LENS, Beam(1.0), **given).tolist() == at_once.tolist()
    assert seen == sizes


@pytest.mark.parametrize(
    ("held", "groups"),
    [
        (1, [[0], [1], [4], [2], [3]]),
        (1600, [[0, 1], [4], [2], [3]]),
        (1764, [[0, 1], [4], [2, 3]]),
        (10**6, [[0, 1, 4], [2, 3]]),
    ],
)
def test_lenses_are_taken_together_as_far_as_the_memory_should_hold(monkeypatch, held, groups):
    """Two frequencies of 20·20 points are 800 a lens, of 21·21 they are 882."""
    monkeypatch.setattr(sys.modules["lenscalc.light.mtf"], "AT_ONCE", held)
    assert [rows.tolist() for rows in _alike(np.arange(5), np.array([20, 20, 21, 21, 20]), 2)] == groups
