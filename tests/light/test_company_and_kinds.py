"""The same lens alone and in company, the same number in another kind, and what is named when it is refused."""

from dataclasses import FrozenInstanceError

import numpy as np
import pytest

from lenscalc.errors import InputError
from lenscalc.light import (
    Beam,
    Surface,
    System,
    aspheric_sag_mm,
    best_focus,
    cut_off_per_mm,
    diffraction_mtf,
    double_reflectance,
    fresnel,
    moved,
    mtf,
    normal_reflectance,
    paraxial_image,
    seidel_sums,
    snell_deg,
    trace,
    trace_rays,
    wavefront_um,
    zernike,
    zernike_coefficients,
)
from lenscalc.refractometer import (
    critical_angle_deg,
    critical_angle_index,
    minimum_deviation_deg,
    minimum_deviation_index,
    v_block_deviation_deg,
    v_block_index,
)

LENS = System([Surface(15.0), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9])


def test_the_plane_of_the_least_wavefront_has_the_same_bits_in_company():
    draw = np.random.default_rng(0)
    R, k, A, x = draw.uniform(10, 20, 60), draw.uniform(-3, 1, 60), draw.uniform(-2e-4, 2e-4, 60), draw.uniform(-0.4, 0.4, 60)

    def shift(rows):
        lens = System([Surface(R[rows], k[rows], {4: A[rows]}, shift_x_mm=x[rows]), Surface(-20.0, tilt_x_deg=3.0)], [1.336, 1.49, 1.336], [0.9])
        return mtf(lens, Beam(2.5, 48.0, {4: 0.03}), frequency_per_mm=20.0, wavelength_nm=546.07, focus="least_wavefront").focus_shift_mm

    alone = [shift(i) for i in range(60)]
    for many in (2, 3, 5, 60):
        assert np.concatenate([shift(np.arange(a, a + many)) for a in range(0, 60, many)]).tolist() == alone


def test_a_ray_to_an_asphere_has_the_same_bits_in_company():
    """A steep ray takes more rounds than one near the axis, which stays where it was found meanwhile."""
    draw = np.random.default_rng(1)
    heights = np.linspace(0.0, 2.0, 41)
    for _ in range(40):
        R, k, A = draw.uniform(10, 20), draw.uniform(-3, 1), draw.uniform(-2e-4, 2e-4)
        asphere = System([Surface(R, k, {4: A}, tilt_x_deg=3.0), Surface(-20.0)], [1.336, 1.49, 1.336], [0.9])
        together = trace(asphere, x_mm=heights, y_mm=0.3, vergence_D=20.0)
        alone = [trace(asphere, x_mm=h, y_mm=0.3, vergence_D=20.0) for h in heights]
        assert together.optical_path_mm.tolist() == [r.optical_path_mm for r in alone]
        assert together.direction_x.tolist() == [r.direction_x for r in alone]


@pytest.mark.parametrize(
    ("of", "given"),
    [
        (critical_angle_index, (1.75, 58.3)), (critical_angle_deg, (1.49, 1.75)), (minimum_deviation_index, (60.0, 37.1)),
        (minimum_deviation_deg, (60.0, 1.5)), (v_block_index, (1.52, -3.0)), (v_block_deviation_deg, (1.52, 1.49)), (snell_deg, (1.0, 1.5, 30.0)),
        (lambda x, y: zernike(6, 2, x, y), (0.3, 0.4)),
    ],
)  # fmt: skip
def test_columns_of_single_precision_and_lists_give_what_their_numbers_give(of, given):
    single = [np.array([x], dtype=np.float32) for x in given]
    numbers = [float(x[0]) for x in single]
    assert of(*single)[0] == of(*numbers)
    assert of(*([x] for x in numbers))[0] == of(*numbers)


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        (lambda: moved(LENS, tilt_x_deg=5.0, pivot_mm=np.nan), "pivot_mm is missing or not a number"),
        (lambda: zernike_coefficients(LENS, Beam(2.0), order=4.5), r"order = 4\.5: must be a whole number, 0 to 20"),
        (lambda: best_focus(LENS, Beam(2.0), rings=0), "rings = 0: must be a whole number, 1 to 1000"),
        (lambda: best_focus(LENS, Beam(2.0), spokes=2), "spokes = 2: must be a whole number, 3 to 2000"),
    ],
)
def test_what_is_refused_is_named(wrong, told):
    with pytest.raises(InputError, match=told):
        wrong()


