"""What an iteration finds by itself, what a ladder counts, and where a limit lies."""

import sys
from dataclasses import replace

import numpy as np
import pytest

from lenscalc import InputError, recut
from lenscalc.lens import (
    Dimension,
    conic_for_aberration,
    dimension_in_use,
    index_from_power,
    ladder,
    least_aberration_shape_factor,
    power_from_back_focal_length,
    retool,
    sphere_cylinder,
    toric_estimates,
    toric_lens,
    volume_mm3,
)
from lenscalc.lens.chromatic_focus import chromatic_difference_D
from lenscalc.lens.image_quality import (
    CRITERION_FREQUENCY_PER_MM,
    CRITERION_PUPIL_MM,
    CRITERION_WAVELENGTHS_NM,
    MODEL_EYE_VERGENCE_D,
    criterion_applies,
    image_quality,
    lens_system,
)
from lenscalc.lens.shape import (
    APART,
    _marginal_per_S1,
    _position_factor,
    _value_slope_bend,
    conic_for_exact_aberration,
    least_aberration_shape,
)
from lenscalc.lens.third_order import ZERNIKE_UM_PER_S1
from lenscalc.light import Beam
from lenscalc.quantities import quantity
from lenscalc.uncertainty import Source, estimate


def test_usual_lenses_of_a_held_edge_are_found_without_a_search(monkeypatch):
    """Newton's method alone: the search along the whole stretch is for lenses near the largest power."""
    module = sys.modules["lenscalc.lens.curvature_line"]
    monkeypatch.setattr(module, "_searched", lambda *_: pytest.fail("searched"))
    power = np.linspace(5.0, 30.0, 6)
    for n in (1.43, 1.49, 1.55):
        for front_conic in (0.0, -2.0):  # a hyperboloid never ends
            made = recut(power, n, wanted_edge_thickness_mm=0.25, optic_diameter_mm=6.0, shape_factor=0.2, front_conic=front_conic)
            assert np.all(made.center_thickness_mm > 0)


@pytest.mark.parametrize("n_medium", [1.31, 1.37])
def test_colour_needs_an_aqueous(n_medium):
    with pytest.raises(InputError, match=r"n_medium must be 1\.32 to 1\.36"):
        chromatic_difference_D(15.0, -15.0, 0.9, 1.49, abbe_d=58.0, n_medium=n_medium)


def test_a_back_that_ends_before_the_rim_is_refused_as_a_front_is():
    """(1 + k)·h² = 6·9 = 54 > R² = 25: the ellipsoid ends within the optic."""
    for surfaces in ({"front_conic": 5.0}, {"back_conic": 5.0}):
        with pytest.raises(InputError):
            volume_mm3(5.0, -5.0, 5.0, 6.0, **surfaces)
    with pytest.raises(InputError):
        volume_mm3([15.0, 5.0], [-15.0, -5.0], 5.0, 6.0, back_conic=[0.0, 5.0])


@pytest.mark.parametrize(("first", "last", "step", "lenses"), [(10.1, 10.7, 0.2, 4), (10.0, 10.79, 0.2, 4), (20.0, 20.0, 0.5, 1)])
def test_a_ladder_has_its_last_step_whatever_the_last_bit_says(first, last, step, lenses):
    """10.7 − 10.1 is 0.5999999999999996: three steps of 0.2 all the same."""
    made = ladder(1.49, from_power_D=first, to_power_D=last, step_D=step, center_thickness_mm=0.9, shape_factor=0.0)
    assert made.wanted_power_D.size == lenses


def test_a_changed_tool_is_said_as_the_difference_of_radii():
    """A thin symmetric lens keeps its power with R in the ratio of n − m: 15·(0.1555/0.154) = 15.1461; the thickness adds 1e-4."""
    new = retool(15.0, -15.0, 0.0, n_lens_before=1.49, n_lens=1.4915)
    assert new.front_radius_mm == pytest.approx(15.0 * 0.1555 / 0.154, rel=1e-12, abs=0.0)
    assert new.front_radius_change_mm == pytest.approx(15.0 * 0.0015 / 0.154, rel=1e-9, abs=0.0)
    assert new.back_radius_change_mm == pytest.approx(-15.0 * 0.0015 / 0.154, rel=1e-9, abs=0.0)
    plano = retool(15.0, np.inf, 0.9, n_lens_before=1.49, n_lens=1.4915)
    assert plano.back_radius_change_mm == 0.0


