"""The pages without a browser: every page draws, a changed field changes the answer, wrong input is told in one line."""

import tomllib
from pathlib import Path

import pytest
import tomli_w
from streamlit.testing.v1 import AppTest

import lenscalc.web
from lenscalc.batch import csv_text
from lenscalc.chain import follow
from lenscalc.demo import demo_text
from lenscalc.refractometer import sheet_from_data, sheet_from_text
from lenscalc.uncertainty import with_u
from lenscalc.web.candidates_table import evaluated, in_short
from lenscalc.web.sheet_tables import found, in_use, put
from lenscalc.web.shell import PAGES

HOME = Path(lenscalc.web.__file__).parent



def page(file):
    at = AppTest.from_file(str(HOME / "entry.py"), default_timeout=30).run()
    return at.switch_page(str(HOME / "views" / file)).run() if file != PAGES[0][0] else at


def words(at):
    return "\n".join(str(m.value) for m in at.markdown)


@pytest.mark.parametrize("file", [file for file, _, _ in PAGES])
def test_every_page_draws_and_carries_the_caution(file):
    at = page(file)
    assert not at.exception
    assert not at.error
    assert at.title[0].value == next(title for f, title, _ in PAGES if f == file)
    assert any("not a medical device" in w.value.lower() and "does not choose an implant" in w.value for w in at.warning)


def test_figures_are_those_of_the_chain():
    followed = follow(sheet_from_text(demo_text("copolymer_c.toml")))
    columns = followed.evaluation.columns
    text = words(page("one_reading.py"))
    assert with_u(float(columns["power_D"][0]), float(columns["u_power_D"][0]), "D") in text
    assert with_u(float(followed.index.n.value[0]), float(followed.index.n.u[0])) in text
    assert str(columns["verdict"][0]) in text
    assert "invented" in text
    assert "Changed here" not in text


def test_a_reading_changes_power_and_decision():
    at = page("one_reading.py")
    before = words(at)
    assert "would conform" in before
    at.text_area(key="sheet: reading.0.n").set_value("1.4990\n1.4992\n1.4991").run()
    assert not at.exception
    sheet = tomllib.loads(demo_text("copolymer_c.toml"))
    sheet["reading"][0]["n"] = [1.4990, 1.4992, 1.4991]
    columns = follow(sheet_from_data(sheet)).evaluation.columns
    after = words(at)
    assert with_u(float(columns["power_D"][0]), float(columns["u_power_D"][0]), "D") in after
    assert "would not conform if cut to these dimensions" in after
    assert "✔" not in after
    assert "Changed here since it was loaded" in after


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("1,4902 1,4904", "write the decimals with a point"),
        ("about 1.49", "is not a number"),
        ("", "n_reading is missing"),
        ("14.902\n14.904", "one place off"),
        ("1.4902", "one reading, which has no spread"),
    ],
)
def test_wrong_readings_are_told_in_one_line_and_can_be_mended(text, told):
    at = page("one_reading.py")
    at.text_area(key="sheet: reading.0.n").set_value(text).run()
    assert not at.exception
    assert len(at.error) == 1
    assert told in at.error[0].value
    assert "\n" not in at.error[0].value
    assert "20.419" not in words(at)
    at.text_area(key="sheet: reading.0.n").set_value("1.4902\n1.4904\n1.4903").run()
    assert not at.error
    assert "power of a lens of it" in words(at)


def test_an_empty_label_is_not_decided():
    at = page("one_reading.py")
    at.number_input(key="sheet: lens.labelled_power_D").set_value(None).run()
    assert not at.exception
    text = words(at)
    assert "a proposed step, nothing more" in text
    assert "would conform" not in text


def test_another_sheet_of_the_demo_fills_the_fields():
    at = page("one_reading.py")
    at.selectbox(key="demo_sheet").set_value("copolymer_e.toml").run()
    assert not at.exception
    assert at.number_input(key="sheet: hydration.hydration_shift").value == -0.041
    assert at.number_input(key="sheet: lens.linear_swelling").value == 0.09
    assert "Changed here" not in words(at)
    columns = follow(sheet_from_text(demo_text("copolymer_e.toml"))).evaluation.columns
    assert with_u(float(columns["power_D"][0]), float(columns["u_power_D"][0]), "D") in words(at)


