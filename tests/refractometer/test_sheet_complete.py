"""The complete reading sheet against arithmetic done by hand and against what is printed elsewhere. All readings invented for the tests."""

import copy
import math
import time
from datetime import date, datetime

import numpy as np
import pytest

from lenscalc import follow
from lenscalc.chain import follow_index
from lenscalc.errors import SheetError
from lenscalc.refractometer import sheet_from_data, sheet_from_text

POOLED = {"u_repeatability": 1e-4, "dof_repeatability": 20}
LENS = {
    "labelled_power_D": 20.0,
    "optic_diameter_mm": 6.0,
    **{
        name: {"value": value, "u": 0.02, "state": "hydrated", "temperature_degC": 35.0}
        for name, value in (("front_radius_mm", 15.0), ("back_radius_mm", -15.0), ("center_thickness_mm", 0.9))
    },
}


def reading(n, nm=546.07, T=35.0, **more):
    n = n if isinstance(n, list) else [n]
    return {"wavelength_nm": nm, "temperature_degC": T, "u_temperature_degC": 0.1, "basis": "air", "n": n, **more}


def reference(n, nm=546.07, T=35.0, **more):
    return {k: v for k, v in reading(n, nm, T, **POOLED, **more).items() if k != "basis"}


def sheet(*readings, **tables):
    """A sheet that needs no step (546.07 nm, 35 °C, hydrated), with tables put in, merged into the two that are always there, or (None) taken out."""
    data = {
        "provenance": "invented for the tests",
        "specimen": {"material": "copolymer A", "state": "hydrated", "u_specimen_to_lens": 0.0},
        "instrument": {"kind": "v-block", "resolution": 1e-5, "u_calibration": 0.0, "u_operator": 0.0},
        "reading": list(readings) or [reading([1.4902, 1.4903])],
        "temperature": {"dn_dt_per_K": -2e-4, "u_dn_dt_per_K": 0.0, "state": "hydrated"},
    }
    for name, table in tables.items():
        if table is None:
            del data[name]
        else:
            data[name] = {**data[name], **table} if name in ("specimen", "instrument") else table
    return copy.deepcopy(data)


def index(data):
    return follow_index(sheet_from_data(data))


def value(data):
    return float(index(data).index.n.value[0])


def part(followed, begin):
    found = [abs(float(p[0])) for s, p in followed.index.n.parts.items() if s.name.startswith(begin)]
    assert len(found) == 1, [s.name for s in followed.index.n.parts]
    return found[0]


def dof(followed, begin):
    return next(s.dof for s in followed.index.n.parts if s.name.startswith(begin))


# --- replicates ---


def test_re_reads_of_a_mounting_do_not_shrink_what_mountings_differ_by():
    # mountings 1.4901, 1.4905, 1.4903 (means): s = 2e-4, u = s/√3, ν = 2, whatever was re-read
    n = [1.4900, 1.4902, 1.4904, 1.4906, 1.4903, 1.4903]
    f = index(sheet(reading(n, mounting=[1, 1, 2, 2, 3, 3])))
    assert value(sheet(reading(n, mounting=[1, 1, 2, 2, 3, 3]))) == pytest.approx(1.4903, abs=1e-12)
    assert part(f, "mountings") == pytest.approx(2e-4 / 3**0.5, rel=1e-9)
    assert dof(f, "mountings") == 2


def test_sessions_stand_above_mountings():
    # days 1.4901 and 1.4905: u = 4e-4/2, one degree of freedom, and that is said
    f = index(sheet(reading([1.4900, 1.4902, 1.4904, 1.4906], mounting=["a", "b", "a", "b"], session=["mon", "mon", "tue", "tue"])))
    assert part(f, "sessions") == pytest.approx(2e-4, rel=1e-9)
    assert dof(f, "sessions") == 1
    assert any("2 sessions at 546.07 nm, 35 °C leaves 1 degree(s) of freedom" in w for w in f.warnings)


def test_pooled_history_is_divided_by_mountings_and_by_sessions():
    n = [1.4901, 1.4902, 1.4903, 1.4904]
    nested = {"mounting": [1, 1, 2, 2], "session": ["a", "a", "b", "b"], "u_session": 3e-4, "dof_session": 7}
    f = index(sheet(reading(n, **POOLED, **nested)))
    assert part(f, "repeatability") == pytest.approx(1e-4 / 2**0.5, rel=1e-9)
    assert part(f, "sessions, pooled") == pytest.approx(3e-4 / 2**0.5, rel=1e-9)
    assert (dof(f, "repeatability"), dof(f, "sessions, pooled")) == (20, 7)


def test_a_mounting_that_was_read_often_weighs_no_more():
    """One mounting read three times, one once, with a history: the mean of the mountings' means, and u of two mountings."""
    f = index(sheet(reading([1.4901, 1.4901, 1.4901, 1.4905], mounting=[1, 1, 1, 2], **POOLED)))
    assert float(f.index.n.value[0]) == pytest.approx(1.4903, abs=1e-12)
    assert part(f, "repeatability") == pytest.approx(1e-4 / 2**0.5, rel=1e-9)


