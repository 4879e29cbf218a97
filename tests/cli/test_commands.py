"""The commands, called as a person calls them."""

import subprocess
import sys
from math import isclose

import pytest
from called import LENS, answer, lenscalc


def test_power_gives_the_worked_figure():
    a = answer("power", *LENS, "--n-lens", "1.49")
    assert round(a["power_D"], 6) == 20.469666  # worked from Gullstrand's equation, by hand, to 1e-6
    assert round(a["d_power_d_n_lens"], 4) == 132.5492
    assert a["caution"]
    assert a["warnings"] == []


def test_plano_is_a_word_and_infinity_is_null():
    a = answer("power", "--front-radius-mm", "plano", "--back-radius-mm", "plano", "--center-thickness-mm", "1", "--n-lens", "1.5")
    assert a["front_radius_mm"] == "plano"
    assert a["power_D"] == 0
    assert a["back_focal_length_mm"] is None


def test_an_uncertainty_of_the_index_reaches_the_power():
    a = answer("power", *LENS, "--n-lens", "1.49", "--u-n-lens", "0.001")
    assert isclose(a["u_power_D"], 0.1325492, rel_tol=1e-6)  # |dF/dn|·u


@pytest.mark.parametrize(
    ("args", "told"),
    [
        (["power", *LENS, "--n-lens", "abc"], "n_lens = 'abc' is not a number"),
        (["power", *LENS, "--n-lens", "1,49"], "write the decimals with a point"),
        (["power", *LENS, "--n-lens", "14.9"], "is the decimal point one place off?"),
        (["power", *LENS, "--n-lens", "0.9"], "n_lens = 0.9: must be 1 to 3"),
        (["power", *LENS, "--n-lens", "nan"], "n_lens is missing or not a number"),
        (["power", "--front-radius-mm", "0", *LENS[2:], "--n-lens", "1.49"], "never 0"),
        (["power", "--front-radius-mm", "0.015", *LENS[2:], "--n-lens", "1.49"], "is it in metres?"),
        (["power", *LENS], "--n-lens"),
        (["power", *LENS, "--n-lense", "1.49"], "--n-lens"),
        (["power", *LENS[:4], "--center-thickness-mm", "0.2", "--n-lens", "1.49", "--optic-diameter-mm", "6"], "edge thickness"),
        (["powr"], "did you mean power?"),
        (["follow"], "give one reading sheet, or --demo"),
        (["follow", "nowhere.toml"], "nowhere.toml"),
        (["conform", "--labelled-power-D", "20.5"], "either --power-D"),
        (["conform", "--labelled-power-D", "20.5", "--power-D", "20.4"], "--u-power-D is missing"),
        (["eye", "--labelled-power-D", "20.5"], "either --power-D or --index-change"),
        (["eye", "--labelled-power-D", "20.5", "--n-lens", "1.49", "--index-change", "nan"], "must be -0.1 to 0.1"),
        (["eye", "--labelled-power-D", "20.5", "--n-lens", "1.337", "--index-change", "0.1"], "power_D = "),
        (["eye", "--labelled-power-D", "20.5", "--power-D", "400"], "no light from in front of the eye"),
        (["eye", "--labelled-power-D", "20.5", "--power-D", "20", "--n-lens", "1.5"], "goes with --index-change"),
        (["eye", "--labelled-power-D", "20.5", "--power-D", "20", "--schematic-eye", "le_grand"], "did you mean le_grand_full"),
        (["eye", "--labelled-power-D", "20.5", "--position-shift-mm", "4.5"], "a shift of the implant, not its depth"),
        (["eye", "--labelled-power-D", "20.5", "--position-shift-mm", "nan"], "must be -2 to 2 mm"),
        (["eye", "--labelled-power-D", "20.5", "--power-D", "20", "--u-n-lens", "0.001"], "--n-lens is missing beside --u-n-lens"),
        (["eye", "--labelled-power-D", "20.5", "--abbe-d", "58"], "go together"),
        (["eye", "--labelled-power-D", "20.5", "--abbe-d", "58", "--other-abbe-d", "40"], "--n-lens is missing beside --abbe-d"),
        (["eye", "--labelled-power-D", "20.5", "--abbe-d", "58", "--other-abbe-d", "40", "--n-lens", "1.49"], "no dispersion of its own"),
        (["eye", "--labelled-power-D", "20.5", "--abbe-d", "58", "--other-abbe-d", "0.4"], "other_abbe_d = 0.4"),
        (["batch", "nowhere.csv", "out.csv"], "no such file"),
        (["batch", "a.csv", "a.csv"], "overwrite"),
        (["app", "--port", "80"], "port"),
        (["polymer", "pmma_beadi_2015"], "did you mean pmma_beadie_2015?"),
        (["polymer", "pmma_beadie_2015", "--wavelength-nm", "0.546"], "is it in µm?"),
        (["polymer", "pva_bodurov_2016", "--wavelength-nm", "656.3"], "must be 405 to 635 nm, the range of pva_bodurov_2016 (Bodurov et al. 2016)"),
        (["polymer", "--wavelength-nm", "546"], "needs the name of a polymer"),
        (["polymer", "--file", "nowhere.toml"], "nowhere.toml"),
    ],
)
def test_bad_input_ends_with_one_line_and_code_2(args, told):
    done = lenscalc(*args)
    assert done.returncode == 2
    assert done.stdout == ""
    assert told in done.stderr
    assert len(done.stderr.splitlines()) == 1


