"""What somebody wrote, wherever it can be written, stays text on every page: no sign of it is read as Markdown, without a browser.

Every free text of a sheet, of a table, of a record, of a series, of frozen limits, of a file's name and of an address holds signs of Markdown and of
HTML. Whatever of a page is read as Markdown is looked through: paragraphs, headings, boxes, tables, labels, helps, options of a radio.
"""

import io
import re
import tomllib

import pyarrow as pa
import pyarrow.parquet as pq
import pytest
import tomli_w
from addressed import opened
from shown import HOME, page

from lenscalc.control import as_toml, limits_from, series_from_text
from lenscalc.demo import WATER_CHECKS, demo_sheets, demo_text
from lenscalc.records import open_store
from lenscalc.refractometer import sheet_from_text
from lenscalc.web.guarded import UNFORESEEN
from lenscalc.web.shell import PAGES

HOSTILE = "![x](https://example.invalid/a.png) <b>b</b> $x$ :red[x] *y* `z` # h"
SIGNS = ("![x](", "<b>", "$x$", ":red[x]", "*y*", "`z`")
FILE_NAME = HOSTILE.replace("/", "")
LABELS = ("mounting", "session", "operator")
OWN = f"own {HOSTILE}"
HEAD = f"candidate,{OWN},front_radius_mm,back_radius_mm,center_thickness_mm,n_lens,u_n_lens,optic_diameter_mm,labelled_power_D\n"
ROWS = [f"{HOSTILE} {i},{i},{15 + i / 10},-15,0.9,{n},0.0003,6,20.5\n" for i, n in enumerate((1.49, 1.491, HOSTILE))]
TABLE = HEAD + "".join(ROWS)
SERIES = "date,value,id,note\n" + "".join(
    f"2026-01-{1 + i:02d},{1.333 + (i * 7 % 5) / 1e5 + (i > 26) / 1e3},{HOSTILE} {i},{HOSTILE}\n" for i in range(28)
)


def hostile_sheet(name):
    """The sheet with the text in every key that takes any text."""
    tables = tomllib.loads(demo_text(name))
    specimen = dict.fromkeys(("material", "lot", "name", "preparation", "equilibration_liquid"), HOSTILE)
    tables |= {"title": HOSTILE, "provenance": HOSTILE, "specimen": tables["specimen"] | specimen}
    tables["instrument"] |= {"name": HOSTILE}
    if "no_contact_liquid_because" in tables["instrument"]:
        tables["instrument"]["no_contact_liquid_because"] = HOSTILE
    for i, reference in enumerate(tables.get("calibration", {}).get("reference", [])):
        reference["name"] = f"{HOSTILE} {i}"
    for reading in tables["reading"]:
        reading |= {key: [HOSTILE if i % 2 else f"{HOSTILE} 2" for i in range(len(reading["n"]))] for key in LABELS if key in reading}
    tables["medium"] = {
        "name": HOSTILE, "n_measured_medium": 1.3361, "u_n_measured_medium": 1e-4, "wavelength_nm": 546.07, "temperature_degC": 35.0, "basis": "air",
    }  # fmt: skip
    tables["lens"] |= {"tolerance_D": 0.3, "tolerance_from": HOSTILE, "gauge": {HOSTILE: {"u_scale_relative": 1e-4}}}
    for name in ("front_radius_mm", "back_radius_mm", "center_thickness_mm"):
        tables["lens"][name]["instrument"] = HOSTILE
    text = tomli_w.dumps(tables)
    sheet_from_text(text, "hostile")  # or it would show nothing
    return text


def texts(at):
    """Everything on the page that is read as Markdown."""
    found = []
    for element in _below(at._tree):
        proto = getattr(element, "proto", None)
        if element.type == "code" or proto is None:
            continue
        for field in ("body", "label", "help", "text", "placeholder"):
            found.append(str(getattr(proto, field, "") or ""))
        if element.type in ("radio", "button_group"):
            found += [str(getattr(o, "content", o)) for o in element.options]
        if element.type in ("arrow_table", "table"):
            frame = element.value.reset_index()
            found += [str(cell) for cell in (*frame.columns, *frame.to_numpy().ravel())]
    return found


def _below(node):
    for child in getattr(node, "children", {}).values():
        yield child
        yield from _below(child)


def quiet(at):
    """No sign of what somebody wrote is left to be read; what is written of it is."""
    assert not at.exception
    assert UNFORESEEN not in [e.value for e in at.error]
    for text in texts(at):
        bare = re.sub(r"\\.", "", text)
        assert not [sign for sign in SIGNS if sign in bare], text
    return at


def is_there(at):
    return any("example.invalid" in text for text in texts(at))


@pytest.fixture(scope="module", autouse=True)
def records(kept):
    with open_store(create=True, wait_s=10.0) as store:
        for name in ("copolymer_b.toml", "pmma_published.toml"):
            store.add_sheet(hostile_sheet(name), FILE_NAME)
        old = store.add_sheet(demo_text("copolymer_e.toml"), "e.toml")
        store.add_sheet(hostile_sheet("copolymer_e.toml"), FILE_NAME, supersedes=old.hash, because=HOSTILE)


