"""What a sheet leaves out, three readings where four would tell more, and the ends of what is known."""

import numpy as np
import pytest
from iapws import IAPWS95
from iapws._iapws import _Refractive
from made_sheets import AT_D, CERTIFIED, CONTACT, POOLED, at_d, index, part, reading, reference, sheet
from test_index_in_use import raw, used

from lenscalc.errors import InputError, SheetError
from lenscalc.refractometer import drift_on_prism, mean_of, sheet_from_data, v_block_deviation_deg, v_block_index
from lenscalc.refractometer.index_in_use import carry_to_use
from lenscalc.refractometer.lamp import light_at, slope_through_prism, told_of_light
from lenscalc.uncertainty import Source, errors_only

BLOCK = CERTIFIED | {"certified_basis": "air"}


def water(degC):
    """n at 546.07 nm on the air of that temperature: iapws 1.5.5 over n_air − 1 = 2.777e-4·288.15/T (Edlén, at 15 °C, from memory)."""
    kelvin = degC + 273.15
    rho = IAPWS95(T=kelvin, P=0.101325).rho
    return rho, _Refractive(rho, kelvin, 0.54607 * 1.000278) / (1.0 + 2.777e-4 * 288.15 / kelvin)


def remarks(*readings, **tables):
    return sheet_from_data(sheet(*readings, **tables)).remarks


def test_what_nobody_states_is_no_line_of_the_budget():
    data = sheet(reading(1.49, **POOLED))
    del data["instrument"]["u_operator"], data["specimen"]["u_specimen_to_lens"]
    assert not {"operator", "specimen against lens"} & {s.name for s in index(data).index.n.parts}
    data["instrument"]["u_operator"] = 3e-4
    assert part(index(data), "operator") == 3e-4


def test_an_index_near_its_reference_is_not_extrapolated():
    """0.026 from the only reference, of which it may lie 0.05 away."""
    assert not any("extrapolated" in w for w in index(at_d(1.49, reference(1.5162, 589.29, 20.0, **BLOCK))).warnings)
    assert any("far from the reference" in w for w in index(at_d(1.46, reference(1.5162, 589.29, 20.0, **BLOCK))).warnings)


def test_three_readings_cannot_tell_a_bend():
    """Through three points goes a parabola whatever they are; their line has the slope of the outer two."""
    assert drift_on_prism([1.4300, 1.4290, 1.4298], [0.0, 1.0, 2.0]).slope_per_min == pytest.approx(-1e-4, rel=1e-9, abs=0.0)


def test_two_times_a_mounting_cannot_tell_a_bend():
    y = [1.4300, 1.4298, 1.4305, 1.4301, 1.4299, 1.4298]
    assert drift_on_prism(y, [1.0, 2.0] * 3, [1, 1, 2, 2, 3, 3]).slope_per_min == pytest.approx(np.mean([-2e-4, -4e-4, -1e-4]), rel=1e-9, abs=0.0)


def test_a_bend_in_the_thirteenth_decimal_is_none():
    """1e-13·t² leaves its chord over five minutes by 6e-13: nobody reads that, and doubles keep an index to 2e-16."""
    t = np.arange(6.0)
    assert drift_on_prism(1.43 + 1e-13 * t * t, t).slope_per_min == pytest.approx(5e-13, abs=1e-15)


@pytest.mark.parametrize(("steps", "refused"), [(1.1, True), (0.9, False)])
def test_a_bend_within_one_step_of_the_scale_is_rounding(steps, refused):
    """a·t² over five minutes leaves its chord by a·5²/4."""
    t = np.arange(6.0)
    y = 1.43 + steps * 1e-5 * 4.0 / 25.0 * t * t
    if refused:
        with pytest.raises(InputError, match="the drift bends"):
            drift_on_prism(y, t, resolution=1e-5)
    else:
        assert drift_on_prism(y, t, resolution=1e-5).slope_per_min == pytest.approx(5.0 * 0.9e-5 * 4.0 / 25.0, rel=1e-6, abs=0.0)


