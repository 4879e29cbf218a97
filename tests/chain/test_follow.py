"""One cause of error followed from the sheet to the spectacle plane, with its sign. The sheets are the demo's, invented."""

import tomllib

import pytest

from lenscalc import follow
from lenscalc.chain import CALIBRATION, back_focus_in_words, follow_index
from lenscalc.demo import demo_text
from lenscalc.errors import SheetError
from lenscalc.eye import refraction
from lenscalc.material import by_abbe_number
from lenscalc.refractometer import sheet_from_data


def sheet(name="copolymer_c.toml", off=0.0):
    data = tomllib.loads(demo_text(name))
    for reading in data["reading"]:
        reading["n"] = [n + off for n in reading["n"]]
    return sheet_from_data(data)


@pytest.mark.parametrize(("name", "u"), [("copolymer_c.toml", 2e-4), ("copolymer_e.toml", 3e-4)])
def test_calibration_reaches_the_refraction_with_its_sign(name, u):
    """Its part is dR/dP · dF/dn · dn_use/dn_reading · u: a refractometer that reads high makes the eye more myopic than thought."""
    followed = follow(sheet(name))
    e = followed.evaluation
    part = float(e.estimates["refraction_shift_D"].parts[CALIBRATION][0])
    n, abbe_d = followed.row["n_reading"], followed.row["abbe_d"]
    h = 1e-5
    carried = (by_abbe_number(n + h, 589.29, abbe_d, 546.07).n - by_abbe_number(n - h, 589.29, abbe_d, 546.07).n) / (2 * h)
    wanted = refraction(e.only("power_D")).d_refraction_d_power * e.only("d_power_d_n_lens") * carried * u
    assert part == pytest.approx(wanted, rel=1e-9, abs=0.0)
    assert part < 0 < e.only("calibration_part_power_D")
    moved = follow(sheet(name, off=u)).evaluation.only("refraction_shift_D") - e.only("refraction_shift_D")
    assert moved == pytest.approx(part, rel=5e-3, abs=0.0)
    halved = follow(sheet(name, off=u / 2)).evaluation.only("refraction_shift_D") - e.only("refraction_shift_D")
    assert abs(halved - part / 2) < 0.3 * abs(moved - part)  # what is left is of the second order: a quarter at half the step


@pytest.mark.parametrize("name", ["copolymer_c.toml", "copolymer_e.toml"])
def test_the_demo_sheets_reach_a_decision(name):
    e = follow(sheet(name)).evaluation
    assert e.problems[0] == ""
    assert 0.0 <= e.only("conformance_probability") <= 1.0
    assert e.columns["verdict"][0]


def test_the_index_is_the_same_with_and_without_a_lens():
    alone, whole = follow_index(sheet()).index, follow(sheet()).index
    assert (alone.n.value[0], alone.n.u[0]) == (whole.n.value[0], whole.n.u[0])


def test_the_steps_lead_from_what_was_shown_to_what_acts_each_once():
    """The path of the index as the sheet has it: shown and calibrated, then the line, the water, the temperature and the basis in use."""
    for name, first in (("copolymer_c.toml", "reading at 589.29 nm, 20 °C"), ("copolymer_b.toml", "reading at 546.07 nm, 35 °C")):
        for index in (follow_index(sheet(name)).index, follow(sheet(name)).index):
            assert [step.name for step in index.steps] == [first, "calibrated", "at 546.07 nm", "hydrated", "at 35 °C", "relative to air"]


@pytest.mark.parametrize(
    ("gone", "told"),
    [
        ("linear_swelling", "front_radius_mm was measured dry and the lens is used hydrated: give [lens] linear_swelling with u_linear_swelling, "
         "or measure it hydrated"),
        ("linear_expansion_per_K", "front_radius_mm was measured at 23 °C and the lens is used at 35 °C: give [lens] linear_expansion_per_K with "
         "u_linear_expansion_per_K, or measure it at 35 °C"),
    ],
)  # fmt: skip
def test_a_correction_that_is_missing_is_asked_of_the_sheet(gone, told):
    data = tomllib.loads(demo_text("copolymer_e.toml"))
    del data["lens"][gone], data["lens"][f"u_{gone}"]
    with pytest.raises(SheetError) as refused:
        follow(sheet_from_data(data))
    assert (str(refused.value), refused.value.quantity) == (told, "front_radius_mm")


