"""The page of a reading sheet without a browser: tables that are edited, refusals beside their input, figures that are those of the command."""

import json
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
import tomli_w
from hypothesis import given
from hypothesis import strategies as st
from streamlit.testing.v1 import AppTest

import lenscalc.web
from lenscalc.chain import follow
from lenscalc.demo import demo_sheets, demo_text
from lenscalc.errors import InputError
from lenscalc.quantities import quantity
from lenscalc.refractometer import sheet_from_data, sheet_from_text
from lenscalc.uncertainty import probability_text, with_u
from lenscalc.web.reading_computed import COMMAND, PYTHON, SAVED_AS
from lenscalc.web.readings_table import places, readings_of_rows, rows_of
from lenscalc.web.schema_table import rows_of_tables, tables_of_rows
from lenscalc.web.sheet_sections import CALIBRATION, LENS, MEDIUM, READ, REFRACTOMETER, SPECIMEN, TO_THE_EYE, section_of
from lenscalc.web.sheet_tables import found, in_use, put
from lenscalc.web.typed_cells import number_typed, numbers_typed

HOME = Path(lenscalc.web.__file__).parent
C = "copolymer_c.toml"

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
    at = AppTest.from_file(str(HOME / "entry.py"), default_timeout=60).run()
    return at if at.title[0].value == "One reading, all the way" else at.switch_page(str(HOME / "views" / "one_reading.py")).run()


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


# the tables, without a page


@pytest.mark.parametrize("name", SHEETS)
def test_readings_come_back_from_their_rows(name):
    readings = tomllib.loads(SHEETS[name])["reading"]
    assert readings_of_rows(rows_of(readings), readings).readings == readings


@pytest.mark.parametrize("name", SHEETS)
def test_references_come_back_from_their_rows(name):
    references = tomllib.loads(SHEETS[name]).get("calibration", {}).get("reference", [])
    assert tables_of_rows(rows_of_tables(references, "calibration.reference"), "calibration.reference") == references


@given(
    n=st.lists(st.floats(1.0, 3.0), min_size=1, max_size=8),
    lines=st.lists(st.sampled_from([486.13, 546.07, 587.5618, 589.29]), min_size=8, max_size=8),
    at=st.lists(st.sampled_from([20.0, 35.0]), min_size=8, max_size=8),
)
def test_any_order_of_rows_is_grouped_by_line_and_temperature(n, lines, at):
    """Each index comes back, to the twelve digits that are shown, in the list of its line and temperature, in the order of the rows."""
    rows = [{"wavelength_nm": str(w), "temperature_degC": str(t), "n": f"{x:.12g}"} for x, w, t in zip(n, lines, at, strict=False)]
    made = readings_of_rows(rows, []).readings
    assert sum(len(r["n"]) for r in made) == len(n)
    for r in made:
        wanted = [float(f"{x:.12g}") for x, w, t in zip(n, lines, at, strict=False) if (w, t) == (r["wavelength_nm"], r["temperature_degC"])]
        assert r["n"] == wanted


def test_a_column_of_indices_pasted_below_takes_line_and_temperature_from_above():
    made = readings_of_rows([{"wavelength_nm": "546.07", "temperature_degC": "20", "n": "1,5021"}, {"n": "1,5022"}, {"n": None}, {"n": "1,5023"}], [])
    assert made.readings == [{"wavelength_nm": 546.07, "temperature_degC": 20.0, "n": [1.5021, 1.5022, 1.5023]}]
    assert made.remarks == ("Decimal commas are read as decimal points.",)


def test_rows_pasted_into_one_open_cell_are_laid_out_from_there():
    made = readings_of_rows([{"wavelength_nm": "486,13\t20\t1,4974\n589,29\t20\t1,4902\r\n"}, {"n": "1.4903\n1.4904"}], []).readings
    assert [(r["wavelength_nm"], r["n"]) for r in made] == [(486.13, [1.4974]), (589.29, [1.4902, 1.4903, 1.4904])]


def test_a_row_without_an_index_is_told_and_not_counted():
    made = readings_of_rows([{"wavelength_nm": "546.07", "temperature_degC": "20", "n": "1.5"}, {"wavelength_nm": "486.13"}], [])
    assert [r["n"] for r in made.readings] == [[1.5]]
    assert made.remarks == ("Row 2 of the readings has no index yet and is not counted.",)


def test_what_a_line_was_read_with_stays_with_it():
    """A changed line keeps what was said of it; a further one starts with what was said of the first."""
    before = [{"wavelength_nm": 589.29, "temperature_degC": 20.0, "n": [1.49], "basis": "air", "u_temperature_degC": 0.2}]
    changed = readings_of_rows([{"wavelength_nm": "587.56", "temperature_degC": "20", "n": "1.49"}], before).readings
    assert changed == [{**before[0], "wavelength_nm": 587.56}]
    both = readings_of_rows([*rows_of(before), {"wavelength_nm": "486.13", "n": "1.497"}], before).readings
    assert both == [before[0], {**before[0], "wavelength_nm": 486.13, "n": [1.497]}]
    assert places(both) == ["reading 1: 589.29 nm, 20 °C", "reading 2: 486.13 nm, 20 °C"]


