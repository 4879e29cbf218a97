"""`lenscalc conform`: a power or a lens, the rules side by side, the lot, the instrument, the decimals that are needed."""

from math import isclose

import pytest
from called import LENS, answer, lenscalc

CERTAIN = ["--u-front-radius-mm", "0.02", "--u-back-radius-mm", "0.02", "--u-center-thickness-mm", "0.01", "--n-lens", "1.49", "--u-n-lens", "0.0014"]


def test_conform_of_a_power_and_of_its_lens():
    a = answer("conform", "--labelled-power-D", "20", "--power-D", "20", "--u-power-D", "0.2")
    assert round(a["conformance_probability"], 4) == 0.9545  # two standard uncertainties either side: normal table
    assert a["tolerance_D"] == 0.4
    u = ["--u-front-radius-mm", "0.02", "--u-back-radius-mm", "0.02", "--u-center-thickness-mm", "0.01", "--u-n-lens", "0.0004"]
    b = answer("conform", "--labelled-power-D", "20.5", *LENS, "--n-lens", "1.49", *u)
    assert round(b["power_D"], 6) == 20.469666
    assert 0.001 < b["largest_u_n_lens"] < 0.002


def test_conform_says_what_other_rules_would_say():
    a = answer("conform", "--labelled-power-D", "20.5", "--power-D", "20.80", "--u-power-D", "0.1")
    rules = {o["rule"]: o for o in a["rules"]}
    assert rules["simple acceptance"]["accepted"] is True
    assert rules["guarded acceptance"]["accepted"] is False
    assert round(rules["simple acceptance"]["risk"], 4) == 0.1587  # Φ(−1), normal table
    assert round(a["measurement_capability"], 6) == round(a["uncertainty_ratio"], 6) == 2.0  # 0.8/(4·0.1)
    assert [round(a[f"interval_{end}_D"], 3) for end in ("lower", "upper")] == [20.604, 20.996]  # ±1.96·0.1
    done = lenscalc("conform", "--labelled-power-D", "20.5", "--power-D", "20.80", "--u-power-D", "0.3")
    assert "guarded acceptance                       no acceptance zone" in done.stdout


@pytest.mark.parametrize(
    ("u", "interval", "zone"),
    [("0.15", "20.13 to 20.71 D", "20.39 to 20.61 D"), ("0.02", "20.381 to 20.459 D", "20.139 to 20.861 D")],
)
def test_what_comes_of_a_u_is_printed_to_the_place_of_its_second_digit(u, interval, zone):
    """20.42 ∓ 1.959964·u, and 20.5 ∓ (0.4 − 1.959964·u), by hand; the place is that of the power, JCGM 100:2008, 7.2.6 (from memory)."""
    said = lenscalc("conform", "--labelled-power-D", "20.5", "--power-D", "20.42", "--u-power-D", u).stdout.splitlines()
    assert [text.split("  ")[-1].strip() for text in said if text.strip().startswith("with 95 %")] == [interval]
    assert [text.split("  ")[-1].strip() for text in said if text.strip().startswith("guarded acceptance limits")] == [zone]
    assert any(text.strip().startswith("guarded acceptance  ") and f"{zone}:" in text for text in said)


def test_conform_answers_for_the_lot_and_for_the_instrument():
    more = ["--instrument-resolution", "0.0001", "--instrument-u-calibration", "0.0003", "--s-reading", "0.0002", "--u-n-lens-then", "0.0003"]
    a = answer("conform", "--labelled-power-D", "20.5", *LENS, *CERTAIN, *more, "--process-sd-D", "0.2")
    assert isclose(a["expected_yield"], a["conformance_probability"], rel_tol=1e-9)
    assert a["yield_quantile"] < a["expected_yield"]
    assert a["remeasured"]["saved_per_1000"] > 10
    assert a["contributions"][0]["source"] == "index of the lens"
    assert isclose(a["instrument"]["step_power_D"], 132.5492e-4, rel_tol=1e-6)
    assert (a["instrument"]["decides"], a["instrument"]["ten_to_one"], a["instrument"]["two_per_cent"]) == (True, True, True)
    assert a["replicates"]["enough"] == 4  # 0.0002/√4 = 0.0001, a third of √(0.0003² + 0.0001²/12) = 0.000301
    assert {r["rule"] for r in a["global_risks"]} >= {"simple acceptance", "guarded acceptance"}
    done = lenscalc("conform", "--labelled-power-D", "20.5", *LENS, *CERTAIN, *more, "--process-sd-D", "0.2")
    for word in ("What would other rules say?", "And the whole lot?", "What to work on first?", "What would inspection let through?",
                 "Is the refractometer good enough", "How many replicates", "(common practice", "Not a medical device"):  # fmt: skip
        assert word in done.stdout


