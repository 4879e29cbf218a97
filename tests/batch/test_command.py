"""The command: what it lists, what it looks through, how it ends."""

import json
import os
import subprocess
import sys

import numpy as np
import pytest

from lenscalc.batch import Block, check_batch, evaluate_block, heading_of, run_batch
from lenscalc.batch.describe import TEMPLATE, result_columns, results_on_demand
from lenscalc.chain import INPUT_COLUMNS
from lenscalc.cli.main import main
from lenscalc.quantities import is_quantity, quantity

HEADER = "front_radius_mm,back_radius_mm,center_thickness_mm,n_lens"
BAD = ["0.015,-15,0.9,1.49", "15,-15,0.9,14.9", "15,-15,,1.49", "15,-15,0.9", "x,-15,0.9,1.49"]


def command(*arguments):
    with pytest.raises(SystemExit) as ended:
        main(["batch", *(str(a) for a in arguments)])
    return ended.value.code


@pytest.fixture
def source(tmp_path):
    path = tmp_path / "in.csv"
    path.write_text(HEADER + "\n" + "15,-15,0.9,1.49\n" * 3 + "\n".join(BAD) + "\n", encoding="utf-8")
    return path


def test_every_column_is_listed_with_unit_range_and_meaning(capsys):
    assert command("--describe") == 0
    text = capsys.readouterr().out
    for name in INPUT_COLUMNS:
        line = next(row for row in text.splitlines() if row.split(" ")[0] == name)
        if is_quantity(name):
            assert quantity(name).meaning in line
            assert quantity(name).limits_text in line
    assert "back_focal_length_mm" in text
    assert command("--columns", "--json") == 0
    told = json.loads(capsys.readouterr().out)
    [n_medium] = [c for c in told["input_columns"] if c["name"] == "n_medium"]
    assert n_medium["missing"] == "1.336 if missing"


def test_what_is_listed_is_what_comes_out(capsys):
    given = {
        "front_radius_mm": 15.0, "back_radius_mm": -15.0, "center_thickness_mm": 0.9, "u_front_radius_mm": 0.03, "u_back_radius_mm": 0.03,
        "u_center_thickness_mm": 0.02, "optic_diameter_mm": 6.0, "density_kg_per_m3": 1190.0, "labelled_power_D": 20.5, "n_measured_medium": 1.3346,
        "u_n_measured_medium": 1e-4, "n_reading": 1.49, "u_n_reading": 2e-4, "reading_wavelength_nm": 546.07, "reading_temperature_degC": 35.0,
        "u_reading_temperature_degC": 0.1, "dn_dt_per_K": -1e-4, "u_dn_dt_per_K": 1e-5, "index_state": "hydrated", "index_basis": "air",
        "abbe_d": 58.0, "pupil_diameter_mm": 3.0, "beam": "model-eye", "wavelength_nm": 546.07, "frequency_per_mm": 100.0,
    }  # fmt: skip
    block = Block({name: np.array([value], dtype=object) for name, value in given.items()})
    by_itself = {c.name for c in result_columns()}
    asked = {c.name for c in results_on_demand()}
    assert set(evaluate_block(block)) - set(given) == by_itself
    row = evaluate_block(block, compute=("*", *asked))
    assert set(row) - set(given) == by_itself | asked
    assert row["problem"][0] == ""
    assert [name for name in asked if not np.isfinite(row[name][0])] == []
    assert command("--describe") == 0
    below = capsys.readouterr().out.split("where --compute names it")[1]
    assert {line.split(" ")[0] for line in below.splitlines() if line} == asked
    assert "needs pupil_diameter_mm; beam or vergence_D; wavelength_nm, frequency_per_mm" in below


@pytest.mark.parametrize("ending", ["csv", "xlsx"])
def test_a_template_is_a_table_to_fill_in(tmp_path, capsys, ending):
    path = tmp_path / f"lenses.{ending}"
    assert command("--template", path) == 0
    assert command("--check", path) == 0
    assert "0 rows, 0 with a problem" in capsys.readouterr().out
    assert heading_of(TEMPLATE).own == ()
    assert command("--template", path) == 2
    assert "is there already" in capsys.readouterr().err
    assert command("--template", tmp_path / "x.pdf") == 2