def test_the_parts_of_the_power_add_up_to_its_u():
    e = follow(sheet()).evaluation
    power = e.estimates["power_D"]
    assert sum(float(p[0]) ** 2 for p in power.parts.values()) ** 0.5 == pytest.approx(e.only("u_power_D"), rel=1e-12, abs=0.0)


def test_a_medium_read_on_the_same_instrument_shares_its_calibration():
    data = tomllib.loads(demo_text("copolymer_c.toml"))
    data["medium"]["same_instrument"] = False
    apart = follow(sheet_from_data(data)).evaluation.only("u_power_in_measured_medium_D")
    assert follow(sheet()).evaluation.only("u_power_in_measured_medium_D") < apart


def test_a_wider_gauge_scale_lowers_the_probability():
    data = tomllib.loads(demo_text("copolymer_c.toml"))
    data["lens"]["gauge"]["profilometer"]["u_scale_relative"] = 0.02
    wide = follow(sheet_from_data(data)).evaluation.only("conformance_probability")
    assert wide < follow(sheet()).evaluation.only("conformance_probability") - 0.01


def test_a_calibration_acts_on_both_wavelengths_alike():
    """An offset common to both readings moves the index in use by itself, whatever the dispersion between them."""
    data = tomllib.loads(demo_text("copolymer_c.toml"))
    del data["dispersion"]
    data["reading"].append({**data["reading"][0], "wavelength_nm": 486.13, "n": [1.4975, 1.4976, 1.4974]})
    n = follow(sheet_from_data(data)).index.n
    assert n.parts[CALIBRATION][0] == pytest.approx(data["instrument"]["u_calibration"], rel=1e-12, abs=0.0)


def test_the_curvature_of_a_lens_cut_dry_swells_with_its_error():
    """u of the curvature stands for R²·u of the radius, dry as well as wet: both sheets describe the same surface."""
    powers = []
    for key, u in (("u", 0.02), ("u_curvature_per_mm", 0.02 / 11.2**2)):
        data = tomllib.loads(demo_text("copolymer_e.toml"))
        del data["lens"]["front_radius_mm"]["u"]
        data["lens"]["front_radius_mm"][key] = u
        powers.append(follow(sheet_from_data(data)).evaluation.only("u_power_individual_D"))
    assert powers[0] == pytest.approx(powers[1], rel=1e-12, abs=0.0)


def test_the_edition_or_the_sheet_says_where_the_tolerance_comes_from():
    assert "ISO 11979-2:1999/2014" in follow(sheet()).tolerance_from
    data = tomllib.loads(demo_text("copolymer_c.toml"))
    data["lens"] |= {"tolerance_D": 0.25, "tolerance_from": "our own drawing"}
    own = follow(sheet_from_data(data))
    assert own.tolerance_from == "our own drawing"
    assert (own.evaluation.only("lower_limit_D"), own.evaluation.only("upper_limit_D")) == (20.25, 20.75)


def test_a_gauge_that_measured_both_radii_is_one_source_of_them():
    """A scale that is off by 0.001 makes a convex lens of ±15 mm flatter, or steeper, on both sides."""
    (gauge,) = (acts for source, acts in follow(sheet()).sources.items() if source.name == "scale of the profilometer")
    assert gauge == pytest.approx({"front_radius_mm": 0.015, "back_radius_mm": -0.015})


def test_the_u_of_a_flat_side_that_is_cut_dry_shrinks_with_its_curvature():
    """1.090 times as long, a curvature is 1/1.090 of what it was; flat stays flat. Cut wet it is what it is."""
    for state, grown in (("dry", 1.090), ("hydrated", 1.0)):
        data = tomllib.loads(demo_text("copolymer_e.toml"))
        data["lens"]["back_radius_mm"] = {"value": "plano", "u_curvature_per_mm": 1e-4, "state": state, "temperature_degC": 35.0}
        followed = follow(sheet_from_data(data))
        (own,) = (acts for acts in followed.sources.values() if "back_curvature_per_mm" in acts)
        assert own["back_curvature_per_mm"] == pytest.approx(1e-4 / grown, rel=1e-12, abs=0.0)
        assert followed.row["back_radius_mm"] == float("inf")


