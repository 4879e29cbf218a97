"""`lenscalc control` as a person calls it."""

import pytest
from called import answer, lenscalc

from lenscalc.control import control_chart, series_from_text
from lenscalc.demo import WATER_CHECKS, demo_text


def test_the_demo_series_says_what_moved_and_what_to_look_at():
    done = lenscalc("control", "--demo", "--baseline", "25")
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith("\n7 of 40 points signal, first point 33 (2026-08-17)")
    for text in ("once in 92 points by chance", "Point 40 (2026-10-05): one point beyond three sigma", "contact liquid", "Not a medical device"):
        assert text in " ".join(done.stdout.split())


def test_json_gives_the_figures_of_the_core():
    a = answer("control", "--demo", "--baseline", "25", "--kind", "cusum", "--h-sigma", "4")
    chart = control_chart(series_from_text(demo_text(WATER_CHECKS)), kind="cusum", baseline=25, h_sigma=4.0)
    assert [p["plotted"] for p in a["points"]] == chart.level.value.tolist()
    assert (a["sigma"], a["h_sigma"], a["baseline_points"]) == (chart.limits.sigma, 4.0, 25)
    assert [(s["first"], s["last"]) for s in a["signals"]] == [(s.first + 1, s.last + 1) for s in chart.signals]
    assert a["average_run_length"] == pytest.approx(167.68, abs=0.01)  # Lucas and Crosier 1982: 168
    assert a["warnings"] == []
    assert "caution" in a


def test_limits_are_frozen_and_used_next_month(tmp_path):
    lines = demo_text(WATER_CHECKS).splitlines()
    first, later = tmp_path / "first.csv", tmp_path / "later.csv"
    first.write_text("\n".join(lines[:26]) + "\n", encoding="utf-8")
    later.write_text("\n".join([lines[0], *lines[26:]]) + "\n", encoding="utf-8")
    frozen, picture = tmp_path / "water.toml", tmp_path / "chart.svg"
    assert lenscalc("control", str(first), "--baseline", "25", "--freeze", str(frozen)).returncode == 0
    a = answer("control", str(later), "--limits", str(frozen), "--save", str(picture))
    whole = answer("control", "--demo", "--baseline", "25")
    assert (a["centre"], a["sigma"]) == (whole["centre"], whole["sigma"])
    assert {s["rule"] for s in a["signals"]} == {s["rule"] for s in whole["signals"]}
    assert (a["baseline_first"], a["baseline_last"]) == ("2026-01-05", "2026-06-22")
    assert "upper limit" in picture.read_text(encoding="utf-8")
    again = lenscalc("control", str(first), "--baseline", "25", "--freeze", str(frozen))
    assert again.returncode == 2
    assert "is there already" in again.stderr


def test_rules_are_chosen_by_set_or_by_name():
    def chosen(rules):
        return answer("control", "--demo", "--baseline", "25", "--rules", rules)

    assert {s["rule"] for s in chosen("limits")["signals"]} == {"beyond-3-sigma"}
    assert chosen("8-on-one-side,beyond-3-sigma")["rules"] == ["beyond-3-sigma", "8-on-one-side"]
    assert len(chosen("all")["rules"]) == 6


@pytest.mark.parametrize(
    ("args", "told"),
    [
        ((), "give one series, or --demo"),
        (("nowhere.csv",), "nowhere.csv"),
        (("--demo", "--baseline", "50"), "has 40 points so far, not 50"),
        (("--demo", "--kind", "pie"), "'pie' is not one of"),
        (("--demo", "--rules", "9-on-one-side"), "did you mean 8-on-one-side"),
        (("--demo", "--value", "n"), "there is no column 'n'; the file has date, value, baseline, operator, note"),
        (("--demo", "--weight", "2", "--kind", "ewma"), "weight = 2: must be 0.01 to 1"),
        (("--demo", "--save", "chart.pdf"), ".pdf is not written here"),
        (("--demo", "--limits", "nowhere.toml"), "nowhere.toml"),
        (("--demo", "--limits", "a.toml", "--freeze", "b.toml"), "--freeze needs a baseline"),
        (("--demo", "--kind", "xbar-r"), "has one reading"),
        (("--demo", "--false-alarm-every", "500"), "finds the limits of --kind ewma or cusum"),
        (("--demo", "--kind", "ewma", "--weight", "0", "--false-alarm-every", "500"), "weight = 0: must be 0.01 to 1"),
        (("--demo", "--baseline", "25", "--kind", "ewma", "--part", "spread", "--save", "x.svg"), "has no spread"),
    ],
)
def test_what_is_wrong_is_told_in_one_line(args, told, tmp_path):
    done = lenscalc("control", *args)
    assert done.returncode == 2
    assert told in done.stderr
    assert len(done.stderr.strip().splitlines()) == 1
    assert done.stdout == ""


def test_limits_are_found_for_a_wanted_rate_of_false_alarms():
    a = answer("control", "--demo", "--kind", "cusum", "--false-alarm-every", "167.68")
    assert a["h_sigma"] == pytest.approx(4.0, abs=1e-3)  # Lucas and Crosier 1982: 168 at h = 4
    assert a["average_run_length_after_shift"]["1"] == pytest.approx(8.38, abs=0.01)
    assert a["baseline_points"] == 25  # as the file marks it