def test_follow_demo_prints_the_whole_way_with_the_caution():
    done = lenscalc("follow", "--demo")
    assert done.returncode == 0
    for word in ("reading", "at 546.07 nm", "power", "conformance probability", "shift of the refraction", "Not a medical device", "invented"):
        assert word in done.stdout


def test_follow_json_holds_the_promised_keys():
    a = answer("follow", "--demo")
    for key in ("n_lens", "u_n_lens", "power_D", "u_power_D", "conformance_probability", "refraction_shift_D", "verdict", "caution", "warnings"):
        assert a[key] is not None
    assert a["verdict"] == "would conform if cut to these dimensions"


def test_index_says_the_same_as_follow():
    assert answer("index", "--demo")["n_lens"] == answer("follow", "--demo")["n_lens"]


def test_conform_of_a_power_and_of_its_lens():
    a = answer("conform", "--labelled-power-D", "20", "--power-D", "20", "--u-power-D", "0.2")
    assert round(a["conformance_probability"], 4) == 0.9545  # two standard uncertainties either side: normal table
    assert a["tolerance_D"] == 0.4
    u = ["--u-front-radius-mm", "0.02", "--u-back-radius-mm", "0.02", "--u-center-thickness-mm", "0.01", "--u-n-lens", "0.0004"]
    b = answer("conform", "--labelled-power-D", "20.5", *LENS, "--n-lens", "1.49", *u)
    assert round(b["power_D"], 6) == 20.469666
    assert 0.001 < b["largest_u_n_lens"] < 0.002


def test_eye_answers_with_a_difference_only():
    a = answer("eye", "--labelled-power-D", "20.855", "--power-D", "21.855")
    # dR/dP is −0.704 at 20.855 D (worked outside the package); it grows by a few hundredths over a dioptre
    assert -0.704 - 0.02 < a["refraction_shift_D"] < -0.704
    assert "refraction_D" not in a


def test_eye_names_its_eye_and_moves_the_implant():
    a = answer("eye", "--labelled-power-D", "20", "--position-shift-mm", "0.1", "--schematic-eye", "le_grand_full")
    assert a["power_D"] == 20
    assert a["refraction_shift_D"] == pytest.approx(0.1 * a["d_refraction_d_position_mm"], rel=0.02)
    assert "Le Grand" in a["eye"]
    b = answer("eye", "--labelled-power-D", "20.5", "--n-lens", "1.49", "--index-change", "0.001", "--u-n-lens", "0.0004")
    assert b["u_n_lens_for_quarter_dioptre"] == pytest.approx(0.125 / abs(b["d_refraction_d_n_lens"]))
    assert b["u_refraction_shift_D"] == pytest.approx(0.0004 * abs(b["d_refraction_d_n_lens"]))
    assert b["refraction_shift_D"] == pytest.approx(0.001 * b["d_refraction_d_n_lens"], rel=0.02)
    assert b["caution"]


def test_eye_tells_the_bias_of_a_lot_with_the_caution():
    done = lenscalc("eye", "--labelled-power-D", "20.5", "--n-lens", "1.49", "--index-change", "0.001")
    assert done.returncode == 0
    for word in ("no number of", "about 1 %", "index must be known", "Not a medical device"):
        assert word in done.stdout


