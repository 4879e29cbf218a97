"""The re-cut is the thick lens backwards."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from lenscalc import InputError, recut, thick_lens
from lenscalc.lens import edge_thickness_mm

powers = st.floats(-25.0, 45.0)
indices = st.floats(1.38, 1.7)
media = st.one_of(st.just(1.336), st.floats(1.0, 1.36))
thick = st.floats(0.0, 2.0)
held = st.one_of(
    st.just({}),
    st.fixed_dictionaries({"front_radius_mm": st.one_of(st.just(np.inf), st.floats(8.0, 100.0), st.floats(-100.0, -8.0))}),
    st.fixed_dictionaries({"back_radius_mm": st.one_of(st.just(np.inf), st.floats(8.0, 100.0), st.floats(-100.0, -8.0))}),
    st.fixed_dictionaries({"shape_factor": st.floats(-1.5, 1.5)}),
    st.fixed_dictionaries({"curvature_ratio": st.floats(-3.0, 0.5)}),
)


def power_again(r, n, m):
    return thick_lens(r.front_radius_mm, r.back_radius_mm, r.center_thickness_mm, n, m).power_D


def holds(r, what):
    """What was held is there."""
    R1, R2 = r.front_radius_mm, r.back_radius_mm
    for name, value in what.items():
        if name.endswith("radius_mm"):
            assert getattr(r, name) == pytest.approx(value, rel=1e-12, abs=0.0)
        elif name == "shape_factor" and np.isfinite(R1) and np.isfinite(R2):
            assert abs((R2 + R1) / (R2 - R1) - value) < 1e-9
        elif name == "curvature_ratio" and np.isfinite(R1):
            assert abs(R1 / R2 - value) < 1e-12
    if not what:
        assert R1 == -R2 or np.isinf(R1)


@given(powers, indices, media, thick, held)
def test_recut_and_power_are_inverse_to_a_billionth(power, n, m, t, what):
    r = recut(power, n, n_medium=m, center_thickness_mm=t, strict=False, **what)
    assume(not r.problem)  # a radius below half a millimetre, or held surfaces with which the power cannot be reached
    assert abs(power_again(r, n, m) - power) < 1e-9
    holds(r, what)


@given(powers, indices, st.floats(0.2, 1.0), st.floats(-3.0, 1.0), held)
def test_with_the_centre_from_the_edge_too(power, n, edge, k, what):
    r = recut(power, n, wanted_edge_thickness_mm=edge, optic_diameter_mm=6.0, front_conic=k, back_conic=k, strict=False, **what)
    assume(not r.problem)
    assert abs(power_again(r, n, 1.336) - power) < 1e-9
    assert edge_thickness_mm(
        r.front_radius_mm, r.back_radius_mm, r.center_thickness_mm, 6.0, front_conic=k, back_conic=k
    ) == pytest.approx(edge, abs=1e-12)  # fmt: skip
    holds(r, what)


def test_aspheric_terms_act_on_the_edge_alone():
    terms = {"front_aspheric": {4: 1e-4, 6: -2e-6}, "back_aspheric": {4: [-2e-4, 0.0]}}
    r = recut([20.0, 25.0], 1.49, wanted_edge_thickness_mm=0.3, optic_diameter_mm=6.0, front_conic=-1.0, **terms)
    assert np.max(np.abs(power_again(r, 1.49, 1.336) - [20.0, 25.0])) < 1e-9
    edge = edge_thickness_mm(r.front_radius_mm, r.back_radius_mm, r.center_thickness_mm, 6.0, front_conic=-1.0, **terms)
    assert edge == pytest.approx([0.3, 0.3], abs=1e-12)
    held = recut([20.0, 25.0], 1.49, center_thickness_mm=0.9, **{"optic_diameter_mm": 6.0, **terms})
    assert held.front_radius_mm == pytest.approx(recut([20.0, 25.0], 1.49, center_thickness_mm=0.9).front_radius_mm, rel=1e-15, abs=0.0)
    with pytest.raises(InputError, match="terms start at 4"):
        recut(20.0, 1.49, center_thickness_mm=0.9, optic_diameter_mm=6.0, front_aspheric={2: 1e-3})
    with pytest.raises(InputError, match="optic_diameter_mm is missing beside aspheric terms"):
        recut(20.0, 1.49, center_thickness_mm=0.9, front_aspheric={4: 1e-3})


def test_nearly_all_ordinary_lenses_have_a_solution():
    rng = np.random.default_rng(5)
    size = 20_000
    power, n = rng.uniform(5.0, 34.0, size), rng.uniform(1.44, 1.6, size)
    for dimensions in ({"center_thickness_mm": 1.0}, {"wanted_edge_thickness_mm": 0.3, "optic_diameter_mm": 6.0}):
        r = recut(power, n, strict=False, **dimensions)
        assert np.all(r.problem == "")
        assert np.max(np.abs(power_again(r, n, 1.336) - power)) < 1e-9


def test_the_quadratic_by_hand():
    # thin: F = 1000·2(n − m)/R; with R = 20, n − m = 0.2, F = 20 exactly
    assert recut(20.0, 1.536, center_thickness_mm=0.0).front_radius_mm == pytest.approx(20.0, rel=1e-14, abs=0.0)
    # convex-plano: the thickness does nothing, R = 1000(n − m)/F
    r = recut(20.0, 1.536, center_thickness_mm=3.0, shape_factor=1.0)
    assert (r.front_radius_mm, r.back_radius_mm) == (pytest.approx(10.0, rel=1e-14, abs=0.0), np.inf)
    # front of 20 D held plano behind: nothing is left to do
    assert recut(20.0, 1.536, center_thickness_mm=3.0, front_radius_mm=10.0).back_radius_mm == np.inf


def test_no_power_at_all_is_a_window():
    r = recut(0.0, 1.49, center_thickness_mm=0.9)
    assert (r.front_radius_mm, r.back_radius_mm) == (np.inf, np.inf)


def test_a_meniscus_of_equal_radii_takes_its_power_from_the_thickness():
    # F = (t/n)·(F1)², F1 = √(F·n/t): R = 1000(n − m)/F1
    r = recut(2.0, 1.536, center_thickness_mm=1.0, curvature_ratio=1.0)
    assert r.front_radius_mm == pytest.approx(200.0 / (2.0 * 1536.0) ** 0.5, rel=1e-12, abs=0.0)
    assert r.back_radius_mm == r.front_radius_mm


@pytest.mark.parametrize(
    ("power", "n", "arguments", "told"),
    [
        (300.0, 1.49, {"center_thickness_mm": 5.0}, r"cannot be reached .* to 298 D can"),  # 1000·n/t
        (20.0, 1.336, {"center_thickness_mm": 0.9}, "n_lens = 1.336 is the medium's own"),
        (900.0, 1.49, {"center_thickness_mm": 0.9}, "would need a radius of 0.28"),
        (100.0, 1.49, {"wanted_edge_thickness_mm": 0.3, "optic_diameter_mm": 6.0}, r"cannot be reached .* to 92.1"),
        (30.0, 1.49, {"center_thickness_mm": 0.5, "optic_diameter_mm": 6.0}, r"edge thickness -0.\d+ mm .* must be 0.899 or more"),
        (-12.0, 1.49, {"wanted_edge_thickness_mm": 0.3, "optic_diameter_mm": 6.0}, "thinnest in its centre"),
        (60.0, 1.40, {"center_thickness_mm": 3.0, "optic_diameter_mm": 6.0}, "wider than a surface of this power"),
    ],
)
def test_what_cannot_be_is_told_with_the_reason(power, n, arguments, told):
    with pytest.raises(InputError, match=told):
        recut(power, n, **arguments)
    r = recut([20.0, power], [1.49, n], strict=False, **{**arguments, **({"center_thickness_mm": 0.9} if "center_thickness_mm" in arguments else {})})
    assert r.problem.shape == (2,)


def test_a_bad_row_keeps_its_place():
    r = recut([20.0, 300.0, 10.0], 1.49, center_thickness_mm=5.0, strict=False)
    assert np.isnan(r.front_radius_mm).tolist() == [False, True, False]
    assert [bool(p) for p in r.problem] == [False, True, False]
    with pytest.raises(InputError, match="row 2: power_D = 300") as caught:
        recut([20.0, 300.0, 10.0], 1.49, center_thickness_mm=5.0)
    assert (caught.value.row, caught.value.value) == (2, 300.0)


def test_the_told_range_is_the_reachable_one():
    edge = {"wanted_edge_thickness_mm": 0.3, "optic_diameter_mm": 6.0}
    with pytest.raises(InputError, match=r"-10.24 to 92.13 D can"):
        recut(93.0, 1.49, **edge)
    for power in (-10.23, 92.12):
        assert abs(power_again(recut(power, 1.49, **edge), 1.49, 1.336) - power) < 1e-9
    for power in (-10.25, 92.14):
        with pytest.raises(InputError):
            recut(power, 1.49, **edge)


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        ({}, "give either center_thickness_mm or wanted_edge_thickness_mm"),
        ({"center_thickness_mm": 1.0, "wanted_edge_thickness_mm": 0.3}, "give either"),
        ({"wanted_edge_thickness_mm": 0.3}, "optic_diameter_mm is missing"),
        ({"center_thickness_mm": 1.0, "shape_factor": 0.0, "front_radius_mm": 10.0}, "front_radius_mm and shape_factor are given"),
        ({"center_thickness_mm": 0.9, "front_radius_mm": 0.0}, "never 0"),
        ({"center_thickness_mm": 0.9, "shape_factor": np.nan}, "shape_factor is missing or not a number"),
        ({"wanted_edge_thickness_mm": 300.0, "optic_diameter_mm": 6.0}, "is it in µm"),
    ],
)
def test_contradictions_are_refused(arguments, told):
    with pytest.raises(InputError, match=told):
        recut(20.0, 1.49, **arguments)


def test_an_empty_column_gives_empty_columns():
    assert recut(np.array([]), 1.49, center_thickness_mm=1.0).front_radius_mm.shape == (0,)


def test_two_media():
    r = recut(42.730756, 1.49, n_medium=1.0, n_medium_behind=1.336, center_thickness_mm=0.9)
    assert r.front_radius_mm == pytest.approx(15.0, abs=1e-6)  # worked outside the package: facts of the lens 15/−15 with air in front
