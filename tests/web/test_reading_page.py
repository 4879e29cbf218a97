"""The page of a reading sheet without a browser: tables that are edited, refusals beside their input, figures that are those of the command."""

import json
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
import tomli_w
from shown import panel
from streamlit.testing.v1 import AppTest

import lenscalc.web
from lenscalc.chain import follow
from lenscalc.demo import demo_sheets, demo_text
from lenscalc.refractometer import sheet_from_data, sheet_from_text
from lenscalc.uncertainty import probability_text, with_u
from lenscalc.web.questions.which_index import STEPS
from lenscalc.web.reading.folded import fold_key
from lenscalc.web.reading.reading_computed import COMMAND, PYTHON, SAVED_AS
from lenscalc.web.reading.readings_form import HOW_LABEL
from lenscalc.web.reading.sheet_sections import CALIBRATION, LENS, TO_THE_EYE
from lenscalc.web.reading.sheet_state import TURN
from lenscalc.web.reading.sheet_tables import found, in_use, put

HOME = Path(lenscalc.web.__file__).parent
C = "copolymer_c.toml"
MORE_OF_THE_LENS = "Its tolerance, its gauges, and what else a sheet may say"
AGE = "Its age, and a check piece before and after"
MORE_TO_THE_EYE = "What else a sheet may say of this"

# sheets that hold, between them, every table a sheet may hold
WITH_MEDIUM_READ = demo_text(C).replace(
    "n_measured_medium = 1.3340\nu_n_measured_medium = 0.0001\n",
    "n = [1.3340, 1.3341, 1.3339]\nu_temperature_degC = 0.1\nabbe_d = 56.0\nu_abbe_d = 1.0\ndn_dt_per_K = -1.3e-4\nu_dn_dt_per_K = 1e-5\n",
)
BY_WEIGHT = demo_text("copolymer_e.toml").replace(
    "hydration_shift = -0.0410\nu_hydration_shift = 0.0012\n",
    "mass_wet_g = 0.5\nmass_dry_g = 0.4\nu_mass_g = 0.0005\ndry_density_kg_per_m3 = 1200.0\nu_dry_density_kg_per_m3 = 5.0\n",
).replace("linear_swelling = 0.090\nu_linear_swelling = 0.003\n", "")
AT_ANOTHER_LINE = demo_text(C).replace(
    "n_prism = 1.75\n",
    "n_prism = 1.75\nscale_wavelength_nm = 546.07\nprism_apex_deg = 60.0\nwhite_light_compensated = true\ntemperature_compensation = 'other'\n"
    "compensation_per_K = 4.5e-4\nu_compensation_per_K = 1e-5\ncompensation_to_degC = 20.0\n"
    "[[instrument.prism]]\nwavelength_nm = 546.07\nn_prism = 1.7506\nu_n_prism = 1e-5\n"
    "[[instrument.prism]]\nwavelength_nm = 589.29\nn_prism = 1.75\nu_n_prism = 1e-5\n",
)
IN_ITS_OWN_WORDS = (
    demo_text(C)
    .replace("labelled_power_D = 20.5", "labelled_power_D = 20.5\ntolerance_D = 0.25\ntolerance_from = 'our own'\nrequired_probability = 0.99")
    .replace("n = [1.4902, 1.4904, 1.4903, 1.4901, 1.4904]", "n = [1.4902, 1.4904, 1.4903, 1.4902]\nmounting = [1, 1, 2, 2]\n"
             "operator = ['A', 'A', 'A', 'A']\nminutes_after_mounting = [0.5, 1, 0.5, 2]\nu_wavelength_nm = 0.1\n"
             "u_repeatability = 1e-4\ndof_repeatability = 30\nu_session = 5e-5\ndof_session = 10")
    .replace("abbe_d = 52.0", "abbe_d = 52.0\nabbe_from = 'compensator'")
    .replace('value = 15.0\nu = 0.02', 'value = "plano"\nu_sag_mm = 0.001')
)  # fmt: skip
SHEETS = {name: demo_text(name) for name in demo_sheets()} | {
    "medium read": WITH_MEDIUM_READ, "by weight": BY_WEIGHT, "at another line": AT_ANOTHER_LINE, "in its own words": IN_ITS_OWN_WORDS,
    "a drawing": demo_text(C).replace("u = 0.02\n", "").replace("u = 0.01\n", "").replace("[lens]\n", "[lens]\ndimensions = 'exact'\n"),
    "no lens": demo_text(C).partition("[lens]")[0],
}  # fmt: skip


