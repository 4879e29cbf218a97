"""Reading → 546.07 nm, 35 °C, wet, relative to air: against hand arithmetic and published fits."""

from dataclasses import fields
from math import hypot, sqrt

import numpy as np
import pytest

from lenscalc.errors import InputError
from lenscalc.material import by_abbe_number, by_second_reading, hydrated_index, schott_index, sellmeier_index
from lenscalc.refractometer import RawReading, cannot_be_carried, carry_to_use, mean_of
from lenscalc.uncertainty import Estimate, Source

CALIBRATION, OWN = Source("calibration"), Source("own")


def raw(**changes):
    """Read hydrated at 546.07 nm and 35 °C in air: nothing to carry."""

    def one(value, part, source):
        return Estimate(np.array([value]), {source: np.array([part])})

    given = {
        "n": (1.49, 2e-4), "wavelength_nm": 546.07, "temperature_degC": (35.0, 0.0), "state": "hydrated", "basis": "air", "second": (np.nan, 0.0),
        "second_wavelength_nm": np.nan, "abbe_d": (np.nan, 0.0), "dn_dt_per_K": (np.nan, 0.0), "hydration_shift": (np.nan, 0.0),
        "water_mass_fraction_wet": (np.nan, 0.0), "dry_density_kg_per_m3": (np.nan, 0.0), "volume_expansion_per_K": (np.nan, 0.0),
        "glass_transition_degC": np.nan, **changes,
    }  # fmt: skip
    sources = {"n": CALIBRATION, "second": CALIBRATION}
    return RawReading(
        **{k: one(*v, sources.get(k, Source(k))) if isinstance(v, tuple) else np.array([v], dtype=object if isinstance(v, str) else float)
           for k, v in given.items()}
    )  # fmt: skip


def used(**changes):
    n = carry_to_use(raw(**changes)).n
    return float(n.value[0]), float(n.u[0])


def test_nothing_to_carry():
    assert used() == (1.49, pytest.approx(2e-4))
    assert used(wavelength_nm=546.0740)[0] == 1.49  # the e line is the wavelength in use


def test_warming_by_15_kelvin():
    value, u = used(temperature_degC=(20.0, 0.2), dn_dt_per_K=(-2e-4, 2e-5))
    assert value == pytest.approx(1.49 - 15 * 2e-4, abs=1e-15)
    assert u == pytest.approx(hypot(2e-4, 15 * 2e-5, 2e-4 * 0.2))


def test_a_specimen_warmer_than_it_was_taken_for():
    """Read at a true 21 °C that was taken for 20: the index in use lies higher than thought by one kelvin of slope."""
    n = carry_to_use(raw(temperature_degC=(20.0, 1.0), dn_dt_per_K=(-2e-4, 0.0))).n
    assert n.parts[Source("temperature_degC")][0] == pytest.approx(+2e-4)


def test_wetting_before_warming():
    value, u = used(state="dry", hydration_shift=(-0.041, 0.0012), temperature_degC=(23.0, 0.0), dn_dt_per_K=(-1.2e-4, 0.0))
    assert value == pytest.approx(1.49 - 0.041 - 12 * 1.2e-4, abs=1e-15)
    assert u == pytest.approx(hypot(2e-4, 0.0012))
    names = [step.name for step in carry_to_use(raw()).steps]
    assert names == ["reading", "at 546.07 nm", "hydrated", "at 35 °C", "relative to air"]


def test_basis():
    # n_air − 1 = 2.60e-4 at 546 nm, 35 °C (worked from Birch & Downs)
    assert used(basis="vacuum")[0] == pytest.approx(1.49 * (1 - 2.60e-4), abs=1e-6)
    value, u = used(basis="unknown")
    assert value == 1.49
    assert u == pytest.approx(hypot(2e-4, 1.49 * 2.60e-4 / sqrt(3)), rel=1e-3, abs=0.0)