def test_a_lens_that_settles_early_stays_where_it_settled():
    given = {"back_radius_mm": -15.0, "center_thickness_mm": 0.9, "n_lens": 1.49, "surface": "front"}
    pupils = np.array([0.2, 6.0])
    together = conic_for_exact_aberration(15.0, **given, pupil_diameter_mm=pupils)
    alone = [conic_for_exact_aberration(15.0, **given, pupil_diameter_mm=p) for p in pupils]
    assert together.tolist() == alone


HELD = ({"shape_factor": 0.2}, {"shape_factor": 0.0}, {"front_radius_mm": 14.0}, {"curvature_ratio": -2.0, "front_conic": -1.5, "back_conic": 0.5})


@pytest.mark.parametrize("held", HELD)
def test_the_search_alone_finds_what_newton_finds(monkeypatch, held):
    module = sys.modules["lenscalc.lens.curvature_line"]
    edge = {"wanted_edge_thickness_mm": 0.3, "optic_diameter_mm": 6.0}
    power = np.array([12.0, 20.0, 30.0])
    by_newton = recut(power, 1.49, **edge, **held)
    monkeypatch.setattr(module, "ROUNDS", 0)
    searched = recut(power, 1.49, **edge, **held)
    assert np.allclose(searched.front_radius_mm, by_newton.front_radius_mm, rtol=1e-10)
    assert np.allclose(searched.back_radius_mm, by_newton.back_radius_mm, rtol=1e-10)
    assert np.allclose(searched.power_D, power, rtol=1e-12)
    assert np.allclose(searched.edge_thickness_mm, 0.3, atol=1e-12)


@pytest.mark.parametrize("x", [0.02, 0.08, -0.05])
def test_newtons_slope_is_that_of_the_power(x):
    """Differences of the power of lenses whose centre follows from the edge, over 1e-5 of a curvature."""
    module = sys.modules["lenscalc.lens.curvature_line"]
    one = np.ones(1)
    case = module.RecutCase(
        n=1.49 * one, m1=1.336 * one, m2=1.0 * one, t=np.nan * one, h=3.0 * one, edge=0.3 * one, q1=-0.5 * one, q2=0.3 * one, rise=0.0 * one
    )
    line = module.CurvatureLine(k1=0.01 * one, a=1.0 * one, k2=-0.02 * one, b=-0.7 * one)
    low, high = (module._power_and_slope(np.array([x + d]), line, case)[0] for d in (-1e-5, 1e-5))
    assert module._power_and_slope(np.array([x]), line, case)[1] == pytest.approx((high - low) / 2e-5, rel=1e-7, abs=0.0)


def test_a_step_over_an_end_goes_half_the_way_to_it():
    """From 1 within ±3.5: to 5 it goes to 2.25, to −4 to −1.25, to 3 all the way, and nowhere from nowhere."""
    module = sys.modules["lenscalc.lens.curvature_line"]
    found = module._short_of_the_ends(1.0, np.array([5.0, -4.0, 3.0, 3.5, -2.0, np.nan]), 3.5)
    assert found[:5].tolist() == [2.25, -1.25, 3.0, 3.5, -2.0]
    assert np.isnan(found[5])


@pytest.mark.parametrize("power", [-59.0, -15.0])
def test_the_search_reaches_strongly_hollow_lenses(monkeypatch, power):
    module = sys.modules["lenscalc.lens.curvature_line"]
    edge = {"wanted_edge_thickness_mm": 5.0, "optic_diameter_mm": 6.0}
    by_newton = recut(power, 1.49, **edge)
    monkeypatch.setattr(module, "ROUNDS", 0)
    searched = recut(power, 1.49, **edge)
    assert searched.front_radius_mm == pytest.approx(by_newton.front_radius_mm, rel=1e-9, abs=0.0)
    assert searched.power_D == pytest.approx(power, rel=1e-12, abs=0.0)


