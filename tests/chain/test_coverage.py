"""The stated interval of the power covers as stated: simulated measurements of a known lens, each a row of the chain."""

import numpy as np
import pytest
from scipy.stats import t

from lenscalc import Source, evaluate, power_sensitivity, thick_lens

TRUE = {"front_radius_mm": 15.0, "back_radius_mm": -15.0, "center_thickness_mm": 0.9, "n_lens": 1.49}
U = {"front_radius_mm": 0.03, "back_radius_mm": 0.03, "center_thickness_mm": 0.02, "n_lens": 0.0006}
ROWS = 100_000


def covered(columns):
    power = thick_lens(**TRUE).power_D
    return np.mean((columns["interval_lower_D"] <= power) & (power <= columns["interval_upper_D"]))


def measured(seed):
    random = np.random.default_rng(seed)
    return {name: value + random.normal(0.0, U[name], ROWS) for name, value in TRUE.items()}, random


def test_normal_errors_are_covered_as_stated():
    rows, _ = measured(1)
    columns = evaluate(rows, constants={f"u_{name}": u for name, u in U.items()}).columns
    assert covered(columns) == pytest.approx(0.95, abs=4 * (0.95 * 0.05 / ROWS) ** 0.5)
    assert np.mean(columns["interval_upper_D"] - columns["interval_lower_D"]) == pytest.approx(
        2 * 1.96 * np.mean(columns["u_power_D"]), rel=1e-4, abs=0.0
    )


@pytest.mark.parametrize("replicates", [3, 5])
def test_few_replicates_are_covered_as_stated(replicates):
    """The index from n replicates of unknown scatter, u = s/√n with n − 1 degrees of freedom, and nothing else: t covers exactly."""
    random = np.random.default_rng(replicates)
    readings = TRUE["n_lens"] + random.normal(0.0, 0.0006, (ROWS, replicates))
    rows = {**{k: np.full(ROWS, v) for k, v in TRUE.items() if k != "n_lens"}, "n_lens": readings.mean(axis=1)}
    exactly = {f"u_{name}": 0.0 for name in U if name != "n_lens"}
    source = Source("replicates", "lot", dof=replicates - 1.0)
    columns = evaluate(rows, constants=exactly, sources={source: {"n_lens": readings.std(axis=1, ddof=1) / replicates**0.5}}).columns
    assert covered(columns) == pytest.approx(0.95, abs=4 * (0.95 * 0.05 / ROWS) ** 0.5)
    normal = columns["power_D"] - 1.96 * columns["u_power_D"], columns["power_D"] + 1.96 * columns["u_power_D"]
    assert covered({"interval_lower_D": normal[0], "interval_upper_D": normal[1]}) < 0.92  # the normal factor would not


@pytest.mark.parametrize(("n", "off"), [(4, 0.012), (20, 0.004)])
def test_few_replicates_beside_other_errors_are_covered_as_welch_and_satterthwaite_do(n, off):
    """Their degrees of freedom are an approximation, which errs by a per cent for ν = 3; a linear model in plain numpy shows the same."""
    rows, random = measured(2)
    readings = TRUE["n_lens"] + random.normal(0.0, 0.0006, (ROWS, n))
    rows["n_lens"] = readings.mean(axis=1)
    sources = {Source("replicates", "lot", dof=n - 1.0): {"n_lens": readings.std(axis=1, ddof=1) / n**0.5}}
    known = {f"u_{name}": u for name, u in U.items() if name != "n_lens"}
    found = covered(evaluate(rows, constants=known, sources=sources).columns)
    assert found == pytest.approx(0.95, abs=off)

    slope = power_sensitivity(**TRUE)
    other = np.hypot.reduce([getattr(slope, f"d_power_d_{name}") * u for name, u in U.items() if name != "n_lens"])
    random = np.random.default_rng(7)
    x = random.normal(0.0, 0.0006 * slope.d_power_d_n_lens, (ROWS, n))
    u_a = x.std(axis=1, ddof=1) / n**0.5
    u = np.hypot(u_a, other)
    plain = np.abs(x.mean(axis=1) + random.normal(0.0, other, ROWS)) <= t.ppf(0.975, u**4 / (u_a**4 / (n - 1))) * u
    assert found == pytest.approx(np.mean(plain), abs=4 * (2 * 0.95 * 0.05 / ROWS) ** 0.5)


def test_there_is_no_interval_where_an_uncertainty_is_missing():
    columns = evaluate({k: [v, v] for k, v in TRUE.items()} | {f"u_{k}": [u, u] for k, u in U.items()} | {"u_n_lens": [0.0006, np.nan]}).columns
    assert np.isnan(columns["interval_lower_D"]).tolist() == [False, True]
    assert np.isnan(columns["interval_upper_D"]).tolist() == [False, True]


def test_the_interval_has_the_same_bits_whoever_stands_beside_it():
    """A row of finite degrees of freedom takes the factor from a t; the normal rows beside it keep theirs."""
    rows = {k: np.full(2, v) for k, v in TRUE.items()}
    exactly = {f"u_{name}": 0.0 for name in U if name != "n_lens"}
    few, many = Source("replicates", "lot", dof=3.0), Source("calibration", "instrument")
    both = evaluate(rows, constants=exactly, sources={few: {"n_lens": np.array([0.0, 1e-3])}, many: {"n_lens": np.array([1e-3, 0.0])}}).columns
    alone = evaluate({k: v[:1] for k, v in rows.items()}, constants=exactly, sources={many: {"n_lens": np.array([1e-3])}}).columns
    assert both["interval_lower_D"][0] == alone["interval_lower_D"][0]
    assert both["interval_lower_D"][1] < both["interval_lower_D"][0]
