"""Readings of the demo give way to a paste of one's own, and can be put back; of somebody's own sheet none does."""

import pytest
from shown import words
from test_reading_page import edit, own, page, sheet_now

from lenscalc.web.reading.given_way import given_way
from lenscalc.web.reading.readings_form import BACK

DEMO = [1.4902, 1.4904, 1.4903, 1.4901, 1.4904]
ROWS = [{"wavelength_nm": "589.29", "temperature_degC": "20", "n": str(n)} for n in DEMO]
THREE = ["1.4926", "1.4924", "1.4925"]


def n_of(rows):
    return [row["n"] for row in rows]


def pasted(first):
    """The rows after three were pasted from this one on."""
    rows = [dict(row) for row in ROWS] + [{} for _ in range(max(0, first + 3 - len(ROWS)))]
    for i, text in enumerate(THREE, first):
        rows[i]["n"] = text
    return rows


@pytest.mark.parametrize("first", range(6))
def test_the_rest_gives_way_wherever_the_paste_begins(first):
    found = given_way(ROWS, pasted(first), DEMO)
    assert n_of(found.rows) == THREE
    assert n_of(found.taken_out) == [str(n) for i, n in enumerate(DEMO) if i not in range(first, first + 3)]
    assert {(row["wavelength_nm"], row["temperature_degC"]) for row in found.rows} == {("589.29", "20")}


def test_one_reading_may_be_typed_and_takes_nothing_out():
    assert given_way(ROWS, [{**ROWS[0], "n": "1.4926"}, *ROWS[1:]], DEMO) is None


def test_rows_that_are_taken_out_are_no_paste():
    assert given_way(ROWS, ROWS[3:], DEMO) is None
    assert given_way(ROWS, [{"n": "1.4926"}, {"n": "1.4924"}], DEMO) is None


def test_what_was_typed_before_stays():
    typed = [{**ROWS[0], "n": "1.4999"}, *ROWS[1:]]
    found = given_way(typed, [typed[0], *({**row, "n": n} for row, n in zip(ROWS[1:3], THREE, strict=False)), *ROWS[3:]], DEMO)
    assert n_of(found.rows) == ["1.4999", *THREE[:2]]


def test_readings_at_another_line_stay():
    blue = [{**row, "wavelength_nm": "486.13"} for row in ROWS[:2]]
    found = given_way([*ROWS, *blue], [*pasted(0), *blue], DEMO)
    assert n_of(found.taken_out) == n_of(ROWS[3:])
    assert found.rows[3:] == blue


def test_of_ones_own_sheet_only_the_places_are_filled_in():
    found = given_way(ROWS, pasted(5), [])
    assert found.taken_out == []
    assert found.rows[5:] == [{"wavelength_nm": "589.29", "temperature_degC": "20", "n": n} for n in THREE]
    assert given_way(ROWS, pasted(0), []) is None


def test_the_page_says_which_gave_way_and_puts_them_back():
    at = edit(page(), "readings", edited={i: {"n": n} for i, n in enumerate(THREE)})
    assert not at.error
    assert sheet_now(at)["reading"][0]["n"] == [float(n) for n in THREE]
    assert "The demo's other readings (1.4901, 1.4904) gave way to yours." in words(at)
    next(b for b in at.button if b.label == BACK).click().run()
    assert sheet_now(at)["reading"][0]["n"] == [*(float(n) for n in THREE), 1.4901, 1.4904]
    assert BACK not in [b.label for b in at.button]


def test_rows_pasted_into_an_open_cell_take_the_place_of_the_demos():
    at = edit(page(), "readings", edited={0: {"n": "\n".join(THREE)}})
    assert sheet_now(at)["reading"][0]["n"] == [float(n) for n in THREE]
    assert "The demo's other readings (1.4904, 1.4903, 1.4901, 1.4904) gave way to yours." in words(at)


def test_another_sheet_forgets_what_gave_way():
    at = edit(page(), "readings", edited={i: {"n": n} for i, n in enumerate(THREE)})
    at.selectbox(key="demo_sheet").set_value("copolymer_e.toml").run()
    assert BACK not in [b.label for b in at.button]


def test_of_somebodys_own_sheet_nothing_gives_way():
    at = edit(own(), "readings", edited={i: {"n": n} for i, n in enumerate(THREE)})
    assert sheet_now(at)["reading"][0]["n"] == [*(float(n) for n in THREE), 1.4901, 1.4904]
    assert BACK not in [b.label for b in at.button]