def test_sessions_of_unlike_size_weigh_alike():
    """Monday three mountings, Tuesday one: n = (1.4902 + 1.4906)/2, u² = u_m²·(3·(1/6)² + (1/2)²) and u_s²/2."""
    days = {"session": ["mon", "mon", "mon", "tue"], "mounting": [1, 2, 3, 1], "u_session": 2e-4, "dof_session": 5}
    f = index(sheet(reading([1.4901, 1.4902, 1.4903, 1.4906], **POOLED, **days)))
    assert float(f.index.n.value[0]) == pytest.approx(1.4904, abs=1e-12)
    assert part(f, "repeatability") == pytest.approx(1e-4 * (3 / 36 + 1 / 4) ** 0.5, rel=1e-9)
    assert part(f, "sessions, pooled") == pytest.approx(2e-4 / 2**0.5, rel=1e-9)


def test_a_drift_on_the_prism_is_carried_back_to_the_start():
    # −1e-4 a minute from 1.4910 and 1.4912, without scatter: the mean at the start is 1.4911
    n = [1.4910 - 1e-4 * t for t in (1, 2, 4)] + [1.4912 - 1e-4 * t for t in (1, 3, 5)]
    f = index(sheet(reading(n, mounting=[1, 1, 1, 2, 2, 2], minutes_after_mounting=[1, 2, 4, 1, 3, 5])))
    assert float(f.index.n.value[0]) == pytest.approx(1.4911, abs=1e-10)
    assert any("drift of -1.0e-04 per minute" in w for w in f.warnings)


def test_the_drifts_own_error_acts_by_the_mean_time():
    # one slope for two mountings, numpy's least squares with two starts; ν = 6 − 3
    n, t, m = [1.4901, 1.4898, 1.4897, 1.4904, 1.4903, 1.4899], [1.0, 2, 3, 1, 2, 3], [1, 1, 1, 2, 2, 2]
    A = np.array([[time, label == 1, label == 2] for time, label in zip(t, m, strict=True)], dtype=float)
    solution, residual, *_ = np.linalg.lstsq(A, n, rcond=None)
    u_slope = (residual[0] / 3 * np.linalg.inv(A.T @ A)[0, 0]) ** 0.5
    f = index(sheet(reading(n, mounting=m, minutes_after_mounting=t)))
    assert float(f.index.n.value[0]) == pytest.approx(np.mean(solution[1:]), abs=1e-12)
    assert part(f, "drift on the prism") == pytest.approx(2.0 * u_slope, rel=1e-6)
    assert dof(f, "drift on the prism") == 3


def test_a_drift_that_bends_is_refused():
    n = [1.4910 - 1e-4 * t * t + 1e-7 * (t % 2) for t in range(1, 8)] * 2
    with pytest.raises(SheetError, match=r"\[reading\] at 546.07 nm, 35 °C: .*the drift bends.*read sooner after mounting, or cover"):
        index(sheet(reading(n, mounting=[1] * 7 + [2] * 7, minutes_after_mounting=list(range(1, 8)) * 2)))


def test_ten_thousand_replicates_are_read_quickly():
    n = [1.4900 + 1e-4 * (i * 7 % 5) for i in range(10_000)]
    start = time.process_time()
    f = index(sheet(reading(n)))
    assert time.process_time() - start < 5
    assert float(f.index.n.value[0]) == pytest.approx(np.mean(n), abs=1e-12)
    assert part(f, "replicates") == pytest.approx(np.std(n, ddof=1) / 100, rel=1e-9)
    assert any("10000 readings" in w and "say so with mounting" in w for w in f.warnings)


# --- calibration ---

L2 = (0.58929 * 1.000273) ** 2  # µm², in vacuum; Daimon & Masumura 2007, 20 °C, absolute, as the CC0 database prints it
DAIMON = (
    1
    + sum(a * L2 / (L2 - b) for a, b in ((0.5684027565, 5.101829712e-3), (0.1726177391, 1.821153936e-2), (0.02086189578, 2.620722293e-2),
                                         (0.1130748688, 10.69792721)))
) ** 0.5  # fmt: skip
N_AIR_20 = 1.000272  # dry air, 20 °C, 101325 Pa, 589.3 nm, to 1e-6 (Birch & Downs, from memory, to be confirmed against the text)
AT_D = {"dispersion": {"abbe_d": 58.0, "u_abbe_d": 0.0}}


def at_d(n, *references, **calibration):
    data = sheet(reading(n, 589.29, 20.0, **POOLED), calibration={"reference": list(references), **calibration}, **AT_D)
    del data["instrument"]["u_calibration"]
    return data


def calibrated_step(data):
    return next(s for s in index(data).index.steps if s.name == "calibrated").n


def test_water_takes_the_offset_off():
    """A scale that shows 2e-4 too much on water (Daimon & Masumura, relative to air) shows as much too much on the specimen."""
    water = DAIMON / N_AIR_20
    assert water == pytest.approx(1.33299, abs=1e-5)  # printed: n_D(20 °C) relative to air
    n = calibrated_step(at_d(1.4904, reference(round(water + 2e-4, 6), 589.29, 20.0, name="water", kind="water")))
    assert float(n.value[0]) == pytest.approx(1.4902, abs=3e-6)


