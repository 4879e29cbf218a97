"""A large plain table gives the same columns, problems and warnings whichever way it goes."""

import os
import subprocess
import sys

import numpy as np
import pandas as pd
import pytest
from large_tables import NAMES, lenses, ordinary, same, with_compiler

from lenscalc import InputError, evaluate
from lenscalc.chain.plan import plan_of
from lenscalc.chain.steps import plain_row_of
from lenscalc.uncertainty import Source

LENS = {"front_radius_mm": 15.0, "back_radius_mm": -15.0, "center_thickness_mm": 0.9, "n_lens": 1.49}


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


def test_a_cause_named_beside_a_large_table_is_not_lost(large):
    """u from u(n) = 0.001 alone is 0.001·132.5492 D, the slope as mpmath gives it (tests/reference_scripts)."""
    table = {name: np.full(3, value) for name, value in LENS.items()}
    r = evaluate(table, compute=("u_power_D",), sources={Source("cause"): {"n_lens": 0.001}})
    assert r.columns["u_power_D"] == pytest.approx(0.1325492, rel=1e-6, abs=0.0)


def test_a_lens_worked_out_elsewhere(large):
    """15/−15/0.9 of 1.49 in 1.336, power and slopes as mpmath gives them (tests/reference_scripts); u from u(n) = 0.001 alone is 0.001·132.5492 D."""
    table = {name: np.full(3, value) for name, value in LENS.items()}
    r = evaluate(table, compute=NAMES, constants={"u_n_lens": "0.001"})
    expected = {
        "power_D": 20.469666, "d_power_d_n_lens": 132.5492, "d_power_d_n_medium": -132.5065, "d_power_d_front_radius_mm": -0.680200,
        "d_power_d_back_radius_mm": 0.680200, "d_power_d_center_thickness_mm": -0.0707412, "u_power_D": 0.1325492,
    }  # fmt: skip
    for name, value in expected.items():
        assert r.columns[name] == pytest.approx([value] * 3, rel=1e-6, abs=0.0), name
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
    assert evaluate(table, compute=("power_D",)).columns["power_D"] == pytest.approx(expected.power_D, rel=1e-15, abs=0.0)


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
