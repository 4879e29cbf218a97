"""Several lines, temperatures and directions on a sheet, against numpy, by hand and against a published polymer."""

import numpy as np
import pytest
from made_sheets import AT_D, LENS, PMMA, POOLED, index, part, reading, sheet, value

from lenscalc import follow
from lenscalc.refractometer import sheet_from_data
from lenscalc.refractometer.corrected import corrected
from lenscalc.refractometer.merged_readings import over_directions


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


def test_three_lines_on_one_side_are_extrapolated_and_it_is_said():
    f = index(sheet(*(reading(n, nm, **POOLED) for nm, n in ((589.29, 1.4906), (632.8, 1.4890), (656.27, 1.4882)))))
    assert "546.07 nm lies outside the lines that were read: the dispersion is extrapolated" in f.warnings


def test_the_share_of_each_step_by_hand():
    """Read at 25 °C: u² of the reading is (1e-4² + 1e-10/12)/1 and (2e-4·0.1)² by its temperature, that of the step (10·2e-5)²."""
    step = {"dn_dt_per_K": -2e-4, "u_dn_dt_per_K": 2e-5, "state": "hydrated"}
    use = index(sheet(reading(1.49, T=25.0, **POOLED), temperature=step)).index
    own, heat, slope = 1e-8 + 1e-10 / 12, (2e-4 * 0.1) ** 2, (10 * 2e-5) ** 2
    whole = own + heat + slope
    shares = dict(zip((s.name for s in use.steps), use.shares(), strict=True))
    assert shares["reading at 546.07 nm, 25 °C"] == pytest.approx(own / whole, rel=1e-6, abs=0.0)
    assert shares["at 35 °C"] == pytest.approx((slope + heat) / whole, rel=1e-6, abs=0.0)
    assert sum(shares.values()) == pytest.approx(1.0)


def test_three_lines_of_equal_weight_by_numpy():
    nm, n = np.array([486.13, 589.29, 656.27]), [1.4965, 1.4906, 1.4882]
    line = np.polyfit(1 / nm**2, n, 1)
    assert value(sheet(*(reading(y, x, **POOLED) for x, y in zip(nm, n, strict=True)))) == pytest.approx(np.polyval(line, 1 / 546.07**2), abs=1e-10)


def test_several_temperatures_by_numpy():
    T, n = np.array([20.0, 25.0, 30.0, 38.0]), [1.4935, 1.4926, 1.4914, 1.4899]
    f = index(sheet(*(reading(y, T=x, **POOLED) for x, y in zip(T, n, strict=True)), temperature=None))
    slope, level = np.polyfit(T - 35.0, n, 1)
    assert float(f.index.n.value[0]) == pytest.approx(level, abs=1e-12)
    assert f.row["dn_dt_per_K"] == pytest.approx(slope, rel=1e-9, abs=0.0)
    # u of the level at 35 °C: the readings' own (repeatability and resolution), weights by hand
    own = (1e-8 + 1e-10 / 12) * (0.25 + (35.0 - T.mean()) ** 2 / np.sum((T - T.mean()) ** 2))
    parts = [float(p[0]) for s, p in f.index.n.parts.items() if s.name.startswith(("repeatability", "resolution"))]
    assert np.linalg.norm(parts) == pytest.approx(own**0.5, rel=1e-9, abs=0.0)


def test_temperatures_of_unlike_u_weigh_by_one_over_its_square():
    """numpy's least squares with weights 1/u, u² = u_repeatability² + 1e-10/12."""
    T, n, own = np.array([20.0, 25.0, 30.0, 38.0]), [1.4935, 1.4926, 1.4914, 1.4899], np.array([1e-4, 3e-4, 1e-4, 2e-4])
    f = index(sheet(*(reading(y, T=x, u_repeatability=float(u), dof_repeatability=20) for x, y, u in zip(T, n, own, strict=True)), temperature=None))
    slope, level = np.polyfit(T - 35.0, n, 1, w=1 / np.sqrt(own**2 + 1e-10 / 12))
    assert float(f.index.n.value[0]) == pytest.approx(level, abs=1e-12)
    assert f.row["dn_dt_per_K"] == pytest.approx(slope, rel=1e-9, abs=0.0)