HALF_WATER = {
    "n": (1.50, 0.0), "state": "dry", "water_mass_fraction_wet": (0.5, 0.0), "dry_density_kg_per_m3": (1200.0, 0.0), "dn_dt_per_K": (0.0, 0.0),
}  # fmt: skip


def half_water(degC):
    """Lorentz and Lorenz by volumes."""
    rho_water, n_water = water(degC)
    w, rho, n_dry = 0.5, 1200.0, 1.50
    volume = w / rho_water / (w / rho_water + (1.0 - w) / rho)
    mixed = volume * (n_water**2 - 1) / (n_water**2 + 2) + (1.0 - volume) * (n_dry**2 - 1) / (n_dry**2 + 2)
    return ((1 + 2 * mixed) / (1 - mixed)) ** 0.5


def test_hydrated_by_the_water_of_40_degrees():
    """The water of 39 °C would be higher by 1.5e-4 and denser."""
    assert used(temperature_degC=(40.0, 0.0), **HALF_WATER)[0] == pytest.approx(half_water(40.0), abs=1e-5)


@pytest.mark.parametrize("T", [0.3, 0.5, 25.0, 39.5, 39.8, 40.0])
def test_a_wrong_temperature_takes_the_wrong_water_up_to_where_it_is_known(T):
    """The slope bends by 4e-6 /K² at most: a difference that ends at 0 or 40 °C stands a quarter of a kelvin beside."""
    n = carry_to_use(raw(temperature_degC=(T, 1.0), **HALF_WATER)).n
    by_T = (half_water(T + 0.1) - half_water(T - 0.1)) / 0.2
    assert n.parts[Source("temperature_degC")][0] == pytest.approx(by_T, abs=1e-6)


def test_at_the_wavelength_in_use_nothing_else_counts():
    assert used(second=(1.48, 0.1), second_wavelength_nm=656.3) == (1.49, 2e-4)
    assert used(abbe_d=(58.0, 5.0)) == (1.49, 2e-4)


def test_the_prism_behind_its_apex_by_hand():
    """n = sin φ·√(N² − s²) − cos φ·s at one exit angle: ∂n/∂N = sin φ·N/√(N² − s²); s from the same equation, N′ of N = 1.8 + 0.0185/L²."""
    nm, N, phi = 546.07, 1.80 + 0.0185e6 / 546.07**2, np.deg2rad(65.0)
    prism = [{"wavelength_nm": w, "n_prism": 1.80 + 0.0185e6 / w**2} for w in (486.1327, 656.2725)]
    s = N * np.sin(phi - np.arcsin(1.49 / N))
    by_N = np.sin(phi) * N / np.sqrt(N * N - s * s)
    found = slope_through_prism(1.49, nm, {"kind": "prism contact", "prism": prism, "prism_apex_deg": 65.0})
    assert found == pytest.approx(by_N * 2e6 * 0.0185 / nm**3, rel=1e-12, abs=0.0)


@pytest.mark.parametrize(("kind", "more"), [("v-block", ""), ("prism contact", ", or give [[instrument.prism]] at two lines")])
def test_only_who_has_a_prism_is_asked_for_it(kind, more):
    (told,) = told_of_light({"kind": kind, "prism": []}, [], errors_only({Source("light"): 1.0}))
    assert told.endswith("read a reference under this light" + more)


@pytest.mark.parametrize(("u_cold", "u_hot"), [(0.2, 0.5), (0.5, 0.2)])
def test_the_thermometer_of_each_temperature_tilts_the_line_by_hand(u_cold, u_hot):
    """For an error δ of either temperature the slope of 2e-4 /K is off by 2e-4·δ/10, and that over the 10 K from the middle, 25 °C, to 35."""
    cold, hot = reading(1.4930, T=20.0, **POOLED), reading(1.4910, T=30.0, **POOLED)
    f = index(sheet(cold | {"u_temperature_degC": u_cold}, hot | {"u_temperature_degC": u_hot}, temperature=None))
    assert part(f, "temperature of the specimen at 20 °C") == pytest.approx(2e-4 * u_cold, rel=1e-9, abs=0.0)
    assert part(f, "temperature of the specimen at 30 °C") == pytest.approx(2e-4 * u_hot, rel=1e-9, abs=0.0)


