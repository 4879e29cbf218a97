"""Linear propagation of the whole sheet: every stated input is moved by a little, the sheet is followed again, and the change of index and power is
what the budget says of that input. The budget is made from derivatives on the way, the change from values alone. All data invented for the tests."""

import copy

import numpy as np
import pytest
from whole_sheets import LINES, SHEETS, STATED, U_ONE, U_THREE, U_TWO, WEIGHED, N, lens, reading, sheet

from lenscalc import follow
from lenscalc.errors import SheetError
from lenscalc.material import water_index
from lenscalc.refractometer import sheet_from_data

T, CERTIFIED = "temperature_degC", ("calibration", "reference", 1)
INPUTS = [  # sheet, key, step, its u, its source, and whether more of it is less of the error
    ("plain", N, 1e-4, U_THREE, "repeatability at 589.29 nm"),
    ("plain", N, 1e-4, 2e-4, "calibration of the refractometer"),
    ("plain", N, 1e-4, 1e-4, "operator"),
    ("plain", N, 1e-4, 1e-4, "specimen against lens"),
    ("plain", ("reading", 0, T), 0.01, 0.2, "temperature of the specimen"),
    ("plain", ("reading", 0, "wavelength_nm"), 0.01, -1.0, "wavelength of the light"),  # a longer wave stated is a shorter wave meant
    ("plain", ("dispersion", "abbe_d"), 0.01, 2.0, "Abbe number"),
    ("plain", ("temperature", "dn_dt_per_K"), 1e-6, 2e-5, "change of index with temperature"),
    ("plain", ("medium", "n_measured_medium"), 1e-5, 1e-4, "measured medium, its own"),
    ("plain", ("lens", "front_radius_mm", "value"), 1e-3, 0.02, "front radius"),
    ("plain", ("lens", "back_radius_mm", "value"), 1e-3, 0.02, "back radius"),
    ("plain", ("lens", "center_thickness_mm", "value"), 1e-3, 0.02, "centre thickness"),
    ("at 35", ("reading", 0, T), 0.01, 0.2, "temperature of the specimen"),
    ("expansion", ("temperature", "volume_expansion_per_K"), 1e-6, 3e-5, "volume expansion"),
    ("expansion", N, 1e-4, U_THREE, "repeatability"),
    ("expansion", ("reading", 0, T), 0.01, 0.2, "temperature of the specimen"),
    ("dry", ("hydration", "water_mass_fraction_wet"), 1e-4, 0.01, "water content"),
    ("dry", ("hydration", "dry_density_kg_per_m3"), 1.0, 10.0, "density of the dry polymer"),
    ("dry", N, 1e-4, U_THREE, "repeatability"),
    ("dry", ("reading", 0, T), 0.01, 0.2, "temperature of the specimen"),
    ("dry", ("reading", 0, "wavelength_nm"), 0.01, -1.0, "wavelength of the light"),
    ("dry", ("dispersion", "abbe_d"), 0.01, 2.0, "Abbe number"),
    ("dry", ("temperature", "dn_dt_per_K"), 1e-6, 2e-5, "change of index with temperature"),
    ("dry", ("lens", "linear_expansion_per_K"), 1e-6, 2e-5, "linear thermal expansion"),
    ("dry", ("lens", "back_radius_mm", "value"), 1e-3, 0.02, "back radius"),
    ("cut dry", ("hydration", "water_mass_fraction_wet"), 1e-4, 0.01, "water content"),
    ("cut dry", ("hydration", "dry_density_kg_per_m3"), 1.0, 10.0, "density of the dry polymer"),
    ("shift", ("hydration", "hydration_shift"), 1e-4, 1e-3, "shift on hydration"),
    ("shift", ("lens", "linear_swelling"), 1e-4, 0.01, "linear swelling"),
    *((model, ("calibration", "reference", i, "n"), 1e-5, U_TWO, f"repeatability at {name}")
      for model in ("offset", "slope") for i, name in enumerate(("water", "block", "sugar"))),
    *((model, (*CERTIFIED, "n_certified"), 1e-5, 3e-5, "certificate of block") for model in ("offset", "slope")),
    *((model, (*CERTIFIED, "dn_dt_per_K"), 1e-6, 1e-6, "dn/dT of block") for model in ("offset", "slope")),
    *((model, ("calibration", "reference", 2, "mass_fraction"), 1e-4, 2e-4, "mass fraction of sugar") for model in ("offset", "slope")),
    *((model, ("calibration", "reference", i, T), 0.01, 0.2, f"temperature of {name}")
      for model in ("offset", "slope") for i, name in enumerate(("water", "block", "sugar"))),
    ("medium", ("medium", "n"), 1e-5, U_TWO, "repeatability at medium"),
    ("medium", ("medium", T), 0.01, 0.2, "temperature of the medium"),
    ("medium", ("medium", "abbe_d"), 0.01, 1.0, "Abbe number of the medium"),
    ("medium", ("medium", "dn_dt_per_K"), 1e-6, 1e-5, "change of the medium's index with temperature"),
    ("medium", ("calibration", "reference", 0, "n"), 1e-5, U_TWO, "repeatability at water"),  # acts on lens and medium
    ("medium", (*CERTIFIED, "n_certified"), 1e-5, 3e-5, "certificate of block"),
    ("compensated", ("instrument", "compensation_per_K"), 1e-6, 3e-5, "temperature compensation taken off"),
    ("compensated, calibrated", ("instrument", "compensation_per_K"), 1e-6, 3e-5, "temperature compensation taken off"),
    *((name, ("instrument", "prism", 0, "n_prism"), 1e-5, 1e-4, "prism's index at 589.29 nm") for name in ("prism", "hemisphere")),
    *((name, ("instrument", "prism", 1, "n_prism"), 1e-5, 1e-4, "prism's index at 486.13 nm") for name in ("prism", "hemisphere")),
    *((name, N, 1e-5, U_ONE, "repeatability") for name in ("prism", "hemisphere")),
    *((lines, ("reading", i, "n"), 1e-5, U_ONE, f"repeatability at {nm:g} nm")
      for lines, count in (("two lines", 2), ("three lines", 3)) for i, nm in enumerate(list(LINES)[:count])),
    *((lines, ("reading", i, "wavelength_nm"), 0.01, -1.0, f"wavelength of the light at {nm:g} nm")
      for lines, count in (("two lines", 2), ("three lines", 3)) for i, nm in enumerate(list(LINES)[:count])),
    *(("temperatures", ("reading", i, "n"), 1e-5, U_ONE, f"repeatability at 589.29 nm, {t} °C") for i, t in enumerate((20, 25, 30))),
    *(("directions", ("reading", i, "n"), 1e-5, U_ONE, f"repeatability at 589.29 nm, 23 °C, direction {d}") for i, d in enumerate("xyz")),
]  # fmt: skip