def test_a_check_finds_what_the_run_finds_and_writes_nothing(tmp_path, source, capsys):
    before = sorted(tmp_path.iterdir())
    assert command(source, "--check") == 0
    out = capsys.readouterr().out
    assert "row 4: front_radius_mm = 0.015 mm" in out
    assert "8 rows, 5 with a problem" in out
    assert command(source, "--check", "--strict") == 1
    assert sorted(tmp_path.iterdir()) == before
    assert run_batch(str(source), str(tmp_path / "out.csv"))[:2] == check_batch(str(source))[:2] == (8, 5)
    capsys.readouterr()
    assert command(source, "--check", "--json") == 0
    assert [p["row"] for p in json.loads(capsys.readouterr().out)["first_problems"]] == [4, 5, 6, 7, 8]


def test_a_check_asks_the_tolerance_table_too(tmp_path):
    path = tmp_path / "in.csv"
    table = tmp_path / "t.toml"
    path.write_text(f"{HEADER},labelled_power_D,tolerance_D\n15,-15,0.9,1.49,20,\n15,-15,0.9,1.49,70,\n15,-15,0.9,1.49,70,0.5\n", encoding="utf-8")
    table.write_text('edition = "invented for this test"\n[[band]]\nup_to_D = 30.0\ntolerance_D = 0.4\n', encoding="utf-8")
    from lenscalc.decision import read_tolerance_table

    found = check_batch(str(path), tolerance_table=read_tolerance_table(str(table)))
    done = run_batch(str(path), str(tmp_path / "out.csv"), tolerance_table=read_tolerance_table(str(table)))
    assert found.first[0][0] == 2
    assert found[:2] == done[:2] == (3, 1)


def test_strict_ends_with_one_when_rows_have_problems(tmp_path, source, capsys):
    assert command(source, tmp_path / "out.csv") == 0
    assert command(source, tmp_path / "out.csv", "--strict") == 1
    assert "8 rows, 5 with a problem" in capsys.readouterr().err
    source.write_text(f"{HEADER}\n15,-15,0.9,1.49\n", encoding="utf-8")
    assert command(source, tmp_path / "out.csv", "--strict") == 0


def test_what_is_missing_from_the_command_is_named(source, capsys):
    assert command() == 2
    assert "missing SOURCE" in capsys.readouterr().err
    assert command(source) == 2
    assert "missing TARGET" in capsys.readouterr().err


def test_signs_can_be_told(tmp_path, capsys):
    path = tmp_path / "in.csv"
    path.write_text(HEADER.replace(",", ";") + "\n15;-15;1;1,490\n", encoding="utf-8")
    assert command(path, tmp_path / "out.csv") == 2
    assert "--decimal" in capsys.readouterr().err
    assert command(path, tmp_path / "out.csv", "--separator", "semicolon", "--decimal", "comma") == 0


def test_a_terminal_shows_rows_rate_and_time_left_and_a_file_does_not(tmp_path):
    pty = pytest.importorskip("pty")
    source = tmp_path / "in.csv"
    source.write_text(HEADER + "\n" + "15,-15,0.9,1.49\n" * 70_000 * 2, encoding="utf-8")
    at_every_block = "import lenscalc.cli.progress as shown; shown._EVERY_S = 0.0"  # a quick machine would be done before it tells
    arguments = ["batch", str(source), str(tmp_path / "out.csv"), "--compute", "power_D"]
    code = f"{at_every_block}; from lenscalc.cli.main import main; main({arguments!r})"
    ours, theirs = pty.openpty()
    done = subprocess.Popen([sys.executable, "-c", code], stderr=theirs)
    os.close(theirs)
    shown = b""
    try:
        while data := os.read(ours, 65536):
            shown += data
    except OSError:  # the other end is closed
        pass
    assert done.wait() == 0
    assert b"\r" in shown
    assert b"of about 1" in shown
    assert b"rows/s" in shown
    assert b" left" in shown
    quiet = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True)
    assert b"rows/s" not in quiet.stderr


def test_a_stop_by_hand_says_how_to_go_on(tmp_path, source, monkeypatch, capsys):
    import lenscalc.cli.batch as file

    def stopped(*arguments, **options):
        raise KeyboardInterrupt

    monkeypatch.setattr(file, "run_batch", stopped)
    assert command(source, tmp_path / "out.csv") == 130
    assert "--resume" in capsys.readouterr().err
