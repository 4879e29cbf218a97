"""The image and the reflections of every row."""

import numpy as np
import pytest

from lenscalc import InputError, evaluate
from lenscalc.chain.image import IMAGE
from lenscalc.lens.image_quality import MODEL_EYE_VERGENCE_D, image_quality
from lenscalc.light import fresnel

LENSES = {
    "front_radius_mm": [15.0, 12.0, "plano", 15.0], "back_radius_mm": [-15.0, "plano", -12.0, -15.0], "center_thickness_mm": 0.9,
    "n_lens": [1.49, 1.50, 1.46, 1.49], "front_conic": [0.0, -2.0, 0.0, -6.0],
}  # fmt: skip
BEAM = {"pupil_diameter_mm": 3.0, "beam": ["collimated", "model-eye", "collimated", "model-eye"], "wavelength_nm": 546.07, "frequency_per_mm": 100.0}


def test_reflections_are_fresnels():
    r = evaluate({**LENSES, "n_medium": [1.336, 1.336, 1.336, 1.0], "n_medium_behind": [np.nan, np.nan, np.nan, 1.336]}).columns
    for row, (before, n, behind) in enumerate([(1.336, 1.49, 1.336), (1.336, 1.50, 1.336), (1.336, 1.46, 1.336), (1.0, 1.49, 1.336)]):
        front, back = fresnel(before, n), fresnel(n, behind)
        assert r["front_reflectance"][row] == pytest.approx(front.reflectance, rel=1e-13, abs=0.0)
        assert r["back_reflectance"][row] == pytest.approx(back.reflectance, rel=1e-13, abs=0.0)
        # in at the front, back from both surfaces, out at the back
        twice = front.transmittance * back.reflectance * front.reflectance * back.transmittance
        assert r["double_reflectance"][row] == pytest.approx(twice, rel=1e-12, abs=0.0)
    assert np.isnan(evaluate({**LENSES, "n_lens": [1.49, 14.9, 1.46, 1.49]}).columns["double_reflectance"][1])


def test_the_image_is_that_of_the_single_lens_to_the_last_bit_and_only_where_it_is_asked_for():
    assert not set(IMAGE) & set(evaluate({**LENSES, **BEAM}).columns)
    r = evaluate({**LENSES, **BEAM}, compute=IMAGE)
    assert set(r.columns) == set(IMAGE)
    for row in range(4):
        lens = {name: np.inf if (x := np.broadcast_to(np.array(v, dtype=object), 4)[row]) == "plano" else float(x) for name, v in LENSES.items()}
        v = 0.0 if BEAM["beam"][row] == "collimated" else MODEL_EYE_VERGENCE_D
        alone = image_quality(**lens, vergence_D=v)
        assert [r.columns[name][row] for name in IMAGE] == [getattr(alone, name) for name in IMAGE]


def test_rows_that_need_different_points_have_the_same_bits_in_company():
    """A wide pupil on a sphere has many waves and a conic few: each is followed by its own quadrature."""
    table = {
        "front_radius_mm": 8.0, "back_radius_mm": -8.0, "center_thickness_mm": 1.2, "n_lens": [1.49] * 70, "front_conic": [0.0, -4.0] * 35,
        "pupil_diameter_mm": [5.5, 3.0] * 35, "vergence_D": 0.0, "wavelength_nm": 546.07, "frequency_per_mm": [50.0] * 40 + [80.0] * 30,
    }  # fmt: skip
    together = evaluate(table, compute=IMAGE).columns
    for row in (0, 1, 39, 69):
        alone = evaluate({k: (v[row : row + 1] if isinstance(v, list) else v) for k, v in table.items()}, compute=IMAGE).columns
        assert [alone[name][0] for name in IMAGE] == [together[name][row] for name in IMAGE]


def test_a_row_without_an_image_says_why_and_keeps_its_power():
    table = {
        **{k: v for k, v in LENSES.items() if k != "n_lens"}, "n_lens": [1.49, 1.30, 1.46, 1.49], "optic_diameter_mm": 6.0,
        "pupil_diameter_mm": [3.0, 3.0, "", 7.0], "vergence_D": 0.0,
    }  # fmt: skip
    r = evaluate(table, compute=("*", "zernike_4_0_um", "best_focus_shift_mm"))
    assert list(r.problems) == ["", "", "", ""]
    assert np.isfinite(r.columns["power_D"]).all()
    for name in ("zernike_4_0_um", "best_focus_shift_mm"):
        assert np.isfinite(r.columns[name]).tolist() == [True, False, False, False]
    for row, told in ((1, "no image: vergence_D = 0 D: this beam has no real image"), (2, "no image: pupil_diameter_mm is missing")):
        assert told in r.warnings[row]
    assert "wider than optic_diameter_mm" in r.warnings[3]
    assert "no image" not in r.warnings[0]
    whole = evaluate({k: v[:1] if isinstance(v, list) else v for k, v in {**table, "pupil_diameter_mm": 6.0}.items()}, compute=("zernike_4_0_um",))
    assert np.isfinite(whole.columns["zernike_4_0_um"]).all()  # a pupil as wide as the optic lies within it
    lost = evaluate({**LENSES, "pupil_diameter_mm": [29.0, 3.0, 3.0, 3.0], "beam": "collimated"}, compute=("longitudinal_spherical_aberration_mm",))
    assert np.isfinite(lost.columns["longitudinal_spherical_aberration_mm"]).tolist() == [False, True, True, True]
    assert "no image: pupil_diameter_mm = 29 mm: 1 of 1 ray is lost" in lost.warnings[0]