def test_temperatures_that_no_line_was_read_at_twice_say_nothing_of_the_slope():
    odd = [reading(1.4965, 486.13, 20.1, u_repeatability=1.7e-4, dof_repeatability=20), reading(1.4905, 589.29, 25.3, **POOLED)]
    with pytest.raises(SheetError, match="no wavelength was read at two"):
        index(sheet(*odd, temperature=None))


def test_lines_whose_own_spread_nobody_knows_are_not_judged():
    """Each line read twice alike on a scale without steps: what of the misfit is chance cannot be told; each is calibrated by a piece of its own."""
    lines = {486.13: 1.4965, 589.29: 1.4906, 656.27: 1.4872}
    pieces = [
        reference(n + 0.01, nm, 35.0, **BLOCK | {"name": f"block {nm}", "n_certified": n + 0.01, "certified_temperature_degC": 35.0})
        for nm, n in lines.items()
    ]
    calibration = {"model": "offset", "reference": pieces}
    data = sheet(*(reading([n, n], nm) for nm, n in lines.items()), instrument={"resolution": 0.0}, calibration=calibration)
    del data["instrument"]["u_calibration"]
    assert not any("further from" in w for w in index(data).warnings)


def test_a_v_block_turns_light_by_60_degrees():
    """sin γ = √3/2, N² = 9/4: n² = N² + √3/2·√(9/4 − 3/4) = 9/4 + 3/√8."""
    n = (2.25 + 3.0 / 8.0**0.5) ** 0.5
    assert v_block_index(1.5, 60.0) == pytest.approx(n, rel=1e-15, abs=0.0)
    assert v_block_deviation_deg(1.5, n) == pytest.approx(60.0, abs=1e-12)


def test_a_film_of_water_is_told_with_its_place():
    """Water at 589.29 nm and 20 °C has 1.33299 (IAPWS R9-97 on air, as in every table)."""
    wet = reading(1.36, 486.13, 20.0, **POOLED), reading([1.3520, 1.3331, 1.3520], 589.29, 20.0)
    assert "[reading 2] n[2] = 1.3331 is water's own index (1.3330)" in " ".join(remarks(*wet, instrument=CONTACT))
    beside = reading(1.3320, 589.29, 20.0, **POOLED), reading(1.3235, 1150.0, 20.0, **POOLED)
    assert "[reading 2] n[1] = 1.332 is" in " ".join(remarks(*beside[::-1], instrument=CONTACT))
    # of water at 50 °C or at 1150 nm nothing is known here
    for unknown in (reading(1.3331, 589.29, 50.0, **POOLED), reading(1.3331, 1150.0, 20.0, **POOLED)):
        assert not any("water's own" in told for told in remarks(unknown, instrument=CONTACT, **AT_D))


def test_of_three_readings_one_that_lies_apart_is_named():
    """Two alike and a third have (2/√3) = 1.1547 of Grubbs' statistic; the table for three says 1.1543 at 5 % (Grubbs 1969, 1.15)."""
    (told,) = [r for r in index(sheet(reading([1.4902, 1.4902, 1.4990]))).warnings if "Grubbs" in r]
    assert "reading 3 at 546.07 nm, 35 °C, 1.499, lies 0.0088 from the mean of the others, 1.4902" in told
    assert "1.155 against 1.154" in told


