"""The shape for a wanted aberration by exact rays, how the index undoes it, and what a bare lens reflects."""

from contextlib import suppress

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lenscalc import InputError, thick_lens
from lenscalc.lens import (
    conic_for_aberration,
    conic_for_exact_aberration,
    image_with_moved_index,
    least_aberration_shape,
    least_aberration_shape_factor,
    recut,
    reflection,
    third_order_aberration,
)
from lenscalc.lens.image_quality import MODEL_EYE_VERGENCE_D, image_quality

LENS = {"back_radius_mm": -15.0, "center_thickness_mm": 0.9, "n_lens": 1.49}


@pytest.mark.parametrize("pupil", [0.8, 3.0, 6.0])
@pytest.mark.parametrize("of", ["zernike", "marginal_ray"])
def test_the_cartesian_surface_at_any_pupil(pupil, of):
    # collimated light inside a plano-convex lens, brought to one point by the hyperboloid k = −(n/m)² (Descartes)
    k = conic_for_exact_aberration(np.inf, **LENS, surface="back", pupil_diameter_mm=pupil, of=of)
    assert k == pytest.approx(-((1.49 / 1.336) ** 2), abs=1e-7)


@pytest.mark.parametrize(("wider", "found"), [(1.02, True), (0.98, False)])
def test_how_narrow_a_beam_may_be(wider, found):
    """Third order: n′ − n = 0.154, R = 15 mm, W = Δn·k·h⁴/(8R³), Zernike (4, 0) = W/(6√5). 1e-13 µm of it are 1e-4·(1 + |k|) of k, −2.5744."""
    slope = 1000.0 * 0.154 / (8.0 * 15.0**3) / (6.0 * 5.0**0.5)
    pupil = wider * 2.0 * (1e-13 / slope / (1e-4 * 3.5744)) ** 0.25
    asked = {**LENS, "surface": "front", "pupil_diameter_mm": pupil}
    if found:
        assert conic_for_exact_aberration(15.0, **asked) == pytest.approx(-2.5744, abs=1e-3)
    else:
        with pytest.raises(InputError, match="lost in rounding"):
            conic_for_exact_aberration(15.0, **asked)


def test_in_the_narrowest_beams_that_conic_or_none():
    """What a pupil of some hundredths of a mm leaves of an aberration is rounding: no conic constant is read from that."""
    found = []
    for pupil in np.geomspace(0.01, 0.5, 50):
        with suppress(InputError):
            found.append((pupil, conic_for_exact_aberration(np.inf, **LENS, surface="back", pupil_diameter_mm=pupil)))
    narrowest = min(pupil for pupil, _ in found)
    assert 0.02 < narrowest < 0.1
    assert len(found) == sum(np.geomspace(0.01, 0.5, 50) >= narrowest)  # where it is found depends on no luck
    assert [k for _, k in found] == pytest.approx([-((1.49 / 1.336) ** 2)] * len(found), abs=3e-4)


@settings(max_examples=25, deadline=None)
@given(
    st.sampled_from(["front", "back"]), st.floats(-0.05, 0.05), st.sampled_from([0.0, 20.0, MODEL_EYE_VERGENCE_D]), st.floats(-3.0, 1.0),
    st.floats(1.44, 1.58), st.floats(2.0, 5.0),
)  # fmt: skip
def test_the_conic_leaves_what_was_wanted(surface, wanted, vergence, other, n, pupil):
    lens = {"back_radius_mm": -12.0, "center_thickness_mm": 1.0, "n_lens": n, "pupil_diameter_mm": pupil, "vergence_D": vergence}
    k = conic_for_exact_aberration(15.0, **lens, surface=surface, zernike_4_0_um=wanted, other_conic=other)
    conics = {"front_conic": k, "back_conic": other} if surface == "front" else {"front_conic": other, "back_conic": k}
    assert image_quality(15.0, **lens, **conics).zernike_4_0_um == pytest.approx(wanted, abs=1e-9)


def test_a_nulled_marginal_ray_meets_the_paraxial_focus():
    k = conic_for_exact_aberration(15.0, **LENS, surface="back", pupil_diameter_mm=5.0, of="marginal_ray", vergence_D=MODEL_EYE_VERGENCE_D)
    q = image_quality(15.0, **LENS, back_conic=k, pupil_diameter_mm=5.0, vergence_D=MODEL_EYE_VERGENCE_D)
    assert q.longitudinal_spherical_aberration_mm == pytest.approx(0.0, abs=1e-9)