# where the slope on the way is not the last word: weights of the references move with their temperature and the line's x with their true index
# (second order in the scale's own error, 1e-3); the residuals of three lines act on the fit's own slope
SECOND_ORDER = {"offset": 0.025, "slope": 0.025, "medium": 0.025, "three lines": 2e-3}


def moved(data, way, by):
    data = copy.deepcopy(data)
    table = data
    for step in way[:-1]:
        table = table[step]
    value = table[way[-1]]
    table[way[-1]] = [v + by for v in value] if isinstance(value, list) else value + by
    return data


def results(data):
    followed = follow(sheet_from_data(data))
    e = followed.evaluation
    estimates = [followed.index.n, e.estimates["power_D"]]
    if "power_in_measured_medium_D" in e.estimates:
        estimates.append(e.estimates["power_in_measured_medium_D"])
    return estimates


def part_of(estimate, name):
    found = [float(p[0]) for s, p in estimate.parts.items() if s.name.startswith(name)]
    assert len(found) <= 1, name
    return found[0] if found else 0.0


@pytest.mark.parametrize(("name", "way", "step", "u", "source"), INPUTS, ids=lambda v: v if isinstance(v, str) else None)
def test_the_budget_tells_what_a_wrong_input_does(name, way, step, u, source):
    data = SHEETS[name]
    at, more, less = results(data), results(moved(data, way, step)), results(moved(data, way, -step))
    assert any(part_of(e, source) for e in at), f"{source} acts on nothing"
    for here, up, down in zip(at, more, less, strict=True):
        change = float(up.value[0] - down.value[0]) / (2.0 * step)
        if name == "plain" and way == N and here is at[-1] and source.startswith("calibration"):
            continue  # the stated medium shares the calibration, and does not move with the specimen's reading: see the medium's own test
        assert part_of(here, source) / u == pytest.approx(change, rel=SECOND_ORDER.get(name, 2e-5), abs=1e-10 * max(1.0, abs(float(here.value[0]))))