def page():
    at = AppTest.from_file(str(HOME / "entry.py"), default_timeout=600).run()
    return at if at.title[0].value == "One lot, from reading to verdict" else at.switch_page(str(HOME / "views" / "one_reading.py")).run()


def own():
    """The page with the demo's sheet as somebody's own file: none of its readings gives way to others."""
    at = page()
    at.file_uploader(key="upload_sheet").set_value(("mine.toml", demo_text(C).encode(), "application/toml")).run()
    return at


def key_in(at, path):
    """The key of a field of the sheet that the page holds now."""
    return f"sheet: {at.session_state[TURN]} {path}"


def unfolded(at, *labels, shut=False):
    """The page with these panels open (or shut), as by a click on each."""
    for label in labels:
        at.session_state[fold_key(label)] = not shut
    return at.run()


def all_unfolded(at):
    """The page with every panel open, also those that lie in another."""
    opened = set()
    while labels := {e.label for e in at.expander} - opened:
        opened |= labels
        unfolded(at, *labels)
    return at


def words(at):
    return "\n".join(str(m.value) for m in at.markdown)


def edit(at, table, *, edited=None, added=(), deleted=()):
    """What the browser tells of an edit: the changed cells by row, the new rows, the rows taken out."""
    turn = at.session_state[f"sheet table: {table}"]["turn"]
    at.session_state[f"sheet table: {table} {turn}"] = {"edited_rows": edited or {}, "added_rows": list(added), "deleted_rows": list(deleted)}
    return at.run()


def sheet_now(at):
    return in_use(at.session_state["sheet_tables"])


def loaded(at, text):
    """As if the text had been uploaded."""
    at.file_uploader(key="upload_sheet").set_value(("mine.toml", text.encode(), "application/toml")).run()
    assert not at.exception
    return at


@pytest.mark.parametrize("name", SHEETS)
def test_a_sheet_that_is_only_looked_at_is_saved_as_it_was_loaded(name):
    """Shut, and with every field and every table drawn: none of them has changed a thing."""
    at = loaded(page(), SHEETS[name])
    drawn = len(at.number_input)
    all_unfolded(at)
    assert len(at.number_input) > drawn
    assert not at.error, [e.value for e in at.error]
    assert tomllib.loads(tomli_w.dumps(sheet_now(at))) == tomllib.loads(SHEETS[name])
    assert "Changed here" not in words(at)
    at.run()
    assert sheet_now(at) == tomllib.loads(SHEETS[name])


def test_figures_are_those_of_the_chain():
    followed = follow(sheet_from_text(demo_text(C)))
    columns = followed.evaluation.columns
    text = words(page())
    assert with_u(float(columns["power_D"][0]), float(columns["u_power_D"][0]), "D") in text
    assert with_u(float(followed.index.n.value[0]), float(followed.index.n.u[0])) in text
    assert str(columns["verdict"][0]) in text
    assert "Invented for the demo" in text
    assert "Changed here" not in text


def test_pasted_readings_change_power_and_decision():
    """Three readings with a decimal comma in place of five."""
    at = edit(page(), "readings", edited={0: {"n": "1,4990"}, 1: {"n": "1,4992"}, 2: {"n": "1,4991"}}, deleted=[3, 4])
    assert not at.exception
    sheet = tomllib.loads(demo_text(C))
    sheet["reading"][0]["n"] = [1.4990, 1.4992, 1.4991]
    assert sheet_now(at) == sheet
    columns = follow(sheet_from_data(sheet)).evaluation.columns
    after = words(at)
    assert with_u(float(columns["power_D"][0]), float(columns["u_power_D"][0]), "D") in after
    assert "✘ would not conform if cut to these dimensions" in after
    assert "✔" not in after
    assert "Begun from the demo's sheet *Copolymer C, lot 7: read hydrated*; still as there: calibration, " in after
    assert "Decimal commas are read as decimal points." in after