def test_sucrose_of_40_percent_takes_the_offset_off():
    # 1.39986 at 20 °C on the international scale of 1974 (from memory, to be confirmed against the text)
    n = calibrated_step(at_d(1.4102, reference(1.39966, 589.29, 20.0, name="sugar", kind="sucrose", mass_fraction=0.4, u_mass_fraction=1e-4)))
    assert float(n.value[0]) == pytest.approx(1.4104, abs=6e-6)
    by_w = (1.42009 - 1.38115) / 0.20  # the same scale at 50 and at 30 %
    parts = [abs(float(p[0])) for s, p in n.parts.items() if s.name == "mass fraction of sugar"]
    assert parts == pytest.approx([1e-4 * by_w], rel=0.01)


CERTIFIED = {"name": "block", "kind": "certified", "n_certified": 1.5162, "u_certified": 3e-5, "certified_temperature_degC": 20.0}


def test_a_certificate_in_vacuum_and_at_another_temperature():
    # true at 22 °C in air: 1.5166/n_air − 2·1e-5; shown 1.5162
    about = {**CERTIFIED, "n_certified": 1.5166, "certified_basis": "vacuum", "dn_dt_per_K": -1e-5, "u_dn_dt_per_K": 2e-6}
    data = at_d(1.4904, reference(1.5162, 589.29, 22.0, **about))
    true = 1.5166 / N_AIR_20 - 2e-5
    assert float(calibrated_step(data).value[0]) == pytest.approx(1.4904 - (1.5162 - true), abs=3e-6)
    u = (1e-4**2 + 1e-10 / 12 + 3e-5**2 + (2 * 2e-6) ** 2 + (1e-5 * 0.1) ** 2 + 1e-4**2 + 1e-10 / 12) ** 0.5
    assert float(calibrated_step(data).u[0]) == pytest.approx(u, rel=1e-6)


def test_offset_and_slope_pass_through_two_references():
    water = DAIMON / N_AIR_20
    shown = reference(water + 1e-4, 589.29, 20.0, name="water", kind="water"), reference(1.5165, 589.29, 20.0, certified_basis="air", **CERTIFIED)
    n = calibrated_step(at_d(1.4200, *shown, model="offset and slope"))
    error = np.interp(1.42, [water, 1.5162], [1e-4, 3e-4])
    assert float(n.value[0]) == pytest.approx(1.42 - error, abs=2e-6)


def test_one_offset_from_two_references_is_their_weighted_mean():
    block = {**CERTIFIED, "certified_basis": "air"}
    other = {**block, "name": "oil", "n_certified": 1.4694, "u_certified": 1e-4}
    data = at_d(1.48, reference([1.5164], 589.29, 20.0, **block), reference([1.4695], 589.29, 20.0, **other), model="offset")
    u2 = np.array([1e-8 + 1e-10 / 12 + 9e-10, 1e-8 + 1e-10 / 12 + 1e-8])
    offset = np.sum(np.array([2e-4, 1e-4]) / u2) / np.sum(1 / u2)
    assert float(calibrated_step(data).value[0]) == pytest.approx(1.48 - offset, abs=1e-9)
    own = 1e-8 + 1e-10 / 12
    assert float(calibrated_step(data).u[0]) == pytest.approx((own + 1 / np.sum(1 / u2)) ** 0.5, rel=1e-9)


@pytest.mark.parametrize("model", ["offset", "offset and slope"])
def test_the_basis_of_the_scale_is_not_taken_off_twice(model):
    """One specimen, one instrument, its scale relative to air or to vacuum: the references say which, and the index in the eye is the same."""
    ends = []
    for basis, n_air in (("air", 1.0), ("vacuum", N_AIR_20), ("unknown", N_AIR_20)):
        water = reference(DAIMON / N_AIR_20 * n_air, 589.29, 20.0, name="water", kind="water")
        block = reference(1.5162 * n_air, 589.29, 20.0, certified_basis="air", **CERTIFIED)
        data = at_d(1.5000 * n_air, water, block, model=model)
        data["reading"][0]["basis"] = basis
        ends.append(value(data))
    # an offset taken midway leaves the slope of n·(n_air − 1), some 1e-5, where the basis is unknown; a step on V or dn/dT in vacuum 2e-5
    assert ends[1] == pytest.approx(ends[0], abs=2.5e-5)
    assert ends[2] == pytest.approx(ends[0], abs=5e-5 if model == "offset" else 2e-6)


def test_the_zero_that_drifts_is_halved():
    data = sheet(reading(1.4905, **POOLED), calibration={"check_before": [1.5160, 1.5162], "check_after": [1.5164, 1.5166]})
    f = index(data)
    assert float(f.index.n.value[0]) == pytest.approx(1.4905 - 2e-4, abs=1e-12)
    assert part(f, "zero drift") == pytest.approx(4e-4 / 12**0.5, rel=1e-9)  # anywhere between no drift and all of it
    assert part(f, "readings of the check piece") == pytest.approx(2**0.5 * 1e-4 / 2, rel=1e-9)


def test_a_medium_that_was_read_loses_the_drift_too():
    medium = {**reading(1.3350, **POOLED), "same_instrument": True, "dn_dt_per_K": -1e-4, "u_dn_dt_per_K": 1e-5}
    data = sheet(lens=LENS, medium=medium, calibration={"check_before": [1.5160, 1.5162], "check_after": [1.5164, 1.5166]})
    followed = follow(sheet_from_data(data))
    assert followed.row["n_measured_medium"] == pytest.approx(1.3348, abs=1e-12)


