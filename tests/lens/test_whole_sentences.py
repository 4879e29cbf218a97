"""What is refused is told in a whole sentence with its numbers, worked here; and what lies on a limit is not refused."""

from dataclasses import FrozenInstanceError

import numpy as np
import pytest

from lenscalc import InputError, recut
from lenscalc.lens import (
    Condition,
    Dimension,
    center_thickness_for_edge_mm,
    conic_for_aberration,
    conic_for_exact_aberration,
    in_another_condition,
    index_from_power,
    ladder,
    mass_mg,
    power_from_magnification,
    third_order_aberration,
    toric_estimates,
    toric_lens,
    why_not,
)
from lenscalc.lens.image_quality import MODEL_EYE_VERGENCE_D, criterion_applies
from lenscalc.uncertainty import Source, estimate


@pytest.mark.parametrize(
    "make",
    [
        lambda: Condition(np.array([15.0, 16.0]), -15.0, 0.9, 1.49, 1.336),
        lambda: Dimension("front_radius_mm", estimate(np.array([15.0, 16.0]), 0.1, Source("gauge")), "dry", 23.0),
    ],
)
def test_what_holds_arrays_is_itself_alone_and_stays_as_it_is(make):
    one, other = make(), make()
    assert one != other
    assert len({one, other}) == 2
    with pytest.raises(FrozenInstanceError):
        one.state = "hydrated"


def test_a_lens_may_gather_in_air_and_part_in_water():
    """Thin, of index 1.2: the factor is (1.2 − 1.336)/(1.2 − 1) = −0.68."""
    air, water = (Condition(15.0, -15.0, 0.0, 1.2, m) for m in (1.0, 1.336))
    found = in_another_condition([25.0, -25.0], measured=air, wanted=water)
    assert found.factor.value == pytest.approx(-0.68, rel=1e-12, abs=0.0)
    assert found.power_D.value == pytest.approx([-17.0, 17.0], rel=1e-12, abs=0.0)


def test_an_image_upside_down_is_of_a_negative_power():
    found = power_from_magnification(-2.0, target_height_mm=8.0, collimator_focal_length_mm=200.0)
    assert float(found.power_D.value) == pytest.approx(-20.0, rel=1e-12, abs=0.0)
    for name, given in (("image", (0.0, 8.0, 200.0)), ("target", ([2.0, 3.0], [8.0, 0.0], 200.0)), ("collimator", (2.0, 8.0, np.inf))):
        image, target, collimator = given
        with pytest.raises(InputError) as error:
            power_from_magnification(image, target_height_mm=target, collimator_focal_length_mm=collimator)
        assert str(error.value) == f"the {name}'s height or focal length must be a finite number other than 0"


@pytest.mark.parametrize(
    "other",
    [
        {"vergence_D": 49.0}, {"vergence_D": 48.0}, {"pupil_diameter_mm": 2.9}, {"pupil_diameter_mm": 3.1}, {"frequency_per_mm": 99.0},
        {"frequency_per_mm": 101.0}, {"wavelength_nm": 545.99}, {"wavelength_nm": 546.11},
    ],
)  # fmt: skip
def test_the_criterion_holds_on_neither_side_of_its_beam(other):
    beam = {"pupil_diameter_mm": 3.0, "wavelength_nm": 546.07, "frequency_per_mm": 100.0, "vergence_D": MODEL_EYE_VERGENCE_D}
    assert criterion_applies(**beam)
    assert not criterion_applies(**{**beam, **other})


def test_nothing_weighs_nothing_and_less_than_nothing_is_refused():
    assert mass_mg(0.0, 1190.0) == 0.0
    with pytest.raises(InputError, match=r"^volume_mm3 = -2 mm³: must be 0 or more$"):
        mass_mg([1.0, -0.5, -2.0], 1190.0)


def test_a_plate_without_edge_has_no_centre():
    assert center_thickness_for_edge_mm(np.inf, np.inf, 0.0, 6.0) == 0.0


