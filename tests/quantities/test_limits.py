"""Limits: both ends belong to what they allow, numbers and columns are told the same, and a likely mistake is named."""

from dataclasses import replace
from math import inf, nan, nextafter

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lenscalc.errors import InputError, UnknownNameError
from lenscalc.quantities import quantity
from lenscalc.quantities.check import as_number, checked, complaint, given_back, impossible, number_in_text, readings_of, remark, unusual, within
from lenscalc.quantities.quantity import Quantity
from lenscalc.quantities.registry import DESIGN, IMAGE_INPUTS, IMAGE_RESULTS, INPUTS, QUESTIONS, RANKING_RESULTS, RESULTS

LENGTH = Quantity(
    "x_mm", "x", "mm", "length", "made for the tests", 1.0, 100.0, 10.0, 20.0, 2, "lens", mistakes=((1000.0, "is it in metres?"), (0.1, "tenfold?"))
)
SIGNED = replace(LENGTH, by_magnitude=True, infinite=True, mistakes=())
FROM_0 = replace(LENGTH, lower=0.0, mistakes=())
ALL = pytest.mark.parametrize("q", [*INPUTS, *QUESTIONS, *DESIGN, LENGTH, SIGNED, FROM_0], ids=lambda q: q.name)


def refused(q, value):
    """The same for a number as for a column."""
    alone = complaint(q, value) is not None
    assert impossible(q, np.array([value, value])).tolist() == [alone, alone]
    return alone


def remarked(q, value):
    alone = remark(q, value) is not None
    assert unusual(q, np.array([value])).tolist() == [alone]
    return alone


def test_limits_are_in_order():
    for q in (*INPUTS, *QUESTIONS, *DESIGN, *IMAGE_INPUTS, *RESULTS, *IMAGE_RESULTS, *RANKING_RESULTS):
        assert q.lower <= q.usual_lower < q.usual_upper <= q.upper, q.name


@ALL
def test_both_limits_are_possible_and_nothing_beyond(q):
    for sign in (1.0, -1.0) if q.by_magnitude else (1.0,):
        assert not refused(q, sign * q.lower)
        assert not refused(q, sign * q.upper)
        assert refused(q, sign * nextafter(q.lower, -inf))
        if q.upper < inf:
            assert refused(q, sign * nextafter(q.upper, inf))
    assert refused(q, nan)
    assert refused(q, inf) == (not q.infinite and q.upper < inf)


@ALL
def test_both_usual_limits_are_usual_and_nothing_beyond(q):
    for sign in (1.0, -1.0) if q.by_magnitude else (1.0,):
        assert not remarked(q, sign * q.usual_lower)
        assert not remarked(q, sign * q.usual_upper)
        if q.usual_lower > q.lower and nextafter(q.usual_lower, -inf) != 0:
            assert remarked(q, sign * nextafter(q.usual_lower, -inf))
        if q.usual_upper < q.upper:
            assert remarked(q, sign * nextafter(q.usual_upper, inf))
    assert not remarked(q, nan)
    assert not remarked(q, inf)


def test_nothing_at_all_is_not_remarked_on_where_it_is_a_limit():
    assert not remarked(FROM_0, 0.0)
    assert remarked(FROM_0, 1.0)
    assert remarked(replace(LENGTH, lower=-1.0), 0.0)


@pytest.mark.parametrize(
    ("value", "hint"),
    [(0.01, "is it in metres?"), (0.02, "is it in metres?"), (0.009, ""), (0.021, ""), (101.0, "tenfold?"), (200.0, "tenfold?"), (201.0, "")],
)
def test_a_likely_mistake_is_named(value, hint):
    """Times a thousand, or a tenth, it would be 10 to 20 mm, which is usual."""
    text = complaint(LENGTH, value)
    assert text.startswith(f"x_mm = {value:g} mm: must be 1 to 100 mm")
    assert text.endswith(f"must be 1 to 100 mm{'; ' if hint else ''}{hint}")
    assert complaint(replace(SIGNED, mistakes=LENGTH.mistakes), -0.01).endswith("; is it in metres?")


def test_what_is_not_said_of_a_quantity_it_has_not():
    assert (LENGTH.step, LENGTH.by_magnitude, LENGTH.infinite, FROM_0.mistakes) == (0.0, False, False, ())


def test_words_of_limits():
    assert complaint(SIGNED, 0.0) == "x_mm = 0 mm: must be 1 to 100 mm in magnitude, or inf (plano); a flat surface is plano (inf), never 0"
    for value in (0.5, -0.5):
        assert complaint(SIGNED, value) == f"x_mm = {value} mm: must be 1 to 100 mm in magnitude, or inf (plano)"
    assert complaint(replace(LENGTH, unit=""), 0.0) == "x_mm = 0: must be 1 to 100"
    assert complaint(LENGTH, nan) == "x_mm is missing or not a number: must be 1 to 100 mm"
    assert remark(LENGTH, 50.0) == "x_mm = 50 mm: usual is 10 to 20"
    assert remark(LENGTH, 150.0) == "x_mm = 150 mm: usual is 10 to 20; tenfold?"
    assert complaint(LENGTH, 123.456789012345) == "x_mm = 123.456789012 mm: must be 1 to 100 mm; tenfold?"