def test_eye_shows_the_lights_way_as_vergences_and_their_changes():
    a = answer("eye", "--labelled-power-D", "20.5", "--power-D", "21.0", "--light-path")
    cornea, implant = a["light_path"]
    # by hand: 43.08/(1 − 0.005·43.08/1.336) = 51.3608 D before the implant; nothing changes there, and 0.5 D behind it
    assert cornea["behind_D"] == 43.08
    assert implant["before_D"] == pytest.approx(51.3608, abs=5e-5)
    assert [implant["change_before_D"], implant["change_behind_D"]] == pytest.approx([0.0, 0.5])
    # 1336/71.8608 − 1336/72.3608 mm nearer
    assert a["focus_shift_mm"] == pytest.approx(1336 / 72.3608 - 1336 / 71.8608, abs=1e-5)
    assert "refraction_D" not in str(a)
    done = lenscalc("eye", "--labelled-power-D", "20.5", "--position-shift-mm", "0.2", "--light-path", "--schematic-eye", "le_grand_full")
    assert done.returncode == 0
    for word in ("back of the cornea, 0.55 mm", "focus", "no retina is in it", "Not a medical device"):
        assert word in done.stdout


def test_eye_sets_the_index_error_in_proportion():
    a = answer("eye", "--labelled-power-D", "20.5", "--n-lens", "1.49", "--index-change", "0.001", "--in-proportion")
    shares = {x["source"]: x["share"] for x in a["proportion"]}
    assert shares["implant power"] == pytest.approx(0.01)  # printed in the abstract
    assert sum(shares.values()) == pytest.approx(1.0)
    assert a["lot_bias_D"] == pytest.approx(0.001 * a["d_refraction_d_n_lens"])
    done = lenscalc("eye", "--labelled-power-D", "20.5", "--n-lens", "1.49", "--index-change", "0.001", "--in-proportion")
    assert done.stdout.count("no number of") == 1
    for word in ("implant position, foreseen", "not a scatter: a bias", "Norrby 2008", "Not a medical device"):
        assert word in done.stdout


def test_eye_tells_the_chromatic_change_of_two_polymers():
    asked = ["eye", "--labelled-power-D", "20.5", "--n-lens", "1.49", "--schematic-eye", "le_grand_full"]
    a = answer(*asked, "--abbe-d", "58", "--other-abbe-d", "40")
    # thin lens: −dR/dP·F·(Δ(n_F − n_C))/(n − m), with n_d 1.488
    rough = -a["d_refraction_d_power"] * 20.5 * 0.488 * (1 / 40 - 1 / 58) / (1.49 - 1.336)
    assert a["chromatic_span_change_D"] == pytest.approx(rough, rel=0.05)
    assert answer(*asked, "--abbe-d", "40", "--other-abbe-d", "58")["chromatic_span_change_D"] == pytest.approx(-a["chromatic_span_change_D"])
    done = lenscalc(*asked, "--abbe-d", "58", "--other-abbe-d", "40")
    assert done.returncode == 0
    for word in ("as labelled", "span that is wider", "Not a medical device"):
        assert word in done.stdout


def test_polymer_lists_every_one_with_its_paper():
    a = answer("polymer")
    rows = {row["key"]: row for row in a["polymers"]}
    assert len(rows) >= 15
    assert round(rows["pmma_szczurowski_2013"]["n_e"], 6) == 1.492611  # worked from the printed coefficients, outside the package
    assert round(rows["pmma_szczurowski_2013"]["abbe_d"], 2) == 58.00
    assert rows["pmma_bodurov_2016"]["abbe_d"] is None  # its range ends before the line C
    assert "not the lot in hand" in a["warnings"][0]
    done = lenscalc("polymer")
    assert done.returncode == 0
    for word in (*rows, "Beadie et al. 2015", "not the lot in hand", "Not a medical device"):
        assert word in done.stdout


def test_polymer_shows_one_with_what_to_mind():
    a = answer("polymer", "polystyrene_sultanova_2009")
    assert [(i["at"], round(i["n"], 6)) for i in a["indices"]][:2] == [("d", 1.591630), ("e", 1.596395)]
    assert round(a["abbe_d"], 2) == 29.53
    assert a["source"]["doi"] == "10.12693/APhysPolA.116.585"
    assert a["caution"]
    for word in ("not the lot in hand", "the basis is unknown", "one-term fit"):
        assert any(word in warning for warning in a["warnings"])
    asked = answer("polymer", "pmma_beadie_2015", "--wavelength-nm", "546.07", "--wavelength-nm", "1000")
    assert [i["wavelength_nm"] for i in asked["indices"]] == [546.07, 1000.0]
    done = lenscalc("polymer", "pmma_kasarova_2007")
    assert done.returncode == 0
    for word in ("Kasarova", "d (587.56 nm)", "1.4914", "not read in the paper itself", "Not a medical device"):
        assert word in done.stdout
    assert "none of the lines" in lenscalc("polymer", "pmma_infrared_nyakuchena_2023").stdout