TWO = System([Surface([15.0, 14.0]), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9])
THREE = [1.0, 2.0, 3.0]


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        (lambda: trace(System([Surface(15.0)], [[1.0, 1.1], 1.5]), x_mm=0.0, vergence_D=THREE), "vergence_D (3,), indices (2,)"),
        (lambda: trace(LENS, x_mm=[0.0, 1.0], y_mm=THREE), "x_mm (2,), y_mm (3,)"),
        (lambda: trace_rays(LENS, x_mm=[0.0, 1.0], y_mm=0.0, z_mm=0.0, direction_x=THREE, direction_y=0.0, direction_z=1.0),
         "x_mm (2,), direction_x (3,)"),
        (lambda: paraxial_image(TWO, vergence_D=THREE), "surfaces (2,), vergence_D (3,)"),
        (lambda: best_focus(TWO, Beam(3.0, THREE)), "surfaces (2,), vergence_D (3,)"),
        (lambda: seidel_sums(TWO, pupil_diameter_mm=THREE), "surfaces (2,), pupil_diameter_mm (3,)"),
        (lambda: wavefront_um(LENS, Beam(3.0), pupil_x=[0.0, 0.1], pupil_y=[0.1, 0.2, 0.3]), "pupil_x (2,), pupil_y (3,)"),
        (lambda: fresnel([1.0, 1.1], THREE), "n1 (2,), n2 (3,)"),
        (lambda: normal_reflectance([1.0, 1.1], THREE), "n1 (2,), n2 (3,)"),
        (lambda: double_reflectance([1.0, 1.1], 1.5, THREE), "n_before (2,), n_behind (3,)"),
        (lambda: cut_off_per_mm([2.0, 3.0], THREE, 546.07), "pupil_diameter_mm (2,), convergence_D (3,)"),
        (lambda: diffraction_mtf([2.0, 3.0], cut_off_per_mm=THREE), "frequency_per_mm (2,), cut_off_per_mm (3,)"),
        (lambda: snell_deg([1.0, 1.1], THREE, 10.0), "n1 (2,), n2 (3,)"),
        (lambda: aspheric_sag_mm([5.0, 6.0], THREE), "radius_mm (2,), height_mm (3,)"),
    ],
)  # fmt: skip
def test_columns_that_do_not_go_together_are_named(wrong, told):
    with pytest.raises(InputError) as error:
        wrong()
    assert str(error.value) == f"columns of different lengths cannot be combined: {told}"


@pytest.mark.parametrize("azimuth", ["across", np.nan, 361.0])
def test_an_azimuth_is_an_angle(azimuth):
    with pytest.raises(InputError, match=r"azimuth_deg .* must be -360 to 360 °$"):
        mtf(LENS, Beam(3.0), frequency_per_mm=50.0, wavelength_nm=546.07, azimuth_deg=azimuth)


@pytest.mark.parametrize(
    "make",
    [
        lambda: Surface(np.array([15.0, 16.0])),
        lambda: System([Surface(np.array([15.0, 16.0]))], [1.0, 1.5]),
        lambda: Beam(np.array([2.0, 3.0])),
    ],
)
def test_what_holds_arrays_is_itself_alone_and_stays_as_it_is(make):
    one, other = make(), make()
    assert one != other
    assert len({one, other}) == 2
    with pytest.raises(FrozenInstanceError):
        one.indices = None
