"""The linear budget: against the `uncertainties` library 3.2 and metrolopy 1.1, and as a table."""

import re
from math import inf
from unittest.mock import ANY

import numpy as np
import pytest
import uncertainties
from hypothesis import example, given
from hypothesis import strategies as st
from uncertainties import umath

from lenscalc.errors import InputError
from lenscalc.uncertainty import Estimate, Input, Source, as_text, budget, decimals_for, numerical_tolerance, propagate, to_frame
from lenscalc.uncertainty.worked_examples import CURRENT, PHASE, VOLTAGE, gauge_block, impedance

values = st.lists(st.floats(0.5, 2.0), min_size=4, max_size=4)
spreads = st.lists(st.floats(1e-4, 0.1), min_size=4, max_size=4)


def model(a, b, c, d, f=np):
    return f.exp(a / b) * f.sin(c) - d * d / (a + c) + f.sqrt(b * d)


@given(values, spreads, st.floats(-0.9, 0.9), st.floats(-0.4, 0.4))
def test_linear_with_correlations_against_uncertainties(x, u, r, s):
    matrix = np.eye(4)
    matrix[0, 2] = matrix[2, 0] = r
    matrix[1, 2] = matrix[2, 1] = s
    if np.linalg.eigvalsh(matrix)[0] < 1e-6:
        matrix[1, 2] = matrix[2, 1] = 0.0
    names = list("abcd")
    mine = propagate(model, {n: Input(v, w) for n, v, w in zip(names, x, u, strict=True)}, matrix)
    theirs = model(*uncertainties.correlated_values_norm(list(zip(x, u, strict=True)), matrix), f=umath)
    assert mine.value == pytest.approx(theirs.nominal_value, rel=1e-10, abs=0.0)
    assert mine.u == pytest.approx(theirs.std_dev, rel=1e-10, abs=1e-10 * sum(abs(c) for c in mine.contributions.values()))


@given(values, spreads)
def test_contributions_against_uncertainties(x, u):
    names = list("abcd")
    mine = propagate(model, {n: Input(v, w) for n, v, w in zip(names, x, u, strict=True)})
    given_to = [uncertainties.ufloat(v, w) for v, w in zip(x, u, strict=True)]
    theirs = model(*given_to, f=umath)
    parts = {v: abs(p) for v, p in theirs.error_components().items()}
    assert [abs(c) for c in mine.contributions.values()] == pytest.approx([parts[v] for v in given_to], rel=1e-10, abs=0.0)
    assert sum(mine.shares.values()) == pytest.approx(1.0)


def test_linear_degrees_of_freedom_and_k_against_metrolopy():
    uc = pytest.importorskip("metrolopy")
    inputs = {"a": Input(3.0, 0.1, dof=4.0), "b": Input(2.0, 0.2, dof=9.0), "c": Input(1.5, 0.05)}
    mine = propagate(lambda a, b, c: a * b / c, inputs)
    a, b, c = (uc.gummy(x.value, x.u, dof=x.dof) for x in inputs.values())
    theirs = a * b / c
    assert (mine.value, mine.u) == pytest.approx((theirs.x, theirs.u), rel=1e-10, abs=0.0)
    assert mine.dof_effective == pytest.approx(theirs.dof, rel=1e-10, abs=0.0)


def test_coverage_takes_whole_degrees_of_freedom():
    x = gauge_block()
    r = propagate(x.model, x.inputs)
    assert (r.dof_effective, r.coverage_factor(0.99)) == (pytest.approx(16.66, abs=0.01), pytest.approx(2.92, abs=0.005))  # JCGM 100:2008, H.1.6
    assert r.interval(0.99) == pytest.approx((50000838.0 - 93.0, 50000838.0 + 93.0), abs=0.5)
    # 8 exactly by hand: two equal parts of 4 each; rounding must not make it 7
    even = propagate(lambda a, b: a + b, {"a": Input(0.0, 0.1, dof=4.0), "b": Input(0.0, 0.1, dof=4.0)})
    assert even.coverage_factor(0.95) == pytest.approx(2.306, abs=5e-4)  # table G.2: 2.31 at 8
    assert propagate(lambda a: a, {"a": Input(0.0, 0.1)}).coverage_factor(0.95) == pytest.approx(1.96, abs=5e-4)


def test_shares_with_correlation_add_up_and_can_be_negative():
    r = propagate(lambda a, b: a - b, {"a": Input(1.0, 0.3), "b": Input(2.0, 0.1)}, {("a", "b"): 0.9})
    # u² = 0.09 + 0.01 − 2·0.9·0.03 = 0.046; b: 0.01 − 0.027
    assert r.shares == pytest.approx({"a": (0.09 - 0.027) / 0.046, "b": (0.01 - 0.027) / 0.046})


def test_percent_for_a_probability_is_found():
    with pytest.raises(InputError, match=r"0\.95, not 95"):
        propagate(lambda a: a, {"a": Input(0.0, 0.1)}).expanded(95)


def test_a_frame_of_either_kind_of_budget():
    x = gauge_block()
    frame = to_frame(propagate(x.model, x.inputs, second_order=True).lines)
    assert list(frame.columns) == ["input", "value", "u", "distribution", "dof", "sensitivity", "contribution", "share"]
    assert frame["share"].sum() == pytest.approx(1.0)
    assert set(frame["input"]) == {*x.inputs, "second-order terms"}
    other = to_frame(budget(Estimate(1.49, {Source("calibration"): 3e-4, Source("replicates", dof=4): -4e-4})))
    assert other["part"].tolist() == [-4e-4, 3e-4]
    assert to_frame([]).empty


