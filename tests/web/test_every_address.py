"""Every scalar input of every page is in its address: all changed, the address taken and opened in a new session, every value compared.

What goes by file is not in an address: uploads and tables, the text of a pasted series, and the page of a reading, whose every field is a part of
the sheet that it saves.
"""

from datetime import date, timedelta

import pytest
from addressed import address_of, fields, is_addressed, opened
from shown import HOME

from lenscalc.demo import demo_sheets, demo_text
from lenscalc.records import open_store
from lenscalc.web.guarded import UNFORESEEN
from lenscalc.web.shell import PAGES

CHOICES = ("checkbox", "radio", "selectbox", "multiselect", "button_group")  # which other fields there are may hang on these
BY_FILE = {"series_text", "candidates_added_column"}  # a text that a file holds as well; a button that adds a column to a table
SHEET = ("sheet: ", "demo_sheet")  # the page of a reading: saved as its sheet

TEXTS = {"baseline_demo": "1:30", "value_center_thickness_mm": "0.8", "value_optic_diameter_mm": "7", "record": ""}  # a named record hides the list

# what opens the fields that a page has only then; the rest is found by changing every field that is there
OPENS = {
    "a_lens.py": ({"other_medium_behind": ["true"]},),
    "its_image.py": ({},),
    "in_three_media.py": ({"with_other_medium": ["true"]},),
    "an_eye.py": ({"eye_picture": ["the focus of each colour"]}, {"what_is_off": ["the place of the implant"]}),
    "a_file.py": ({"besides": ["Sharpness (MTF)"]},),
    "worth_making.py": ({"rank_limits": ["Power, D"]}, {"way_power_D": ["near a number"], "rank_source": ["those of the table of candidates"]}),
    "a_sweep.py": (
        {"sweep_of": ["Front radius, mm", "Index of the lens", "Back radius, mm", "Centre thickness, mm", "Optic diameter, mm"],
         "how_center_thickness_mm": ["a list"], "values_center_thickness_mm": ["0.8; 0.9; 1"]},
        {"how_front_radius_mm": ["from, to, so many points"]},
        {"how_n_lens": ["Latin hypercube"], "from_n_lens": ["1.45"], "to_n_lens": ["1.55"]},
    ),
    "moved.py": (
        {}, {"kind_of_chart": ["Weighted average (EWMA)"]}, {"kind_of_chart": ["Cumulative sum (CUSUM)"]}, {"series_from": ["the records"]},
        {"series_from": ["the records"], "series_of": ["an instrument's water checks"]},
    ),
}  # fmt: skip


@pytest.fixture(scope="module", autouse=True)
def records(kept):
    """All sheets of the demo, and one of them over and over, so that the list has pages."""
    with open_store(create=True, wait_s=10.0) as store:
        for name in demo_sheets():
            store.add_sheet(demo_text(name), name)
        for i in range(9):
            store.add_sheet(demo_text("copolymer_b.toml").replace("title =", f"# {i}\ntitle =", 1), f"again_{i}.toml")


def another(field):
    """A value that the field may have and has not."""
    value = field.value
    match field.type:
        case "checkbox":
            return not value
        case "number_input":
            return 1.0 if value is None else value + field.proto.step * (-1 if value >= 1 else 1)
        case "slider":
            return value + field.proto.step if value + field.proto.step <= field.max else value - field.proto.step
        case "text_input":
            return TEXTS.get(field.key, "1:3" if not value else f"{value}0" if "." in value else "-16")
        case "date_input":
            return (value or date(2026, 1, 1)) - timedelta(days=3)
        case "multiselect" | "button_group":
            return value[1:] or list(_options(field)[:1])
        case _:
            return next((o for o in _options(field) if o != _shown(field)), _shown(field))


def _options(field):
    return [getattr(o, "content", o) for o in field.options]


def _shown(field):
    return field.format_func(field.value) if getattr(field, "format_func", None) else field.value


def changed(at, which):
    """The page with every field of these kinds changed that it has, or that it gets on the way."""
    done = set()
    while left := [f for key, f in fields(at).items() if which(f) and key not in done | BY_FILE and not key.startswith(SHEET)]:
        field = min(left, key=lambda f: f.type == "select_slider")  # last: the test tool cannot hand on what one of numbers stands at
        assert is_addressed(field), f"{field.key} is not in the address"
        done.add(field.key)
        assert field.key == "record" or another(field) != field.value
        at = field.set_value(another(field)).run()
        assert not at.exception
        assert UNFORESEEN not in [e.value for e in at.error]
    return at


def values(at):
    return {key: field.value for key, field in fields(at).items()}


STARTS = [(file, start) for file, _, _ in PAGES for start in OPENS.get(file, ({},))]


@pytest.mark.parametrize(("file", "start"), STARTS, ids=[f"{file.removesuffix('.py')}-{i}" for i, (file, _) in enumerate(STARTS)])
def test_the_address_gives_every_field_back(file, start):
    at = opened(file, start)
    for which in (lambda f: f.type not in CHOICES, lambda f: f.type in CHOICES and f.key not in start):
        at = changed(at, which)
        stands = values(at)
        assert values(opened(file, address_of(at))) == stands, address_of(at)
    at.query_params.clear()  # as a browser does on the way to another page
    for other in ("what_for.py", file):  # and they outlive a visit there
        at = at.switch_page(str(HOME / "views" / other)).run()
    assert values(at) == stands
