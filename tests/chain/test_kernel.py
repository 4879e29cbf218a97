"""A large plain table gives the same columns, problems and warnings whichever way it goes."""

import os
import subprocess
import sys
from math import inf, nan

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lenscalc import InputError, evaluate
from lenscalc.chain.kernels import fill
from lenscalc.chain.plan import PLAIN_INPUTS, plan_of
from lenscalc.chain.steps import PlainRow, plain_row_of

NAMES = PlainRow._fields
LENS = {"front_radius_mm": 15.0, "back_radius_mm": -15.0, "center_thickness_mm": 0.9, "n_lens": 1.49}
with_compiler = pytest.mark.skipif(
    os.environ.get("NUMBA_DISABLE_JIT") == "1", reason="without the compiler the root is that of single numbers, off in the last bit"
)


@pytest.fixture
def large(monkeypatch):
    """Any table counts as large."""
    module = sys.modules["lenscalc.chain.plan"]
    monkeypatch.setattr(module, "LARGE", 0)
    monkeypatch.setattr(module, "LARGE_ONCE_COMPILED", 0)


def lenses(rows, seed=1):
    rng = np.random.default_rng(seed)
    return {
        "front_radius_mm": rng.uniform(8, 30, rows) * rng.choice([1, 1, 1, -1], rows),
        "back_radius_mm": -rng.uniform(8, 30, rows),
        "center_thickness_mm": rng.uniform(0.3, 1.5, rows),
        "n_lens": rng.uniform(1.42, 1.6, rows),
        "n_medium": rng.uniform(1.33, 1.34, rows),
        "u_front_radius_mm": rng.uniform(0.0, 0.05, rows),
        "u_back_radius_mm": rng.uniform(0.0, 0.05, rows),
        "u_center_thickness_mm": rng.uniform(0.0, 0.02, rows),
        "u_n_lens": rng.uniform(1e-4, 1e-3, rows),
        "u_n_medium": rng.uniform(1e-5, 1e-4, rows),
        "u_calibration": rng.uniform(1e-5, 1e-4, rows),
    }


def ordinary(table, **more):
    """The way of a table that is not large."""
    assert plan_of(table, NAMES, more.get("constants"), None) is None
    return evaluate(table, compute=NAMES, **more)


def same(a, b):
    assert list(a.columns) == list(b.columns)
    for name in a.columns:
        assert np.array_equal(a.columns[name], b.columns[name], equal_nan=True), name
        assert a.columns[name].dtype == b.columns[name].dtype
    assert a.problems.tolist() == b.problems.tolist()
    assert a.warnings.tolist() == b.warnings.tolist()
    shown = [a.warnings_of(row) for row in range(len(a.problems))]
    assert shown == [b.warnings_of(row) for row in range(len(b.problems))]


# what a cell may hold beside the usual
ODD = {
    "front_radius_mm": (inf, -inf, 0.0, nan, 0.015, 3.0, 500.0, 1e8, 0.2, -4.0, 200.0),
    "back_radius_mm": (inf, -inf, 0.0, nan, -0.015, -3.0, -500.0, 12.0),
    "center_thickness_mm": (0.0, -0.0, -0.9, nan, 900.0, 0.0009, 0.1, 5.0, inf),
    "n_lens": (0.0, 1.336, 1.75, 1.3, 1.0, 3.0, 14.9, 0.149, nan, inf, -1.49),
    "n_medium": (0.0, 1.0, 1.45, 1.46, 0.9, nan, -inf),
    "u_front_radius_mm": (nan, 0.0, -0.01, 3.5, 1e9, inf),
    "u_back_radius_mm": (nan, 0.0, -0.01, 1.6, 6.0),
    "u_center_thickness_mm": (nan, -0.0, -1e-9, 200.0),
    "u_n_lens": (nan, 0.0, -1e-3, 2.0, 2.1),
    "u_n_medium": (nan, 0.0, -1e-3, inf),
    "u_calibration": (nan, 0.0, -1e-3, 0.3),
}


@with_compiler
@pytest.mark.parametrize("rows", [1, 63, 64, 65, 5000])
def test_both_ways_give_the_same_bits(rows, request):
    table = lenses(rows)
    plain = ordinary(table)
    request.getfixturevalue("large")
    assert plan_of(table, NAMES, None, None).size == rows
    same(plain, evaluate(table, compute=NAMES))


@with_compiler
def test_the_body_on_arrays_gives_the_same_bits(large):
    table = lenses(1000)
    for name, column in plain_row_of(*table.values())._asdict().items():
        assert np.array_equal(column, evaluate(table, compute=(name,)).columns[name])