def test_rows_pasted_into_an_open_cell_are_rows_of_the_table_at_once():
    at = edit(page(), "readings", edited={0: {"n": "1,4990\n1,4992"}}, deleted=[1, 2, 3, 4])
    assert not at.error
    held = at.session_state["sheet table: readings"]["source"]
    assert list(held["n"]) == ["1,4990", "1,4992"]
    assert sheet_now(at)["reading"][0]["n"] == [1.499, 1.4992]
    edit(at, "readings", edited={0: {"n": "589.29\t20\t1.4902"}})
    assert at.error[0].value.startswith("What was read: row 1 of the readings: 3 columns were pasted into one cell, and 1 fit there")


def test_the_final_line_break_of_a_paste_leaves_no_row_of_nothing():
    at = edit(own(), "readings", edited={3: {"n": "1.4992"}, 4: {"n": "1.4993"}}, added=[{"n": "1.4991"}, {}])
    assert not at.error
    assert list(at.session_state["sheet table: readings"]["source"]["n"])[3:] == ["1.4992", "1.4993", "1.4991"]
    assert sheet_now(at)["reading"][0]["n"] == [1.4902, 1.4904, 1.4903, 1.4992, 1.4993, 1.4991]
    edit(at, "readings", edited={i: {"n": f"1.499{i}"} for i in range(6)}, added=[{}])
    assert list(at.session_state["sheet table: readings"]["source"]["n"]) == [f"1.499{i}" for i in range(6)]


def test_a_row_that_is_added_by_hand_stays_until_it_is_filled():
    at = edit(page(), "readings", added=[{}])
    assert len(at.session_state["sheet table: readings"]["kept"]) == 6
    edit(at, "readings", edited={0: {"n": "1.4905"}}, added=[{}])
    assert len(at.session_state["sheet table: readings"]["kept"]) == 6
    edit(at, "readings", edited={0: {"n": "1.4905"}}, added=[{"n": "1.4904"}])
    assert sheet_now(at)["reading"][0]["n"] == [1.4905, 1.4904, 1.4903, 1.4901, 1.4904, 1.4904]


def test_a_row_that_is_added_at_another_line_is_a_reading_of_its_own():
    at = edit(page(), "readings", added=[{"wavelength_nm": "486,13", "n": "1,4975"}, {"n": "1,4976"}])
    made = sheet_now(at)["reading"]
    assert [(r["wavelength_nm"], r["n"]) for r in made] == [(589.29, [1.4902, 1.4904, 1.4903, 1.4901, 1.4904]), (486.13, [1.4975, 1.4976])]
    assert made[1]["u_temperature_degC"] == 0.2
    assert at.error[0].value.startswith(f"{TO_THE_EYE}: “Abbe number” is given beside 2 lines")  # both would be a second source of it


@pytest.mark.parametrize(
    ("rows", "told"),
    [
        ({0: {"n": "about 1.49"}}, "What was read: row 1 of the readings: index = 'about 1.49' is not a number"),
        ({0: {"n": "14.902"}}, "What was read: row 1 of the readings: index = 14.902: must be 1 to 3; is the decimal point one place off?"),
        ({0: {"wavelength_nm": ""}}, "What was read: row 1 of the readings: line is missing"),
        ({i: {"n": ""} for i in range(4)}, "What was read: “index” holds one reading, which has no spread of its own"),
    ],
)
def test_wrong_readings_are_told_beside_them_and_can_be_mended(rows, told):
    at = edit(page(), "readings", edited=rows)
    assert not at.exception
    assert len(at.error) == 1
    assert at.error[0].value.startswith(told)
    assert "\n" not in at.error[0].value
    text = words(at)
    assert "No answer as the sheet stands." in text
    assert "20.419" not in text
    assert "would conform" not in text
    assert any("not a medical device" in w.value.lower() for w in at.warning)
    edit(at, "readings", edited={i: {"wavelength_nm": "589.29", "n": "1.4902" if i else "1.4904"} for i in range(5)})
    assert not at.error
    assert "In short, **with 2 of 5 readings and radii of the demo**: **✔ would conform" in words(at)