def test_what_a_sphere_leaves_in_third_order_needs_hardly_a_conic():
    """The way begins at a conic constant of 0, which is none the less one that can be found."""
    wanted = third_order_aberration(15.0, -15.0, 0.9, 1.49, pupil_diameter_mm=3.0).zernike_4_0_um
    k = conic_for_exact_aberration(15.0, **LENS, surface="front", pupil_diameter_mm=3.0, zernike_4_0_um=wanted)
    assert 0.0 < abs(k) < 0.1
    assert image_quality(15.0, **LENS, front_conic=k, pupil_diameter_mm=3.0).zernike_4_0_um == pytest.approx(wanted, rel=1e-9, abs=0.0)


def test_a_small_pupil_comes_near_third_order():
    third = conic_for_aberration(15.0, -15.0, 0.9, 1.49, surface="front", pupil_diameter_mm=1.0)
    wide, narrow = (conic_for_exact_aberration(15.0, **LENS, surface="front", pupil_diameter_mm=p, of="marginal_ray") - third for p in (2.0, 1.0))
    assert wide / narrow == pytest.approx(4.0, rel=0.01, abs=0.0)  # the next order goes with the square of the pupil
    assert abs(narrow) < 0.005


def test_arrays_of_lenses_each_as_if_alone():
    pupils = np.array([2.0, 3.0, 5.0])
    many = conic_for_exact_aberration(15.0, **LENS, surface="front", pupil_diameter_mm=pupils)
    assert many.shape == (3,)
    for k, pupil in zip(many, pupils, strict=True):
        assert k == pytest.approx(conic_for_exact_aberration(15.0, **LENS, surface="front", pupil_diameter_mm=pupil), abs=1e-9)
    best = least_aberration_shape([10.0, 20.0], [[1.46], [1.55]], center_thickness_mm=0.9, pupil_diameter_mm=3.0)
    assert best.shape_factor.shape == (2, 2)


@pytest.mark.parametrize(
    ("power", "n", "m", "vergence"), [(20.0, 1.49, 1.336, 0.0), (20.0, 1.49, 1.336, MODEL_EYE_VERGENCE_D), (10.0, 1.7, 1.0, 0.0)]
)
def test_the_best_bending_is_a_least_and_keeps_the_power(power, n, m, vergence):
    beam = {"pupil_diameter_mm": 4.0, "vergence_D": vergence}
    best = least_aberration_shape(power, n, center_thickness_mm=0.9, n_medium=m, **beam)
    assert thick_lens(best.front_radius_mm, best.back_radius_mm, 0.9, n, m).power_D == pytest.approx(power, abs=1e-9)
    X = best.shape_factor
    assert (best.back_radius_mm + best.front_radius_mm) / (best.back_radius_mm - best.front_radius_mm) == pytest.approx(X, rel=1e-9, abs=0.0)

    def aberration(shape):
        made = recut(power, n, n_medium=m, center_thickness_mm=0.9, shape_factor=shape)
        lens = {"back_radius_mm": made.back_radius_mm, "center_thickness_mm": 0.9, "n_lens": n, "n_medium": m}
        return image_quality(made.front_radius_mm, **lens, **beam).zernike_4_0_um

    below, least, above = (aberration(X + d) for d in (-0.01, 0.0, 0.01))
    assert least == pytest.approx(best.zernike_4_0_um, abs=1e-12)
    assert 0 < least < min(below, above)
    assert below - least == pytest.approx(above - least, rel=0.01, abs=0.0)


def test_a_thin_lens_and_a_small_pupil_come_near_the_textbook_bending():
    best = least_aberration_shape(10.0, 1.5, center_thickness_mm=0.001, pupil_diameter_mm=1.0, n_medium=1.0)
    assert best.shape_factor == pytest.approx(5 / 7, abs=2e-4)  # 2(N² − 1)/(N + 2) with N = 3/2
    in_water = least_aberration_shape(20.0, 1.49, center_thickness_mm=0.001, pupil_diameter_mm=1.0)
    assert in_water.shape_factor == pytest.approx(least_aberration_shape_factor(1.49), abs=1e-3)


def test_a_weak_lens_in_strongly_converging_light_can_be_bent_to_none():
    best = least_aberration_shape(5.0, 1.49, center_thickness_mm=0.9, pupil_diameter_mm=4.0, vergence_D=MODEL_EYE_VERGENCE_D)
    assert best.zernike_4_0_um == pytest.approx(0.0, abs=1e-10)
    assert 0 < best.shape_factor < least_aberration_shape_factor(1.49, position_factor=-1 - 2 * MODEL_EYE_VERGENCE_D / 5)