@pytest.mark.parametrize(("off", "told"), [(1.1e-3, True), (3e-4, False)])
def test_a_line_that_lies_off_the_form(off, told):
    """PMMA at three lines, the middle one moved: numpy's line through 1/λ² leaves one degree of freedom, so χ is what is told, where χ² is rarer than
    one in a thousand (10.83). A repeatability of 20 degrees of freedom is widened by 2.0860/1.9600.
    """
    nm = np.array([486.13, 589.29, 656.27])
    n = [PMMA[x] for x in nm]
    n[1] += off
    x, u = 1 / nm**2, np.sqrt(1e-8 + 1e-10 / 12)
    chi = np.linalg.norm(np.polyval(np.polyfit(x, n, 1), x) - n) / (u * 2.0860 / 1.9600)
    assert (chi**2 > 10.83) == told
    remarks = [w for w in index(sheet(*(reading(y, w, **POOLED) for w, y in zip(nm, n, strict=True)))).warnings if "try another form" in w]
    assert [r.split(" times")[0] for r in remarks] == ([f"the lines lie {chi:.1f}"] if told else [])


def test_a_break_in_the_slope_is_remarked_on():
    f = index(sheet(*(reading(y, T=x, **POOLED) for x, y in ((20, 1.4935), (25, 1.4934), (30, 1.4905), (35, 1.4875))), temperature=None))
    assert any("do not lie on one line with temperature: look for a glass transition" in w for w in f.warnings)


def test_three_directions_by_hand():
    data = sheet(*(reading(n, direction=d, **POOLED) for d, n in (("length", 1.4902), ("width", 1.4905), ("height", 1.4911))))
    f = index(data)
    assert float(f.index.n.value[0]) == pytest.approx(1.4906, abs=1e-12)
    assert part(f, "orientation of the specimen") == pytest.approx(4.5e-4 / 3**0.5, rel=1e-9, abs=0.0)
    assert any(w.startswith("three directions at 546.07 nm: length 1.49020, width 1.49050, height 1.49110; ") for w in f.warnings)


def test_what_the_mean_of_three_directions_may_be_off_by_itself():
    """Three means of u² = 1e-4² + 1e-10/12 each, with nothing in common: a third of that."""
    lists = [reading(n, direction=d, **POOLED) for d, n in (("length", 1.4902), ("width", 1.4905), ("height", 1.4911))]
    (one,), _ = over_directions(corrected(sheet_from_data(sheet(*lists)))[0])
    assert one.shown.u == pytest.approx(((1e-8 + 1e-10 / 12) / 3) ** 0.5, rel=1e-12, abs=0.0)
    assert one.shown.value == pytest.approx(1.4906, abs=1e-15)


def test_lines_ten_nanometres_apart_tell_a_dispersion():
    B = (1.4911 - 1.4906) / (1 / 0.5795**2 - 1 / 0.5895**2)
    n = value(sheet(reading(1.4911, 579.5, **POOLED), reading(1.4906, 589.5, **POOLED)))
    assert n == pytest.approx(1.4906 + B * (1 / 0.54607**2 - 1 / 0.5895**2), abs=1e-12)


def test_the_order_of_the_tables_changes_nothing():
    places = [(nm, T) for nm in (486.13, 589.29, 656.27) for T in (23.0, 30.0, 38.0)]
    hydration = {"water_mass_fraction_wet": 0.2, "u_water_mass_fraction_wet": 0.01, "dry_density_kg_per_m3": 1200.0, "u_dry_density_kg_per_m3": 10.0}
    dry = {**LENS, **{k: {**v, "state": "dry"} for k, v in LENS.items() if isinstance(v, dict)}}
    tables = [reading(PMMA[nm] - 1.1e-4 * (T - 23), nm, T, **POOLED) for nm, T in places]
    ends = []
    for order in (list(range(9)), list(range(8, -1, -1)), [4, 0, 8, 2, 6, 1, 7, 3, 5]):
        e = follow(sheet_from_data(sheet(*(tables[i] for i in order), temperature=None, hydration=hydration, lens=dry))).evaluation
        ends.append([e.only(name) for name in ("n_lens", "u_n_lens", "power_D", "u_power_D", "dof_power", "conformance_probability")])
    assert ends[1] == pytest.approx(ends[0], rel=1e-8, abs=0.0)
    assert ends[2] == pytest.approx(ends[0], rel=1e-8, abs=0.0)