@pytest.mark.parametrize(
    ("rows", "told"),
    [
        ([{"n": "1.49"}], "row 1 of the readings: reading_wavelength_nm is missing"),
        ([{"wavelength_nm": "589", "n": "1.49"}], "row 1 of the readings: reading_temperature_degC is missing"),
        ([{"wavelength_nm": "589", "temperature_degC": "20", "n": "1.4.9"}], "row 1 of the readings: n_reading = '1.4.9' is not a number"),
        ([{"wavelength_nm": "589", "temperature_degC": "20", "n": "1.49", "minutes_after_mounting": "1,200"}], "may be 1.2 or 1200"),
    ],
)
def test_a_wrong_cell_is_told_with_its_row(rows, told):
    with pytest.raises(InputError) as error:
        readings_of_rows(rows, [])
    assert told in str(error.value)


@pytest.mark.parametrize(("text", "value"), [("1,4902", 1.4902), (" 1.4902 ", 1.4902), ("1,4902e0", 1.4902), ("1,490", 1.49), ("−0,5", -0.5)])
def test_a_decimal_comma_is_a_point(text, value):
    assert number_typed(quantity("reading_temperature_degC"), text) == value


def test_lists_in_one_cell():
    n = quantity("n_reading")
    assert numbers_typed(n, "1,33452 1,33451;1,33453") == numbers_typed(n, "1.33452,1.33451, 1.33453") == [1.33452, 1.33451, 1.33453]


@pytest.mark.parametrize(
    ("sentence", "section"),
    [
        ("[reading 2] n[3]: n_reading = 14: must be 1 to 3", READ),
        ("[[reading]] stands at several temperatures", READ),
        ("[lens.back_radius_mm] u is missing", LENS),
        ("[instrument.prism 1] n_prism is missing", REFRACTOMETER),
        ("[calibration.reference 1] u_certified is missing", CALIBRATION),
        ("[medium] must be stated at", MEDIUM),
        ("[specimen] material is missing", SPECIMEN),
        ("[hydration] is given, but [specimen] state is hydrated already", TO_THE_EYE),
        ("read away from 35 °C, or at a temperature with a u: give dn_dt_per_K (wet) with u_dn_dt_per_K", TO_THE_EYE),
        ("provenance is missing at the top of the sheet", SPECIMEN),
        ("edge_thickness_mm = -0.1 mm: such a lens cannot be", LENS),
    ],
)
def test_a_refusal_finds_its_section(sentence, section):
    assert section_of(InputError(sentence)) == section


# the page


@pytest.mark.parametrize("name", SHEETS)
def test_a_sheet_that_is_only_looked_at_is_saved_as_it_was_loaded(name):
    """Every field and every table has been drawn; none of them has changed a thing."""
    at = loaded(page(), SHEETS[name])
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
    assert "invented" in text
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
    assert "Changed here since it was loaded" in after
    assert "Decimal commas are read as decimal points." in after


def test_a_row_that_is_added_at_another_line_is_a_reading_of_its_own():
    at = edit(page(), "readings", added=[{"wavelength_nm": "486,13", "n": "1,4975"}, {"n": "1,4976"}])
    made = sheet_now(at)["reading"]
    assert [(r["wavelength_nm"], r["n"]) for r in made] == [(589.29, [1.4902, 1.4904, 1.4903, 1.4901, 1.4904]), (486.13, [1.4975, 1.4976])]
    assert made[1]["u_temperature_degC"] == 0.2
    assert at.error[0].value.startswith(f"{TO_THE_EYE}: [dispersion] abbe_d is given beside 2 lines")  # both would be a second source of it


