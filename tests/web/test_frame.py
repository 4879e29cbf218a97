"""What stands around every page: the entry, the address, errors beside their field, no traceback, the way to each result with its figure."""

import shlex
from pathlib import Path

import pytest
from called import answer
from shown import panel
from streamlit.testing.v1 import AppTest

import lenscalc.web
from lenscalc.batch import csv_text, evaluate_block, read_csv_text
from lenscalc.web import guarded
from lenscalc.web.lens import dimensions_page
from lenscalc.web.shell import PAGES, SECTIONS

HOME = Path(lenscalc.web.__file__).parent


def page(file, **address):
    at = AppTest.from_file(str(HOME / "entry.py"), default_timeout=600)
    at.run()
    for name, text in address.items():
        at.query_params[name] = text
    return at.switch_page(str(HOME / "views" / file)).run()


def words(at):
    return "\n".join(str(m.value) for m in (*at.markdown, *at.header))


def charts_of(at):
    return at.get("vega_lite_chart") or at.get("arrow_vega_lite_chart")


def test_the_entry_asks_four_questions_and_leads_to_every_page():
    at = AppTest.from_file(str(HOME / "entry.py"), default_timeout=600).run()
    assert not at.exception
    assert [s.value for s in at.header] == ["A lot to judge", "Something to show", "Candidates to compare", "An effect in the eye"]
    assert set(list(SECTIONS)[1:5]) == {s.value for s in at.header}
    led_to = [link.proto.page for link in at.get("page_link")]
    assert {path for section in list(SECTIONS)[1:5] for _, _, path in SECTIONS[section]} <= set(led_to)
    charts = charts_of(at)
    assert len(charts) == 4
    assert all(chart.proto.alt for chart in charts)


@pytest.mark.parametrize(
    ("file", "name", "text", "told"),
    [
        ("a_lens.py", "n_lens", "abc", "Index of the lens = 'abc' is not a number: must be 1 to 3. So the address says; here stands 1.49 in"),
        ("a_lens.py", "n_lens", "1,5", "write the decimals with a point"),
        ("a_lens.py", "n_lens", "14.9", "is the decimal point one place off?"),
        ("a_lens.py", "n_lens", "nan", "Index of the lens = 'nan' is not a number"),
        ("a_lens.py", "n_lens", "inf", "Index of the lens = 'inf' is not a number"),
        ("a_lens.py", "n_lens", "-1e999", "Index of the lens = '-1e999' is not a number"),
        ("a_lens.py", "front_plano", "perhaps", "'perhaps' is not offered: it may be true, false. So the address says; here stands “no”"),
        ("its_image.py", "picture", "a bird", "“What would you like to see?” = 'a bird' is not offered"),
        ("an_eye.py", "schematic_eye", "mine", "“In which schematic eye?” = 'mine' is not offered"),
        ("an_eye.py", "eye_n_lens", "1.49.0", "is not a number"),
    ],
)
def test_what_the_address_says_wrongly_is_told_and_can_be_mended(file, name, text, told):
    at = page(file, **{name: text})
    assert not at.exception
    assert [told in e.value for e in at.error] == [True]
    if name.endswith("n_lens"):
        at.number_input(key=name).set_value(1.5).run()
        assert not at.error


def test_a_name_in_the_address_that_nobody_knows_is_told_with_the_nearest():
    at = page("a_lens.py", n_lense="1.5")
    assert any("'n_lense', which this page does not ask for; did you mean n_lens?" in w.value for w in at.warning)


def test_a_value_from_the_address_counts():
    """One surface alone: (1.49 − 1.336)/0.015 m = 10.2667 D, derived by hand."""
    at = page("a_lens.py", back_plano="true", u_front_radius_mm="0", u_center_thickness_mm="0", u_n_lens="0")
    assert not at.error
    assert "10.267 D, with everything taken as exact" in words(at)


def test_inputs_survive_moving_between_pages_and_the_lens_is_shared():
    at = page("a_lens.py")
    at.number_input(key="front_radius_mm").set_value(13.0)
    at.checkbox(key="back_plano").check().run()
    at.switch_page(str(HOME / "views" / "its_image.py")).run()
    assert at.number_input(key="front_radius_mm").value == 13.0
    assert at.checkbox(key="back_plano").value is True
    at.switch_page(str(HOME / "views" / "an_eye.py")).run()
    at.switch_page(str(HOME / "views" / "a_lens.py")).run()
    assert at.number_input(key="front_radius_mm").value == 13.0
    assert at.checkbox(key="back_plano").value is True