def test_conform_says_what_no_measurement_mends():
    """A power outside its limits; a scatter of which 9·0.005²/0.0003² = 2500 mountings would leave a third of the rest."""
    more = ["--instrument-resolution", "0.0001", "--instrument-u-calibration", "0.0003", "--s-reading", "0.005"]
    done = lenscalc("conform", "--labelled-power-D", "22.5", *LENS, *CERTAIN, *more)
    assert "A smaller uncertainty cannot bring it in; other radii can." in done.stdout
    assert "More than 100 mountings do not help: so wide a spread has a cause. Look at why they differ." in done.stdout
    inside = lenscalc("conform", "--labelled-power-D", "20.5", *LENS, *CERTAIN, *more[:4], "--s-reading", "0.0002")
    assert "A smaller uncertainty" not in inside.stdout
    assert "do not help" not in inside.stdout


def test_conform_says_that_a_power_just_outside_is_left_open_by_its_u():
    """0.002 D beyond a limit, u 0.06 D: the same words as under the verdict, not that no u counts."""
    power = ["--power-D", "20.902", "--u-power-D", "0.06", "--labelled-power-D", "20.5"]
    told = " ".join(lenscalc("conform", *power).stdout.split())
    assert "not decided: the power lies too near a limit for its uncertainty" in told
    assert "no u decides" not in told
    more = ["--instrument-resolution", "0.0001", "--instrument-u-calibration", "0.0003"]
    whole = " ".join(lenscalc("conform", "--labelled-power-D", "20", *LENS, *CERTAIN, *more).stdout.split())
    assert "not decided" in whole
    assert "A smaller u would decide which, and does not move the power in; other radii do." in whole


def test_conform_with_a_tolerance_table_of_ones_own(tmp_path):
    path = tmp_path / "own.toml"
    path.write_text('edition = "an own edition"\n[[band]]\nup_to_D = 30\ntolerance_D = 0.25\n', encoding="utf-8")
    power = ["--power-D", "20.42", "--u-power-D", "0.06"]
    a = answer("conform", "--labelled-power-D", "20.5", *power, "--tolerance-table", str(path))
    assert (a["tolerance_D"], a["upper_limit_D"], a["tolerance_edition"]) == (0.25, 20.75, "an own edition")
    assert "an own edition" in lenscalc("conform", "--labelled-power-D", "20.5", *LENS, *CERTAIN, "--tolerance-table", str(path)).stdout
    assert answer("conform", "--labelled-power-D", "20.5", *LENS, *CERTAIN, "--tolerance-table", str(path))["tolerance_D"] == 0.25
    b = answer("conform", "--decimals-table", "--tolerance-table", str(path), "--required-probability", "0.9")
    assert b["tolerance_edition"] == "an own edition"
    beyond = lenscalc("conform", "--labelled-power-D", "31", *power, "--tolerance-table", str(path))
    assert beyond.returncode == 2
    assert "beyond the tolerance table, which ends at 30 D" in beyond.stderr


def test_conform_prints_the_table_of_decimals():
    rows = {(r["power_D"], r["n_lens"]): r for r in answer("conform", "--decimals-table")["decimals_table"]}
    assert (rows[20.0, 1.49]["decimals"], rows[20.0, 1.49]["decimals_ten_to_one"]) == (3, 4)
    done = lenscalc("conform", "--decimals-table")
    assert "0.0015 3 (4)" in done.stdout
    assert "Not a medical device" in done.stdout


@pytest.mark.parametrize(
    ("args", "told"),
    [
        (["--power-D", "20.4", "--u-power-D", "0.1"], "Missing option '--labelled-power-D'"),
        (["--labelled-power-D", "20.5", "--power-D", "20.4", "--u-power-D", "0.1", "--instrument-resolution", "0.0001"], "need --n-lens"),
        (["--labelled-power-D", "20.5", "--power-D", "20.4", "--u-power-D", "0.1", "--s-reading", "0.0001"], "what replicates do not shrink"),
        (["--labelled-power-D", "20.5", "--power-D", "20.4", "--u-power-D", "0.1", "--n-lens", "1.336", "--instrument-resolution", "1e-4"],
         "the medium's own index"),
        (["--labelled-power-D", "20.5", "--power-D", "20.4", "--u-power-D", "0.1", "--u-n-lens-then", "0.0001"], "goes with the dimensions"),
        (["--labelled-power-D", "20.5", "--power-D", "20.4", "--u-power-D", "0.1", "--process-mean-D", "20"], "--process-sd-D is missing"),
        (["--labelled-power-D", "20.5", "--power-D", "20.4", "--u-power-D", "0.1", "--wanted-yield", "95"], "is it a percentage?"),
        (["--labelled-power-D", "20.5", "--power-D", "20.4", "--u-power-D", "0.1", "--tolerance-table", "nowhere.toml"], "nowhere.toml"),
        (["--labelled-power-D", "20.5", *LENS, "--n-lens", "1.49", "--u-n-lens-then", "0.0001"], "a lens that can be decided"),
        (["--labelled-power-D", "20.5", *LENS, *CERTAIN, "--u-n-lens-then", "0.01"], "larger than u_n_lens"),
    ],
)
def test_conform_refuses_with_one_line(args, told):
    done = lenscalc("conform", *args)
    assert (done.returncode, done.stdout) == (2, "")
    assert told in done.stderr
    assert len(done.stderr.splitlines()) == 1