def test_the_beam_has_no_default():
    with pytest.raises(InputError, match="pupil_diameter_mm is missing: mtf hold"):
        evaluate(LENSES, compute=("mtf",))
    with pytest.raises(InputError, match=r"beam is missing.*collimated or model-eye"):
        evaluate({**LENSES, "pupil_diameter_mm": 3.0}, compute=("zernike_4_0_um",))
    with pytest.raises(InputError, match="wavelength_nm is missing"):
        evaluate({**LENSES, "pupil_diameter_mm": 3.0, "beam": "collimated"}, compute=("mtf",))
    # rays have no wavelength
    by_rays = evaluate({**LENSES, "pupil_diameter_mm": 3.0, "beam": "collimated"}, compute=("zernike_4_0_um",))
    assert np.isfinite(by_rays.columns["zernike_4_0_um"]).all()


def test_what_contradicts_itself_is_refused():
    r = evaluate({**LENSES, **BEAM, "vergence_D": [np.nan, 40.0, np.nan, np.nan]}, compute=("mtf",))
    assert "both beam and vergence_D" in r.problems[1]
    assert np.isnan(r.columns["mtf"][1])
    assert "must be collimated or model-eye" in evaluate({**LENSES, **BEAM, "beam": "eye"}, compute=("mtf",)).problems[0]
    assert "is it in µm?" in evaluate({**LENSES, **BEAM, "wavelength_nm": 0.546}, compute=("mtf",)).problems[0]
    assert "indices at 546.07 nm" in evaluate({**LENSES, **BEAM, "wavelength_nm": 589.3}, compute=("mtf",)).warnings[0]
    with pytest.raises(InputError, match="no image"):
        evaluate({**LENSES, **BEAM, "front_radius_mm": -15.0, "back_radius_mm": 15.0, "beam": "collimated"}, compute=("mtf",), strict=True)


def test_the_progress_goes_up_to_the_last_row():
    told = []
    size = 130
    table = {"front_radius_mm": [15.0] * size, "back_radius_mm": -15.0, "center_thickness_mm": 0.9, "n_lens": 1.49}
    evaluate(
        {**table, "pupil_diameter_mm": 3.0, "beam": "collimated"}, compute=("longitudinal_spherical_aberration_mm",),
        on_progress=lambda done, total: told.append((done, total)),
    )  # fmt: skip
    assert told == [(64, size), (128, size), (size, size), (size, size)]
    nobody = evaluate({**{k: [] for k in LENSES}, "pupil_diameter_mm": 3.0, "beam": "collimated"}, compute=("zernike_4_0_um",))
    assert nobody.columns["zernike_4_0_um"].size == 0


@pytest.mark.parametrize("name", IMAGE)
def test_each_result_may_be_asked_for_alone(name):
    table = {"front_radius_mm": [15.0], "back_radius_mm": [-15.0], "center_thickness_mm": 0.9, "n_lens": 1.49, **BEAM, "beam": "collimated"}
    alone = evaluate(table, compute=(name,)).columns
    assert set(alone) == {name}
    assert alone[name] == evaluate(table, compute=IMAGE).columns[name]


@pytest.mark.parametrize("frequencies", [(100.0, 50.0, 75.0), (50.0, 100.0, 75.0), (50.0, 75.0, 50.0), (75.0, 50.0, 75.0)])
def test_each_row_has_its_own_frequency_in_whatever_order_they_stand(frequencies):
    """An MTF falls as lines come closer: rows of one lens stand in the order of their frequencies."""
    table = {"front_radius_mm": [15.0] * 3, "back_radius_mm": -15.0, "center_thickness_mm": 0.9, "n_lens": 1.49}
    beam = {"pupil_diameter_mm": 3.0, "beam": "collimated", "wavelength_nm": 546.07}
    found = evaluate({**table, **beam, "frequency_per_mm": frequencies}, compute=("mtf",)).columns["mtf"]
    of = dict(zip(frequencies, found, strict=True))
    assert [of[f] for f in sorted(of)] == sorted(of.values(), reverse=True)
    assert len(set(found)) == len(set(frequencies))