@pytest.mark.parametrize("which", [0, 1])
def test_two_weighings_are_one_water_content(which):
    data = sheet(specimen={"state": "dry"}, hydration=WEIGHED, lens=lens("dry", 23.0))
    by = [
        float(results(moved(data, ("hydration", key), 1e-5))[which].value[0] - results(moved(data, ("hydration", key), -1e-5))[which].value[0]) / 2e-5
        for key in ("mass_wet_g", "mass_dry_g")
    ]
    assert abs(part_of(results(data)[which], "water content")) == pytest.approx(np.hypot(*by) * 1e-3, rel=1e-6, abs=0.0)


def test_a_step_of_the_water_content_moves_the_power_through_all_that_it_touches():
    """Water takes index and curvature the same way: about 20 and 6 D per unit of water, together 27; taken as two errors they would give 21."""
    followed = follow(sheet_from_data(SHEETS["dry"]))
    e = followed.evaluation
    through_index = e.only("d_power_d_n_lens") * part_of(followed.index.n, "water content")
    whole = part_of(e.estimates["power_D"], "water content")
    assert abs(whole) > abs(through_index) > 0
    assert abs(whole) > np.hypot(through_index, whole - through_index) * 1.2


def test_a_thermometers_errors_are_covered_shared_or_not():
    """Read at 20, 25 and 30 °C, equal weights: n(35) = Σ b·n with b = (−2, 1, 4)/3, worked by hand. A shift common to all moves n(35) by the slope
    alone, errors of their own by the slope times √Σb² = 1.53. The budget takes both: 1 and, tilting, (−1, 0, 1): √3."""
    data = SHEETS["temperatures"]
    n = results(data)[0]
    parts = [float(p[0]) for s, p in n.parts.items() if s.name.startswith("temperature of the specimen")]
    slope_read = 2e-4  # at the D line; some are carried to green, where the same slope is 1.0048 times as large
    budget = float(np.linalg.norm(parts)) / 0.2
    assert budget == pytest.approx(slope_read * 3**0.5, rel=3e-3, abs=0.0)
    own = []
    for i in range(3):
        up, down = (results(moved(data, ("reading", i, T), by))[0].value[0] for by in (0.01, -0.01))
        own.append(float(up - down) / 0.02)
    assert np.linalg.norm(own) == pytest.approx(slope_read * (21 / 9) ** 0.5, rel=6e-3, abs=0.0)
    assert budget > np.linalg.norm(own)
    assert budget > abs(sum(own))


