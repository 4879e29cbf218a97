"""A series from lists and from a file: order, groups, and a sentence for whatever is odd."""

from datetime import date, datetime

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lenscalc.control import baseline_points, read_series, series, series_from_text
from lenscalc.errors import FileError, InputError, UnknownNameError

WEEKS = ["2026-01-05", "2026-01-12", "2026-01-19", "2026-01-26"]


def test_dates_are_put_in_order_and_that_is_said():
    s = series([3.0, 1.0, 2.0], date=[date(2026, 1, 19), "2026-01-05", datetime(2026, 1, 12, 9, 30)], id=["c", "a", "b"], label=["C", "A", "B"])
    assert s.mean.tolist() == [1.0, 2.0, 3.0]
    assert s.date == ("2026-01-05", "2026-01-12T09:30:00", "2026-01-19")
    assert (s.id, s.label) == (("a", "b", "c"), ("A", "B", "C"))
    assert "not in order" in s.remarks[0]


def test_the_order_is_that_of_the_moments_not_of_their_texts():
    """Nine at two hours east of Greenwich is seven there, an hour before eight."""
    s = series([1.0, 2.0], date=["2026-01-05T08:00+00:00", "2026-01-05T09:00+02:00"])
    assert s.mean.tolist() == [2.0, 1.0]


@given(st.permutations(range(12)))
def test_the_order_of_the_rows_does_not_matter(order):
    dates = [f"2026-01-{d + 1:02d}" for d in range(12)]
    value = np.linspace(1.0, 2.0, 12)
    s = series([value[i] for i in order], date=[dates[i] for i in order])
    assert s.mean.tolist() == value.tolist()
    assert s.date == tuple(dates)


def test_a_group_makes_one_point_wherever_its_rows_stand():
    days = ["2026-01-05", "2026-01-12", "2026-01-05", "2026-01-12", "2026-01-12"]
    s = series([1.0, 5.0, 3.0, 7.0, 9.0], group=["a", "b", "a", "b", "b"], date=days)
    assert s.mean.tolist() == [2.0, 7.0]
    assert s.size.tolist() == [2, 3]
    assert s.label == ("a", "b")
    assert s.remarks == ()


def test_a_group_is_of_the_baseline_when_all_its_readings_are():
    s = series([1.0, 2.0, 3.0, 4.0], group=["a", "a", "b", "b"], baseline=[True, True, True, False])
    assert s.baseline.tolist() == [True, False]
    with pytest.raises(InputError, match="no group has all its readings marked"):
        series([1.0, 2.0], group=["a", "a"], baseline=[True, False])


def test_what_shares_a_date_is_told():
    s = series([1.0, 1.0, 2.0], date=["2026-01-05", "2026-01-05", "2026-01-05"])
    assert "values that share a date with another: 2" in s.remarks[0]
    assert "rows that repeat both date and value of another: 1" in s.remarks[1]


@pytest.mark.parametrize(
    ("value", "more", "told"),
    [
        ([], {}, "no values"),
        ([1.0, float("nan")], {}, "row 2: value = nan: must be a finite number"),
        ([1.0, float("inf")], {}, "row 2: value = inf: must be a finite number; leave the row out if nothing was read"),
        ([1.0, "1.33"], {}, "row 2: value = '1.33' is not a number"),
        ([1.0, None], {}, "row 2: value = None is not a number"),
        ([1.0, 10**400], {}, "row 2: value is a whole number too large for any measurement"),
        ([1.0, -(10**5000)], {}, "row 2: value is a whole number too large for any measurement"),
        ([1.0, 1e200], {}, "row 2: value = 1e+200: must be within ±1e+100"),
        ([True, 1.0], {}, "row 1: value = True is not a number"),
        ([[1.0], [2.0]], {}, "is not a number"),
        ([1.0, 2.0], {"date": ["2026-01-05", "soon"]}, "row 2: date = 'soon' is not a date; write it as 2026-03-31"),
        ([1.0, 2.0], {"date": ["2026-01-05", float("nan")]}, "row 2: date is missing"),
        ([1.0, 2.0], {"date": ["2026-01-05", ""]}, "row 2: date is missing"),
        ([1.0, 2.0], {"date": ["2026-01-05"]}, "lists of one length, not 1 and 2"),
        ([1.0, 2.0], {"id": ["a", "a"]}, "id 'a' comes twice"),
        ([1.0, 2.0], {"group": ["a", " "]}, "row 2: group is empty"),
    ],
)
def test_odd_lists_are_told_in_a_sentence(value, more, told):
    with pytest.raises(InputError, match=r"^[^\n]*$") as caught:
        series(value, **more)
    assert told in str(caught.value)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "no values"),
        ("date,value\n", "no values"),
        ("date;value\n2026-01-05;1,33\n2026-01-12;1.33\n", "both '1,33' and '1.33' stand for numbers: write the decimals of all numbers with"),
        ("date;value\n2026-01-05;1,333\n", "'1,333' may have a decimal comma or a comma between thousands: write the decimals"),
        ("date,valu\n2026-01-05,1.33\n", "there is no column 'value'"),
        ("date,value,grop\n2026-01-05,1.33,a\n", "did you mean group?"),
        ("date,value\n2026-01-05,1,33299\n", "line 2 has 3 entries"),
        ("date,value\n2026-01-05,about 1.33\n", "line 2: value = 'about 1.33' is not a number"),
        ("date,value\n2026-01-05,\n", "line 2: value is empty"),
        ("date,value\n2026-01-05,nan\n", "line 2: value = nan: must be a finite number"),
        ("date,value\n2026-01-05,1_5\n", "line 2: value = '1_5' is not a number"),
        ("date,value\n\n2026-01-05,1.5\n2026-13-05,1.5\n", "line 4: date = '2026-13-05' is not a date"),
        ("date,value,baseline\n2026-01-05,1.5,perhaps\n", "line 2: baseline = 'perhaps': must be yes"),
        ("value,value\n1,2\n", "column 'value' comes twice"),
    ],
)
def test_odd_files_are_told_with_line_and_column(text, told):
    with pytest.raises(InputError) as caught:
        series_from_text(text)
    assert told in str(caught.value)