def test_an_old_calibration_is_remarked_on():
    water = reference(1.3331, 589.29, 20.0, name="water", kind="water")
    data = at_d(1.4904, water, date=date(2026, 1, 1), interval_days=180)
    data["date"] = date(2026, 11, 20)
    assert "the calibration is 323 days old; the lab's own interval is 180 days: calibrate again" in sheet_from_data(data).remarks


def test_a_specimen_outside_the_references_is_remarked_on():
    one = index(at_d(1.4904, reference(1.3331, 589.29, 20.0, name="water", kind="water"))).warnings
    assert any("1.4903 lies far from the reference at 589.29 nm, 1.3330" in w and "slope is not in the budget" in w for w in one)


def test_a_scale_far_off_is_remarked_on():
    told = index(at_d(1.4904, reference(1.3430, 589.29, 20.0, name="water", kind="water"))).warnings
    assert any("+0.0100 too much at 589.29 nm" in w and "is what the sheet says it is" in w for w in told)


# --- lines, temperatures, directions ---

PMMA = {
    nm: (1 + sum(b * x / (x - c) for b, c in ((0.99654, 0.00787), (0.18964, 0.02191), (0.00411, 3.85727)))) ** 0.5
    for nm in (435.8, 486.13, 546.07, 589.29, 656.27)
    for x in [(nm / 1000) ** 2]
}  # Szczurowski 2013, as the CC0 database prints it


def test_two_lines_by_hand():
    n = value(sheet(reading(1.4965, 486.13, **POOLED), reading(1.4905, 589.29, **POOLED)))
    B = (1.4965 - 1.4905) / (1 / 0.48613**2 - 1 / 0.58929**2)
    assert n == pytest.approx(1.4905 + B * (1 / 0.54607**2 - 1 / 0.58929**2), abs=1e-12)


@pytest.mark.parametrize("nm", [(486.13, 589.29), (486.13, 589.29, 656.27), (435.8, 486.13, 589.29, 656.27)])
def test_lines_of_a_published_polymer_lead_to_its_green_index(nm):
    """PMMA (Szczurowski 2013) at 546.07 nm from its other lines: within 1.5e-4, and within the half-width that is named for the form."""
    tables = {"dispersion": {"form": "cauchy", "terms": 3}} if len(nm) > 3 else {}
    f = index(sheet(*(reading(PMMA[x], x, **POOLED) for x in nm), **tables))
    half_width = part(f, "form of the dispersion") * 3**0.5
    assert abs(float(f.index.n.value[0]) - PMMA[546.07]) < min(half_width, 1.5e-4)


def test_three_lines_of_equal_weight_by_numpy():
    nm, n = np.array([486.13, 589.29, 656.27]), [1.4965, 1.4906, 1.4882]
    line = np.polyfit(1 / nm**2, n, 1)
    assert value(sheet(*(reading(y, x, **POOLED) for x, y in zip(nm, n, strict=True)))) == pytest.approx(np.polyval(line, 1 / 546.07**2), abs=1e-10)


def test_several_temperatures_by_numpy():
    T, n = np.array([20.0, 25.0, 30.0, 38.0]), [1.4935, 1.4926, 1.4914, 1.4899]
    f = index(sheet(*(reading(y, T=x, **POOLED) for x, y in zip(T, n, strict=True)), temperature=None))
    slope, level = np.polyfit(T - 35.0, n, 1)
    assert float(f.index.n.value[0]) == pytest.approx(level, abs=1e-12)
    assert f.row["dn_dt_per_K"] == pytest.approx(slope, rel=1e-9)
    # u of the level at 35 °C: the readings' own (repeatability and resolution), weights by hand
    own = (1e-8 + 1e-10 / 12) * (0.25 + (35.0 - T.mean()) ** 2 / np.sum((T - T.mean()) ** 2))
    parts = [float(p[0]) for s, p in f.index.n.parts.items() if s.name.startswith(("repeatability", "resolution"))]
    assert np.linalg.norm(parts) == pytest.approx(own**0.5, rel=1e-9)


def test_a_break_in_the_slope_is_remarked_on():
    f = index(sheet(*(reading(y, T=x, **POOLED) for x, y in ((20, 1.4935), (25, 1.4934), (30, 1.4905), (35, 1.4875))), temperature=None))
    assert any("do not lie on one line with temperature: look for a glass transition" in w for w in f.warnings)


def test_three_directions_by_hand():
    data = sheet(*(reading(n, direction=d, **POOLED) for d, n in (("length", 1.4902), ("width", 1.4905), ("height", 1.4911))))
    f = index(data)
    assert float(f.index.n.value[0]) == pytest.approx(1.4906, abs=1e-12)
    assert part(f, "orientation of the specimen") == pytest.approx(4.5e-4 / 3**0.5, rel=1e-9)
    assert any("length 1.49020, width 1.49050, height 1.49110" in w for w in f.warnings)