@pytest.mark.parametrize("key", ["u_temperature_degC", "u_wavelength_nm"])
def test_the_widest_doubt_of_readings_that_become_one(key):
    """Three directions, or two temperatures as far from 35 °C: whichever stands first, the wider u is taken."""
    three = [reading(1.49 + i * 1e-4, 589.29, direction=d, **POOLED) for i, d in enumerate("xyz")]
    two = [reading(1.49, 589.29, 30.0, **POOLED), reading(1.488, 589.29, 40.0, **POOLED)]
    for tables, temperature in ((three, {"dn_dt_per_K": -2e-4, "u_dn_dt_per_K": 0.0, "state": "hydrated"}), (two, None)):
        tables[-1][key] = 0.7
        both = [index(sheet(*order, temperature=temperature, **AT_D)).index.n for order in (tables, tables[::-1])]
        assert float(both[0].u[0]) == pytest.approx(float(both[1].u[0]), rel=1e-9, abs=0.0)
        tables[-1][key] = 0.1
        assert float(index(sheet(*tables, temperature=temperature, **AT_D)).index.n.u[0]) < float(both[0].u[0])


def test_a_step_is_not_called_a_reading_that_nobody_took():
    """Read at 30 and 40 °C: the first step stands at 35 °C, halfway between what was read, and says so."""
    first = index(sheet(reading(1.4900, T=30.0, **POOLED), reading(1.4880, T=40.0, **POOLED), temperature=None)).index.steps[0]
    assert float(first.n.value[0]) == pytest.approx(1.4890, abs=1e-12)
    assert first.note == "brought here from readings at several temperatures"


@pytest.mark.parametrize(("chi2", "told"), [(11.3, True), (10.4, False)])
def test_three_temperatures_leave_one_degree_of_freedom(chi2, told):
    """Off a line by e·(1, −2, 1) is χ² = 6e²/u², told where it is rarer than one in a thousand: 10.83. u of a repeatability of 20 degrees of freedom
    is widened by 2.0860/1.9600, and holds 0.1 K of the slope.
    """
    u2 = (1e-8 + 1e-10 / 12) * (2.0860 / 1.9600) ** 2 + (2e-4 * 0.1) ** 2
    e = (chi2 * u2 / 6) ** 0.5
    three = (reading(1.49 - 2e-4 * (T - 35.0) + e * off, T=T, **POOLED) for T, off in ((20.0, 1), (27.5, -2), (35.0, 1)))
    assert any("do not lie on one line" in w for w in index(sheet(*three, temperature=None)).warnings) == told


def test_two_lines_take_one_step_to_the_line_in_use():
    use = index(sheet(reading(1.4965, 486.13, **POOLED), reading(1.4905, 589.29, **POOLED))).index
    names = [step.name for step in use.steps]
    assert names.count("at 546.07 nm") == 1
    assert len(set(names)) == len(names) == 6


@pytest.mark.parametrize("u_nm", [(0.0, 3.0, 0.0), (2.0, 3.0, 1.0)])
def test_a_line_whose_light_is_uncertain_weighs_less_by_numpy(u_nm):
    """u² of a line is that of its reading and (dn/dλ·u(λ))²; dn/dλ from the fit without it, −2B/λ³."""
    nm, n, u_nm = np.array([486.13, 589.29, 656.27]), np.array([1.4965, 1.4908, 1.4882]), np.array(u_nm)
    own = 1e-8 + 1e-10 / 12
    B, _ = np.polyfit(1 / nm**2, n, 1)
    u = np.sqrt(own + (2 * B / nm**3 * u_nm) ** 2)
    expected = np.polyval(np.polyfit(1 / nm**2, n, 1, w=1 / u), 1 / 546.07**2)
    readings = (reading(y, x, u_wavelength_nm=d, **POOLED) for x, y, d in zip(nm, n, u_nm, strict=True))
    found = value(sheet(*readings))
    assert found == pytest.approx(expected, abs=1e-12)
    assert abs(found - np.polyval(np.polyfit(1 / nm**2, n, 1), 1 / 546.07**2)) > 2e-6