def test_another_column_and_one_that_takes_no_part():
    s = series_from_text("date,n,operator\n2026-01-05,1.33299,h\n2026-01-12,1.33301,k\n", value="n")
    assert s.mean.tolist() == [1.33299, 1.33301]
    with pytest.raises(UnknownNameError, match="did you mean baseline"):
        series_from_text("date,value,base_line\n2026-01-05,1.3,yes\n")


def test_a_file_is_named_in_the_message(tmp_path):
    path = tmp_path / "checks.csv"
    path.write_text("date,value\n2026-01-05,x\n", encoding="utf-8")
    with pytest.raises(InputError, match=r"checks\.csv: line 2: value = 'x'"):
        read_series(path)
    with pytest.raises(FileError, match=r"nowhere\.csv"):
        read_series(tmp_path / "nowhere.csv")


@pytest.mark.parametrize(
    ("baseline", "first_and_last"),
    [(3, (1, 3)), (1, (1, 1)), ("2:2", (2, 2)), ("3", (1, 3)), ("2:3", (2, 3)), (":2", (1, 2)), ("3:", (3, 4)), ("2026-01-06:2026-01-19", (2, 3)),
     ("2026-01-06:2026-01-18", (2, 2)), (":2026-01-12", (1, 2)),
     ("2026-01-12T00:00:2026-01-18T23:59", (2, 2)),
     ("2026-01-12T00:00:2026-01-19T12:00", (2, 3)), ([False, True, True, False], (2, 3)), (None, (1, 4))],
)  # fmt: skip
def test_a_baseline_by_number_stretch_date_or_mark(baseline, first_and_last):
    found = np.flatnonzero(baseline_points(series([1.0, 2.0, 3.0, 4.0], date=WEEKS), baseline)) + 1
    assert (found[0], found[-1]) == first_and_last


@pytest.mark.parametrize(
    ("baseline", "told"),
    [(5, "has 4 points so far, not 5; name a shorter stretch"), (0, "from a point to a later one"), ("3:2", "from a point to a later one"),
     ("2:5", "has 4 points so far, not 5"), ("", "names no stretch"), ("9" * 5000, "names no stretch"), ("1:" + "9" * 5000, "names no stretch"),
     ("0" * 98 + "10", "has 4 points so far, not 10"), ("0" * 99 + "10", "names no stretch"),
     ("half", "names no stretch"), ("0:2", "from a point to a later one"), ([1, 0, 1, 1], "a truth value for each of the 4 points"),
     (np.array(WEEKS, dtype="datetime64[D]"), "a truth value for each of the 4 points"),
     ("2027-01-01:2027-02-01", "no point lies there; the series runs from 2026-01-05 to 2026-01-26"),
     ([True], "a truth value for each of the 4 points"), ([True] * 5, "for each of the 4 points"), ([False] * 4, "no point is marked")],
)  # fmt: skip
def test_a_baseline_that_is_none(baseline, told):
    with pytest.raises(InputError, match=told):
        baseline_points(series([1.0, 2.0, 3.0, 4.0], date=WEEKS), baseline)
    with pytest.raises(InputError, match="the series has no dates"):
        baseline_points(series([1.0, 2.0]), "2026-01-01:")


def test_a_series_of_one_point_has_no_baseline_yet():
    with pytest.raises(InputError, match="baseline = 25: the series has 1 point so far, not 25; limits need two points at least"):
        baseline_points(series([1.4901]), 25)


def test_columns_of_a_table_with_an_index_of_its_own():
    table = pd.DataFrame({"n": [2.0, 1.0], "day": pd.to_datetime(["2026-01-12", "2026-01-05"]), "lot": ["b", "a"]}, index=[7, 3])
    s = series(table["n"], date=table["day"], label=table["lot"], id=table["lot"], baseline=table["n"] > 0)
    assert (s.mean.tolist(), s.date, s.label) == ([1.0, 2.0], ("2026-01-05", "2026-01-12"), ("a", "b"))
    with pytest.raises(InputError, match="row 1: date is missing"):
        series(table["n"], date=pd.to_datetime(pd.Series([None, "2026-01-05"])))