def test_polymer_takes_own_materials_beside_the_published_ones(tmp_path):
    text = (
        '[source]\nmeasured_by = "us"\nmeasured_on = 2026-03-31\nmethod = "v-block"\n[polymer.copolymer_c]\nmaterial = "copolymer C"\n'
        'form = "cauchy"\ncoefficients = { a = [1.52, 0.0055] }\nrange_nm = [436.0, 700.0]\nbasis = "air"\nu_n = 2e-4\n'
    )
    own = tmp_path / "own.toml"
    own.write_text(text, encoding="utf-8")
    a = answer("polymer", "copolymer_c", "--file", str(own), "--wavelength-nm", "500")
    assert isclose(a["indices"][0]["n"], 1.52 + 0.0055 / 0.25)
    assert a["basis"] == "air"
    assert any("an own entry" in warning for warning in a["warnings"])
    own.write_text(text.replace("u_n = 2e-4\n", ""), encoding="utf-8")
    done = lenscalc("polymer", "copolymer_c", "--file", str(own))
    assert done.returncode == 2
    assert "own.toml: [polymer.copolymer_c] u_n is missing" in done.stderr


COMMANDS = ("follow", "index", "day", "power", "recut", "image", "conform", "eye", "border", "worksheet", "polymer", "batch", "verify", "demo", "app")


@pytest.mark.parametrize("command", COMMANDS)
def test_help_teaches_with_an_example(command):
    done = lenscalc(command, "--help")
    assert done.returncode == 0
    assert "Example:" in done.stdout
    assert f"lenscalc {command}" in done.stdout


def test_demo_copies_and_never_writes_over(tmp_path):
    folder = str(tmp_path / "trial")
    assert lenscalc("demo", folder).returncode == 0
    again = lenscalc("demo", folder)
    assert again.returncode == 2
    assert "there already" in again.stderr
    for name in ("copolymer_c", "copolymer_e", "pmma_published"):
        assert answer("follow", f"{folder}/{name}.toml")["power_D"] > 0