def test_each_refusal_stands_in_its_own_section():
    at = page()
    at.number_input(key=key_in(at, "lens.center_thickness_mm.value")).set_value(0.1).run()
    assert [e.value.partition(":")[0] for e in at.error] == [LENS]
    at.number_input(key=key_in(at, "lens.center_thickness_mm.value")).set_value(0.9)
    unfolded(at, TO_THE_EYE).number_input(key=key_in(at, "dispersion.u_abbe_d")).set_value(None).run()
    assert [e.value.partition(":")[0] for e in at.error] == [TO_THE_EYE]
    edit(at, "readings", edited={0: {"n": "x"}})
    unfolded(at, CALIBRATION, AGE).text_input(key=key_in(at, "calibration.check_before")).set_value("1.33 what").run()
    assert {e.value.partition(":")[0] for e in at.error} >= {CALIBRATION}


def test_an_empty_label_is_not_decided():
    at = page()
    at.number_input(key=key_in(at, "lens.labelled_power_D")).set_value(None).run()
    assert not at.exception
    text = words(at)
    assert "a proposed step, nothing more" in text
    assert "would conform" not in text
    assert "nothing can be said to bring a decision nearer" in text
    assert "Without a label there is no power to cut for." in text


def test_another_sheet_of_the_demo_fills_the_fields():
    at = edit(page(), "readings", edited={0: {"n": "1.6"}})
    at.selectbox(key="demo_sheet").set_value("copolymer_e.toml").run()
    assert not at.exception
    assert unfolded(at, TO_THE_EYE).number_input(key=key_in(at, "hydration.hydration_shift")).value == -0.041
    assert at.number_input(key=key_in(at, "lens.linear_swelling")).value == 0.09
    assert "Changed here" not in words(at)
    columns = follow(sheet_from_text(demo_text("copolymer_e.toml"))).evaluation.columns
    assert with_u(float(columns["power_D"][0]), float(columns["u_power_D"][0]), "D") in words(at)


def test_fields_and_tables_survive_a_visit_to_another_page():
    at = edit(page(), "readings", edited={0: {"n": "1.4903"}})
    at.number_input(key=key_in(at, "lens.center_thickness_mm.value")).set_value(1.1).run()
    at.switch_page(str(HOME / "views" / "a_lens.py")).run()
    at.switch_page(str(HOME / "views" / "one_reading.py")).run()
    assert at.number_input(key=key_in(at, "lens.center_thickness_mm.value")).value == 1.1
    assert "centre thickness 1.1 mm" in words(at)
    assert sheet_now(at)["reading"][0]["n"][0] == 1.4903