def test_a_centre_that_would_vanish_in_words():
    """A sphere of 5 mm is 1 mm deep at 3 mm (3-4-5): of an edge of 1.5 mm two of them leave −0.5."""
    with pytest.raises(InputError) as error:
        center_thickness_for_edge_mm([5.0, -5.0], [-5.0, 5.0], 1.5, 6.0)
    assert str(error.value) == (
        "row 2: wanted_edge_thickness_mm = 1.5 mm: this lens is thinnest in its centre, of which -0.500 mm would be left; the edge must be 2.000 mm "
        "or more"
    )
    with pytest.raises(InputError) as error:
        recut(-30.8, 1.49, wanted_edge_thickness_mm=0.1, optic_diameter_mm=6.0, curvature_ratio=0.0)  # R = −154/30.8 = −5, so 0.1 − 1
    assert str(error.value) == (
        "wanted_edge_thickness_mm = 0.1 mm: this lens is thinnest in its centre, of which -0.900 mm would be left; make the edge thicker"
    )


def test_where_surfaces_cross_in_words():
    """0.05·h⁴ − 0.0054·h⁶ is largest at h² = 0.2/0.0324, 2.48 mm, where it is 0.635: 0.2 mm less that."""
    assert why_not(np.inf, np.inf, 0.2, 6.0, front_aspheric={4: 0.05, 6: -0.0054}) == (
        "the surfaces cross at a height of 2.48 mm (thickness -0.435 mm): thicken the centre"
    )


def test_an_edge_below_nothing_in_words():
    """20 D of two surfaces, F1 = (1 − √(1 − 20·T))/T with T = t/(1000·n): R = 154/F1, and both sags leave nothing of 0.5 mm."""
    T = 0.5 / 1490.0
    R = 154.0 * T / (1.0 - (1.0 - 20.0 * T) ** 0.5)
    edge = 0.5 - 2.0 * (R - (R * R - 16.0) ** 0.5)
    with pytest.raises(InputError) as error:
        recut(20.0, 1.49, center_thickness_mm=0.5, optic_diameter_mm=8.0)
    assert str(error.value) == (
        f"edge thickness {edge:.3f} mm at optic_diameter_mm = 8: must be 0 or more; center_thickness_mm = 0.5 must be {0.5 - edge:.3f} or more"
    )
    with pytest.raises(InputError) as error:
        recut(20.0, 1.49, center_thickness_mm=0.5, optic_diameter_mm=31.0)
    assert str(error.value) == "optic_diameter_mm = 31 mm is wider than a surface of this power: make the optic smaller or the index higher"


@pytest.mark.parametrize(("held", "short"), [({"front_radius_mm": 10.0}, "back"), ({"back_radius_mm": -10.0}, "front")])
def test_a_radius_too_short_in_words(held, short):
    """Thin: 15.4 D of 400 are there, and 154/384.6 mm make the rest."""
    with pytest.raises(InputError) as error:
        recut(400.0, 1.49, center_thickness_mm=0.0, **held)
    assert short not in held
    assert str(error.value) == f"power_D = 400 D would need a radius of {154.0 / 384.6:.3f} mm: must be 0.5 to 1e+07 mm in magnitude, or inf (plano)"


@pytest.mark.parametrize(("m1", "m2"), [(1.0, 1.0), (1.0, 1.1), (1.1, 1.0)])
def test_a_lens_of_the_mediums_index_has_no_power(m1, m2):
    """It needs all three to be one."""
    n = 1.0
    held = {"n_medium": m1, "n_medium_behind": m2, "center_thickness_mm": 0.9}
    if m1 == m2:
        with pytest.raises(InputError, match=r"^n_lens = 1 is the medium's own: such a lens has no power$"):
            recut(20.0, n, **held)
    else:
        made = recut(20.0, n, **held)
        assert made.power_D == pytest.approx(20.0, rel=1e-12, abs=0.0)