def test_fields_survive_a_visit_to_another_page():
    at = page("one_reading.py")
    at.number_input(key="sheet: lens.center_thickness_mm.value").set_value(1.1).run()
    at.switch_page(str(HOME / "views" / "a_lens.py")).run()
    at.switch_page(str(HOME / "views" / "one_reading.py")).run()
    assert at.number_input(key="sheet: lens.center_thickness_mm.value").value == 1.1
    assert "centre thickness 1.1 mm" in words(at)


def test_a_plano_surface_wants_the_u_of_its_curvature():
    at = page("one_reading.py")
    at.checkbox(key="sheet: lens.back_radius_mm.plano").check().run()
    assert not at.exception
    assert "u is missing" in at.error[0].value
    at.number_input(key="sheet: lens.back_radius_mm.u_curvature_per_mm").set_value(0.0001).run()
    assert not at.error
    assert "15 / plano mm" in words(at)


def test_the_sheet_saved_is_the_sheet_followed():
    sheet = tomllib.loads(demo_text("copolymer_c.toml"))
    put(sheet, ("lens", "back_radius_mm", "value"), -16.0)
    again = tomllib.loads(tomli_w.dumps(in_use(sheet)))
    assert again == sheet
    assert found(again, ("lens", "gauge", "profilometer", "u_scale_relative")) == 0.001
    assert follow(sheet_from_data(again)).row["back_radius_mm"] == -16.0


def test_the_lens_of_the_textbook_equation():
    """20.469666 D: computed with mpmath from Gullstrand's equation."""
    at = page("a_lens.py")
    assert "20.470 D" in words(at)
    for name in ("u_front_radius_mm", "u_back_radius_mm", "u_center_thickness_mm", "u_n_lens"):
        at.number_input(key=name).set_value(0.0)
    at.run()
    assert "20.470 D, with everything taken as exact" in words(at)


@pytest.mark.parametrize("side", ["front", "back"])
def test_a_plano_side_by_its_checkbox(side):
    """One surface alone: (1.49 − 1.336)/0.015 m = 10.2667 D, derived by hand."""
    at = page("a_lens.py")
    at.checkbox(key=f"{side}_plano").check().run()
    assert not at.exception
    assert "10.267 D" in words(at)


def test_a_label_in_another_medium_is_not_decided():
    at = page("a_lens.py")
    at.number_input(key="labelled_power_D").set_value(20.5).run()
    assert "would conform" in words(at)
    at.number_input(key="n_medium").set_value(1.334).run()
    assert not at.exception
    assert "– not a decision" in words(at)
    assert "would conform" not in words(at)


def test_an_impossible_lens_is_told_in_one_line():
    at = page("a_lens.py")
    at.number_input(key="front_radius_mm").set_value(0.0).run()
    assert not at.exception
    assert "front_radius_mm = 0 mm" in at.error[0].value
    assert "20.470" not in words(at)


def test_candidates_keep_their_place_and_show_no_refraction():
    lines = demo_text("candidates.csv").splitlines()
    lines[3] = lines[3].replace("1.4903", "14.903")
    columns = evaluated("\n".join([*lines, ""]).encode())
    short = in_short(columns)
    assert list(short.index) == list("ABCDEF")
    assert "one place off" in short.loc["C", "problem or remark"]
    assert short.loc["C", "power with u"] == ""
    assert "n_reading" in columns
    saved = csv_text(columns).splitlines()
    assert not [name for name in saved[0].split(",") if "refraction" in name]
    assert len(saved) == 7
    clean = in_short(evaluated(demo_text("candidates.csv").encode()))
    assert clean.drop("C").equals(short.drop("C"))


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"candidate,n_lense\nA,1.49\n", "did you mean n_lens"),
        (b"", "the file is empty"),
        (b"\xff\xfe\x00", "not UTF-8"),
        (b"a;b\n1;2\n", "missing columns front_radius_mm"),
    ],
)
def test_a_file_that_is_no_table_is_told(data, told):
    at = page("a_file.py")
    at.file_uploader(key="upload_candidates").set_value(("x.csv", data, "text/csv")).run()
    assert not at.exception
    assert len(at.error) == 1
    assert told in at.error[0].value
