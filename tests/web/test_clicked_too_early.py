"""Somebody clicks while a page is still being drawn: the framework then throws away what it has not sent yet, and no value may be lost by it.

A browser shows a field with the value that it is told, or, told none, with the field's default, and says with its every word to the server what its
fields show. So a page that is run again for a browser which heard nothing of the first run must tell it every value that is no default.
"""

import pytest
from addressed import address_of, fields, is_addressed, opened
from shown import HOME
from streamlit.proto.WidgetStates_pb2 import WidgetStates
from streamlit.testing.v1 import AppTest
from test_every_address import another
from test_reading_page import SHEETS, all_unfolded, loaded, sheet_now
from test_reading_page import page as reading

from lenscalc.web.shell import PAGES

MANY = 12  # fields of a sheet that hold something, at least


def shown_at_first(field):
    """What a browser shows in a field of which it hears for the first time, as far as it is a number, a text, a tick or one of a list."""
    told, kind = field.proto, field.type
    if told.set_value:
        return field.value
    match kind:
        case "number_input":
            return told.default if told.HasField("default") else None
        case "slider":
            return told.default[0]
        case "selectbox" | "radio" if told.HasField("default"):
            return field.value if field.index == told.default else field.options[told.default]
        case "selectbox":
            return None
        case _:
            return told.default


def not_heard_of(at):
    """Fields with what a browser that heard nothing of the first run shows, and what the session holds in them."""
    at._run(WidgetStates())  # with no word of what its fields show
    assert not at.exception
    found = {key: f for key, f in fields(at).items() if f.type in ("number_input", "text_input", "checkbox", "slider", "selectbox", "radio")}
    return {key: (shown_at_first(f), f.value) for key, f in found.items()}


@pytest.mark.parametrize("name", ["copolymer_c.toml", "copolymer_e.toml", "at another line", "in its own words", "medium read"])
def test_a_sheet_keeps_what_it_says(name):
    at = all_unfolded(loaded(reading(), SHEETS[name]))
    before = sheet_now(at)
    found = not_heard_of(at)
    assert sum(held not in (None, "", False) for _, held in found.values()) > MANY
    assert {key: both for key, both in found.items() if both[0] != both[1]} == {}
    assert sheet_now(at) == before


@pytest.mark.parametrize("file", [file for file, _, path in PAGES if path not in ("", "one_reading", "kept", "how_we_know")])
def test_a_link_keeps_its_values(file):
    at = AppTest.from_file(str(HOME / "entry.py"), default_timeout=600).run().switch_page(str(HOME / "views" / file)).run()
    moved = {key: another(f) for key, f in fields(at).items() if is_addressed(f) and f.type in ("number_input", "slider")}
    for key, value in moved.items():
        fields(at)[key].set_value(value)
    address = address_of(at.run())
    found = not_heard_of(opened(file, address))
    assert {key for key in moved if key in found and found[key][1] == moved[key]} or not moved
    assert {key: both for key, both in found.items() if both[0] != both[1]} == {}
