"""What columns come out of a batch: constants, own ones, those of an image, and which do not stand side by side."""

import json
import subprocess
import sys

import pandas as pd
from batch_files import results

from lenscalc.batch import run_batch
from lenscalc.chain import evaluate

HEADER = "front_radius_mm,back_radius_mm,center_thickness_mm,n_lens"


def test_a_constant_stands_in_the_results(tmp_path):
    [row] = results(tmp_path, "front_radius_mm,back_radius_mm,center_thickness_mm\n15,-15,0.9\n", constants={"n_lens": "1.49"})
    assert row["n_lens"] == "1.49"
    assert round(float(row["power_D"]), 6) == 20.469666  # worked from Gullstrand's equation, by hand


def test_own_columns_come_through_untouched(tmp_path):
    frame = pd.DataFrame({"lot": [2**60 + 1], "front_radius_mm": [15.0], "back_radius_mm": [-15], "center_thickness_mm": [0.9], "n_lens": [1.49]})
    frame.to_parquet(tmp_path / "in.parquet")
    run_batch(str(tmp_path / "in.parquet"), str(tmp_path / "out.csv"))
    assert str(2**60 + 1) in (tmp_path / "out.csv").read_text(encoding="utf-8")
    assert evaluate(frame.assign(u_n_lens=pd.array([pd.NA], dtype="string"))).problems[0] == ""


def test_an_index_in_use_fills_the_empty_cell_of_a_raw_reading(tmp_path):
    columns = "n_lens,n_reading,u_n_reading,reading_wavelength_nm,reading_temperature_degC,index_state,index_basis"
    rows = results(
        tmp_path,
        f"front_radius_mm,back_radius_mm,center_thickness_mm,{columns}\n15,-15,0.9,1.49,,,,,,\n15,-15,0.9,,1.49,0.0001,546.07,35,hydrated,air\n",
    )
    assert [row["n_lens"] for row in rows] == ["1.49", "1.49"]


def test_labelled_powers_and_refractions_do_not_stand_side_by_side_unasked(tmp_path):
    from lenscalc.demo import demo_text

    rows = results(tmp_path, demo_text("candidates.csv"))
    assert not [name for name in rows[0] if "refraction" in name]
    asked = results(tmp_path, demo_text("candidates.csv"), compute=("refraction_shift_D",))
    assert float(asked[2]["refraction_shift_D"]) > 0  # C is weaker than its label: less myopic


def test_images_have_the_same_bytes_in_any_blocks_and_are_those_of_the_command(tmp_path):
    kinds = ((15, 3, "model-eye"), (12, 5, "collimated"), (15, 3, "collimated"))
    rows = "".join(f"{R},-15,0.9,1.49,{pupil},{beam}\n" for R, pupil, beam in kinds * 3)
    text = f"{HEADER},pupil_diameter_mm,beam\n{rows}15,-15,0.9,1.30,3,collimated\n"
    asked = {"compute": ("mtf", "zernike_4_0_um"), "constants": {"wavelength_nm": "546.07", "frequency_per_mm": "100"}}
    whole = results(tmp_path, text, **asked)
    assert results(tmp_path, text, block_rows=4, **asked) == whole
    lens = ["--front-radius-mm", "15", "--back-radius-mm", "-15", "--center-thickness-mm", "0.9", "--n-lens", "1.49"]
    code = "from lenscalc.cli.main import main; main()"
    one = json.loads(subprocess.run([sys.executable, "-c", code, "image", *lens, "--model-eye", "--json"], capture_output=True, text=True).stdout)
    assert [float(whole[0][name]) for name in ("mtf", "zernike_4_0_um")] == [one["mtf"], one["zernike_4_0_um"]]
    assert (whole[0]["beam"], whole[0]["wavelength_nm"]) == ("model-eye", "546.07")  # what the image holds for stands beside it
    assert whole[-1]["mtf"] == ""
    assert "no real image" in whole[-1]["warning"]


def test_reflections_come_unasked(tmp_path):
    [row] = results(tmp_path, f"{HEADER}\n15,-15,0.9,1.49\n")
    assert round(float(row["front_reflectance"]), 6) == round((0.154 / 2.826) ** 2, 6)