def test_other_columns_lose_no_edit():
    at = edit(page(), "readings", edited={0: {"n": "1.4903"}})
    unfolded(at, HOW_LABEL).checkbox(key=key_in(at, "reading.columns")).check().run()
    assert sheet_now(at)["reading"][0]["n"][0] == 1.4903
    edit(at, "readings", edited={i: {"mounting": str(1 + i // 2)} for i in range(5)})
    assert sheet_now(at)["reading"][0]["mounting"] == [1, 1, 2, 2, 3]
    assert not at.error


def test_a_reference_that_is_added_is_counted():
    at = edit(
        unfolded(page(), CALIBRATION), "references",
        added=[{"name": "water", "kind": "water", "wavelength_nm": "589,29", "temperature_degC": "20", "u_temperature_degC": "0,1",
                "n": "1,33304 1,33303 1,33305"}],
    )  # fmt: skip
    assert not at.error
    assert sheet_now(at)["calibration"]["reference"][0]["n"] == [1.33304, 1.33303, 1.33305]
    at.session_state[STEPS] = True
    assert "offset by water" in "\n".join(str(t.value) for t in at.run().table)


def test_a_plano_surface_wants_the_u_of_its_curvature():
    at = page()
    at.checkbox(key=key_in(at, "lens.back_radius_mm.plano")).check().run()
    assert not at.exception
    assert at.error[0].value.startswith(LENS)
    assert "“u of the back radius” is missing" in at.error[0].value
    at.number_input(key=key_in(at, "lens.back_radius_mm.u_curvature_per_mm")).set_value(0.0001).run()
    assert not at.error
    assert "15 / plano mm" in words(at)


def test_the_u_of_a_surface_as_that_of_its_curvature():
    """The same u: of R = 15 mm by 0.02 mm, of 1/R by 0.02/225 per mm."""
    at = unfolded(page(), MORE_OF_THE_LENS)
    before = words(at)
    at.selectbox(key=key_in(at, "lens.front_radius_mm.kind of u")).set_value("u_curvature_per_mm").run()
    at.number_input(key=key_in(at, "lens.front_radius_mm.u_curvature_per_mm")).set_value(0.02 / 225.0).run()
    assert not at.error
    assert "u" not in sheet_now(at)["lens"]["front_radius_mm"]
    assert "20.419 D, u 0.060 D" in before
    assert "20.419 D, u 0.060 D" in words(at)
    at.run()
    assert sheet_now(at)["lens"]["front_radius_mm"]["u_curvature_per_mm"] == 0.02 / 225.0


def test_thousands_of_pasted_readings_are_taken_and_remarked_on():
    at = edit(own(), "readings", added=[{"n": f"1.49{i % 7:02d}"} for i in range(3000)])
    assert not at.exception
    assert not at.error
    assert len(sheet_now(at)["reading"][0]["n"]) == 3005
    assert any("3005 readings at 589.29 nm" in i.value for i in at.info)
    edit(at.run(), "readings", edited={0: {"n": "1.4999"}})  # and goes on from there, in a table of its own
    assert len(sheet_now(at)["reading"][0]["n"]) == 3005
    assert sheet_now(at)["reading"][0]["n"][:2] == [1.4999, 1.4904]


def test_the_sheet_saved_is_the_sheet_followed():
    sheet = tomllib.loads(demo_text(C))
    put(sheet, ("lens", "back_radius_mm", "value"), -16.0)
    again = tomllib.loads(tomli_w.dumps(in_use(sheet)))
    assert again == sheet
    assert found(again, ("lens", "gauge", "profilometer", "u_scale_relative")) == 0.001
    assert follow(sheet_from_data(again)).row["back_radius_mm"] == -16.0


@pytest.mark.parametrize("data", [b"\xff\xfe", b"", b"n = ", b"[specimen]\n", b"title = 'x'\n" * 2])
def test_a_file_that_is_no_sheet_is_told_and_the_old_one_stays(data):
    at = page()
    at.file_uploader(key="upload_sheet").set_value(("mine.toml", data, "application/toml")).run()
    assert not at.exception
    assert len(at.error) == 1
    assert "mine.toml" in at.error[0].value
    assert "20.419 D" in words(at)


@pytest.mark.parametrize("name", ["copolymer_b.toml", "copolymer_e.toml"])
def test_command_and_python_lines_give_the_figures_of_the_page(name, tmp_path):
    """To the last digit that the page shows, from the very file that it saves."""
    at = loaded(page(), demo_text(name))
    (tmp_path / SAVED_AS).write_text(tomli_w.dumps(sheet_now(at)), encoding="utf-8")
    shown = words(at)
    assert panel(at) == (COMMAND, PYTHON)
    command = [sys.executable, "-c", "from lenscalc.cli.main import main; main()", *COMMAND.split()[1:], "--json"]
    answer = json.loads(subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, check=True).stdout)
    *lines, index, power, probability = PYTHON.splitlines()
    script = "\n".join([*lines, *(f"print({line})" for line in (index, power, probability))])
    said = subprocess.run([sys.executable, "-c", script], cwd=tmp_path, capture_output=True, text=True, check=True).stdout
    numbers = [float(x) for x in said.split()]
    for n, u_n, F, u_F, p in ([answer[k] for k in ("n_lens", "u_n_lens", "power_D", "u_power_D", "conformance_probability")], numbers):
        assert f"**{with_u(n, u_n)}**" in shown
        assert f"**{with_u(F, u_F, 'D')}**" in shown
        assert f"**{probability_text(p)}**" in shown
    assert answer["verdict"] in shown
