"""What `lenscalc follow` and the report say of what to improve first: the core's words, line by line."""

import tomllib
from textwrap import fill

import tomli_w
from called import lenscalc

from lenscalc.chain import follow, improve_first
from lenscalc.demo import demo_text
from lenscalc.refractometer import sheet_from_text
from lenscalc.report import as_plain, determine


def outside():
    data = tomllib.loads(demo_text("copolymer_c.toml"))
    data["reading"][0]["n"] = [1.4620, 1.4621, 1.4622]
    return tomli_w.dumps(data)


def test_command_and_report_say_what_the_core_says(tmp_path):
    text = outside()
    found = improve_first(follow(sheet_from_text(text)))
    assert found.answer.startswith("The power itself: a lens cut to these dimensions has 16.664 D")
    (tmp_path / "mine.toml").write_text(text, encoding="utf-8")
    told = lenscalc("follow", str(tmp_path / "mine.toml")).stdout
    assert "\nWhat to improve first?\n" in told
    printed = as_plain(determine(text).tree)
    for sentence in (found.answer, *found.more):
        assert fill(sentence, 100, initial_indent="  ", subsequent_indent="  ") in told
        assert sentence in str(printed)


def test_readings_of_two_specimens_are_told_by_the_command(tmp_path):
    (tmp_path / "mine.toml").write_text(outside().replace("1.4622", "1.4904,1.4906"), encoding="utf-8")
    told = " ".join(lenscalc("follow", str(tmp_path / "mine.toml")).stdout.split())
    assert "readings 1 and 2 (mean 1.4621) and readings 3 and 4 (mean 1.4905) look like two sets" in told
    assert "more of them do not help" in told