POLYMERS = {  # fits of refractiveindex.info (CC0); n_d and V_d worked from them
    "PMMA, Szczurowski 2013": (lambda w: sellmeier_index(w, [0.99654, 0.18964, 0.00411], [0.00787, 0.02191, 3.85727]), 58.00),
    "PMMA, Beadie 2015": (
        lambda w: schott_index(w, [2.1778, 6.1209e-3, -1.5004e-3, 2.3678e-2, -4.2137e-3, 7.3417e-4, -4.5042e-5], [0, 2, 4, -2, -4, -6, -8]),
        59.37,
    ),
    "polystyrene, Sultanova 2009": (lambda w: sellmeier_index(w, [1.4435], [0.020216]), 29.53),
    "PDMS, Schneider 2009": (lambda w: sellmeier_index(w, [1.0093], [0.013185]), 44.57),
}  # fmt: skip


@pytest.mark.parametrize("name", POLYMERS)
@pytest.mark.parametrize("nm", [587.5618, 589.2938, 632.8])
def test_one_reading_and_the_abbe_number_find_the_published_index(name, nm):
    """The largest miss of the four is 0.67 of the half-spread between the forms (PMMA of Beadie); in all cases it lies within the half-spread."""
    n, V = POLYMERS[name]
    step = by_abbe_number(n(nm), nm, V, 546.07)
    assert abs(step.n - n(546.07)) < 0.75 * step.half_spread
    assert used(n=(float(n(nm)), 0.0), wavelength_nm=nm, abbe_d=(V, 0.0)) == pytest.approx((step.n, step.half_spread / sqrt(3)), rel=1e-12, abs=0.0)


@pytest.mark.parametrize("name", POLYMERS)
def test_two_readings_find_the_published_index(name):
    n, _ = POLYMERS[name]
    step = by_second_reading(n(587.5618), 587.5618, n(486.1327), 486.1327, 546.07)
    assert abs(step.n - n(546.07)) < 0.5 * step.half_spread
    value, _ = used(n=(float(n(587.5618)), 0.0), wavelength_nm=587.5618, second=(float(n(486.1327)), 0.0), second_wavelength_nm=486.1327)
    assert value == pytest.approx(step.n, rel=1e-14, abs=0.0)


def test_a_calibration_common_to_both_readings_moves_the_index_by_itself():
    n = carry_to_use(raw(wavelength_nm=589.29, second=(1.4981, 2e-4), second_wavelength_nm=486.13)).n
    assert n.parts[CALIBRATION][0] == pytest.approx(2e-4)


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"wavelength_nm": np.nan}, "without its wavelength"),
        ({"temperature_degC": (np.nan, 0.0)}, "without its temperature"),
        ({"state": ""}, "dry or hydrated"),
        ({"basis": "glass"}, "index_basis"),
        ({"wavelength_nm": 589.29}, "abbe_d"),
        ({"wavelength_nm": 546.5}, "abbe_d is missing: read away from 546.07 nm, give it"),
        ({"second": (1.5, 0.0)}, "second_wavelength_nm is missing"),
        ({"second": (1.5, 0.0), "second_wavelength_nm": 550.0}, "less than 10 nm"),
        ({"second": (1.5, 0.0), "second_wavelength_nm": 546.07}, "less than 10 nm"),
        ({"temperature_degC": (34.0, 0.0), "dn_dt_per_K": (-2e-4, 0.0), "glass_transition_degC": 34.5}, "glass_transition_degC lies between"),
        ({"second": (1.48, 0.0), "second_wavelength_nm": 555.57}, "less than 10 nm"),
        ({"second": (1.48, 0.0), "second_wavelength_nm": 486.13}, "exchanged"),
        ({"second": (1.50, 0.0), "second_wavelength_nm": 589.29}, "exchanged"),
        ({"second": (1.49, 0.0), "second_wavelength_nm": 589.29}, "exchanged"),
        ({"state": "dry"}, "read dry"),
        ({"hydration_shift": (-0.04, 0.0)}, "hydrated already"),
        ({"temperature_degC": (20.0, 0.2)}, "dn_dt_per_K"),
    ],
)
def test_what_cannot_be_carried(changes, told):
    sentences = [sentence for rows, sentence in cannot_be_carried(raw(**changes)) if rows.any()]
    assert told in sentences[0]


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"wavelength_nm": 589.29, "second": (1.4981, 0.0), "second_wavelength_nm": 486.13},
        {"wavelength_nm": 500.0, "second": (1.4895, 0.0), "second_wavelength_nm": 510.0},  # just far enough apart
    ],
)
def test_all_can_be_carried_that_is_whole(changes):
    assert not any(rows.any() for rows, _ in cannot_be_carried(raw(**changes)))