def test_power_imports_nothing_heavy():
    code = (
        "import sys\nfrom lenscalc.cli.main import main\n"
        "try: main(sys.argv[1:])\nexcept SystemExit: pass\n"
        "print([m for m in ('scipy', 'pandas', 'streamlit', 'altair', 'pyarrow', 'numba') if m in sys.modules], file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code, "power", *LENS, "--n-lens", "1.49"], capture_output=True, text=True)
    assert done.stderr.strip() == "[]"


DAY_SHARED = """provenance = "invented for the tests"
[specimen]
state = "hydrated"
[instrument]
kind = "v-block"
resolution = 1e-5
u_calibration = 2e-5
[reading]
wavelength_nm = 546.07
temperature_degC = 35.0
u_temperature_degC = 0.1
basis = "air"
[temperature]
dn_dt_per_K = -2e-4
u_dn_dt_per_K = 2e-5
state = "hydrated"
"""


def day_files(tmp_path, text, more=""):
    (tmp_path / "day.csv").write_text(text, encoding="utf-8")
    (tmp_path / "day.toml").write_text(DAY_SHARED + more, encoding="utf-8")
    return str(tmp_path / "day.csv"), "--shared", str(tmp_path / "day.toml")


def test_a_day_keeps_the_place_of_a_bad_specimen(tmp_path):
    readings, *option = day_files(tmp_path, "specimen,n\nA,1.4901\nB,14.90\nA,1.4903\nB,1.4911\nC,1.4921\nC,1.4923\n")
    out = tmp_path / "results.csv"
    a = answer("day", readings, str(out), *option)
    assert [s["specimen"] for s in a["specimens"]] == ["A", "B", "C"]
    assert isclose(a["specimens"][0]["n_lens"], 1.4902, abs_tol=1e-12)
    assert "line 3, n: n_reading = 14.9" in a["specimens"][1]["problem"]
    assert sum("not in the budget" in w for w in a["warnings"]) == 1  # once, whoever it is said of
    rows = out.read_text(encoding="utf-8").splitlines()
    assert rows[0].startswith("specimen,n_lens,u_n_lens")
    assert "line 3" in rows[2]


def test_a_days_lens_has_its_power_and_a_probability_of_nought_is_one(tmp_path):
    dimension = 'u = 0.001\nstate = "hydrated"\ntemperature_degC = 35.0\n'
    lens = "[lens]\nlabelled_power_D = 60.0\noptic_diameter_mm = 6.0\n" + "".join(
        f"[lens.{name}]\nvalue = {value}\n{dimension}"
        for name, value in (("front_radius_mm", 15.0), ("back_radius_mm", -15.0), ("center_thickness_mm", 0.9))
    )
    readings, *option = day_files(tmp_path, "specimen,n\nA,1.4899\nA,1.4900\nA,1.4901\nA,1.4900\n", lens)
    (a,) = answer("day", readings, *option)["specimens"]
    assert isclose(a["power_D"], 20.469666, abs_tol=1e-5)  # worked from Gullstrand's equation, by hand
    assert a["conformance_probability"] is not None
    assert a["conformance_probability"] < 1e-9
    assert a["verdict"]


@pytest.mark.parametrize("which", ["day.csv", "day.toml"])
def test_a_day_is_never_written_over_what_it_reads(tmp_path, which):
    readings, *option = day_files(tmp_path, "specimen,n\nA,1.4901\nA,1.4903\n")
    before = (tmp_path / which).read_bytes()
    done = lenscalc("day", readings, str(tmp_path / which), *option)
    assert done.returncode == 2
    assert "would overwrite what is read" in done.stderr
    assert (tmp_path / which).read_bytes() == before


def test_a_day_of_many_says_a_warning_once(tmp_path):
    readings, *option = day_files(tmp_path, "specimen,n\n" + "".join(f"S{i},1.490{j}\n" for i in range(30) for j in (1, 3)))
    done = lenscalc("day", readings, *option)
    assert done.returncode == 0
    assert done.stdout.count("all 30 specimens: not in the budget") == 1


@pytest.mark.parametrize(
    ("text", "told"), [("", "no readings"), ("specimen,colour\nA,1\n", "day.csv: unknown column 'colour'"), ("specimen;n\nA;1,4\n", "semicolons")]
)
def test_a_file_that_is_no_day_ends_with_one_line_and_code_2(tmp_path, text, told):
    readings, *option = day_files(tmp_path, text)
    done = lenscalc("day", readings, *option)
    assert (done.returncode, done.stdout) == (2, "")
    assert told in done.stderr
    assert len(done.stderr.splitlines()) == 1


CERTAIN = ["--u-front-radius-mm", "0.02", "--u-back-radius-mm", "0.02", "--u-center-thickness-mm", "0.01", "--n-lens", "1.49", "--u-n-lens", "0.0014"]


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


def test_batch_says_the_edition_of_its_tolerances(tmp_path):
    table, lenses = tmp_path / "own.toml", tmp_path / "lenses.csv"
    table.write_text('edition = "an own edition"\n[[band]]\ntolerance_D = 0.25\n', encoding="utf-8")
    lenses.write_text("front_radius_mm,back_radius_mm,center_thickness_mm,n_lens,labelled_power_D\n15,-15,0.9,1.49,20.5\n", encoding="utf-8")
    done = lenscalc("batch", str(lenses), "-", "--compute", "upper_limit_D", "--tolerance-table", str(table))
    assert done.stdout.splitlines()[1].split(",")[5] == "20.75"
    assert "an own edition" in done.stderr
    assert "withdrawn" in lenscalc("batch", str(lenses), "-", "--compute", "upper_limit_D").stderr


def test_follow_with_a_tolerance_table_of_ones_own(tmp_path):
    path = tmp_path / "own.toml"
    path.write_text('edition = "an own edition"\n[[band]]\nup_to_D = 30\ntolerance_D = 0.05\n', encoding="utf-8")
    a = answer("follow", "--demo", "--tolerance-table", str(path))
    assert (a["lower_limit_D"], a["upper_limit_D"], a["tolerance_edition"]) == (20.45, 20.55, "an own edition")
    assert "Tolerance: an own edition." in lenscalc("follow", "--demo", "--tolerance-table", str(path)).stdout
