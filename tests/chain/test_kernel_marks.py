"""What the compiled loop marks, and that marked rows get the same words as any others."""

from math import inf, nan

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from large_tables import NAMES, lenses, ordinary, same, with_compiler

from lenscalc import evaluate
from lenscalc.chain.kernels import fill
from lenscalc.chain.plan import PLAIN_INPUTS, plan_of

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