def test_the_order_of_the_tables_changes_nothing():
    places = [(nm, T) for nm in (486.13, 589.29, 656.27) for T in (23.0, 30.0, 38.0)]
    hydration = {"water_mass_fraction_wet": 0.2, "u_water_mass_fraction_wet": 0.01, "dry_density_kg_per_m3": 1200.0, "u_dry_density_kg_per_m3": 10.0}
    dry = {**LENS, **{k: {**v, "state": "dry"} for k, v in LENS.items() if isinstance(v, dict)}}
    tables = [reading(PMMA[nm] - 1.1e-4 * (T - 23), nm, T, **POOLED) for nm, T in places]
    ends = []
    for order in (list(range(9)), list(range(8, -1, -1)), [4, 0, 8, 2, 6, 1, 7, 3, 5]):
        e = follow(sheet_from_data(sheet(*(tables[i] for i in order), temperature=None, hydration=hydration, lens=dry))).evaluation
        ends.append([e.only(name) for name in ("n_lens", "u_n_lens", "power_D", "u_power_D", "dof_power", "conformance_probability")])
    assert ends[1] == pytest.approx(ends[0], rel=1e-8)
    assert ends[2] == pytest.approx(ends[0], rel=1e-8)


@pytest.mark.parametrize("key", ["u_temperature_degC", "u_wavelength_nm"])
def test_the_widest_doubt_of_readings_that_become_one(key):
    """Three directions, or two temperatures as far from 35 °C: whichever stands first, the wider u is taken."""
    three = [reading(1.49 + i * 1e-4, 589.29, direction=d, **POOLED) for i, d in enumerate("xyz")]
    two = [reading(1.49, 589.29, 30.0, **POOLED), reading(1.488, 589.29, 40.0, **POOLED)]
    for tables, temperature in ((three, {"dn_dt_per_K": -2e-4, "u_dn_dt_per_K": 0.0, "state": "hydrated"}), (two, None)):
        tables[-1][key] = 0.7
        both = [index(sheet(*order, temperature=temperature, **AT_D)).index.n for order in (tables, tables[::-1])]
        assert float(both[0].u[0]) == pytest.approx(float(both[1].u[0]), rel=1e-9)
        tables[-1][key] = 0.1
        assert float(index(sheet(*tables, temperature=temperature, **AT_D)).index.n.u[0]) < float(both[0].u[0])


def test_a_step_is_not_called_a_reading_that_nobody_took():
    """Read at 30 and 40 °C: the first step stands at 35 °C, halfway between what was read, and says so."""
    first = index(sheet(reading(1.4900, T=30.0, **POOLED), reading(1.4880, T=40.0, **POOLED), temperature=None)).index.steps[0]
    assert float(first.n.value[0]) == pytest.approx(1.4890, abs=1e-12)
    assert first.note == "brought here from readings at several temperatures"


# --- the instrument's own tricks ---

CONTACT = {"kind": "prism contact", "n_contact_liquid": 1.66}


def test_a_compensation_is_taken_off():
    # shown n + c·(20 − 25): −1.9e-4·(−5) = +9.5e-4 too much
    on = {"temperature_compensation": "sugar", "compensation_per_K": -1.9e-4, "u_compensation_per_K": 2e-5, "compensation_to_degC": 20.0}
    f = index(sheet(reading(1.4905, T=25.0, **POOLED), instrument=on))
    assert float(f.index.n.value[0]) == pytest.approx(1.4905 - 9.5e-4 - 2e-4 * 10, abs=1e-12)
    assert part(f, "temperature compensation") == pytest.approx(5 * 2e-5, rel=1e-9)


def test_a_hemisphere_read_in_green_on_a_scale_for_d():
    prism = [{"wavelength_nm": 589.29, "n_prism": 1.7500, "u_n_prism": 1e-4}, {"wavelength_nm": 546.07, "n_prism": 1.7559, "u_n_prism": 1e-4}]
    scale = {**CONTACT, "scale_wavelength_nm": 589.29, "angle_measured_inside": True, "prism": prism}
    f = index(sheet(reading(1.4850, **POOLED), instrument=scale))
    assert float(f.index.n.value[0]) == pytest.approx(1.4850 * 1.7559 / 1.75, abs=1e-12)


def test_a_prism_read_in_green_on_a_scale_for_d():
    """Snell by hand: the scale shows 1.4850 at an exit angle, which the prism's index in green turns into another index."""
    apex, shown, n_d, n_e = math.radians(60.0), 1.4850, 1.7500, 1.7559
    beta = math.asin(n_d * math.sin(apex - math.asin(shown / n_d)))
    n = n_e * math.sin(apex - math.asin(math.sin(beta) / n_e))
    prism = [{"wavelength_nm": 589.29, "n_prism": n_d, "u_n_prism": 0.0}, {"wavelength_nm": 546.07, "n_prism": n_e, "u_n_prism": 0.0}]
    scale = {**CONTACT, "scale_wavelength_nm": 589.29, "prism_apex_deg": 60.0, "prism": prism}
    assert value(sheet(reading(shown, **POOLED), instrument=scale)) == pytest.approx(n, abs=1e-12)


