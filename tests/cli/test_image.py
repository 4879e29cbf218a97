"""The command image."""


import pytest
from called import LENS, answer, lenscalc


def test_image_names_its_beam_and_asks_the_criterion_in_the_model_eye_alone():
    bare = answer("image", *LENS, "--n-lens", "1.49")
    assert bare["beam"] == "collimated onto the bare lens, 3 mm wide"
    assert round(bare["best_focus_shift_mm"] / bare["longitudinal_spherical_aberration_mm"], 3) == 0.667  # third-order theory
    assert round(bare["longitudinal_spherical_aberration_mm"], 5) == -0.42332  # rayoptics 0.9.8, reference_cases/rayoptics_image.toml
    assert abs(bare["diffraction_mtf"] - 0.0435101) < 1e-6  # worked from the closed formula with 20.469666 D
    assert bare["mtf"] <= bare["diffraction_mtf"]
    assert "reaches_imaging_criterion" not in bare
    for key in ("rms_spot_best_focus_mm", "zernike_4_0_um", "strehl_ratio", "cut_off_per_mm", "focus", "caution"):
        assert bare[key]
    eye = answer("image", *LENS, "--n-lens", "1.49", "--model-eye")
    assert eye["reaches_imaging_criterion"] is True
    assert "aberration-free cornea" in eye["beam"]
    figured = answer("image", *LENS, "--n-lens", "1.49", "--front-conic", "-6", "--back-conic", "0.5", "--frequency-per-mm", "50")
    assert figured["front_conic"] == -6
    done = lenscalc("image", *LENS, "--n-lens", "1.49", "--model-eye")
    for word in ("is reached by this design", "converging by 48.5818 D", "Not a medical device"):
        assert word in " ".join(done.stdout.split())


@pytest.mark.parametrize(
    ("args", "told"),
    [
        (["--n-lens", "1.2"], "no real image"),
        (["--n-lens", "1.49", "--pupil-diameter-mm", "0.003"], "is it in metres?"),
        (["--n-lens", "1.49", "--wavelength-nm", "0.546"], "is it in µm?"),
        (["--n-lens", "1.49", "--pupil-diameter-mm", "29"], "rays are lost"),
        (["--n-lens", "1.49", "--null-aberration", "front", "--front-conic", "-2"], "give one of the two"),
        (["--n-lens", "1.49", "--model-eye", "--vergence-D", "40"], "either --model-eye or --vergence-D"),
    ],
)
def test_image_says_in_one_line_what_cannot_be(args, told):
    done = lenscalc("image", *LENS, *args)
    assert (done.returncode, done.stdout) == (2, "")
    assert told in done.stderr
    assert len(done.stderr.splitlines()) == 1


def test_image_finds_the_conic_and_what_an_index_error_does_to_it():
    a = answer("image", *LENS, "--n-lens", "1.49", "--pupil-diameter-mm", "5", "--model-eye", "--null-aberration", "back", "--index-error", "-0.002")
    assert abs(a["zernike_4_0_um"]) < 1e-9
    assert a["back_conic"] < -1
    assert abs(a["zernike_4_0_after_um"]) > 1e-5
    assert a["mtf_in_old_plane"] < a["mtf_after"]
    assert a["focus_moved_mm"] > 0
    told = " ".join(lenscalc("image", *LENS, "--n-lens", "1.49", "--null-aberration", "front", "--index-error", "0.001").stdout.split())
    for words in ("the front one found to null Zernike (4,0) in this beam", "its index moved by +0.001", "MTF in the plane that was best before"):
        assert words in told


def test_image_tells_the_reflections_and_that_they_rise():
    a = answer("image", *LENS, "--n-lens", "1.49")
    assert round(a["front_reflectance"], 6) == 0.00297  # (0.154/2.826)²
    told = " ".join(lenscalc("image", *LENS, "--n-lens", "1.49").stdout.split())
    assert "0.297 % and 0.297 %" in told
    assert "with 0.01 more index of the lens the ghost is 1.27 times as bright" in told  # (0.164/2.836 : 0.154/2.826)⁴, a little less
