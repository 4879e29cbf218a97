"""`lenscalc day`: a table of many specimens' readings."""

import re
from math import isclose

import pytest
from called import answer, lenscalc

from lenscalc.refractometer.day import COLUMNS

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


def test_a_day_is_written_over_its_own_results_and_over_no_other_table(tmp_path):
    readings, *option = day_files(tmp_path, "specimen,n\nA,1.4901\nA,1.4903\n")
    candidates = tmp_path / "candidates.csv"
    candidates.write_text("candidate,n_lens\nA,1.49\n", encoding="utf-8")
    done = lenscalc("day", readings, *option, str(candidates))
    assert (done.returncode, done.stdout) == (2, "")
    assert "candidates.csv: is there already, and is no result" in done.stderr
    assert candidates.read_text(encoding="utf-8") == "candidate,n_lens\nA,1.49\n"
    for _ in range(2):
        assert lenscalc("day", readings, *option, str(tmp_path / "results.csv")).returncode == 0


def test_a_day_of_many_says_a_warning_once(tmp_path):
    readings, *option = day_files(tmp_path, "specimen,n\n" + "".join(f"S{i},1.490{j}\n" for i in range(30) for j in (1, 3)))
    done = lenscalc("day", readings, *option)
    assert done.returncode == 0
    assert done.stdout.count("all 30 specimens: not in the budget") == 1


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "no readings"),
        ("specimen,colour\nA,1\n", "day.csv: unknown column 'colour'"),
        ("specimen;n\nA;1,4\nA;1.4\n", "write the decimals"),
    ],
)
def test_a_file_that_is_no_day_ends_with_one_line_and_code_2(tmp_path, text, told):
    readings, *option = day_files(tmp_path, text)
    done = lenscalc("day", readings, *option)
    assert (done.returncode, done.stdout) == (2, "")
    assert told in done.stderr
    assert len(done.stderr.splitlines()) == 1


def test_the_help_names_every_column():
    words = re.findall(r"\w+", lenscalc("day", "--help").stdout)
    with_u = [name for name in COLUMNS if not (name.startswith("u_") and name[2:] in COLUMNS)]  # "each with its u_"
    assert not [name for name in with_u if name not in words]