def by_water(T):
    data = tomllib.loads(demo_text("copolymer_e.toml"))
    data["hydration"] = {
        "water_mass_fraction_wet": 0.25, "u_water_mass_fraction_wet": 0.01, "dry_density_kg_per_m3": 1200.0, "u_dry_density_kg_per_m3": 10.0,
    }  # fmt: skip
    data["reading"][0]["temperature_degC"] = T
    for name in ("linear_swelling", "u_linear_swelling", "linear_expansion_per_K", "u_linear_expansion_per_K"):
        del data["lens"][name]
    for name in ("front_radius_mm", "back_radius_mm", "center_thickness_mm"):
        data["lens"][name]["temperature_degC"] = 35.0
    return follow(sheet_from_data(data))


@pytest.mark.parametrize(("T", "density"), [(0.0, 999.8428), (4.0, 999.9749), (25.0, 997.0470), (40.0, 992.2152)])
def test_water_swells_a_lens_by_its_volume_at_every_temperature_where_its_density_is_known(T, density):
    """V_wet/V_dry = 1 + (0.25/ρ_w)/(0.75/1200). Water as tables of IAPWS-95 print it (kg/m³, from memory, to be confirmed)."""
    assert by_water(T).row["center_thickness_mm"] == pytest.approx((1.0 + 0.25 / density * 1200.0 / 0.75) ** (1 / 3), abs=3e-7)


def test_the_causes_of_a_swelling_by_water_by_hand():
    """1 + s = (1 + q)^(1/3), q = wρ/((1 − w)ρ_w): ds/dw = (1 + s)/(3(1 + q))·q/(w(1 − w)), ds/dρ = (1 + s)/(3(1 + q))·q/ρ, and by the water's own
    expansion of 2.57e-4 /K at 25 °C ds/dT = (1 + s)/(3(1 + q))·q·2.57e-4 (a handbook's value, from memory).
    """
    q = 0.25 / 0.75 * 1200.0 / 997.0470
    slope = (1.0 + q) ** (1 / 3) / (3.0 * (1.0 + q))
    acts = {source.name: of["center_thickness_mm"] for source, of in by_water(25.0).sources.items() if "center_thickness_mm" in of}
    assert acts["water content"] == pytest.approx(slope * q / (0.25 * 0.75) * 0.01, rel=1e-6, abs=0.0)
    assert acts["density of the dry polymer"] == pytest.approx(slope * q / 1200.0 * 10.0, rel=1e-6, abs=0.0)
    assert acts["temperature of the specimen"] == pytest.approx(slope * q * 2.57e-4 * 0.3, rel=3e-3, abs=0.0)


@pytest.mark.parametrize("T", [-0.5, 40.5])
def test_beyond_the_range_of_the_waters_density_the_swelling_is_refused(T):
    with pytest.raises(SheetError, match=f"from 0 to 40 °C, and the specimen was read at {T:g} °C"):
        by_water(T)


@pytest.mark.parametrize(("T", "expansion", "within"), [(0.0, -6.4e-5, 0.05), (40.0, 3.834e-4, 0.005)])
def test_at_the_ends_of_waters_range_its_expansion_is_that_of_the_half_kelvin_within(T, expansion, within):
    """Of water at 0.25 and at 39.75 °C (from memory of a handbook's table, to be confirmed): ds/dT = (1 + s)/(3(1 + q))·q·α."""
    acts = {source.name: of["center_thickness_mm"] for source, of in by_water(T).sources.items() if "center_thickness_mm" in of}
    q = 0.25 / 0.75 * 1200.0 / (999.84 if T == 0.0 else 992.31)
    assert acts["temperature of the specimen"] == pytest.approx((1.0 + q) ** (1 / 3) / (3.0 * (1.0 + q)) * q * expansion * 0.3, rel=within, abs=0.0)


@pytest.mark.parametrize(
    ("radius_mm", "more", "told"), [(15.0, {"u": 0.02}, "65.02 mm"), (float("inf"), {"u_curvature_per_mm": 1e-5}, "at infinity")]
)
def test_the_back_focus_has_the_digits_of_the_power(radius_mm, more, told):
    """By hand for 20.42 D, u 0.060 D, and 65.023 mm: u 65.0·0.060/20.4 = 0.19 mm. Two flat surfaces have none."""
    data = tomllib.loads(demo_text("copolymer_c.toml"))
    for name, sign in (("front_radius_mm", 1.0), ("back_radius_mm", -1.0)):
        data["lens"][name] = {"value": sign * radius_mm, **more, "state": "hydrated", "temperature_degC": 35.0}
    assert back_focus_in_words(follow(sheet_from_data(data))) == told