@pytest.mark.parametrize("name", demo_sheets())
def test_a_sheet(name):
    at = page("one_reading.py")
    at.file_uploader(key="upload_sheet").set_value((f"{FILE_NAME}.toml", hostile_sheet(name).encode(), "application/toml")).run()
    assert is_there(quiet(at))
    at.file_uploader(key="upload_sheet").set_value((f"{FILE_NAME}.toml", f"[{HOSTILE}".encode(), "application/toml")).run()
    assert is_there(quiet(at))


def test_a_kept_sheet():
    at = page("one_reading.py")
    at.file_uploader(key="upload_sheet").set_value((f"{FILE_NAME}.toml", hostile_sheet("copolymer_b.toml").encode(), "application/toml")).run()
    at.button[-1].click().run()
    quiet(at)


def test_candidates_and_their_ranking():
    at = page("a_file.py")
    at.file_uploader(key="upload_candidates").set_value((f"{FILE_NAME}.csv", TABLE.encode(), "text/csv")).run()
    assert is_there(quiet(at))
    at.checkbox(key="only_problems").check().run()
    at.checkbox(key="all_columns").check().run()
    quiet(at)
    assert is_there(quiet(at.switch_page(str(HOME / "views" / "worth_making.py")).run()))


def test_a_ranking_by_a_column_of_ones_own():
    out = io.BytesIO()
    names = [f"{HOSTILE} {i}" for i in range(3)]
    pq.write_table(pa.table({"candidate": names, "power_D": [19.9, 20.0, 20.4], "u_power_D": [0.1] * 3, OWN: [1.0, 2.0, 3.0]}), out)
    at = page("worth_making.py", rank_source="a file of results")
    at.file_uploader(key="upload_results").set_value((f"{FILE_NAME}.parquet", out.getvalue(), "application/octet-stream")).run()
    at.multiselect(key="rank_by").set_value(["power_D", "u_power_D", OWN]).run()
    at.multiselect(key="rank_limits").set_value([OWN]).run()
    at.selectbox(key=f"way_{OWN}").select("near a number").run()
    assert is_there(quiet(at))
    at.number_input(key=f"near_{OWN}").set_value(1.0).run()
    assert is_there(quiet(at))


@pytest.mark.parametrize("data", [TABLE.encode(), f"candidate,{HOSTILE}\n1\n".encode(), b"\xff\xfe"])
def test_files_of_that_name(data):
    for file, key, ending in (
        ("a_file.py", "upload_candidates", "csv"), ("a_sweep.py", "upload_sweep", "toml"), ("moved.py", "series_file", "csv"),
        ("moved.py", "frozen_file", "toml"), ("a_lens.py", "take_lens", "csv"), ("its_image.py", "take_image", "csv"),
    ):  # fmt: skip
        at = page(file)
        at.file_uploader(key=key).set_value((f"{FILE_NAME}.{ending}", data, "text/plain")).run()
        quiet(at)
    at = page("worth_making.py", rank_source="a file of results")
    at.file_uploader(key="upload_results").set_value((f"{FILE_NAME}.csv", data, "text/csv")).run()
    quiet(at)


def test_a_sweep_with_labels():
    at = page("a_sweep.py", sweep_of="candidate")
    at.text_input(key="value_candidate").set_value(HOSTILE).run()
    quiet(at)
    at = opened("a_sweep.py", {"sweep_of": ["candidate", "Front radius, mm"], "how_candidate": ["a list"], "values_candidate": [f"{HOSTILE}; B"]})
    quiet(at)
    quiet(opened("a_sweep.py", {"value_back_radius_mm": [HOSTILE]}))


def test_a_series_and_frozen_limits():
    at = page("moved.py")
    at.text_area(key="series_text").set_value(SERIES).run()
    quiet(at)
    limits = as_toml(limits_from(series_from_text(demo_text(WATER_CHECKS)), kind="individuals", baseline=25))
    hostile = re.sub(r'^(made_by|first|last) = .*$', lambda found: f"{found[1]} = '{HOSTILE}'", limits, flags=re.MULTILINE)
    at.file_uploader(key="frozen_file").set_value((f"{FILE_NAME}.toml", hostile.encode(), "application/toml")).run()
    assert is_there(quiet(at))


def test_records_and_their_chart():
    for at in (page("what_is_kept.py"), page("what_is_kept.py", kept_superseded="true")):
        assert is_there(quiet(at))
    quiet(page("moved.py", series_from="the records"))
    at = page("what_is_kept.py", kept_material=HOSTILE)
    quiet(at)
    for button in range(len(at.button)):
        at.button[button].click().run()
        quiet(at)


@pytest.mark.parametrize("file", [file for file, _, _ in PAGES])
def test_every_field_of_an_address(file):
    at = opened(file, {})
    names = [*at.session_state["fields of this run"]]
    assert is_there(quiet(opened(file, {HOSTILE: [HOSTILE], **{name: [HOSTILE] for name in names}})))