def test_the_line_nearest_to_the_one_in_use_comes_first():
    row = index(sheet(reading(1.4965, 486.13, **POOLED), reading(1.4905, 589.29, **POOLED))).row
    assert (row["reading_wavelength_nm"], row["second_wavelength_nm"]) == (589.29, 486.13)


def test_the_doubt_about_the_form_of_three_lines_is_a_rectangle():
    f = index(sheet(*(reading(n, nm, **POOLED) for nm, n in ((486.13, 1.4965), (589.29, 1.4906), (656.27, 1.4882)))))
    assert part(f, "form of the dispersion") == pytest.approx(float(f.read.dispersion.form_half_width(546.07)) / 3**0.5, rel=1e-9, abs=0.0)


def test_half_a_kelvin_is_two_temperatures():
    f = index(sheet(reading(1.4900, T=34.75, **POOLED), reading(1.4899, T=35.25, **POOLED), temperature=None))
    assert f.row["dn_dt_per_K"] == pytest.approx(-2e-4, rel=1e-9, abs=0.0)


@pytest.mark.parametrize(("off", "told"), [(1.2e-3, True), (3e-4, False)])
def test_a_line_of_four_that_lies_off_the_form(off, told):
    """Two degrees of freedom: χ² rarer than one in a thousand is 13.82, and what is told is √(χ²/2). As of three lines, with numpy."""
    nm = np.array([435.8, 486.13, 589.29, 656.27])
    n = [PMMA[x] for x in nm]
    n[1] += off
    x, u = 1 / nm**2, np.sqrt(1e-8 + 1e-10 / 12)
    chi2 = np.sum((np.polyval(np.polyfit(x, n, 1), x) - n) ** 2) / (u * 2.0860 / 1.9600) ** 2
    assert (chi2 > 13.82) == told
    remarks = [w for w in index(sheet(*(reading(y, w, **POOLED) for w, y in zip(nm, n, strict=True)))).warnings if "try another form" in w]
    assert remarks == ([
        f"the lines lie {(chi2 / 2) ** 0.5:.1f} times further from the cauchy form of 2 terms than their own u explains: try another form, "
        "or look for a wrong line"
    ] if told else [])  # fmt: skip


def test_three_directions_at_two_lines():
    """Each line has its own three; what the orientation leaves open is the same error for both, rectangular of half the range."""
    lists = [
        reading(n + off, nm, direction=d, **POOLED)
        for nm, n in ((486.13, 1.4965), (589.29, 1.4905)) for d, off in (("length", -3e-4), ("width", 0.0), ("height", 3e-4))
    ]  # fmt: skip
    f = index(sheet(*lists))
    alone = index(sheet(reading(1.4965, 486.13, **POOLED), reading(1.4905, 589.29, **POOLED)))
    assert float(f.index.n.value[0]) == pytest.approx(float(alone.index.n.value[0]), abs=1e-12)
    assert part(f, "orientation of the specimen") == pytest.approx(3e-4 / 3**0.5, rel=1e-9, abs=0.0)


def test_how_the_step_to_green_was_taken_is_noted():
    for nm, note in ((589.29, "two-parameter Cauchy form"), (546.07, "")):
        (step,) = (s for s in index(sheet(reading(1.49, nm, **POOLED), **AT_D)).index.steps if s.name == "at 546.07 nm")
        assert step.note == note


@pytest.mark.parametrize("T", [(20.1, 33.7), (21.3, 36.9), (20.7, 30.2), (22.22, 37.1)])
def test_through_two_temperatures_goes_a_line_whatever_they_are(T):
    two = (reading(1.49123 - 1.7e-4 * (x - 20.0) ** 1.1, T=x, **POOLED) for x in T)
    assert not any("do not lie on one line" in w for w in index(sheet(*two, temperature=None)).warnings)