def test_a_shared_calibration_acts_on_the_measured_medium_alone():
    """u² differs by ((g·F_n + F_m)² − (g·F_n)²)·u², F_n and F_m from the thick lens's own formula in dioptres, g = ∂n(546)/∂n(589) by hand."""
    together, apart = (follow(sheet_from_data(sheet(medium={**STATED, "same_instrument": same}))).evaluation for same in (True, False))
    for name in ("power_D", "u_power_D", "conformance_probability", "u_refraction_shift_D"):
        assert together.only(name) == apart.only(name)
    n = float(together.estimates["n_lens"].value[0])

    def power(n, m):
        c1, c2 = 1 / 15.0, -1 / 16.0
        return 1000.0 * ((n - m) * (c1 - c2) + (n - m) ** 2 * 0.9 * c1 * c2 / n)

    by_n = (power(n + 1e-6, 1.334) - power(n - 1e-6, 1.334)) / 2e-6
    by_m = (power(n, 1.334 + 1e-6) - power(n, 1.334 - 1e-6)) / 2e-6
    g_of = {line: 1e6 / line**2 for line in (486.1327, 546.07, 587.5618, 589.29, 656.2725)}
    g = 1 + (g_of[546.07] - g_of[589.29]) / (52.0 * (g_of[486.1327] - g_of[656.2725]) - (g_of[587.5618] - g_of[589.29]))
    wanted = ((g * by_n + by_m) ** 2 - (g * by_n) ** 2) * 2e-4**2
    differs = together.only("u_power_in_measured_medium_D") ** 2 - apart.only("u_power_in_measured_medium_D") ** 2
    assert differs == pytest.approx(wanted, rel=1e-5, abs=0.0)
    assert differs < 0


def test_lines_calibrated_apart_share_what_the_scale_shares():
    """Water read at two lines, a stated scale beside it: the stated part acts on n_e by itself, the water's replicates by each line's weight."""
    data = sheet(reading(1.4965, nm=486.13), reading(1.4906, nm=589.29), dispersion=None)
    data["calibration"] = {
        "model": "offset",
        "reference": [
            {k: v for k, v in reading([round(float(water_index(nm, 23.0)), 5)] * count, nm=nm, name="water", kind="water").items() if k != "basis"}
            for nm, count in ((486.13, 2), (589.29, 3))
        ],
    }
    n = results(data)[0]
    weight = (1 / 546.07**2 - 1 / 589.29**2) / (1 / 486.13**2 - 1 / 589.29**2)
    assert part_of(n, "calibration of the refractometer") == pytest.approx(2e-4, rel=1e-12, abs=0.0)
    assert abs(part_of(n, "repeatability at water, 486.13 nm")) == pytest.approx(weight * 1e-4 / 2**0.5, rel=1e-9, abs=0.0)
    assert abs(part_of(n, "repeatability at water, 589.29 nm")) == pytest.approx((1 - weight) * 1e-4 / 3**0.5, rel=1e-9, abs=0.0)


def ways(data, before=()):
    for key, value in data.items() if isinstance(data, dict) else enumerate(data):
        yield (*before, key)
        if isinstance(value, dict | list):
            yield from ways(value, (*before, key))


STRANGE = (None, True, "x", "", [], {}, [1], -1, 0, 10**400, float("nan"), float("inf"), 1.0, 2.5, "plano", ["a", "b"])


@pytest.mark.parametrize("name", ["dry", "medium", "compensated, calibrated", "prism", "three lines"])
def test_whatever_stands_in_a_key_is_answered_with_numbers_or_with_a_sentence(name):
    """Every key of a sheet in turn holds something strange: the sheet is refused by a SheetError, or index, power and u are finite numbers."""
    refused = 0
    for way in ways(SHEETS[name]):
        for strange in STRANGE:
            data = copy.deepcopy(SHEETS[name])
            table = data
            for step in way[:-1]:
                table = table[step]
            table[way[-1]] = copy.deepcopy(strange)
            try:
                estimates = results(data)
            except SheetError:
                refused += 1
            else:
                assert all(np.isfinite(e.value[0]) and np.isfinite(e.u[0]) for e in estimates), (way, strange)
    assert refused > 500
