"""Who reads a page reads labels: no key of a file or a command stands in an error, a remark, a label or a help, whatever is typed."""

import re

import pandas as pd
import pytest
from shown import DEMO, LENSES, page, uploaded
from test_reading_page import AT_ANOTHER_LINE, BY_WEIGHT, IN_ITS_OWN_WORDS, WITH_MEDIUM_READ, all_unfolded, edit, loaded

from lenscalc.chain.table import INPUT_COLUMNS
from lenscalc.demo import demo_text
from lenscalc.quantities.registry import INPUTS, QUESTIONS, RESULTS
from lenscalc.refractometer.schema import SCHEMA
from lenscalc.web.fields.page_words import in_page_words
from lenscalc.web.reading.sheet_told import sheet_told
from lenscalc.web.shell import PAGES
from lenscalc.web.table.batch_job import Job
from lenscalc.web.table.batch_results import rows_of
from lenscalc.web.table.table_editor import frame_of, heads

KEYS = {*INPUT_COLUMNS} | {q.name for q in (*INPUTS, *QUESTIONS, *RESULTS)} | {key for table in SCHEMA.values() for key in table}
KEYS = {name for key in KEYS for name in (key, f"u_{key}") if "_" in name}
WITH_A_JOB = {"a_sweep.py": {}, "a_file.py": {"besides": "Sharpness (MTF)"}, "worth_making.py": {"rank_limits": "Power, D"}}
WRONG = (None, 0.0, -1e6, 1e6, 2.0)
SHEETS = {
    "dry": (demo_text("copolymer_e.toml"), (None, 1e6)), "own words": (IN_ITS_OWN_WORDS, (None, 1e6)), "medium read": (WITH_MEDIUM_READ, (None,)),
    "by weight": (BY_WEIGHT, (None,)),
}  # fmt: skip


def keys_in(text):
    return [word for word in re.findall(r"\w+", str(text or "")) if word in KEYS] + re.findall(r"\[\[?[a-z]+[\].]", str(text or ""))


def said(at):
    """Every sentence that the page shows in a box, as an answer or as small print."""
    return [str(box.value) for kind in (at.error, at.warning, at.info, at.markdown, at.header) for box in kind]


def spoken(at):
    """What fields are called, and what is said of them on request."""
    fields = (at.number_input, at.slider, at.selectbox, at.radio, at.checkbox, at.text_input, at.date_input, at.multiselect, at.expander)
    return [str(text) for kind in fields for field in kind for text in (field.label, getattr(field, "help", ""))]


def assert_words(at, what):
    assert not at.exception, what
    assert [(text, found) for text in said(at) if (found := keys_in(text))] == [], what


@pytest.mark.parametrize("file", [file for file, _, _ in PAGES])
def test_labels_and_helps_are_in_words(file):
    at = page(file)
    if file == "one_reading.py":
        all_unfolded(at)
    assert [text for text in spoken(at) if keys_in(text)] == []
    assert_words(at, file)


@pytest.mark.parametrize("file", [file for file, _, _ in PAGES if file not in (*WITH_A_JOB, "one_reading.py")])
def test_a_wrong_number_is_told_by_the_label_of_its_field(file):
    at = page(file)
    for key, right in [(field.key, field.value) for field in at.number_input]:
        for wrong in WRONG:
            at.number_input(key=key).set_value(wrong).run()
            assert_words(at, (key, wrong))
            if key not in {field.key for field in at.number_input}:  # another choice has come of it
                break
        else:
            at.number_input(key=key).set_value(right)


@pytest.mark.parametrize("file", WITH_A_JOB)
def test_a_wrong_number_beside_a_table_is_told_by_the_label_of_its_field(file):
    at, told = page(file, **WITH_A_JOB[file]), 0
    for key, right in [(field.key, field.value) for field in at.number_input]:
        for wrong in (0.0, 1e6):
            at.number_input(key=key).set_value(wrong).run()
            assert_words(at, (key, wrong))
            told += len(at.error)
        at.number_input(key=key).set_value(right)
    assert told


@pytest.mark.parametrize("sheet", SHEETS)
def test_a_wrong_number_in_a_sheet_is_told_by_the_label_of_its_field(sheet):
    """Every field of the form, also those that are folded away, emptied and with a number that few quantities can have."""
    text, wrongs = SHEETS[sheet]
    at = all_unfolded(loaded(page("one_reading.py"), text))
    told = 0
    for key, right in [(field.key, field.value) for field in at.number_input]:
        for wrong in wrongs:
            if key not in {field.key for field in at.number_input}:  # what was typed elsewhere has taken it away
                continue
            at.number_input(key=key).set_value(wrong).run()
            assert_words(at, (key, wrong))
            told += bool(at.error)
        if key in {field.key for field in at.number_input}:
            at.number_input(key=key).set_value(right)
    assert told > 10