def test_the_index_undoes_the_focus_long_before_the_figure():
    beam = {"pupil_diameter_mm": 3.0, "vergence_D": MODEL_EYE_VERGENCE_D}
    k = conic_for_exact_aberration(15.0, **LENS, surface="front", **beam)
    moved = image_with_moved_index(15.0, **LENS, index_error=0.005, front_conic=k, **beam)
    after = image_quality(15.0, **{**LENS, "n_lens": 1.495}, front_conic=k, **beam)
    # 1.49 + 0.005 is not quite 1.495
    assert (moved.zernike_4_0_after_um, moved.mtf_after) == pytest.approx((after.zernike_4_0_um, after.mtf), abs=1e-9)
    plain = image_quality(15.0, **LENS, **beam).zernike_4_0_um
    assert abs(moved.zernike_4_0_after_um) < 0.02 * plain
    assert moved.mtf_after > 0.99 * moved.mtf
    assert moved.mtf_in_old_plane < 0.1 * moved.mtf

    # the paraxial focus, by two steps of vergence
    def distance(n):
        inside = MODEL_EYE_VERGENCE_D + 1000 * (n - 1.336) / 15
        return 1336 / (inside / (1 - 0.9 / (1000 * n) * inside) + 1000 * (n - 1.336) / 15)

    assert moved.focus_moved_mm == pytest.approx(distance(1.495) - distance(1.49), abs=1e-3)
    none = image_with_moved_index(15.0, **LENS, index_error=0.0, front_conic=k, **beam)
    assert (none.mtf_after, none.focus_moved_mm) == (none.mtf, 0.0)
    assert none.mtf_in_old_plane == pytest.approx(none.mtf, abs=1e-12)
    spheres = image_with_moved_index(15.0, **LENS, index_error=0.0, **beam)  # where no conic constant is told
    told = image_quality(15.0, **LENS, front_conic=0.0, back_conic=0.0, **beam)
    assert spheres.zernike_4_0_um == pytest.approx(told.zernike_4_0_um, rel=1e-12, abs=0.0)


def test_the_ghost_rises_with_the_fourth_power_of_the_step():
    of = reflection([1.40, 1.45, 1.50, 1.55])
    r = (np.array([1.40, 1.45, 1.50, 1.55]) - 1.336) / (np.array([1.40, 1.45, 1.50, 1.55]) + 1.336)
    assert of.double_reflectance == pytest.approx((1 - r**2) ** 2 * r**4, rel=1e-12, abs=0.0)
    assert np.all(np.diff(of.double_reflectance) > 0)
    assert np.all(of.double_reflectance_growth > 1)
    assert reflection(1.49, n_medium=1.0).front_reflectance == pytest.approx((0.49 / 2.49) ** 2)
    assert reflection(1.336).double_reflectance == 0.0
    assert np.isinf(reflection(1.336).double_reflectance_growth)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"surface": "frond"}, "did you mean front"), ({"of": "spot"}, "aberration"), ({"pupil_diameter_mm": 29.0}, "rays are lost"),
        ({"front_radius_mm": np.inf}, "figure the other surface"), ({"n_lens": 1.336}, "figure the other surface"),
        ({"n_lens": 14.9}, "decimal point"), ({"n_lens": np.nan}, "n_lens"), ({"n_lens": 1.30}, "no real image"),
        ({"zernike_4_0_um": 0.1, "of": "marginal_ray"}, "one of the two"), ({"zernike_4_0_um": -0.1, "of": "marginal_ray"}, "one of the two"),
        ({"pupil_diameter_mm": 0.003}, "in metres"),
        ({"front_radius_mm": 30.0, "back_radius_mm": -8.0, "n_lens": 1.7, "pupil_diameter_mm": 0.01}, "or larger, where it is so small"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_in_words(change, told):
    given_ = {"front_radius_mm": 15.0, **LENS, "surface": "front", "pupil_diameter_mm": 3.0, **change}
    with pytest.raises(InputError, match=told):
        conic_for_exact_aberration(given_.pop("front_radius_mm"), **given_)


def test_a_lens_without_power_has_no_best_bending():
    with pytest.raises(InputError, match="without power") as caught:
        least_aberration_shape(0.0, 1.49, center_thickness_mm=0.9, pupil_diameter_mm=3.0)
    assert (caught.value.quantity, caught.value.value) == ("power_D", 0.0)
    with pytest.raises(InputError, match="index_error"):
        image_with_moved_index(15.0, **LENS, index_error=0.5, pupil_diameter_mm=3.0)
    with pytest.raises(InputError, match=r"no bending of least aberration was found in this beam: .* lost in rounding"):
        least_aberration_shape(20.0, 1.49, center_thickness_mm=0.9, pupil_diameter_mm=0.01)
