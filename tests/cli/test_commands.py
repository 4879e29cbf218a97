"""The commands, called as a person calls them: what holds for all of them, and those that have no file of their own here."""

import re
import subprocess
import sys
from math import isclose

import pytest
from called import LENS, answer, lenscalc, started


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


@pytest.mark.parametrize("args", [["follow", "--demo"], ["power", *LENS], ["power", "--help"], ["follow", "no-such-sheet.toml"], ["--version"]])
def test_a_call_of_these_tests_is_that_of_a_process_that_begins_with_it(args):
    one, other = lenscalc(*args), started(*args)
    assert (one.returncode, one.stdout, one.stderr) == (other.returncode, other.stdout, other.stderr)


def test_power_imports_nothing_heavy():
    code = (
        "import sys\nfrom lenscalc.cli.main import main\n"
        "try: main(sys.argv[1:])\nexcept SystemExit: pass\n"
        "print([m for m in ('scipy', 'pandas', 'streamlit', 'altair', 'pyarrow', 'numba') if m in sys.modules], file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code, "power", *LENS, "--n-lens", "1.49"], capture_output=True, text=True)
    assert done.stderr.strip() == "[]"


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


@pytest.mark.parametrize(
    "arguments",
    [
        ["power", "--front-radius-mm", "15", "--back-radius-mm", "-15", "--center-thickness-mm", "0.9", "--n-lens", "1.3360001"],
        ["recut", "--power-D", "20", "--n-lens", "1.49", "--center-thickness-mm", "0.9", "--radius-increment-mm", "0.00001"],
        ["recut", "--n-lens-before", "1.49", "--n-lens", "1.4899999999", *LENS],
        ["conform", "--labelled-power-D", "0", "--power-D", "-0.0001", "--u-power-D", "0.06"],
        ["eye", "--labelled-power-D", "20", "--n-lens", "1.49", "--index-change", "-0.0000001", "--light-path"],
    ],
)
def test_what_rounds_to_nothing_has_no_sign(arguments):
    said = lenscalc(*arguments).stdout
    assert re.search(r"[^0-9.+-]0\.000", said)
    assert not re.findall(r"[-+−]0\.0*(?![0-9])", said)