@with_compiler
def test_every_odd_cell_gets_the_same_words(request):
    cells = [(name, value) for name, odd in ODD.items() for value in odd]
    table = lenses(len(cells))
    for row, (name, value) in enumerate(cells):
        table[name][row] = value
    plain = ordinary(table)
    assert sum(p != "" for p in plain.problems) > 25
    request.getfixturevalue("large")
    same(plain, evaluate(table, compute=NAMES))


def marks(table):
    plan = plan_of(table, NAMES, None, 10**9)
    marked = np.ones(plan.size, dtype=bool)
    fill(plan, {name: np.empty(plan.size) for name in NAMES}, marked, lambda: None, None)
    return marked.tolist()


def test_nothing_usual_is_marked():
    table = lenses(100)
    table["front_radius_mm"][:2], table["u_front_radius_mm"][:2] = inf, nan
    table["back_radius_mm"][2], table["u_back_radius_mm"][2] = -inf, nan
    table["center_thickness_mm"][3] = 0.0
    table["u_n_lens"][4], table["u_n_medium"][5], table["u_calibration"][6] = nan, 0.0, nan
    assert not any(marks(table))


def test_each_radius_is_held_against_its_own_u():
    table = lenses(4)
    table["front_radius_mm"], table["back_radius_mm"] = np.array([8.0, 8.0, 30.0, 30.0]), np.array([-30.0, -30.0, -8.0, -8.0])
    table["u_front_radius_mm"], table["u_back_radius_mm"] = np.array([1.7, 0.0, 5.9, 0.0]), np.array([5.9, 5.9, 0.0, 1.7])
    assert marks(table) == [True, False, False, True]


@with_compiler
@settings(max_examples=60, deadline=None)
@given(
    rows=st.lists(
        st.fixed_dictionaries({}, optional={name: st.one_of(st.sampled_from(odd), st.floats(-20.0, 20.0)) for name, odd in ODD.items()}),
        min_size=1,
        max_size=5,
    ),
    without=st.sets(st.sampled_from([n for n in PLAIN_INPUTS if n.startswith("u_") or n == "n_medium"])),
    once=st.sets(st.sampled_from(PLAIN_INPUTS[5:])),
)
def test_odd_rows_get_the_same_words(rows, without, once):
    table = lenses(len(rows))
    for row, cells in enumerate(rows):
        for name, value in cells.items():
            table[name][row] = value
    table = {n: c for n, c in table.items() if n not in without}
    constants = {n: float(table.pop(n)[0]) for n in once if n in table}
    plain = ordinary(table, constants=constants)
    same(plain, evaluate(table, compute=NAMES, constants=constants, total_rows=10**9))


def test_a_lens_worked_out_elsewhere(large):
    """15/−15/0.9 of 1.49 in 1.336, power and slopes as mpmath gives them (tests/reference_scripts); u from u(n) = 0.001 alone is 0.001·132.5492 D."""
    table = {name: np.full(3, value) for name, value in LENS.items()}
    r = evaluate(table, compute=NAMES, constants={"u_n_lens": "0.001"})
    expected = {
        "power_D": 20.469666, "d_power_d_n_lens": 132.5492, "d_power_d_n_medium": -132.5065, "d_power_d_front_radius_mm": -0.680200,
        "d_power_d_back_radius_mm": 0.680200, "d_power_d_center_thickness_mm": -0.0707412, "u_power_D": 0.1325492,
    }  # fmt: skip
    for name, value in expected.items():
        assert r.columns[name] == pytest.approx([value] * 3, rel=1e-6), name
    assert r.problems.tolist() == ["", "", ""]


def test_a_bad_row_keeps_its_place(large):
    table = {name: np.full(200_000, value) for name, value in LENS.items()}
    table["n_lens"][150_000] = 14.9
    table["center_thickness_mm"][199_999] = 0.0009
    r = evaluate(table, compute=("power_D",))
    assert r.problems[150_000] == "n_lens = 14.9: must be 1 to 3; is the decimal point one place off?"
    assert np.isnan(r.columns["power_D"][150_000])
    assert np.count_nonzero(r.problems != "") == np.isnan(r.columns["power_D"]).sum() == 1
    assert r.warnings_of(199_999) == ["center_thickness_mm = 0.0009 mm: usual is 0.1 to 5; is it in metres? write it in mm"]
    assert np.count_nonzero(r.warnings != "") == 1
    with pytest.raises(InputError, match="row 150001: n_lens"):
        evaluate(table, compute=("power_D",), strict=True)