def test_the_mixing_rules_half_spread_is_a_rectangular_line():
    """By hand, with water of 1.332773 and 994.033 kg/m³ at 35 °C (iapws 1.5.5): Newton's rule less Lorentz's and Lorenz's is twice the half-width a,
    and that is worth a/√3 (JCGM 100:2008, 4.3.7).
    """
    q = 0.2 * 1200.0 / (0.8 * 994.033)
    polymer, water = 1 / (1 + q), q / (1 + q)
    newton = sqrt(polymer * 1.49**2 + water * 1.332773**2)
    L = sum(part * (n * n - 1) / (n * n + 2) for part, n in ((polymer, 1.49), (water, 1.332773)))
    lorentz = sqrt((1 + 2 * L) / (1 - L))
    n = carry_to_use(raw(state="dry", water_mass_fraction_wet=(0.2, 0.0), dry_density_kg_per_m3=(1200.0, 0.0))).n
    assert n.value[0] == pytest.approx(lorentz, abs=2e-6)
    assert n.parts[Source("mixing rule of water and polymer", "lot", distribution="rectangular")][0] == pytest.approx(
        (newton - lorentz) / 2 / sqrt(3), rel=1e-3
    , abs=0.0)


def test_replicates_by_hand():
    # 1, 2, 3, 4: mean 2.5, s² = 5/3, u = √(5/12), 3 degrees of freedom (JCGM 100:2008, 4.2)
    assert mean_of([1.0, 2.0, 3.0, 4.0]) == (2.5, pytest.approx(sqrt(5 / 12)), 3.0)
    with pytest.raises(InputError, match="no spread"):
        mean_of([1.49])


def test_beyond_what_the_dispersion_tells_is_marked():
    """V_d is made of F and C; a reading at 780 nm lies beyond them, one at the D line between."""
    V = {"abbe_d": (58.0, 1.0)}
    assert carry_to_use(raw(wavelength_nm=780.0, **V)).is_extrapolated[0]
    assert not carry_to_use(raw(wavelength_nm=589.29, **V)).is_extrapolated[0]
    assert not carry_to_use(raw()).is_extrapolated[0]
    red = {"wavelength_nm": 589.29, "n": (1.49, 2e-4), "second": (1.4885, 2e-4), "second_wavelength_nm": 656.27}
    assert carry_to_use(raw(**red)).is_extrapolated[0]


@pytest.mark.parametrize("T", [34.0, 36.0])
def test_one_kelvin_to_either_side(T):
    """The slope acts over 35 °C − T, its own u as well."""
    value, u = used(temperature_degC=(T, 0.0), dn_dt_per_K=(-2e-4, 1e-3))
    assert value == pytest.approx(1.49 - (35.0 - T) * 2e-4, abs=1e-15)
    assert u == pytest.approx(hypot(2e-4, 1e-3))


@pytest.mark.parametrize(
    ("T", "Tg", "between"), [(25.0, 25.0, False), (25.0, 35.0, False), (25.0, 30.0, True), (45.0, 40.0, True), (25.0, 40.0, False)]
)
def test_a_glass_transition_at_an_end_does_not_lie_between(T, Tg, between):
    told = cannot_be_carried(raw(temperature_degC=(T, 0.0), dn_dt_per_K=(-2e-4, 1e-5), glass_transition_degC=Tg))
    assert any(rows.any() and "glass_transition_degC lies between" in sentence for rows, sentence in told) == between


def test_the_shares_are_of_the_first_row_unless_another_is_named():
    """Of one row the slope is exact, of the other it is all that is uncertain."""
    one = raw(temperature_degC=(25.0, 0.0))
    doubled = {
        f.name: Estimate(np.repeat(v.value, 2), {s: np.repeat(p, 2) for s, p in v.parts.items()}) if isinstance(v, Estimate) else np.repeat(v, 2)
        for f in fields(one)
        for v in [getattr(one, f.name)]
    }
    doubled["n"] = Estimate(np.full(2, 1.49), {CALIBRATION: np.array([2e-4, 0.0])})
    doubled["dn_dt_per_K"] = Estimate(np.full(2, -2e-4), {OWN: np.array([0.0, 1e-5])})
    use = carry_to_use(RawReading(**doubled))
    assert use.shares() == use.shares(0) == pytest.approx((1, 0, 0, 0, 0))
    assert use.shares(1) == pytest.approx((0, 0, 0, 1, 0))


