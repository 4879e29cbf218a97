"""Rows that the tests of the chain start from, and a row evaluated."""

from lenscalc import evaluate

ROW = {
    "front_radius_mm": 15.0, "back_radius_mm": -15.0, "center_thickness_mm": 0.9, "n_lens": 1.49, "u_n_lens": 3e-4, "u_front_radius_mm": 0.02,
    "u_back_radius_mm": 0.02, "u_center_thickness_mm": 0.01, "labelled_power_D": 20.5,
}  # fmt: skip
READ = {
    **{k: v for k, v in ROW.items() if k not in ("n_lens", "u_n_lens")}, "n_reading": 1.4903, "u_n_reading": 5e-5, "u_calibration": 2e-4,
    "reading_wavelength_nm": 589.29, "reading_temperature_degC": 20.0, "u_reading_temperature_degC": 0.2, "index_state": "hydrated",
    "index_basis": "air", "abbe_d": 52.0, "u_abbe_d": 2.0, "dn_dt_per_K": -2e-4, "u_dn_dt_per_K": 2e-5,
}  # fmt: skip
GONE = object()


def evaluated(row=ROW, *, compute=(), sources=None, **changes):
    row = {k: [v] for k, v in {**row, **changes}.items() if v is not GONE}
    return evaluate(row, compute=compute, sources=sources)


def one(name, row=ROW, **changes):
    return float(evaluated(row, **changes).columns[name][0])