def test_the_reach_of_what_has_no_rim_ends_at_the_least_radius():
    """Surfaces of ∓308 D (0.154 over 0.5 mm), 5 mm apart: −616 − 5·308²/1490 = −934.34 D; and 1000·n/t = 298 D at most."""
    with pytest.raises(InputError, match=r"cannot be reached with n_lens = 1\.49 and what is held: -934\.3 to 298 D can"):
        recut(300.0, 1.49, center_thickness_mm=5.0)


def test_the_reach_follows_the_limit_of_the_radii(monkeypatch):
    """Were 0.4 mm the least radius, curvatures would be looked at up to 1/0.4 = 2.5 per mm."""
    module, one = sys.modules["lenscalc.lens.curvature_line"], np.ones(1)
    monkeypatch.setattr(module, "quantity", lambda name: replace(quantity(name), lower=0.4))
    case = module.RecutCase(
        n=1.49 * one, m1=1.336 * one, m2=1.336 * one, t=0.9 * one, edge=np.nan * one, h=np.nan * one, q1=0 * one, q2=0 * one, rise=0 * one
    )
    with np.errstate(divide="ignore", invalid="ignore"):
        for a, b, end in ((1.0, -1.0, 2.5), (2.0, -1.0, 1.25), (-0.5, -1.25, 2.0)):  # the more curved of the two ends it
            x, _ = module.stretch(0, module.CurvatureLine(0 * one, a * one, 0 * one, b * one), case)
            assert (x.min(), x.max()) == (-end, end)


def test_a_plate_of_no_thickness_is_no_mistake():
    assert volume_mm3(np.inf, np.inf, 0.0, 6.0) == 0.0


def test_zernikes_share_of_seidels_sum_by_hand():
    """S1 = 8·W040, and ρ⁴ holds √5·(6ρ⁴ − 6ρ² + 1) a 6√5th time: 1000/(48√5) µm in a mm."""
    assert pytest.approx(1000.0 / (48.0 * 5.0**0.5), rel=1e-15, abs=0.0) == ZERNIKE_UM_PER_S1


def test_a_bending_without_aberration_beside_one_that_has_some():
    """The weak lens in converging light can be bent to none at all, the strong one only to its least: together each as alone."""
    given = {"center_thickness_mm": 0.9, "pupil_diameter_mm": 4.0, "vergence_D": MODEL_EYE_VERGENCE_D}
    together = least_aberration_shape([5.0, 30.0, 5.0], 1.49, **given)
    alone = [least_aberration_shape(F, 1.49, **given) for F in (5.0, 30.0, 5.0)]
    assert together.shape_factor == pytest.approx([x.shape_factor for x in alone], abs=1e-7)
    assert abs(alone[0].zernike_4_0_um) < 1e-9 < abs(alone[1].zernike_4_0_um)


def test_slope_and_bend_of_a_quartic_from_five_values():
    """X⁴ + X³ + X² + X + 1 about 2: the slope is 4·8 + 3·4 + 2·2 + 1 = 49, the bend 12·4 + 6·2 + 2 = 62."""
    X = 2.0 + APART * np.arange(-2.0, 3.0)
    value, slope, bend = _value_slope_bend((X**4 + X**3 + X**2 + X + 1.0)[np.newaxis])
    assert [float(x[0]) for x in (value, slope, bend)] == pytest.approx([31.0, 49.0, 62.0], rel=1e-10, abs=0.0)


def test_a_tool_is_never_of_no_radius():
    """Thin, n − m = 0.2: 400/100 = 4 mm, and of tools in steps of 10 mm the nearest is none at all; so the first is taken."""
    made = ladder(1.536, from_power_D=100.0, to_power_D=100.0, step_D=1.0, center_thickness_mm=0.0, radius_increment_mm=10.0)
    assert (made.front_tool_mm[0, 0], made.back_tool_mm[0, 0]) == (10.0, -10.0)