def test_ladders_that_cannot_be_in_words():
    asked = {"from_power_D": 10.0, "to_power_D": 20.0, "step_D": 5.0, "center_thickness_mm": 0.9}
    with pytest.raises(InputError, match=r"^n_lens has the shape \(1, 2\): a ladder takes one index a candidate$"):
        ladder([[1.46, 1.49]], **asked)
    with pytest.raises(InputError, match=r"^u_n_lens has 3 values, n_lens 2: give one for all candidates, or one each$"):
        ladder([1.46, 1.49], **asked, u_n_lens=[1e-3, 1e-3, 1e-3])
    with pytest.raises(InputError) as error:
        ladder(1.49, **{**asked, "to_power_D": 5.0})
    assert str(error.value) == (
        "a ladder from 10 to 5 D in steps of 5 D would have 0 lenses: must be 1 to 100000; the last power is not below the first"
    )


@pytest.mark.parametrize(
    ("power", "radii", "told"),
    [
        ([20.0, 500.0], (15.0, -15.0), "row 2: power_D = 500 D: no index from 1 to 3 gives these dimensions this power"),
        (-80.0, (15.0, -15.0), "power_D = -80 D: no index from 1 to 3 gives these dimensions this power"),
        (20.0, (np.inf, np.inf), "power_D = 20 D: a lens without curvature has no power"),
    ],
)
def test_a_power_without_an_index_in_words(power, radii, told):
    with pytest.raises(InputError) as error:
        index_from_power(power, front_radius_mm=radii[0], back_radius_mm=radii[1], center_thickness_mm=0.9)
    assert str(error.value) == f"{told}; look at the radii, their signs and the medium"


def test_toric_lenses_that_cannot_be_in_words():
    with pytest.raises(InputError, match=r"^n_medium_behind is nan: leave it out where the medium is the one in front$"):
        toric_estimates(15.0, -15.0, 0.9, 1.49, front_radius_across_mm=14.0, n_medium_behind=[1.336, np.nan])
    with pytest.raises(InputError, match=r"^neither front_radius_across_mm nor back_radius_across_mm is given"):
        toric_lens(15.0, -15.0, 0.9, 1.49)
    one, other = (toric_lens(15.0, -15.0, 0.9, 1.49, **across) for across in ({"front_radius_across_mm": 14.0}, {"back_radius_across_mm": -14.0}))
    assert one.power_across_D == pytest.approx(other.power_across_D, rel=1e-12, abs=0.0)  # a lens and its mirror image


@pytest.mark.parametrize(("surface", "lens"), [("front", (np.inf, -15.0)), ("back", (15.0, np.inf))])
def test_a_plano_surface_has_no_use_for_a_conic_constant(surface, lens):
    with pytest.raises(InputError) as error:
        conic_for_aberration(*lens, 0.9, 1.49, surface=surface, pupil_diameter_mm=3.0)
    assert str(error.value) == (
        f"no conic constant of the {surface} surface does it: a plano surface, or one without a step of index, has no use for one"
    )


def test_a_lens_that_cannot_be_leaves_nothing_of_itself():
    """30 D of 0.5 mm have no edge at 6 mm; beside it 10 D have."""
    made = recut([10.0, 30.0], 1.49, center_thickness_mm=0.5, optic_diameter_mm=6.0, strict=False)
    assert made.problem[0] == ""
    assert made.problem[1].startswith("edge thickness -0.")
    for part in made[:5]:
        assert np.isnan(part).tolist() == [False, True]


def test_a_meniscus_of_equal_radii_never_parts():
    """F = (t/n)·F1² of 1 mm and 1.536: never below 0, and at a curvature of 2 per mm, where radii end, 400²/1536."""
    with pytest.raises(InputError) as error:
        recut(-2.0, 1.536, center_thickness_mm=1.0, curvature_ratio=1.0)
    assert str(error.value) == f"power_D = -2 D cannot be reached with n_lens = 1.536 and what is held: 0 to {400.0**2 / 1536.0:.4g} D can"