@pytest.mark.parametrize(("T", "known"), [(0.0, True), (40.0, True), (-0.1, False), (40.1, False)])
def test_water_in_a_polymer_is_known_from_0_to_40_degrees(T, known):
    water = {"water_mass_fraction_wet": (0.3, 0.0), "dry_density_kg_per_m3": (1200.0, 0.0)}
    dry = raw(state="dry", **water, temperature_degC=(T, 0.0), dn_dt_per_K=(-1e-4, 0.0))
    told = [sentence for rows, sentence in cannot_be_carried(dry) if np.any(rows)]
    assert any("water's index and density are not known" in sentence for sentence in told) != known
    if known:
        assert np.isfinite(carry_to_use(dry).n.value[0])


def test_rows_that_are_not_mixed_stand_beside_one_that_is():
    """A row by the mixing rule, one by a shift, one that was read wet: each as it is alone."""
    rows = [
        {"state": "dry", "water_mass_fraction_wet": (0.3, 0.01), "dry_density_kg_per_m3": (1200.0, 10.0)},
        {"state": "dry", "hydration_shift": (-0.04, 1e-3)},
        {"state": "hydrated"},
    ]
    alone = [raw(temperature_degC=(25.0, 0.2), dn_dt_per_K=(-1e-4, 1e-5), **row) for row in rows]

    def beside(name):
        given = [getattr(one, name) for one in alone]
        if not isinstance(given[0], Estimate):
            return np.concatenate(given)
        sources = dict.fromkeys(s for e in given for s in e.parts)
        return Estimate(np.concatenate([e.value for e in given]), {s: np.concatenate([e.parts.get(s, np.zeros(1)) for e in given]) for s in sources})

    together = carry_to_use(RawReading(**{f.name: beside(f.name) for f in fields(alone[0])})).n
    for row, one in enumerate(alone):
        n = carry_to_use(one).n
        assert together.value[row] == n.value[0]
        assert {s: part[row] for s, part in together.parts.items() if part[row]} == {s: part[0] for s, part in n.parts.items() if part[0]}


def test_a_polymer_read_dry_on_ice_takes_up_waters_own_index_there():
    """By the body of Lorentz and Lorenz with water's index and density at 0 °C; then 35 K of the slope."""
    water = {"water_mass_fraction_wet": (0.3, 0.0), "dry_density_kg_per_m3": (1200.0, 0.0)}
    wet = hydrated_index(1.49, water_mass_fraction_wet=0.3, density_dry_kg_per_m3=1200.0, wavelength_nm=546.07, temperature_degC=0.0)
    value, _ = used(state="dry", **water, temperature_degC=(0.0, 0.0), dn_dt_per_K=(-1e-4, 0.0))
    assert value == pytest.approx(wet - 35 * 1e-4, abs=1e-12)


@pytest.mark.parametrize("T", [-10.0, 60.0])
def test_a_row_beside_may_be_read_where_water_is_not_known(T):
    water = {"water_mass_fraction_wet": (0.3, 0.0), "dry_density_kg_per_m3": (1200.0, 0.0)}
    mixed = raw(state="dry", **water, temperature_degC=(25.0, 0.0), dn_dt_per_K=(-1e-4, 0.0))
    wet = raw(temperature_degC=(T, 0.0), dn_dt_per_K=(-1e-4, 0.0))
    both = {}
    for f in fields(mixed):
        a, b = getattr(mixed, f.name), getattr(wet, f.name)
        if isinstance(a, Estimate):
            both[f.name] = Estimate(np.append(a.value, b.value), {s: np.append(a.parts[s], b.parts[s]) for s in a.parts})
        else:
            both[f.name] = np.append(a, b)
    assert carry_to_use(RawReading(**both)).n.value[1] == pytest.approx(1.49 - (35.0 - T) * 1e-4, abs=1e-15)


WATER = {"water_mass_fraction_wet": (0.25, 0.0), "dry_density_kg_per_m3": (1200.0, 0.0)}