def test_a_film_of_water_is_remarked_on():
    told = sheet_from_data(sheet(reading([1.4202, 1.3334], **POOLED), instrument={**CONTACT})).remarks
    assert any("n[2] = 1.3334 is water's own index (1.3328)" in r and "blot it and read again" in r for r in told)
    dry = sheet(reading([1.4202, 1.3334], **POOLED), instrument={**CONTACT}, specimen={"state": "dry"})
    assert not any("film" in r for r in sheet_from_data(dry).remarks)


# --- temperature and water ---


def test_the_expansion_gives_an_estimated_slope():
    # at constant molar refraction dn/dT = −(n² − 1)(n² + 2)/(6n)·α; its doubt: the line through many polymers, −0.56·α − 3.7e-6
    expands = {"volume_expansion_per_K": 3e-4, "u_volume_expansion_per_K": 2e-5, "state": "hydrated"}
    f = index(sheet(reading(1.49, T=25.0, **POOLED), temperature=expands))
    law = -(1.49**2 - 1) * (1.49**2 + 2) / (6 * 1.49) * 3e-4
    assert float(f.index.n.value[0]) == pytest.approx(1.49 + 10 * law, abs=1e-12)
    assert part(f, "dn/dT estimated") == pytest.approx(10 * abs(law + 0.56 * 3e-4 + 3.7e-6) / 3**0.5, rel=1e-9)
    assert part(f, "volume expansion") == pytest.approx(10 * abs(law) / 3e-4 * 2e-5, rel=1e-9)
    assert any("estimated from the volume expansion" in s.note for s in f.index.steps)


def test_a_forced_glass_transition_is_said():
    forced = {"dn_dt_per_K": -2e-4, "u_dn_dt_per_K": 0.0, "state": "hydrated", "glass_transition_degC": 30.0, "across_glass_transition": True}
    f = index(sheet(reading(1.49, T=25.0, **POOLED), temperature=forced))
    assert float(f.index.n.value[0]) == pytest.approx(1.49 - 2e-3, abs=1e-12)
    assert any("glass_transition_degC = 30 lies between 25 and 35 °C" in w and "not in the budget" in w for w in f.warnings)


def test_water_from_two_weighings_grows_the_lens_and_lowers_the_index():
    """w = (0.4 − 0.3)/0.4; Lorentz and Lorenz by volumes, and a lens that grows by the third root of the volume; water at 35 °C as by IAPWS."""
    weighed = {"mass_wet_g": 0.4, "mass_dry_g": 0.3, "u_mass_g": 1e-3, "dry_density_kg_per_m3": 1200.0, "u_dry_density_kg_per_m3": 10.0}
    dry = {**LENS, **{k: {**v, "state": "dry"} for k, v in LENS.items() if isinstance(v, dict)}}
    data = sheet(reading(1.51, **POOLED), specimen={"state": "dry"}, hydration=weighed, lens=dry)
    followed = follow(sheet_from_data(data))
    water, polymer = 0.1 / 994.0326, 0.3 / 1200.0
    share = water / (water + polymer)
    refraction = share * (1.332773**2 - 1) / (1.332773**2 + 2) + (1 - share) * (1.51**2 - 1) / (1.51**2 + 2)
    assert followed.evaluation.only("n_lens") == pytest.approx(
        ((1 + 2 * refraction) / (1 - refraction)) ** 0.5, abs=3e-6
    )  # the water's index by hand is without the step from air to vacuum wavelengths, 5e-6
    assert followed.row["front_radius_mm"] == pytest.approx(15.0 * (1 / (1 - share)) ** (1 / 3), rel=1e-6)
    assert followed.evaluation.only("conformance_probability") is None
    assert followed.evaluation.only("verdict") in (None, "")
    assert any("a decision needs a hydrated reading" in w for w in followed.warnings)


def test_swelling_by_water_is_not_known_in_the_heat():
    hydration = {"water_mass_fraction_wet": 0.2, "u_water_mass_fraction_wet": 0.01, "dry_density_kg_per_m3": 1200.0, "u_dry_density_kg_per_m3": 10.0}
    dry = {**LENS, **{k: {**v, "state": "dry"} for k, v in LENS.items() if isinstance(v, dict)}}
    with pytest.raises(SheetError, match=r"\[hydration\].*from 0 to 40 °C.*read at 50 °C: give \[lens\] linear_swelling"):
        follow(sheet_from_data(sheet(reading(1.49, T=50.0, **POOLED), hydration=hydration, lens=dry)))


# --- what is refused, and what is said of it ---

WATER = reference(1.3331, 589.29, 20.0, name="water", kind="water")
DRY_WATER = {"water_mass_fraction_wet": 0.2, "u_water_mass_fraction_wet": 0.01, "dry_density_kg_per_m3": 1200.0, "u_dry_density_kg_per_m3": 10.0}
WET = {"dn_dt_per_K": -2e-4, "u_dn_dt_per_K": 0.0, "state": "hydrated"}
READ_MEDIUM = {**reading(1.3350, **POOLED), "same_instrument": True, "dn_dt_per_K": -1e-4, "u_dn_dt_per_K": 1e-5}
LINES_3 = tuple(reading(PMMA[x], x, **POOLED) for x in (486.13, 589.29, 656.27))