def test_both_surfaces_end_the_stretch_of_curvatures():
    """Of a rim at 3 mm: a sphere reaches it up to |c| = 1/3 per mm, an ellipsoid of k = 3 up to 1/6; on c1 = x, c2 = −x, or with c1 = 0.1 held."""
    module, one = sys.modules["lenscalc.lens.curvature_line"], np.ones(1)
    for q1, q2 in ((0.0, 3.0), (3.0, 0.0)):
        case = module.RecutCase(n=one, m1=one, m2=one, t=one, edge=one, h=3.0 * one, q1=q1 * one, q2=q2 * one, rise=0.0 * one)
        assert module._reach(module.CurvatureLine(0.0 * one, one, 0.0 * one, -one), case).item() == pytest.approx(1 / 6, rel=1e-8, abs=0.0)
        with np.errstate(divide="ignore"):
            held = module._reach(module.CurvatureLine(0.1 * one, 0.0 * one, 0.0 * one, one), case)
        assert held.item() == pytest.approx(1 / 6 if q2 else 1 / 3, rel=1e-8, abs=0.0)
    # beside a hyperboloid, which never ends, the sphere's end is the end
    beside = module.RecutCase(n=one, m1=one, m2=one, t=one, edge=one, h=3.0 * one, q1=-2.0 * one, q2=0.0 * one, rise=0.0 * one)
    with np.errstate(divide="ignore"):
        assert module._reach(module.CurvatureLine(0.0 * one, one, 0.0 * one, -one), beside).item() == pytest.approx(1 / 3, rel=1e-8, abs=0.0)


def test_the_axis_of_a_toric_lens_is_0_where_none_is_named():
    assert toric_lens(15.0, -15.0, 0.9, 1.49, front_radius_across_mm=14.0) == toric_lens(
        15.0, -15.0, 0.9, 1.49, front_radius_across_mm=14.0, axis_deg=0.0
    )


def test_where_the_object_stands():
    """In the distance, at twice the focal length (its vergence there is −F/2), in the focus, and its image there."""
    assert [_position_factor(V, 20.0) for V in (0.0, -10.0, -20.0)] == [-1.0, 0.0, 1.0]


def test_the_longitudinal_aberration_of_third_order_by_hand():
    """−1/(2mu²), u = h·F/(1000·m) the slope of the rim's ray behind the lens, F = 20.469666 D."""
    u = 1.5 * 20.469666 / 1336.0
    assert _marginal_per_S1(lens_system(15.0, back_radius_mm=-15.0, center_thickness_mm=0.9, n_lens=1.49), Beam(3.0)) == pytest.approx(
        -1.0 / (2.0 * 1.336 * u * u), rel=1e-6, abs=0.0
    )


def test_that_aberration_is_counted_in_the_medium_behind():
    """A plano back bends no slope of n·u: behind it 1.0·u = h·F1/1000, F1 = 154/15 D."""
    u = 1.5 * 154.0 / 15.0 / 1000.0
    lens = lens_system(15.0, back_radius_mm=np.inf, center_thickness_mm=0.9, n_lens=1.49, n_medium=1.336, n_medium_behind=1.0)
    assert _marginal_per_S1(lens, Beam(3.0)) == pytest.approx(-1.0 / (2.0 * u * u), rel=1e-12, abs=0.0)


def test_a_bending_is_that_of_spheres_unless_said_otherwise():
    given = {"center_thickness_mm": 0.9, "pupil_diameter_mm": 3.0}
    assert least_aberration_shape(20.0, 1.49, **given) == least_aberration_shape(20.0, 1.49, **given, front_conic=0.0, back_conic=0.0)


@pytest.mark.parametrize("measured_at", [34.0, 36.0])
def test_one_kelvin_of_warming_carries_the_expansions_own_u(measured_at):
    """A length of 15 mm over 1 K: u of 1e-5 /K is 1.5e-4 mm; of 0 K nothing."""
    d = Dimension("front_radius_mm", estimate(15.0, 0.0, Source("own")), "hydrated", measured_at)
    used = dimension_in_use(d, None, estimate(7e-5, 1e-5, Source("expansion")))
    assert float(used.u) == pytest.approx(1.5e-4, rel=1e-12, abs=0.0)
    assert float(used.value) == pytest.approx(15.0 * (1 + 7e-5 * (35.0 - measured_at)), rel=1e-15, abs=0.0)


