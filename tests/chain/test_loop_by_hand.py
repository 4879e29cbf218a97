"""The loop of a large table without its compiler: the ordinary way's numbers, u worked by hand, and what stands on a limit."""

import numpy as np
import pytest
from large_tables import NAMES, lenses, ordinary

from lenscalc import InputError, evaluate
from lenscalc.chain.kernels import fill
from lenscalc.chain.plan import plan_of
from lenscalc.chain.steps import plain_row_of
from lenscalc.quantities import quantity

PLAIN = {"front_radius_mm": 15.0, "back_radius_mm": -15.0, "center_thickness_mm": 0.9, "n_lens": 1.49}


@pytest.mark.parametrize("rows", [1, 63, 64, 65, 200])
def test_both_ways_give_the_same_numbers(rows, request):
    """Compiled they are the same bits (test_kernel.py); without the compiler a root may differ in its last."""
    table = lenses(rows)
    table["n_lens"][rows // 2], table["center_thickness_mm"][-1] = 14.9, 0.0009
    plain = ordinary(table)
    request.getfixturevalue("large")
    loop = evaluate(table, compute=NAMES)
    for name in NAMES:
        assert loop.columns[name] == pytest.approx(plain.columns[name], rel=1e-14, nan_ok=True, abs=0.0), name
    assert loop.problems.tolist() == plain.problems.tolist()
    assert [loop.warnings_of(row) for row in range(rows)] == [plain.warnings_of(row) for row in range(rows)]
    assert np.isnan(loop.columns["power_D"][rows // 2])


@pytest.mark.parametrize("place", range(6))
def test_u_of_a_flat_thin_lens_by_hand(place):
    """Thin, R = 8 and −4 mm, n 1.5 in 1.3: F = 1000·0.2·(1/8 + 1/4) = 75 D, ∂F/∂n = 375, ∂F/∂m = −375, ∂F/∂R1 = −200/64, ∂F/∂R2 = −200/16.
    By t, at t = 0: −F1·F2/n = −25·50/(1000·1.5).
    """
    u = [0.0] * 6  # of both radii, thickness, the lens's index, the medium's, the calibration
    u[place] = 0.01
    expected = (200 / 64, 200 / 16, 25 * 50 / 1500, 375.0, 375.0, 375.0)[place] * 0.01
    assert plain_row_of(8.0, -4.0, 0.0, 1.5, 1.3, *u).u_power_D == pytest.approx(expected, rel=1e-13, abs=0.0)


def test_all_causes_add_in_squares():
    """Right triangles, each on the last one's long side: 3, 4, 5; 5, 12, 13; 13, 84, 85; 85, 132, 157; 157, 12324, 12325."""
    slopes = (200 / 64, 200 / 16, 25 * 50 / 1500, 375.0, 375.0, 375.0)
    parts = (3.0, 4.0, 12.0, 84.0, 132.0, 12324.0)
    u = [p / s for p, s in zip(parts, slopes, strict=True)]
    assert plain_row_of(8.0, -4.0, 0.0, 1.5, 1.3, *u).u_power_D == pytest.approx(12325.0, rel=1e-13, abs=0.0)


def marks(**cells):
    table = {name: np.full(4, value) for name, value in PLAIN.items()}
    for name, value in cells.items():
        table[name] = np.full(4, value) if np.ndim(value) == 0 else np.array(value)
    plan = plan_of(table, NAMES, None, 10**9)
    marked = np.ones(plan.size, dtype=bool)
    fill(plan, {name: np.empty(plan.size) for name in NAMES}, marked, lambda: None, None)
    return marked.tolist()


@pytest.mark.parametrize("name", ["center_thickness_mm", "n_lens", "n_medium", "front_radius_mm", "back_radius_mm"])
def test_what_stands_on_a_limit_of_the_usual_is_not_marked_and_what_lies_beyond_is(name):
    q = quantity(name)
    lower, upper = max(q.lower, q.usual_lower), min(q.upper, q.usual_upper)
    assert marks(**{name: [lower, upper, np.nextafter(lower, 0.0), np.nextafter(upper, np.inf)]}) == [False, False, True, True]
    if q.by_magnitude:
        assert marks(**{name: [-lower, -upper, -np.nextafter(lower, 0.0), -np.nextafter(upper, np.inf)]}) == [False, False, True, True]


@pytest.mark.parametrize("side", ["front", "back"])
def test_a_radius_is_marked_from_where_its_u_comes_near_a_fifth(side):
    radius = {f"{side}_radius_mm": [5.001 * 2.0, -5.001 * 2.0, 10.0, -10.0]}
    assert marks(**radius, **{f"u_{side}_radius_mm": 2.0}) == [False, False, True, True]


def test_one_reason_does_not_take_away_the_other():
    """A plano surface with a u, beside a radius whose u is near a fifth of it; and what is wrong with a u itself."""
    assert marks(front_radius_mm=10.0, u_front_radius_mm=2.0, back_radius_mm=np.inf, u_back_radius_mm=0.0) == [True] * 4
    assert marks(front_radius_mm=np.inf, u_front_radius_mm=0.0, back_radius_mm=-10.0, u_back_radius_mm=2.0) == [True] * 4
    for name in ("u_n_lens", "u_n_medium", "u_calibration", "u_center_thickness_mm"):
        assert marks(**{name: [-1e-9, 0.0, np.nan, -0.1]}) == [True, False, False, True]


@pytest.mark.parametrize("name", ["center_thickness_mm", "n_lens", "n_medium"])
def test_a_number_for_all_rows_may_stand_on_a_limit_of_the_usual(name):
    q = quantity(name)
    table = {n: np.full(3, v) for n, v in PLAIN.items() if n != name}
    for limit, beyond in ((max(q.lower, q.usual_lower), 0.0), (min(q.upper, q.usual_upper), np.inf)):
        assert plan_of(table, NAMES, {name: limit}, 10**9) is not None
        assert plan_of(table, NAMES, {name: float(np.nextafter(limit, beyond))}, 10**9) is None


def test_a_radius_for_all_rows_may_have_either_sign():
    table = {n: np.full(3, v) for n, v in PLAIN.items() if n != "back_radius_mm"}
    for R, allowed in ((-15.0, True), (15.0, True), (-np.inf, True), (-0.2, False), (0.2, False)):
        assert (plan_of(table, NAMES, {"back_radius_mm": R}, 10**9) is not None) == allowed


@pytest.mark.parametrize("name", PLAIN)
def test_a_number_that_is_missing_is_marked(name):
    assert marks(**{name: [np.nan, PLAIN[name], np.nan, PLAIN[name]]}) == [True, False, True, False]


@pytest.mark.parametrize("side", ["front", "back"])
@pytest.mark.parametrize("flat", [np.inf, -np.inf])
def test_a_flat_surface_with_a_u_of_its_radius_is_marked(side, flat):
    assert marks(**{f"{side}_radius_mm": flat, f"u_{side}_radius_mm": [0.0, np.nan, 0.02, np.nan]}) == [True, False, True, False]


def test_a_table_that_is_to_be_strict_or_has_exact_numbers_goes_the_ordinary_way(request):
    table = {name: np.full(3, value) for name, value in PLAIN.items()} | {"n_lens": np.array([1.49, 14.9, 1.49])}
    request.getfixturevalue("large")
    assert evaluate(table, compute=("power_D",)).problems.tolist()[1].startswith("n_lens = 14.9: must be 1 to 3")
    with pytest.raises(InputError, match=r"row 2: n_lens = 14\.9: must be 1 to 3"):
        evaluate(table, compute=("power_D",), strict=True)