@pytest.mark.parametrize(
    "brought",
    [
        lambda a: pd.Series(a),
        lambda a: np.repeat(a, 2)[::2],
        lambda a: np.lib.stride_tricks.as_strided(a, writeable=False),
        lambda a: a.tolist(),
        lambda a: a.astype(">f8"),
    ],
    ids=["series", "strided", "read-only", "list", "other byte order"],
)
def test_columns_of_many_kinds(brought, large):
    table = lenses(70)
    expected = evaluate(table, compute=NAMES)
    same(expected, evaluate({name: brought(column) for name, column in table.items()}, compute=NAMES))
    if os.environ.get("NUMBA_DISABLE_JIT") != "1":
        assert len(sys.modules["lenscalc.chain.kernels"].compiled(sys.modules["lenscalc.chain.kernels"].filled).signatures) == 1


def test_single_precision_and_whole_numbers(large):
    table = {"front_radius_mm": np.array([15, 20]), "back_radius_mm": [-15, -20], "center_thickness_mm": np.float32([0.5, 0.75]), "n_lens": 1.5}
    assert plan_of(table, NAMES, None, None).size == 2
    expected = plain_row_of(np.array([15.0, 20.0]), np.array([-15.0, -20.0]), np.array([0.5, 0.75]), 1.5, 1.336, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    assert evaluate(table, compute=("power_D",)).columns["power_D"] == pytest.approx(expected.power_D, rel=1e-15)


def test_an_earlier_result_is_written_again(large):
    table = lenses(300)
    spoilt = {name: column.copy() for name, column in table.items()}
    spoilt["n_lens"][7], spoilt["center_thickness_mm"][8] = 14.9, 0.0009
    first = evaluate(spoilt, compute=NAMES)
    assert first.problems[7]
    assert first.warnings[8]
    fresh = evaluate(table, compute=NAMES)
    again = evaluate(table, compute=NAMES, into=first)
    assert again.columns["power_D"] is first.columns["power_D"]
    assert again.problems is first.problems
    same(fresh, again)
    other = evaluate(lenses(301), compute=NAMES, into=fresh)
    assert other.columns["power_D"] is not fresh.columns["power_D"]
    assert len(other.problems) == 301


def test_what_the_loop_does_not_do_goes_the_ordinary_way(large):
    table = lenses(10)
    assert plan_of(table, NAMES, None, None)
    assert plan_of({**table, "note_lot": ["x"] * 10, "id": list(range(10))}, NAMES, None, None)
    for columns, compute, constants in (
        (table, (), None),
        (table, ("*",), None),
        (table, ("power_D", "dof_power"), None),
        ({**table, "labelled_power_D": np.full(10, 20.0)}, NAMES, None),
        ({**table, "optic_diameter_mm": np.full(10, 6.0)}, NAMES, None),
        ({**table, "front_radius_mm": ["plano"] * 10}, NAMES, None),
        ({**table, "n_medium": np.full(9, 1.336)}, NAMES, None),
        (table, NAMES, {"n_lens": 1.49}),  # stands there twice
        ({n: c for n, c in table.items() if n != "n_medium"}, NAMES, {"n_medium": 1.46}),  # unusual in every row
        ({n: c for n, c in table.items() if n != "n_lens"}, NAMES, {"n_lens": "1,49"}),
        ({n: c for n, c in table.items() if n != "n_lens"}, NAMES, None),
        ({}, NAMES, None),
    ):
        assert plan_of(columns, compute, constants, None) is None


def test_no_rows_and_progress(large):
    assert len(evaluate({name: np.array([]) for name in LENS}, compute=NAMES).problems) == 0
    told = []
    evaluate(lenses(150_000), compute=("power_D",), on_progress=lambda done, total: told.append((done, total)))
    assert told == [(65_536, 150_000), (131_072, 150_000), (150_000, 150_000)]


def test_the_size_of_the_run_decides_and_not_the_block(monkeypatch):
    monkeypatch.setattr(sys.modules["lenscalc.chain.plan"], "LARGE_ONCE_COMPILED", 1000)
    table = lenses(100)
    assert plan_of(table, NAMES, None, None) is None
    assert plan_of(table, NAMES, None, 6_000_000).size == 100


def test_a_small_table_waits_for_no_compiler():
    code = (
        "import numpy as np, sys; from lenscalc import evaluate\n"
        f"t = {{n: np.full(10_000, v) for n, v in {LENS!r}.items()}}\n"
        "evaluate(t, compute=('power_D', 'u_power_D')); assert 'numba' not in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True)