def test_an_even_term_of_each_lens_adds_its_own_volume():
    """A term a·h⁴ on a plane front takes 2πa·h⁶/6 away: h = 3 mm, a = 1e-3 and 2e-3 /mm³."""
    of = {"back_radius_mm": np.inf, "center_thickness_mm": 1.0, "optic_diameter_mm": 6.0}
    plain = volume_mm3(np.inf, **of)
    both = volume_mm3([np.inf, np.inf], **of, front_aspheric={4: [1e-3, 2e-3]})
    assert both == pytest.approx(plain - np.pi * np.array([1e-3, 2e-3]) * 3.0**6 / 3.0, rel=1e-13, abs=0.0)


def test_the_diameter_of_an_edge_that_cannot_be_is_told():
    """15/−15 to 20 D with 0.9 mm: at 12 mm the sags of 1.25 mm on both sides leave nothing."""
    with pytest.raises(InputError, match="at optic_diameter_mm = 12: must be 0 or more"):
        recut(20.0, 1.49, center_thickness_mm=0.9, optic_diameter_mm=12.0)


def test_a_surface_is_a_sphere_unless_it_is_said_otherwise():
    lens = {"front_radius_mm": 15.0, "back_radius_mm": -15.0, "center_thickness_mm": 0.9, "n_lens": 1.49}
    beam = {"pupil_diameter_mm": 3.0, "vergence_D": 0.0, "wavelength_nm": 546.07, "frequency_per_mm": 100.0}
    assert image_quality(**lens, **beam) == image_quality(**lens, **beam, front_conic=0.0, back_conic=0.0)
    wanted = {"n_lens": 1.49, "center_thickness_mm": 0.9, "pupil_diameter_mm": 3.0}
    assert least_aberration_shape(20.0, **wanted) == least_aberration_shape(20.0, **wanted, front_conic=0.0, back_conic=0.0)


@pytest.mark.parametrize("end", [0, 1])
def test_the_criterions_lines_belong_to_it(end):
    beam = {"pupil_diameter_mm": CRITERION_PUPIL_MM, "frequency_per_mm": CRITERION_FREQUENCY_PER_MM, "vergence_D": MODEL_EYE_VERGENCE_D}
    nm = CRITERION_WAVELENGTHS_NM[end]
    assert criterion_applies(**beam, wavelength_nm=nm)
    assert not criterion_applies(**beam, wavelength_nm=nm + (0.01 if end else -0.01))


def test_a_ladder_may_be_as_long_as_it_says():
    """From 1 D by thousandths: 100 000 lenses end at 100.999 D, and 101 D would be one more."""
    assert len(ladder(1.49, from_power_D=1.0, to_power_D=100.999, step_D=0.001, center_thickness_mm=0.9).wanted_power_D) == 100_000
    with pytest.raises(InputError, match="would have 100001 lenses: must be 1 to 100000"):
        ladder(1.49, from_power_D=1.0, to_power_D=101.0, step_D=0.001, center_thickness_mm=0.9)


def test_a_lens_with_one_flat_side_has_a_power():
    with pytest.raises(InputError, match="no index from 1 to 3 gives these dimensions this power"):
        index_from_power(900.0, front_radius_mm=15.0, back_radius_mm="plano", center_thickness_mm=0.9)
    with pytest.raises(InputError, match="a lens without curvature has no power"):
        index_from_power(20.0, front_radius_mm="plano", back_radius_mm="plano", center_thickness_mm=0.9)


def test_a_wanted_aberration_is_that_over_a_pupil_that_is_said():
    """0.05 µm over 3 mm is 0.05·(4/3)⁴ over 4 mm: in third order it goes with the fourth power of the pupil."""
    lens = (15.0, -15.0, 0.9, 1.49)
    with pytest.raises(TypeError, match="pupil_diameter_mm"):
        conic_for_aberration(*lens, surface="front", zernike_4_0_um=0.05)
    over_3, over_4 = (conic_for_aberration(*lens, surface="front", pupil_diameter_mm=p, zernike_4_0_um=0.05 * (p / 3) ** 4) for p in (3.0, 4.0))
    assert over_3 == pytest.approx(over_4, rel=1e-12, abs=0.0)
    usual = {"zernike_4_0_um": 0.0, "n_medium": 1.336, "vergence_D": 0.0, "other_conic": 0.0}
    unsaid, said = (conic_for_aberration(*lens, surface="front", pupil_diameter_mm=3.0, **more) for more in ({}, usual))
    assert unsaid == said