@pytest.mark.parametrize(
    ("table", "cells"),
    [
        ("readings", {"n": "14.9"}), ("readings", {"n": "1.4 9"}), ("readings", {"temperature_degC": "999"}), ("readings", {"wavelength_nm": "0.5"}),
        ("readings", {"wavelength_nm": "1"}), ("references", {"n": "what"}), ("references", {"u_certified": "7"}), ("references", {"kind": ""}),
        ("references", {"temperature_degC": ""}), ("prism", {"n_prism": "9"}), ("prism", {"u_n_prism": ""}), ("gauges", {"u_scale_relative": "7"}),
        ("how each was read", {"u_temperature_degC": "hot"}), ("how each was read", {"u_repeatability": "-1"}),
        ("how each was read", {"dof_repeatability": ""}),
    ],
)  # fmt: skip
def test_a_wrong_cell_is_told_by_the_head_of_its_column(table, cells):
    at = all_unfolded(loaded(page("one_reading.py"), AT_ANOTHER_LINE if table == "prism" else demo_text("copolymer_b.toml")))
    edit(at, table, edited={0: cells})
    assert at.error
    assert_words(at, cells)


def with_cells(name, texts):
    """The demo's table once for each text, with it in every cell of a column, which it may not have had."""
    frame = frame_of(DEMO)
    return pd.concat([frame.assign(**{name: text}) for text in texts]).to_csv(index=False)


@pytest.mark.parametrize("texts", [("abc", "-7", "0", "1e6", "1e-9", "wet"), ("",), ("14,9",)], ids=["numbers and words", "empty", "comma"])
@pytest.mark.parametrize("name", INPUT_COLUMNS)
def test_what_is_wrong_with_a_cell_of_a_table_is_told_by_the_head_of_its_column(name, texts):
    """What the batch says of a row, without the page around it: all that can stand in the column of problems and remarks."""
    told = told_of_rows(with_cells(name, texts))
    assert len(told) == 2 * 6 * len(texts)
    for row in told:
        assert keys_in(row) == []


def told_of_rows(text):
    job = Job("mine.csv", text.encode())
    assert job.state == "done", job.error
    found = rows_of(job.result, ["problem", "warning"])
    return [in_page_words(str(told)) for told in (*found["problem"], *found["warning"])]


def test_a_table_of_bad_rows_is_told_in_words_wherever_it_is_shown():
    rows = "A,abc,-15,0.9,1.49,wet,,20.0\nB,15,-15,0.9,1.49,dry,3,20.0\nC,0.015,-15,,1.49,,,90\n"
    heading = "candidate,front_radius_mm,back_radius_mm,center_thickness_mm,n_reading,index_state,u_abbe_d,labelled_power_D\n"
    at = uploaded("mine.csv", (heading + rows).encode())
    at.checkbox(key="all_columns").check().run()
    assert_words(at, "bad rows")
    told = at.table[0].value["problem or remark"]
    assert told["A"].startswith("Front radius = 'abc' is not a number")
    assert told["A"].count("tate of the index") == 1
    for shown in (*at.table, *at.dataframe):
        assert [cell for column in shown.value.columns for cell in shown.value[column] if isinstance(cell, str) and keys_in(cell)] == []


def test_a_file_that_is_refused_is_told_in_words():
    for text in ("a,b\n1,2\n", "candidate,front_radius\nA,15\n", LENSES.replace("n_lens", "n_lense")):
        at = uploaded("mine.csv", text.encode())
        assert at.error
        assert_words(at, text)


def test_a_head_says_its_key_once_at_the_end_of_its_help():
    for name, head in heads((*INPUT_COLUMNS, "note_own")).items():
        assert keys_in(head["label"]) == []
        assert keys_in(head["help"]) == [name for name in (name,) if name in KEYS]
        assert name == "note_own" or head["help"].endswith(f"; in a file: {name}")


@pytest.mark.parametrize(
    ("sentence", "told"),
    [
        ("[lens.back_radius_mm] value: back_radius_mm = 0 mm: must be 0.5 or more", "Back radius = 0 mm: must be 0.5 or more"),
        ("[calibration.reference 2] n: n_reading = 'x' is not a number", "reference 2: readings = 'x' is not a number"),
        ("[hydration] is given, but [specimen] state is dry", "what is said of the water is given, but “The specimen was read” is dry"),
        ("[medium] n is taken only where same_instrument = true",
         "“Its readings as shown” is taken only where “Read on the same refractometer” is ticked"),
        ("force it with across_glass_transition = true", "force it with “Carry it across the glass transition all the same” ticked"),
        ("provenance is missing at the top of the sheet", "“Where the numbers come from” is empty"),
        ("give a pooled u of one reading (u_repeatability)", "give a pooled u of one reading"),
        ("mine_own is no key of ours, nor is [nobody]", "mine_own is no key of ours, nor is [nobody]"),
    ],
)  # fmt: skip
def test_what_the_core_says_of_a_sheet_in_the_words_of_its_form(sentence, told):
    assert sheet_told(sentence) == told