@pytest.mark.parametrize(("side", "sign"), [("front", -1.0), ("back", 1.0)])
def test_terms_move_the_edge_of_a_held_centre(side, sign):
    """1e-3·h⁴ at 3 mm is 0.081 mm: a front that bends back takes it from the edge, a back gives it."""
    held = {"center_thickness_mm": 0.9, "optic_diameter_mm": 6.0}
    plain, bent = (recut(20.0, 1.49, **held, **more) for more in ({}, {f"{side}_aspheric": {4: 1e-3}}))
    assert bent.edge_thickness_mm - plain.edge_thickness_mm == pytest.approx(sign * 0.081, rel=1e-12, abs=0.0)


@pytest.mark.parametrize("surface", ["front", "back"])
def test_what_is_figured_on_one_surface_leaves_what_was_wanted(surface):
    """In third order, beside a conic constant of the other."""
    k = conic_for_aberration(15.0, -12.0, 1.0, 1.49, surface=surface, pupil_diameter_mm=4.0, zernike_4_0_um=0.02, other_conic=-2.0)
    conics = {"front_conic": k, "back_conic": -2.0} if surface == "front" else {"front_conic": -2.0, "back_conic": k}
    again = third_order_aberration(15.0, -12.0, 1.0, 1.49, pupil_diameter_mm=4.0, **conics)
    assert again.zernike_4_0_um == pytest.approx(0.02, rel=1e-10, abs=0.0)
    exact = conic_for_exact_aberration(
        15.0, back_radius_mm=-12.0, center_thickness_mm=1.0, n_lens=1.49, surface=surface, pupil_diameter_mm=0.8, other_conic=-2.0
    )
    assert exact == pytest.approx(conic_for_aberration(15.0, -12.0, 1.0, 1.49, surface=surface, pupil_diameter_mm=0.8, other_conic=-2.0), abs=0.01)


def test_the_model_eyes_beam_and_a_toric_lens_without_an_axis():
    assert pytest.approx(1336.0 / 27.5, rel=1e-15, abs=0.0) == MODEL_EYE_VERGENCE_D  # midway between 27 and 28 mm in 1.336
    unsaid, said = (toric_estimates(15.0, -15.0, 0.9, 1.49, front_radius_across_mm=14.0, **more) for more in ({}, {"axis_deg": 0.0}))
    assert (unsaid.axis_deg.value, unsaid.j45_D.value) == (said.axis_deg.value, said.j45_D.value) == (0.0, 0.0)


def test_an_index_below_the_mediums_is_told_by_its_range():
    """5 mm thick, at curvatures of ∓2 per mm: F1 = F2 = ∓72 D, and F1 + F2 − (t/n)·F1·F2."""
    low, high = (sign * 144.0 - 5.0 / 1300.0 * 72.0**2 for sign in (-1.0, 1.0))
    with pytest.raises(InputError) as error:
        recut(300.0, 1.3, center_thickness_mm=5.0)
    assert str(error.value) == f"power_D = 300 D cannot be reached with n_lens = 1.3 and what is held: {low:.4g} to {high:.4g} D can"


@pytest.mark.parametrize("m2", [1.4, 1.272])
def test_a_front_in_its_own_medium_is_told_by_what_the_back_has(m2):
    """The back alone: (m2 − 1.336)/32 mm, ±2 D."""
    F = 1000.0 * (m2 - 1.336) / 32.0
    with pytest.raises(InputError) as error:
        recut(20.0, 1.336, n_medium=1.336, n_medium_behind=m2, center_thickness_mm=0.9, back_radius_mm=32.0)
    assert str(error.value) == f"power_D = 20 D cannot be reached with n_lens = 1.336 and what is held: {F:.4g} to {F:.4g} D can"


def test_the_longest_radii_are_radii():
    """Thin: F = 2·154/R. 1e7 mm is the longest that is told from plano."""
    assert recut(2.0 * 154.0 / 8e6, 1.49, center_thickness_mm=0.0).front_radius_mm == pytest.approx(8e6, rel=1e-9, abs=0.0)
    with pytest.raises(InputError) as error:
        recut(2.0 * 154.0 / 1.2e7, 1.49, center_thickness_mm=0.0)
    assert str(error.value) == f"power_D = {308.0 / 1.2e7:g} D would need a radius between 1e+07 mm and plano, which nobody can tell apart"