def test_a_stretch_of_dates_needs_dates_in_a_series_of_one_too():
    with pytest.raises(InputError, match="the series has no dates"):
        baseline_points(series([1.0, 2.0, 3.0]), "2026-01-01:2026-02-01")
    dated = series([1.0], date=["2026-01-05"])
    assert baseline_points(dated, "2026-01-01:2026-02-01").tolist() == [True]


@pytest.mark.parametrize("text", ["value\n", "\n\n", "date,value\n\n"])
def test_a_line_of_names_alone_has_no_values(text):
    with pytest.raises(InputError, match="no values"):
        series_from_text(text)


@pytest.mark.parametrize(("row", "hint"), [("2026-01-02,1,33", True), ("2026-01-02", False)])
def test_a_decimal_comma_is_asked_about_where_there_is_one_entry_too_many(row, hint):
    with pytest.raises(InputError, match="line 3 has") as found:
        series_from_text(f"date,value\n2026-01-01,1.33\n{row}\n")
    assert ("decimal comma" in str(found.value)) == hint


def test_a_day_is_meant_whole_and_a_moment_is_one():
    hours = series([1.0, 2.0, 3.0], date=["2026-01-01T08:00", "2026-01-01T20:00", "2026-01-02T08:00"])
    assert baseline_points(hours, "2026-01-01:2026-01-01").tolist() == [True, True, False]
    assert baseline_points(hours, "2026-01-01:2026-01-01T08:00").tolist() == [True, False, False]


def test_a_stretch_that_is_not_there_yet_says_what_to_do():
    for values, do in (([1.0], "limits need two points at least"), ([1.0, 2.0], "name a shorter stretch")):
        with pytest.raises(InputError, match=do):
            baseline_points(series(values), "1:5")


@pytest.mark.parametrize(("cell", "hint"), [("1;5", False), ('"1,5"', True)])
def test_a_comma_in_a_number_is_asked_about(cell, hint):
    with pytest.raises(InputError, match="is not a number") as found:
        series_from_text(f"date,value\n2026-01-01,{cell}\n")
    assert str(found.value).endswith("write the decimals with a point") == hint


def test_dates_of_an_array_are_written_as_dates():
    days = np.array(["2026-01-05", "2026-01-12"], dtype="datetime64[D]")
    assert series([1.0, 2.0], date=days).date == ("2026-01-05", "2026-01-12")
    assert series([1.0, 2.0], date=days.astype("datetime64[ns]")).date == ("2026-01-05", "2026-01-12")
    assert series([1.0, 2.0], date=[20260105, 20260112]).date == ("2026-01-05", "2026-01-12")


@pytest.mark.parametrize("one", [1.5, 3, np.float32(1.5), np.array(1.5)])
def test_one_number_of_any_type_is_a_series_of_one(one):
    assert series(one).mean.tolist() == [float(one)]


def test_what_is_no_list_and_no_moment_is_told():
    with pytest.raises(InputError, match="row 1: value = None is not a number"):
        series(None)
    with pytest.raises(InputError, match=r"row 1: date = .* is not a date"):
        series([1.0], date=["0001-01-01T00:00+10:00"])


@pytest.mark.parametrize("wrong", ["x", float("inf"), -1.1e100])
def test_the_row_that_cannot_be_read_is_told(wrong):
    with pytest.raises(InputError) as refused:
        series([1.0, wrong, 2.0])
    assert refused.value.row == 2


@pytest.mark.parametrize("missing", [None, float("nan"), pd.NA, pd.NaT, " "])
def test_what_a_table_marks_as_missing_is_nothing(missing):
    """Two without an id are no copies, and two without a group are not one."""
    s = series([1.0, 2.0, 3.0], label=["a", missing, missing], id=["x", missing, missing])
    assert (s.label, s.id) == (("a", "", ""), ("x", "", ""))
    with pytest.raises(InputError, match="row 2: group is empty"):
        series([1.0, 2.0, 3.0], group=["a", missing, missing])
    with pytest.raises(InputError, match="row 2: date is missing: give every value its date, or none"):
        series([1.0, 2.0], date=["2026-01-05", missing])
    if not isinstance(missing, str):
        assert series([1.0, 2.0, 3.0], baseline=[True, missing, False]).baseline.tolist() == [True, False, False]


@pytest.mark.parametrize(
    "values",
    [np.array([True, False]), [np.True_, 1.0], [b"1.33", 1.0], np.array(["2026-01-05"], dtype="datetime64[D]"), np.array([5], "timedelta64[s]")],
)
def test_what_numpy_would_make_a_number_of_is_none(values):
    with pytest.raises(InputError, match=r"^row 1: value = .* is not a number$"):
        series(values)


def test_of_two_odd_values_the_first_is_told_and_the_largest_is_not_odd():
    with pytest.raises(InputError, match="row 2: value = nan: must be a finite number"):
        series([1e100, float("nan"), 1e101])


def test_what_is_as_large_as_may_be_is_a_reading():
    assert series([1e100, -1e100]).points == 2