@pytest.mark.parametrize(
    ("given", "wet", "warm"),
    [
        ({}, False, False),
        ({"state": "dry", "hydration_shift": (-0.041, 0.001), **WATER}, False, False),
        ({"state": "dry", **WATER}, True, False),
        ({"dn_dt_per_K": (-2e-4, 0.0)}, False, False),
        ({"volume_expansion_per_K": (5e-4, 0.0)}, False, True),
        ({"volume_expansion_per_K": (5e-4, 0.0), "dn_dt_per_K": (-2e-4, 0.0)}, False, False),
    ],
)
def test_a_step_says_that_it_is_an_estimate_where_nothing_was_measured_for_it(given, wet, warm):
    """A measured shift goes before the mixing rule, a measured slope before the volume expansion."""
    notes = {step.name: step.note for step in carry_to_use(raw(**given)).steps}
    assert ("mixing rule" in notes["hydrated"]) is wet
    assert ("volume expansion" in notes["at 35 °C"]) is warm


def rows(*cases):
    """Several cases as the rows of one reading."""
    each = [raw(**case) for case in cases]
    joined = {}
    for field in fields(RawReading):
        column = [getattr(one, field.name) for one in each]
        if isinstance(column[0], Estimate):
            parts = {s: np.concatenate([e.parts[s] for e in column]) for s in column[0].parts}
            joined[field.name] = Estimate(np.concatenate([e.value for e in column]), parts)
        else:
            joined[field.name] = np.concatenate(column)
    return RawReading(**joined)


def test_every_row_goes_its_own_way():
    """A slope given, one estimated from the expansion, a step by the Abbe number and one by two readings: each as it would be alone, part by part."""
    cases = [
        {"temperature_degC": (20.0, 0.2), "dn_dt_per_K": (-2e-4, 2e-5)},
        {"temperature_degC": (20.0, 0.2), "volume_expansion_per_K": (3e-4, 2e-5)},
        {"wavelength_nm": 589.29, "abbe_d": (58.0, 1.0)},
        {"wavelength_nm": 589.29, "second": (1.4981, 2e-4), "second_wavelength_nm": 486.13},
        {"state": "dry", "hydration_shift": (-0.041, 0.0012)},
        {"state": "dry", "temperature_degC": (35.0, 0.0), "water_mass_fraction_wet": (0.3, 0.01), "dry_density_kg_per_m3": (1200.0, 10.0)},
        {"basis": "unknown"}, {"basis": "vacuum"},
    ]  # fmt: skip
    together = carry_to_use(rows(*cases)).n
    for i, case in enumerate(cases):
        alone = carry_to_use(raw(**case)).n
        assert together.value[i] == pytest.approx(alone.value[0], rel=1e-15, abs=0.0)
        for source in together.parts:
            assert together.parts[source][i] == pytest.approx(float(np.ravel(alone.parts.get(source, 0.0))[0]), rel=1e-12, abs=0.0), (i, source)
    assert not any(np.any(wrong) for wrong, _ in cannot_be_carried(rows(*cases)))
    asked = cannot_be_carried(rows({"temperature_degC": (30.0, 0.0)}, *cases[:2]))
    assert [list(wrong) for wrong, told in asked if told.startswith("dn_dt_per_K is missing")] == [[True, False, False]]


def test_a_u_whose_value_is_not_there_says_nothing():
    bare = {"wavelength_nm": 589.29, "abbe_d": (58.0, 0.0)}, {"wavelength_nm": 589.29, "second": (1.4981, 0.0), "second_wavelength_nm": 486.13}
    assert used(**bare[0], temperature_degC=(35.0, 0.0)) == used(**bare[0] | {"second": (np.nan, 0.1)})
    assert used(**bare[1]) == used(**bare[1] | {"abbe_d": (np.nan, 5.0)})


@pytest.mark.parametrize("T", [(34.0, 0.0), (40.0, 0.0), (35.0, 0.1)])
def test_away_from_35_degrees_or_with_a_u_there_the_slope_is_asked_for(T):
    assert [told.split(":")[0] for wrong, told in cannot_be_carried(raw(temperature_degC=T)) if np.any(wrong)] == ["dn_dt_per_K is missing"]
    for at_35 in (0.0, np.nan):  # without a u, or with one that nobody gives, there is no step to take
        assert not any(np.any(wrong) for wrong, _ in cannot_be_carried(raw(temperature_degC=(35.0, at_35))))
