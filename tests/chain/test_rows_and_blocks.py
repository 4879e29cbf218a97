"""That rows do not know of each other, and a bad one keeps its place."""

import numpy as np
import pytest
from one_row import ROW, evaluated

from lenscalc import InputError, evaluate


def random_rows(size=1000):
    """Readings and indices in use, labelled or not, with and without uncertainties, some plano, some impossible; invented."""
    rng = np.random.default_rng(20240611)

    def some(values, share, other=np.nan):
        return np.where(rng.random(size) < share, values, other)

    raw = rng.random(size) < 0.5
    R1, R2 = rng.uniform(6, 60, size), -some(rng.uniform(6, 60, size), 0.9, np.inf)
    dry = rng.random(size) < 0.3
    table = {
        "front_radius_mm": some(R1, 0.97, 0.01),
        "back_radius_mm": R2,
        "center_thickness_mm": rng.uniform(0.5, 1.5, size),
        "optic_diameter_mm": some(rng.uniform(4.0, 6.5, size), 0.7),
        "n_lens": np.where(raw, np.nan, rng.uniform(1.4, 1.6, size)),
        "n_reading": np.where(raw, rng.uniform(1.4, 1.6, size), np.nan),
        "reading_wavelength_nm": some(589.29, 0.6, 546.07),
        "reading_temperature_degC": some(20.0, 0.6, 35.0),
        "index_state": np.where(dry, "dry", "hydrated").astype(object),
        "index_basis": np.where(rng.random(size) < 0.8, "air", "unknown").astype(object),
        "abbe_d": some(rng.uniform(30, 60, size), 0.95),
        "dn_dt_per_K": some(rng.uniform(-4e-4, -1e-4, size), 0.95),
        "hydration_shift": np.where(dry, rng.uniform(-0.05, -0.01, size), np.nan),
        "n_measured_medium": some(1.334, 0.3),
        "u_n_measured_medium": np.full(size, 1e-4),
        "u_calibration": some(2e-4, 0.9),
        "labelled_power_D": some(np.round(rng.uniform(5, 35, size) * 2) / 2, 0.8),
    }
    for name in ("n_lens", "n_reading"):
        table[f"u_{name}"] = np.where(np.isnan(table[name]), np.nan, some(1e-4, 0.9))
    for name, u in (("abbe_d", 2.0), ("dn_dt_per_K", 2e-5), ("hydration_shift", 1e-3), ("reading_temperature_degC", 0.2)):
        table[f"u_{name}"] = some(u, 0.95)
    for name in ("front_radius_mm", "back_radius_mm", "center_thickness_mm"):
        table[f"u_{name}"] = np.where(np.isinf(table[name]), np.nan, some(0.02, 0.9))
    table["u_back_curvature_per_mm"] = np.where(np.isinf(R2), 1e-4, np.nan)
    return table


EVERYTHING = ("*", "largest_u_n_lens")


@pytest.fixture(scope="module")
def whole():
    return random_rows(), evaluate(random_rows(), compute=EVERYTHING)


@pytest.mark.parametrize(
    ("block", "size", "compute"),
    [(1, 1000, ()), (1, 200, EVERYTHING), (7, 1000, EVERYTHING), (64, 1000, EVERYTHING)],
    ids=["alone", "alone, with what is asked for", "sevens", "sixty-fours"],
)
def test_rows_alone_in_blocks_and_whole_are_the_same_bytes(whole, block, size, compute):
    table, e = whole
    parts = [evaluate({k: v[i : i + block] for k, v in table.items()}, compute=compute) for i in range(0, size, block)]
    assert len(parts[0].columns) == len(e.columns) - (compute == ())
    for name in parts[0].columns:
        joined, values = np.concatenate([p.columns[name] for p in parts]), e.columns[name][:size]
        if values.dtype == object:
            assert joined.tolist() == values.tolist(), name
        else:
            assert joined.tobytes() == values.tobytes(), name
    for texts in ("problems", "warnings"):
        assert np.concatenate([getattr(p, texts) for p in parts]).tolist() == getattr(e, texts)[:size].tolist()


def test_the_random_rows_are_of_every_kind(whole):
    _, e = whole
    bad = e.problems != ""
    assert 20 < bad.sum() < 500
    assert 50 < np.isfinite(e.columns["conformance_probability"]).sum() < 900
    assert {v for v in e.columns["verdict"] if v} >= {"would conform if cut to these dimensions", "would not conform if cut to these dimensions"}
    assert np.isnan(e.columns["power_D"][bad]).all()
    assert np.isfinite(e.columns["power_D"][~bad]).all()


def test_bad_rows_keep_their_place():
    table = {k: [v] * 3 for k, v in ROW.items()} | {"n_lens": [1.49, 14.9, 1.5]}
    e = evaluate(table)
    assert [p == "" for p in e.problems] == [True, False, True]
    for row, n in ((0, 1.49), (2, 1.5)):
        alone = evaluated(n_lens=n).columns
        assert all(values[row] == alone[name][0] or np.isnan(alone[name][0]) for name, values in e.columns.items())
    with pytest.raises(InputError, match=r"row 2: n_lens = 14\.9") as caught:
        evaluate(table, strict=True)
    assert caught.value.row == 2


def test_plain_numbers_are_a_table_of_one_row():
    e = evaluate({"front_radius_mm": 15.0, "back_radius_mm": -15.0, "center_thickness_mm": 0.9, "n_lens": 1.49})
    assert e.columns["power_D"].shape == e.problems.shape == (1,)


def test_the_first_that_is_wrong_with_a_row_is_told_where_it_is_to_be_strict():
    table = {**{k: [v] for k, v in ROW.items()}, "n_lens": [14.9], "center_thickness_mm": [900.0]}
    told = evaluate(table).problems[0]
    with pytest.raises(InputError) as caught:
        evaluate(table, strict=True)
    assert told.startswith(f"{caught.value}; ")