def but(table, **more):
    return {k: v for k, v in {**table, **more}.items() if v is not None}


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (sheet(reading([1.49])), r"\[reading\] n holds one reading.*read again, or give a pooled u_repeatability"),
        (sheet(reading([1.49, 1.491], mounting=[1, 1])), r"\[reading\] all 2 readings are of one mounting.*mount again"),
        (sheet(reading([1.49, 1.491], mounting=[])), r"\[reading\] mounting names 0 readings, n holds 2"),
        (sheet(reading([1.49, 1.491], mounting=[1.5, 2])), r"\[reading\] mounting = .*list of labels"),
        (sheet(reading([1.49, float("nan")])), r"\[reading\] n\[2\]: n_reading is missing or not a number: must be 1 to 3"),
        (sheet(reading([1.49, float("inf")])), r"\[reading\] n\[2\]: n_reading = inf: must be 1 to 3"),
        (sheet(reading([1.49, 10**400])), r"\[reading\] n\[2\]: a number of 401 digits is no measurement"),
        (sheet(reading([1.49, 1.491], minutes_after_mounting=[1, 2])), r"\[reading\] mounting is missing beside minutes_after_mounting"),
        (sheet(reading([1.49, 1.491], mounting=[1, 2], minutes_after_mounting=[1, -2])), r"minutes_after_mounting\[2\] = -2 min: must be 0 to"),
        (sheet(reading([1.49, 1.491], u_session=1e-4, dof_session=3)), r"\[reading\] u_session is given without u_repeatability"),
        (sheet(reading=reading([1.49, 1.491])), r"\[reading\] stands in single brackets: write \[\[reading\]\]"),
        (sheet(reading(1.49, T=float("nan"), **POOLED)), r"\[reading\] temperature_degC: .* is missing or not a number: must be -20 to 150 °C"),
        (sheet(*LINES_3, dispersion={"abbe_d": 58.0, "u_abbe_d": 1.0}), r"\[dispersion\] abbe_d is given beside 3 lines"),
        (sheet(*LINES_3[:2], dispersion={"form": "cauchy"}), r"\[dispersion\] form = 'cauchy' is fitted to three lines or more, and the sheet has 2"),
        (sheet(*LINES_3, dispersion={"form": "cauchy", "terms": 2.5}), r"\[dispersion\] terms = 2.5: must be a whole number"),
        (sheet(reading(1.4906, 486.13, **POOLED), reading(1.4965, 589.29, **POOLED)), "1.4906 at 486.13 nm and 1.4965 at 589.29 nm.*exchanged"),
        (sheet(reading(1.4965, 486.13, **POOLED), reading(1.4906, 589.29, **POOLED, direction="x")), "is read in three directions, each once"),
        (sheet(LINES_3[0], but(LINES_3[1], basis="vacuum")), r"\[reading 2\] basis = 'vacuum', the first is 'air'"),
        (sheet(*(reading(n, T=t, **POOLED) for n, t in ((1.49, 20), (1.487, 35)))), r"\[temperature\] dn_dt_per_K is given beside readings at 2"),
        (sheet(*(reading(n, T=t, **POOLED) for n, t in ((1.49, 20), (1.487, 35))), temperature=None, specimen={"state": "dry"}),
         r"\[\[reading\]\] stands at several temperatures for a dry specimen"),
        (sheet(*(reading(1.49, direction=d, **POOLED) for d in "xy")), r"\[\[reading\]\] at 546.07 nm and 35 °C has direction x, y"),
        (sheet(temperature=but(WET, state="dry")), r"\[temperature\] state = 'dry': the step to 35 °C is taken wet"),
        (sheet(temperature=but(WET, volume_expansion_per_K=3e-4, u_volume_expansion_per_K=1e-5)), "both given: the slope comes from one of them"),
        (sheet(reading(1.49, T=25.0, **POOLED), temperature=but(WET, glass_transition_degC=30.0)),
         r"\[temperature\] glass_transition_degC = 30 lies between 25 and 35 °C.*read on the side of 35 °C, or force it"),
        (sheet(temperature=but(WET, across_glass_transition=True)), r"\[temperature\] across_glass_transition is given without"),
        (sheet(instrument={"temperature_compensation": "sugar"}), r"\[instrument\] a sugar solution's temperature compensation.*switch it off"),
        (sheet(instrument={"compensation_per_K": 1e-4}), r"\[instrument\] compensation_per_K is given, but temperature_compensation is not"),
        (sheet(instrument={"white_light_compensated": True}), r"\[reading\] wavelength_nm = 546.07: a white-light compensated reading is n_D"),
        (sheet(instrument={**CONTACT, "scale_wavelength_nm": 589.29}), r"made for 589.29 nm and was read at 546.07 nm.*\[\[instrument.prism\]\]"),
        (sheet(specimen={"state": "dry"}, hydration=but(DRY_WATER, water_mass_fraction_wet=20)), "must be 0 to 0.99; is it a percentage"),
        (sheet(specimen={"state": "dry"}, hydration=but(DRY_WATER, dry_density_kg_per_m3=1.2)), "is it in g/cm³"),
        (sheet(specimen={"state": "dry"}, hydration=but(DRY_WATER, u_dry_density_kg_per_m3=None)), "u_dry_density_kg_per_m3 is missing"),
        (sheet(specimen={"state": "dry"}, hydration={"mass_wet_g": 0.3, "mass_dry_g": 0.4, "u_mass_g": 1e-3}), "are the two exchanged"),
        (sheet(specimen={"state": "dry"}, hydration={"mass_wet_g": 0.4, "mass_dry_g": 0.3}), r"\[hydration\] u_mass_g is missing"),
        (sheet(hydration=DRY_WATER), r"\[hydration\] is given, but \[specimen\] state is hydrated already"),
        (sheet(medium=but(READ_MEDIUM, same_instrument=None)), r"\[medium\] n holds readings as shown.*same_instrument = true"),
        (sheet(medium=but(READ_MEDIUM, u_dn_dt_per_K=None)), r"\[medium\] u_dn_dt_per_K is missing"),
        (sheet(reading(1.49, 589.29, **POOLED), medium=READ_MEDIUM, instrument={**CONTACT, "scale_wavelength_nm": 589.29}, **AT_D),
         r"made for 589.29 nm and was read at 546.07 nm"),
        (sheet(reading(1.49, 589.29, **POOLED), medium=READ_MEDIUM, instrument={"white_light_compensated": True}, **AT_D),
         r"\[medium\] wavelength_nm = 546.07: a white-light"),
        (at_d(1.49, WATER, WATER), r"\[calibration\] model is missing beside 2 references: offset or offset and slope"),
        (at_d(1.49, WATER, WATER, model="offset"), r"\[calibration.reference 2\] water stands twice at 589.29 nm and 20 °C"),
        (at_d(1.49, WATER, model="offset and slope"), r"\[calibration\] offset and slope from 1 reference"),
        (at_d(1.49, but(WATER, wavelength_nm=546.07)), r"\[calibration\] the references were read at 546.07 nm, the specimen at 589.29 nm"),
        (at_d(1.49, but(WATER, temperature_degC=25.0)), r"reference water was read at 25 °C, 5 K from the specimen.*within_K \(now 2\)"),
        (at_d(1.49, but(WATER, temperature_degC=60.0), within_K=99), "known here from 0 to 40 °C"),
        ({**at_d(1.49, WATER), "medium": READ_MEDIUM}, "the references were read at 589.29 nm, the medium at 546.07 nm"),
        ({**at_d(1.49, WATER), "medium": but(READ_MEDIUM, wavelength_nm=589.29)}, "was read at 20 °C, 15 K from the medium"),
        (at_d(1.49, but(WATER, kind="oil")), r"\[calibration.reference 1\] kind = 'oil': must be water or sucrose or certified"),
        (at_d(1.49, but(WATER, n_certified=1.333)), r"\[calibration.reference 1\] n_certified does not belong to kind = 'water'"),
        (at_d(1.49, but(WATER, kind="sucrose")), r"\[calibration.reference 1\] mass_fraction is missing for kind = 'sucrose'"),
        (at_d(1.49, but(WATER, kind="sucrose", mass_fraction=40, u_mass_fraction=0.01)), r"mass_fraction = 40: must be 0 to 0.85"),
        (at_d(1.49, reference(1.5162, 589.29, 22.0, **CERTIFIED, certified_basis="air")), "certified at 20 °C and read at 22 °C: give dn_dt_per_K"),
        (at_d(1.49, WATER, check_before=[1.333, 1.3331]), r"\[calibration\] check_before and check_after belong together"),
        (at_d(1.49, WATER, check_before=[1.333], check_after=[1.333]), r"\[calibration\] check_before holds one reading"),
        (at_d(1.49, WATER, date=date(2026, 1, 1), interval_days=90), "date at the top of the sheet is missing"),
        (at_d(1.49, WATER, interval_days=90), r"\[calibration\] date is missing"),
        (at_d(1.49, WATER, date="2026-01-01"), "must be a date without quotes, for example 2026-11-20"),
        (at_d(1.49, WATER, date=datetime(2026, 1, 1, 12)), "must be a date without quotes"),
        ({**sheet(), "title": 3}, "^sheet: title = 3: must be text"),
    ],
)  # fmt: skip
def test_refused_with_table_key_and_what_to_do(data, told):
    with pytest.raises(SheetError, match=told):
        follow_index(sheet_from_data(data))


@pytest.mark.parametrize(("fahrenheit", "celsius"), [(68.0, "20"), (95.0, "35")])
def test_fahrenheit_is_asked_about(fahrenheit, celsius):
    remarks = sheet_from_data(sheet(reading(1.49, T=fahrenheit, **POOLED))).remarks
    assert any(f"read at {fahrenheit:g} °C: if that is °F, it is {celsius} °C" in r for r in remarks)


def test_other_alphabets_are_text():
    data = sheet(reading([1.4901, 1.4903], mounting=["früh", "夜"]), specimen={"material": "Ω-共重合体"})
    assert value(data) == pytest.approx(1.4902, abs=1e-12)
    assert sheet_from_data(data).title == "Ω-共重合体"


@pytest.mark.parametrize(
    ("text", "told"), [("n = [1.49, nan]", "unknown key 'n'"), ("= 3", "not a TOML file.*line 1"), ("a = 1\na = 2", "not a TOML file")]
)
def test_texts_that_are_no_sheets(text, told):
    with pytest.raises(SheetError, match=told):
        sheet_from_text(text)