def test_three_directions_are_three_and_each_once():
    three = [reading(1.49, direction=d, **POOLED) for d in ("along", "across", "through")]
    fourth = reading(1.49, direction="askew", **POOLED)
    for wrong in ([*three, three[0]], [*three, fourth], three[:2], [three[0], three[0], three[1]]):
        with pytest.raises(SheetError, match="three directions, each once"):
            sheet_from_data(sheet(*wrong))
    with pytest.raises(SheetError, match=r"\[reading 3\] stands at .* like an earlier one"):
        sheet_from_data(sheet(*three[:2], reading(1.49, **POOLED)))


@pytest.mark.parametrize("degC", [0.5, 39.5])
def test_water_is_a_reference_from_half_a_degree_to_39_and_a_half(degC):
    data = sheet(reading(1.49, **POOLED), calibration={"reference": [reference(1.333, T=degC, name="water", kind="water")], "within_K": 100.0})
    del data["instrument"]["u_calibration"]
    assert float(index(data).index.n.value[0]) == pytest.approx(1.49 - (1.333 - water(degC)[1]), abs=1e-5)


@pytest.mark.parametrize(("part_of_it", "told"), [(1.0, False), (0.999, True)])
def test_a_scatter_of_just_twice_the_pooled_is_not_more(part_of_it, told):
    """Two readings d apart have s = d/√2."""
    n = [1.490, 1.494]
    half = mean_of(n).u * 2**0.5 / 2.0
    assert half == pytest.approx(0.004 / 8**0.5, rel=1e-9, abs=0.0)
    seen = remarks(reading(n, u_repeatability=half * part_of_it, dof_repeatability=20))
    assert any("more than twice" in r for r in seen) == told


def test_readings_without_a_spread_weigh_alike():
    """Read twice alike on a scale without steps, at three temperatures: the line through them by numpy."""
    T, n = np.array([20.0, 27.0, 35.0]), np.array([1.4935, 1.4922, 1.4905])
    for u in (0.1, 0.0):  # without any u nobody can say how far off the line is too far
        lists = (reading([y, y], T=x) | {"u_temperature_degC": u} for x, y in zip(T, n, strict=True))
        found = index(sheet(*lists, instrument={"resolution": 0.0}, temperature=None))
        assert float(found.index.n.value[0]) == pytest.approx(np.polyval(np.polyfit(T, n, 1), 35.0), abs=1e-12)


@pytest.mark.parametrize(("count", "told"), [(29, False), (30, True)])
def test_more_readings_than_anyone_mounts_are_asked_about(count, told):
    n = [1.49 + 1e-5 * (i % 3) for i in range(count)]
    assert any("each taken as a mounting of its own" in r for r in remarks(reading(n))) == told
    assert not any("of its own" in r for r in remarks(reading(n, mounting=list(range(count)))))


def test_an_instrument_that_is_off_by_more_than_an_index_is_named():
    """1.33 as shown, on a scale that shows a piece of 1.32 as 1.70: 0.95 is left."""
    off = reference(1.70, 589.29, 20.0, **BLOCK | {"n_certified": 1.32})
    with pytest.raises(SheetError, match=r"0\.95 is left at 589\.29 nm when .* are taken off, and that is no index of a polymer"):
        index(at_d(1.33, off))


def test_light_of_one_line_is_one_within_half_a_nanometre():
    data = sheet(reading(1.49, 589.5, u_wavelength_nm=2.0, **POOLED), **AT_D)
    (lists,) = sheet_from_data(data).readings
    assert light_at([lists], 589.0).u == 2.0
    assert light_at([lists], 588.99).u == 0.0


def test_the_light_is_named_by_the_nearest_line():
    two = (reading(1.4965, 486.13, u_wavelength_nm=1.0, **POOLED), reading(1.4905, 589.29, u_wavelength_nm=2.0, **POOLED))
    lists = sheet_from_data(sheet(*two)).readings
    for nm, u in ((486.13, 1.0), (589.29, 2.0)):
        assert light_at(lists, nm).parts == {Source(f"wavelength of the light at {nm} nm", "instrument"): u}