@pytest.mark.parametrize("across", [15.3, 14.7, 12.0, 19.0])
def test_the_parts_of_a_toric_lens_are_slopes_of_what_it_is(across):
    """Moved by 1e-5 mm to either side, in every radius, whether the second meridian is the weaker or the stronger one."""
    gauges = {name: Source(name) for name in ("R", "across", "back")}
    R, other, back = (estimate(x, 1e-3, gauges[name]) for x, name in ((15.0, "R"), (across, "across"), (-15.0, "back")))
    found = toric_estimates(R, back, 0.9, 1.49, front_radius_across_mm=other, axis_deg=30.0)
    h = 1e-5
    for name, moves in (("R", (h, 0, 0)), ("across", (0, h, 0)), ("back", (0, 0, h))):
        up, down = (toric_lens(15.0 + s * moves[0], -15.0 + s * moves[2], 0.9, 1.49, front_radius_across_mm=across + s * moves[1], axis_deg=30.0)
                    for s in (1, -1))  # fmt: skip
        for what in ("sphere_D", "cylinder_D", "mean_power_D", "j0_D", "j45_D"):
            slope = (getattr(up, what) - getattr(down, what)) / (2 * h)
            assert float(getattr(found, what).parts[gauges[name]]) == pytest.approx(1e-3 * slope, rel=1e-5, abs=1e-12), (name, what)


def test_a_paraxial_focus_has_no_shift():
    lens = {"front_radius_mm": 15.0, "center_thickness_mm": 0.9, "n_lens": 1.49, "n_medium": 1.336}
    assert power_from_back_focal_length(65.0, best_focus_shift_mm=0.0, focus_criterion="paraxial", **lens).power_D.value > 0
    for shift in (-1.0, 1.0):
        with pytest.raises(InputError, match="beside the paraxial focus"):
            power_from_back_focal_length(65.0, best_focus_shift_mm=shift, focus_criterion="paraxial", **lens)


@pytest.mark.parametrize("thickness", [0.0, 0.9])
def test_a_meniscus_of_equal_radii_without_power_is_flat(thickness):
    flat = recut(0.0, 1.49, center_thickness_mm=thickness, curvature_ratio=1.0)
    assert (flat.front_radius_mm, flat.back_radius_mm, flat.power_D) == (np.inf, np.inf, 0.0)


def test_a_ladder_does_not_go_down():
    for to in (19.9, 10.0):
        with pytest.raises(InputError, match="the last power is not below the first"):
            ladder(1.49, from_power_D=20.0, to_power_D=to, step_D=0.5, center_thickness_mm=0.9)


def test_an_axis_a_hair_below_nothing_is_nothing():
    """arctan2(−1e-17, 0.5)/2 is −5.7e-16°, of which 180 is left by rounding; and half a turn is none."""
    assert sphere_cylinder(21.0, j0_D=-0.5, j45_D=1e-17).axis_deg == 0.0
    assert sphere_cylinder(21.0, j0_D=0.0, j45_D=0.0).axis_deg == 0.0


def test_tools_that_have_no_common_way_are_told_by_their_radii():
    media = {"n_lens_before": 1.49, "n_lens": 1.5}
    with pytest.raises(InputError, match="both plano"):
        retool([15.0, np.inf], [-15.0, np.inf], 0.9, **media)
    with pytest.raises(InputError, match="nearly equal radii stand beside a front that is plano"):
        retool([np.inf, 15.0], [-15.0, 14.99], 0.9, **media)


def test_position_factors_in_columns():
    """X = −2p(N² − 1)/(N + 2) by hand: N = 1.5, so X = 5/7 at p = −1, 0 at p = 0 and −5/7 at p = 1."""
    expected = [5.0 / 7.0, 0.0, -5.0 / 7.0]
    assert least_aberration_shape_factor(1.5, n_medium=1.0, position_factor=[-1, 0, 1]) == pytest.approx(expected, abs=1e-15)
    assert least_aberration_shape_factor([[1.5], [1.5]], n_medium=1.0, position_factor=[-1.0, 0.0, 1.0]).shape == (2, 3)
    for wrong in (np.nan, "far"):
        with pytest.raises(InputError, match="position_factor"):
            least_aberration_shape_factor(1.5, position_factor=wrong)
