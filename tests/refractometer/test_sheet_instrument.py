"""What an instrument does by itself, an estimated slope, and water taken up, by hand."""

import math

import pytest
from made_sheets import CONTACT, LENS, POOLED, index, part, reading, sheet, value

from lenscalc import follow
from lenscalc.errors import SheetError
from lenscalc.refractometer import sheet_from_data


def test_a_compensation_is_taken_off():
    # shown n + c·(20 − 25): −1.9e-4·(−5) = +9.5e-4 too much
    on = {"temperature_compensation": "sugar", "compensation_per_K": -1.9e-4, "u_compensation_per_K": 2e-5, "compensation_to_degC": 20.0}
    f = index(sheet(reading(1.4905, T=25.0, **POOLED), instrument=on))
    assert float(f.index.n.value[0]) == pytest.approx(1.4905 - 9.5e-4 - 2e-4 * 10, abs=1e-12)
    assert part(f, "temperature compensation") == pytest.approx(5 * 2e-5, rel=1e-9, abs=0.0)
    assert part(f, "repeatability") == pytest.approx(1e-4, rel=1e-9, abs=0.0)


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


def test_the_expansion_gives_an_estimated_slope():
    # at constant molar refraction dn/dT = −(n² − 1)(n² + 2)/(6n)·α; its doubt: the line through many polymers, −0.56·α − 3.7e-6
    expands = {"volume_expansion_per_K": 3e-4, "u_volume_expansion_per_K": 2e-5, "state": "hydrated"}
    f = index(sheet(reading(1.49, T=25.0, **POOLED), temperature=expands))
    law = -(1.49**2 - 1) * (1.49**2 + 2) / (6 * 1.49) * 3e-4
    assert float(f.index.n.value[0]) == pytest.approx(1.49 + 10 * law, abs=1e-12)
    assert part(f, "dn/dT estimated") == pytest.approx(10 * abs(law + 0.56 * 3e-4 + 3.7e-6) / 3**0.5, rel=1e-9, abs=0.0)
    assert part(f, "volume expansion") == pytest.approx(10 * abs(law) / 3e-4 * 2e-5, rel=1e-9, abs=0.0)
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
    assert followed.row["front_radius_mm"] == pytest.approx(15.0 * (1 / (1 - share)) ** (1 / 3), rel=1e-6, abs=0.0)
    assert followed.evaluation.only("conformance_probability") is None
    assert followed.evaluation.only("verdict") in (None, "")
    assert any("a decision needs a hydrated reading" in w for w in followed.warnings)


def test_swelling_by_water_is_not_known_in_the_heat():
    hydration = {"water_mass_fraction_wet": 0.2, "u_water_mass_fraction_wet": 0.01, "dry_density_kg_per_m3": 1200.0, "u_dry_density_kg_per_m3": 10.0}
    dry = {**LENS, **{k: {**v, "state": "dry"} for k, v in LENS.items() if isinstance(v, dict)}}
    with pytest.raises(SheetError, match=r"\[hydration\].*from 0 to 40 °C.*read at 50 °C: give \[lens\] linear_swelling"):
        follow(sheet_from_data(sheet(reading(1.49, T=50.0, **POOLED), hydration=hydration, lens=dry)))
