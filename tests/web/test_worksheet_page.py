"""A worksheet to print: the lens of the other pages goes along; page, command and Python give the same file."""

import shlex

import pytest
from called import lenscalc
from shown import by_python, code, page, words

from lenscalc.worksheet import Lesson, worksheet_html

FILE = "a_worksheet.py"


def sheet(at):
    return at.get("iframe")[0].proto.srcdoc


def test_the_sheet_of_the_lens_at_hand():
    at = page(FILE)
    assert not at.exception
    assert "**8 exercises**" in words(at)
    assert sheet(at) == worksheet_html(Lesson(15.0, -15.0, 0.9, 6.0, 1.49))
    assert "<b>20.47 D</b>" in sheet(at)  # 20.469666 D: mpmath


@pytest.mark.parametrize(("name", "value"), [("n_lens", 1.4725), ("front_radius_mm", 14.5), ("index_change", -0.002), ("n_prism", 1.68)])
def test_the_address_carries_the_numbers(name, value):
    """As it does from page to page; here it is written by hand, because it does not follow the fields without a browser."""
    at = page(FILE, **{name: value})
    assert sheet(at) == worksheet_html(Lesson(15.0, -15.0, 0.9, 6.0, 1.49)._replace(**{name: value}))


def test_page_command_and_python_give_the_same(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    at = page(FILE)
    at.checkbox(key="back_plano").check()
    at.number_input(key="n_prism").set_value(1.62)
    at.slider(key="index_change").set_value(0.0034).run()
    assert not at.exception
    assert by_python(at)[0] == sheet(at)
    done = lenscalc(*shlex.split(code(at, "bash"))[1:])
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "worksheet.html").read_text(encoding="utf-8") == sheet(at)
    assert "Exercise 8" in done.stdout


@pytest.mark.parametrize(
    ("field", "value", "told"),
    [("n_prism", 1.4, "must be above the specimen's index"), ("n_prism", 0.5, "Index of the prism = 0.5"), ("center_thickness_mm", 0.2, "edge")],
)
def test_wrong_input_is_told_in_one_line(field, value, told):
    at = page(FILE)
    at.number_input(key=field).set_value(value).run()
    assert not at.exception
    assert len(at.error) == 1
    assert told in at.error[0].value
    assert not at.get("iframe")
