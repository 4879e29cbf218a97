"""A series as a spreadsheet saves it, and the column that was meant to count and is called otherwise."""

import pytest

from lenscalc.control import series_from_text
from lenscalc.errors import FEW, InputError


@pytest.mark.parametrize(
    "text", ["date,value,,\n2026-01-05,1.33,,\n2026-01-12,1.34,,\n,,,\n", ",,\r\ndate,value\r\n2026-01-05,1.33,\r\n2026-01-12,1.34, ,\r\n"]
)
def test_columns_and_lines_in_which_nothing_stands_are_none(text):
    s = series_from_text(text)
    assert (s.mean.tolist(), s.date, s.remarks) == ([1.33, 1.34], ("2026-01-05", "2026-01-12"), ())


def test_dates_under_another_name_are_not_lost_in_silence():
    (told,) = series_from_text("Datum,value,operator\n2026-01-12,1.33,h\n2026-01-05,1.34,h\n").remarks
    assert told == "no column is named date: the points stand in the order of the lines; passed over: Datum, operator"
    assert series_from_text("value\n1.33\n1.34\n").remarks == ()
    assert series_from_text("date,value,operator\n2026-01-05,1.33,h\n").remarks == ()


@pytest.mark.parametrize(
    "text", ["date;value;label\n2026-01-05;1,3330;a,b\n2026-01-12;1,4;\n", "date\tvalue\tlabel\n2026-01-05\t1.3330\ta,b\n2026-01-12\t1.4\t\n"]
)
def test_semicolons_tabs_and_decimal_commas_are_read(text):
    read = series_from_text(text)
    assert read.reading.tolist() == [1.333, 1.4]
    assert read.label == ("a,b", "")


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("Water checks,,\ndate,value,\n2026-01-05,1.33,\n", "has Water checks: name the column of the values; the line of names must be the first"),
        (f"{','.join(f'c{i}' for i in range(20))}\n{'1,' * 19}1\n", "c10, c11 and 8 more: name the column"),
        ("date,value\n2026-01-05,n/a\n", "line 2: value = 'n/a' is not a number; where there is no value, write nothing"),
        ("date,value\n2026-01-05,1.33 *\n", "line 2: value = '1.33 *' is not a number; write the number alone"),
        ("date,value\n2026-01-05,1.33,see below\n", "line 2 has 3 entries"),
    ],
)
def test_what_is_odd_is_told_with_what_to_do(text, told):
    with pytest.raises(InputError) as caught:
        series_from_text(text)
    assert told in str(caught.value)


@pytest.mark.parametrize(("columns", "more"), [(FEW, ""), (FEW + 1, " and 1 more")])
def test_a_missing_column_is_told_with_those_that_are_there(columns, more):
    with pytest.raises(InputError) as caught:
        series_from_text(f"{','.join(f'c{i}' for i in range(columns))}\n{'1,' * (columns - 1)}1\n")
    assert f", c{FEW - 1}{more}: name the column" in str(caught.value)
    assert caught.value.quantity == "value"