@pytest.mark.parametrize("many", [1, 2, 1000, 1001, 5000])
@pytest.mark.parametrize("q", [LENGTH, SIGNED])
@pytest.mark.parametrize("bad", [0.999, 100.001, nan])
def test_a_column_is_refused_for_its_first_bad_row(many, q, bad):
    good = np.linspace(1.0, 100.0, many)
    assert within(q, good).tolist() == good.tolist()
    column = good.copy()
    column[many // 2] = column[-1] = bad
    with pytest.raises(InputError) as caught:
        within(q, column)
    row = many // 2 + 1
    assert (caught.value.row, caught.value.limits) == (row if many > 1 else None, (1.0, 100.0))
    assert str(caught.value).startswith(f"row {row}: x_mm" if many > 1 else "x_mm")
    with pytest.raises(InputError, match="another_mm"):
        within(q, column, "another_mm")


@pytest.mark.parametrize(
    ("text", "number"), [("1.49", 1.49), (" 1.49 ", 1.49), ("+2", 2.0), ("-.5e1", -5.0), ("3.", 3.0), ("nan", nan), ("NaN", nan)]
)
def test_a_number_in_a_text(text, number):
    assert number_in_text(LENGTH, text) == pytest.approx(number, nan_ok=True)


@pytest.mark.parametrize("text", ["1,49", "1_5", "١", "inf", "plano", "1e999", "", "0x10", "1 2"])
def test_what_is_no_number(text):
    with pytest.raises(InputError, match="is not a number: must be 1 to 100 mm") as caught:
        number_in_text(LENGTH, text)
    assert str(caught.value).endswith("write the decimals with a point") == ("," in text)
    assert caught.value.limits == (1.0, 100.0)


def test_plano_is_a_radius_of_infinity_and_nothing_else():
    assert [number_in_text(SIGNED, text) for text in ("plano", "inf", " Plano ")] == [inf] * 3
    assert within(SIGNED, "plano") == inf
    assert as_number("back_radius_mm", "plano") == inf
    for q, value in ((LENGTH, "plano"), (SIGNED, "flat"), (LENGTH, [1.0, "a"])):
        with pytest.raises(InputError, match="is not a number"):
            within(q, value)
    for value in ("plano", {}, ["a"], 1j):
        with pytest.raises(InputError, match="is not a number"):
            as_number("n_lens", value)
    assert np.isnan(as_number("n_lens", None))


@pytest.mark.parametrize("readings", [["1,49"], [1.49, "much"], {}, [1.49, {}], [[1.49], [1.49, 1.5]]])
def test_readings_that_are_none_are_told(readings):
    with pytest.raises(InputError, match="must be a list of numbers, decimals with a point") as caught:
        readings_of(readings)
    assert str(caught.value).startswith(f"readings = {readings!r}: ")


def test_arguments_are_broadcast_and_given_back_in_their_shape():
    a, shape = checked(n_lens=[[1.4], [1.5]], center_thickness_mm=[0.5, 0.9, 1.1])
    assert shape == (2, 3)
    assert a["n_lens"].tolist() == [1.4] * 3 + [1.5] * 3
    assert a["center_thickness_mm"].tolist() == [0.5, 0.9, 1.1] * 2
    assert given_back(a["n_lens"], shape).tolist() == [[1.4] * 3, [1.5] * 3]
    one, shape = checked(n_lens=1.49)
    assert (given_back(one["n_lens"], shape), type(given_back(one["n_lens"], shape))) == (1.49, float)
    with pytest.raises(InputError, match=r"columns of different lengths cannot be combined: n_lens \(2,\), abbe_d \(3,\)$"):
        checked(n_lens=[1.4, 1.5], abbe_d=[50.0, 51.0, 52.0], center_thickness_mm=0.9)
    with pytest.raises(InputError, match=r"^row 2: n_lens = 14\.9: must be 1 to 3"):
        checked(n_lens=[1.49, 14.9])


@given(st.sampled_from([*INPUTS, *QUESTIONS, *DESIGN]))
def test_a_standard_uncertainty_is_as_wide_as_its_quantity_and_has_a_digit_more(q):
    if q.name.startswith("u_"):
        return
    u = quantity(f"u_{q.name}")
    assert (u.lower, u.upper) == (0.0, q.upper if q.by_magnitude else q.upper - q.lower)
    assert (u.decimals, u.step) == (q.decimals + 1, q.step / 10)
    assert (u.usual_lower, u.usual_upper, u.by_magnitude, u.infinite, u.mistakes) == (0.0, inf, False, False, ())
    for name in (f"u{q.name}", f"u_{q.name}x", f"x_{q.name}"):
        with pytest.raises(UnknownNameError):
            quantity(name)