def test_the_print_rounds_as_the_guide_does():
    x = gauge_block()
    text = as_text(propagate(x.model, x.inputs), 0.99, "nm")
    assert text.splitlines()[-1] == "result 50000838 nm, u 32 nm; 99 %: k 2.92, U 93 nm (16 degrees of freedom)"
    assert len(text.splitlines()) == 1 + len(x.inputs) + 1
    exact = as_text(propagate(lambda a: a, {"a": Input(1.5, 0.0)}))
    assert "nan" not in exact


@pytest.mark.parametrize(("value", "told"), [(2.34e-5, "2.34e-05"), (2.34e-7, "2e-07"), (3e-9, "3e-09")])
def test_a_value_far_below_its_uncertainty_is_printed_to_one_digit(value, told):
    """2.34e-5 ± 5.0e-6 has its last digit at 1e-7; a value below that has none that means anything, and is there all the same."""
    assert f"result {told}, u 5.0e-06;" in as_text(propagate(lambda a: a, {"a": Input(value, 5e-6)}))


@pytest.mark.parametrize(
    ("u", "digits", "wanted"),
    # JCGM 101:2008, 7.9.2, examples 1 to 3 (from memory, to be confirmed against the text): 0.00035 → 0.000005; 0.000 04 one digit; 2 K
    [
        (0.00035, 2, 0.000005),
        (0.00004, 1, 0.000005),
        (2.0, 1, 0.5),
        (0.0996, 2, 0.005),
        (9.96, 2, 0.5),
        (9.94, 2, 0.05),
        (0.0, 2, 0.0),
        (inf, 2, 0.0),
    ],
)
def test_numerical_tolerance(u, digits, wanted):
    assert numerical_tolerance(u, digits) == wanted


@pytest.mark.parametrize("part", ["resistance", "reactance", "impedance"])
def test_readings_taken_together_have_n_minus_1_degrees_of_freedom(part):
    """JCGM 100:2008, H.2.4, approach 2: the quantity of every set of readings, their mean and s/√5 with ν = 4."""
    x = impedance(part)
    linear = propagate(x.model, x.inputs, x.correlation)
    each = x.model(np.array(VOLTAGE), np.array(CURRENT), np.array(PHASE))
    assert linear.dof_effective == pytest.approx(4.0)
    assert linear.u == pytest.approx(np.std(each, ddof=1) / 5**0.5, rel=4e-3, abs=0.0)  # the scatter is not wholly linear


def test_a_correlated_pair_is_one_group_beside_others():
    # a, b: u² = 0.09 + 0.16 + 2·0.5·0.12 = 0.37 with ν = 4 (the least); c: 0.04 with ν = 9; ν = 0.41²/(0.37²/4 + 0.04²/9)
    inputs = {"a": Input(0.0, 0.3, dof=4.0), "c": Input(0.0, 0.2, dof=9.0), "b": Input(0.0, 0.4, dof=20.0)}
    r = propagate(lambda a, b, c: a + b + c, inputs, {("a", "b"): 0.5})
    assert r.dof_effective == pytest.approx(0.41**2 / (0.37**2 / 4 + 0.04**2 / 9))


def test_names_stand_to_the_left_and_numbers_to_the_right():
    """The kind of a law is a name, too."""
    result = propagate(lambda a, length: a + 100.0 * length, {"a": Input(1.0, 0.5), "length": Input(2.0, 0.001, "rectangular")})
    heads, *rows, _ = as_text(result).splitlines()
    assert [row.split()[0] for row in rows] == [row[: len(row.split()[0])] for row in rows]
    at = heads.index("distribution")
    assert sorted(row[at : at + 11].rstrip() for row in rows) == ["normal", "rectangular"]
    ends = [found.end() for found in re.finditer(r"\S+", heads)]
    for row in rows:
        assert [found.end() for found in re.finditer(r"\S+(?: %)?", row)][1:] == [ends[1], ends[2], ANY, *ends[4:]]


@example(0.995, 2)
@given(st.one_of(st.floats(1e-8, 1.0), st.integers(1, 10**6).map(lambda k: k / 10**6)), st.sampled_from([1, 2, 3]))
def test_the_tolerance_is_half_of_the_last_place_that_is_printed(u, digits):
    """As a double 0.995 is a hair less, and to two digits 0.99: its tolerance was that of 1.0."""
    assert numerical_tolerance(u, digits) == pytest.approx(0.5 * 10.0 ** -decimals_for(u, digits), rel=1e-12, abs=0.0)


def test_whole_degrees_of_freedom_are_printed_whole():
    """Two equal parts of 4 are 8, by hand; a hair less is rounding, and what is left of the next is cut off (JCGM 100:2008, G.4.1)."""
    even = propagate(lambda a, b: a + b, {"a": Input(0.0, 0.1, dof=4.0), "b": Input(0.0, 0.1, dof=4.0)})
    assert as_text(even).endswith("(8 degrees of freedom)")
    for dof, printed in ((8.0 - 1e-14, "8 degrees"), (12345.6, "12345 degrees"), (1.0, "1 degree"), (0.5, "0.5 degrees")):
        assert as_text(propagate(lambda a: a, {"a": Input(0.0, 0.1, dof=dof)})).endswith(f"({printed} of freedom)")