def test_an_impossible_value_is_told_below_its_own_field():
    at = page("a_lens.py")
    at.number_input(key="center_thickness_mm").set_value(-1.0).run()
    assert [e.value for e in at.error] == ["Centre thickness = -1 mm: must be 0 to 100 mm"]
    fields = [e for e in at.main if e.type in ("error", "number_input")]
    at_error = next(i for i, e in enumerate(fields) if e.type == "error")
    assert fields[at_error - 1].key == "center_thickness_mm"
    assert at.number_input(key="n_lens").value == 1.49  # the other fields stand as they were


def test_a_wrong_index_leaves_the_lens_its_drawing():
    at = page("a_lens.py", n_lens="14.9")
    charts = charts_of(at)
    assert [chart.proto.alt[:24] for chart in charts] == ["Cross-section of the len"]
    at.number_input(key="optic_diameter_mm").set_value(20.0).run()
    assert not at.exception
    assert not charts_of(at)


def test_nothing_unforeseen_shows_its_traceback(monkeypatch, caplog):
    def fails(*_):
        raise ZeroDivisionError("a secret of the machine")

    at = page("a_lens.py")
    monkeypatch.setattr(dimensions_page, "evaluate", fails)
    at.number_input(key="n_lens").set_value(1.5).run()
    assert not at.exception
    assert [e.value for e in at.error] == [guarded.UNFORESEEN]
    assert "a secret" not in words(at)
    assert "ZeroDivisionError: a secret of the machine" in caplog.text
    monkeypatch.undo()
    at.number_input(key="n_lens").set_value(1.49).run()
    assert not at.error


@pytest.mark.parametrize(
    ("file", "change", "keys", "shown"),
    [
        ("a_lens.py", {}, ("power_D", "u_power_D"), lambda v: f"{v[0]:.3f} D, u {v[1]:.3f} D"),
        ("a_lens.py", {"n_lens": 1.55, "labelled_power_D": 28.0}, ("power_D", "u_power_D"), lambda v: f"{v[0]:.3f} D, u {v[1]:.3f} D"),
        ("its_image.py", {}, ("rms_spot_best_focus_mm", "best_focus_shift_mm", "mtf"),
         lambda v: (f"**{1000 * v[0]:.2f} µm**", f"({-v[1]:.3f} mm in front of", f"**{v[2]:.2f}** is left")),
        ("an_eye.py", {"eye_index_change": 0.003}, ("refraction_shift_D",), lambda v: f"**{v[0]:.2f} D**".replace("-", "−")),
        ("an_eye.py", {"what_is_off": "the place of the implant"}, ("refraction_shift_D",), lambda v: f"**+{v[0]:.2f} D**"),
    ],
)  # fmt: skip
def test_the_command_and_the_python_lines_that_a_page_shows_give_its_figures(file, change, keys, shown):
    at = page(file)
    for key, value in change.items():
        (at.radio(key=key) if isinstance(value, str) else at.number_input(key=key)).set_value(value)
    at.run()
    assert not at.exception
    command, lines = panel(at)
    program, *arguments = shlex.split(command)
    assert program == "lenscalc"
    printed = answer(*arguments)
    scope = {}
    *before, last = lines.splitlines()
    exec("\n".join(before), scope)
    given = eval(last, scope)
    values = given if isinstance(given, tuple) else (given,)
    for found in (values, [printed[key] for key in keys]):
        wanted = shown(found)
        for text in wanted if isinstance(wanted, tuple) else (wanted,):
            assert text in words(at)


def test_saved_inputs_are_what_the_command_takes_and_go_back_into_the_fields():
    at = page("a_lens.py")
    at.checkbox(key="back_plano").check()
    at.number_input(key="front_radius_mm").set_value(11.0)
    at.number_input(key="labelled_power_D").set_value(14.0).run()
    row = {"front_radius_mm": 11.0, "u_front_radius_mm": 0.02, "back_radius_mm": float("inf")}
    from lenscalc.web.fields.typed import as_table

    saved = as_table(row | {"center_thickness_mm": 0.9, "optic_diameter_mm": 6.0, "n_lens": 1.49, "u_n_lens": 0.0003, "n_medium": 1.336,
                            "labelled_power_D": 14.0})  # fmt: skip
    columns = evaluate_block(read_csv_text(saved))
    assert columns["problem"][0] == ""
    assert f"{columns['power_D'][0]:.2f}" in words(at)
    assert csv_text(columns)
    other = page("a_lens.py")
    other.file_uploader(key="take_lens").set_value(("lens.csv", saved.encode(), "text/csv")).run()
    assert not other.exception
    assert other.number_input(key="front_radius_mm").value == 11.0
    assert other.checkbox(key="back_plano").value is True
    assert other.number_input(key="labelled_power_D").value == 14.0


def test_every_page_has_a_path_of_its_own():
    paths = [path for _, _, path in PAGES]
    assert len(set(paths)) == len(paths)
    assert paths[0] == ""