@pytest.mark.parametrize(
    ("rows", "told"),
    [
        ({0: {"n": "about 1.49"}}, "What was read: row 1 of the readings: n_reading = 'about 1.49' is not a number"),
        ({0: {"n": "14.902"}}, "What was read: [reading] n[1]: n_reading = 14.902: must be 1 to 3; is the decimal point one place off?"),
        ({0: {"wavelength_nm": ""}}, "What was read: row 1 of the readings: reading_wavelength_nm is missing"),
        ({i: {"n": ""} for i in range(5)}, "What was read: n_reading is missing"),
        ({i: {"n": ""} for i in range(4)}, "What was read: [reading] n holds one reading, which has no spread of its own"),
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
    assert "power of a lens of it" in words(at)


def test_each_refusal_stands_in_its_own_section():
    at = page()
    at.number_input(key="sheet: lens.center_thickness_mm.value").set_value(0.1).run()
    assert [e.value.partition(":")[0] for e in at.error] == [LENS]
    at.number_input(key="sheet: lens.center_thickness_mm.value").set_value(0.9)
    at.number_input(key="sheet: dispersion.u_abbe_d").set_value(None).run()
    assert [e.value.partition(":")[0] for e in at.error] == [TO_THE_EYE]
    edit(at, "readings", edited={0: {"n": "x"}})
    at.text_input(key="sheet: calibration.check_before").set_value("1.33 what").run()
    assert {e.value.partition(":")[0] for e in at.error} >= {CALIBRATION}


def test_an_empty_label_is_not_decided():
    at = page()
    at.number_input(key="sheet: lens.labelled_power_D").set_value(None).run()
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
    assert at.number_input(key="sheet: hydration.hydration_shift").value == -0.041
    assert at.number_input(key="sheet: lens.linear_swelling").value == 0.09
    assert "Changed here" not in words(at)
    columns = follow(sheet_from_text(demo_text("copolymer_e.toml"))).evaluation.columns
    assert with_u(float(columns["power_D"][0]), float(columns["u_power_D"][0]), "D") in words(at)


def test_fields_and_tables_survive_a_visit_to_another_page():
    at = edit(page(), "readings", edited={0: {"n": "1.4903"}})
    at.number_input(key="sheet: lens.center_thickness_mm.value").set_value(1.1).run()
    at.switch_page(str(HOME / "views" / "a_lens.py")).run()
    at.switch_page(str(HOME / "views" / "one_reading.py")).run()
    assert at.number_input(key="sheet: lens.center_thickness_mm.value").value == 1.1
    assert "centre thickness 1.1 mm" in words(at)
    assert sheet_now(at)["reading"][0]["n"][0] == 1.4903


def test_other_columns_lose_no_edit():
    at = edit(page(), "readings", edited={0: {"n": "1.4903"}})
    at.checkbox(key="sheet: reading.columns").check().run()
    assert sheet_now(at)["reading"][0]["n"][0] == 1.4903
    edit(at, "readings", edited={i: {"mounting": str(1 + i // 2)} for i in range(5)})
    assert sheet_now(at)["reading"][0]["mounting"] == [1, 1, 2, 2, 3]
    assert not at.error


def test_a_reference_that_is_added_is_counted():
    at = edit(
        page(), "references",
        added=[{"name": "water", "kind": "water", "wavelength_nm": "589,29", "temperature_degC": "20", "u_temperature_degC": "0,1",
                "n": "1,33304 1,33303 1,33305"}],
    )  # fmt: skip
    assert not at.error
    assert sheet_now(at)["calibration"]["reference"][0]["n"] == [1.33304, 1.33303, 1.33305]
    assert "offset by water" in "\n".join(str(t.value) for t in at.table)


def test_a_plano_surface_wants_the_u_of_its_curvature():
    at = page()
    at.checkbox(key="sheet: lens.back_radius_mm.plano").check().run()
    assert not at.exception
    assert at.error[0].value.startswith(LENS)
    assert "u is missing" in at.error[0].value
    at.number_input(key="sheet: lens.back_radius_mm.u_curvature_per_mm").set_value(0.0001).run()
    assert not at.error
    assert "15 / plano mm" in words(at)


@pytest.mark.parametrize(
    ("key", "choice", "told"),
    [
        ("lens.dimensions", "exact", "– not a decision"),
        ("instrument.kind", "v-block", "✔ would conform"),
        ("specimen.state", "hydrated", "would conform"),
        ("dispersion.abbe_from", "published", "✔ would conform"),
    ],
)
def test_a_choice_leaves_no_refusal_that_no_field_could_mend(key, choice, told):
    at = page()
    at.selectbox(key=f"sheet: {key}").set_value(choice).run()
    assert not at.exception
    assert not at.error, [e.value for e in at.error]
    assert told in words(at)


def test_the_u_of_a_surface_as_that_of_its_curvature():
    """The same u: of R = 15 mm by 0.02 mm, of 1/R by 0.02/225 per mm."""
    at = page()
    before = words(at)
    at.selectbox(key="sheet: lens.front_radius_mm.kind of u").set_value("u_curvature_per_mm").run()
    at.number_input(key="sheet: lens.front_radius_mm.u_curvature_per_mm").set_value(0.02 / 225.0).run()
    assert not at.error
    assert "u" not in sheet_now(at)["lens"]["front_radius_mm"]
    assert "20.419 D, u 0.060 D" in before
    assert "20.419 D, u 0.060 D" in words(at)
    at.run()
    assert sheet_now(at)["lens"]["front_radius_mm"]["u_curvature_per_mm"] == 0.02 / 225.0


def test_thousands_of_pasted_readings_are_taken_and_remarked_on():
    at = edit(page(), "readings", added=[{"n": f"1.49{i % 7:02d}"} for i in range(3000)])
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
    assert COMMAND in [c.value for c in at.code]
    assert PYTHON in [c.value for c in at.code]
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


