"""The commands, called as a person calls them."""

import json
import subprocess
import sys
from math import isclose

import pytest

LENS = ["--front-radius-mm", "15", "--back-radius-mm", "-15", "--center-thickness-mm", "0.9"]


def lenscalc(*args, stdin=""):
    # a process of its own: exit codes and standard error are part of the promise
    return subprocess.run([sys.executable, "-c", "from lenscalc.cli.main import main; main()", *args], input=stdin, capture_output=True, text=True)


def answer(*args):
    done = lenscalc(*args, "--json")
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout, parse_constant=lambda c: pytest.fail(f"{c} is not JSON"))


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


@pytest.mark.parametrize("command", ["follow", "index", "power", "conform", "eye", "polymer", "batch", "verify", "demo", "app"])
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
