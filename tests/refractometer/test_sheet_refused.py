"""What a sheet is refused for, and what is said of it: table, key and what to do."""

from datetime import date, datetime

import pytest
from made_sheets import AT_D, CERTIFIED, CONTACT, LENS, PMMA, POOLED, at_d, reading, reference, sheet, value

from lenscalc.chain import follow_index
from lenscalc.errors import SheetError
from lenscalc.refractometer import sheet_from_data, sheet_from_text
from lenscalc.refractometer.contact import contact_liquid_problem
from lenscalc.refractometer.sheet_calibration import basis_after_calibration, calibration_of
from lenscalc.refractometer.sheet_instrument import prism_at

WATER = reference(1.3331, 589.29, 20.0, name="water", kind="water")
DRY_WATER = {"water_mass_fraction_wet": 0.2, "u_water_mass_fraction_wet": 0.01, "dry_density_kg_per_m3": 1200.0, "u_dry_density_kg_per_m3": 10.0}
WET = {"dn_dt_per_K": -2e-4, "u_dn_dt_per_K": 0.0, "state": "hydrated"}
READ_MEDIUM = {**reading(1.3350, **POOLED), "same_instrument": True, "dn_dt_per_K": -1e-4, "u_dn_dt_per_K": 1e-5}
DRY_LENS = {k: {**v, "state": "dry"} if isinstance(v, dict) else v for k, v in LENS.items()}
LINES_3 = tuple(reading(PMMA[x], x, **POOLED) for x in (486.13, 589.29, 656.27))
SUGAR = reference(1.3999, 589.29, 20.0, name="sugar", kind="sucrose", mass_fraction=0.4, u_mass_fraction=1e-4)
PRISM = [{"wavelength_nm": nm, "n_prism": n, "u_n_prism": 0.0} for nm, n in ((589.29, 1.75), (546.07, 1.7559))]


def but(table, **more):
    return {k: v for k, v in {**table, **more}.items() if v is not None}


def without_u_calibration(data):
    del data["instrument"]["u_calibration"]
    return data


STATED_MEDIUM = {"n_measured_medium": 1.334, "u_n_measured_medium": 1e-4, "wavelength_nm": 546.07, "temperature_degC": 35.0, "basis": "air"}


# a prism stated at 588.9 nm stands for the D line, and not for a reference that was written down as 589.7 nm
BESIDE_ITS_LINE = sheet(
    reading(1.49, 589.29, 20.0, **POOLED),
    instrument={**CONTACT, "scale_wavelength_nm": 546.07, "angle_measured_inside": True, "prism": [{**PRISM[0], "wavelength_nm": 588.9}, PRISM[1]]},
    calibration={"reference": [but(WATER, wavelength_nm=589.7)]}, **AT_D,
)  # fmt: skip


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (sheet(reading([1.49])), r"\[reading\] n holds one reading.*read again, or give a pooled u of one reading \(u_repeatability\)"),
        (sheet(reading([1.49, 1.491], mounting=[1, 1])), r"\[reading\] all 2 readings are of one mounting.*mount again"),
        (sheet(reading([1.49, 1.491], mounting=[])), r"\[reading\] mounting names 0 readings, n holds 2"),
        (sheet(reading([1.49, 1.491], mounting=[1.5, 2])), r"\[reading\] mounting = .*list of labels"),
        (sheet(reading([1.49, float("nan")])), r"\[reading\] n\[2\]: n_reading is missing or not a number: must be 1 to 3"),
        (sheet(reading([1.49, float("inf")])), r"\[reading\] n\[2\]: n_reading = inf: must be 1 to 3"),
        (sheet(reading([True, 1.49])), r"\[reading\] n\[1\] = True: must be a number, without quotes and with a decimal point$"),
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
        (sheet(reading(1.4911, 580.0, **POOLED), reading(1.4906, 589.5, **POOLED)),
         r"\[reading 2\] wavelength_nm lies less than 10 nm from another: 580 and 589.5 nm"),
        (sheet(LINES_3[0], but(LINES_3[1], basis="vacuum")), r"\[reading 2\] basis = 'vacuum', the first is 'air'"),
        (sheet(*(reading(n, T=t, **POOLED) for n, t in ((1.49, 20), (1.487, 35)))), r"\[temperature\] dn_dt_per_K is given beside readings at 2"),
        (sheet(*(reading(n, T=t, **POOLED) for n, t in ((1.49, 20), (1.487, 35))), temperature=None, specimen={"state": "dry"}),
         r"\[\[reading\]\] stands at several temperatures for a dry specimen"),
        (sheet(*(reading(1.49, direction=d, **POOLED) for d in "xy")), r"\[\[reading\]\] at 546.07 nm and 35 °C has direction x, y"),
        (sheet(temperature=but(WET, state="dry")), r"\[temperature\] state = 'dry': the step to 35 °C is taken hydrated"),
        (sheet(temperature=but(WET, volume_expansion_per_K=3e-4, u_volume_expansion_per_K=1e-5)),
         r"\[temperature\] dn_dt_per_K and volume_expansion_per_K are both given: the slope comes from one of them"),
        (at_d(1.49, WATER, check_after=[1.333, 1.3331]), r"\[calibration\] check_before and check_after belong together"),
        (at_d(1.49, reference(1.5162, 589.29, 19.0, **CERTIFIED, certified_basis="air")), "certified at 20 °C and read at 19 °C: give dn_dt_per_K"),
        (sheet(but(LINES_3[0], basis="vacuum"), LINES_3[1]), r"\[reading 2\] basis = 'air', the first is 'vacuum'"),
        (sheet(reading([0, 1.49])), r"n\[1\]: n_reading = 0: must be 1 to 3$"),
        (without_u_calibration(sheet()), r"\[instrument\] u_calibration is missing: how well the scale is known; or give references in"),
        (without_u_calibration(sheet(calibration={})), r"\[instrument\] u_calibration is missing: how well the scale is known; or give references"),
        (sheet(medium={**STATED_MEDIUM, "temperature_degC": 40.0}), r"\[medium\] must be stated at 546.07 nm, 35 °C"),
        (sheet(medium={**STATED_MEDIUM, "temperature_degC": 30.0}), r"\[medium\] must be stated at 546.07 nm, 35 °C"),
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
        *((sheet(specimen={"state": "dry"}, hydration=given), r"\[hydration\] must hold one of: hydration_shift \(measured\)")
          for given in ({"dry_density_kg_per_m3": 1200.0}, DRY_WATER | {"hydration_shift": -0.04}, DRY_WATER | {"mass_wet_g": 0.4})),
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
        (sheet(reading([1.49, 1.491], mounting=[1, 2], minutes_after_mounting=3)), r"minutes_after_mounting = 3: must be a list of minutes, one a"),
        (sheet(reading(1.49, 589.29, u_wavelength_nm=0.3, **POOLED)), r"\[reading\] u_wavelength_nm is given, but nothing says how the index"),
        (sheet(reading(1.4965, 486.13, 20.0, **POOLED), reading(1.4906, 589.29, 35.0, **POOLED), temperature=None),
         "no wavelength was read at two: they tell nothing about dn/dT"),
        (sheet(*LINES_3, dispersion={"form": "sellmeier", "terms": 2}), r"^\[dispersion\] .* has 4 parameters and needs as many readings"),
        (sheet(*LINES_3, dispersion={"terms": 2}), r"\[dispersion\] abbe_d is missing \(or form, where three lines or more were read\)"),
        (sheet(reading(1.49, 589.29, **POOLED), dispersion={"abbe_d": 58.0, "u_abbe_d": 1.0, "terms": 2}), r"\[dispersion\] terms is given without"),
        (sheet(temperature={"dn_dt_per_K": -2e-4, "state": "hydrated"}), r"\[temperature\] u_dn_dt_per_K is missing beside dn_dt_per_K"),
        (sheet(temperature={"state": "hydrated"}), r"\[temperature\] dn_dt_per_K is missing \(or volume_expansion_per_K, for an estimate\)"),
        (sheet(specimen={"state": "dry"}, hydration={"hydration_shift": -0.04}), r"\[hydration\] u_hydration_shift is missing beside"),
        (sheet(specimen={"state": "dry"}, hydration=DRY_WATER, lens={**DRY_LENS, "linear_swelling": 0.09, "u_linear_swelling": 0.003}),
         r"\[lens\] linear_swelling is given beside a water content"),
        (sheet(medium={**READ_MEDIUM, "n_measured_medium": 1.335, "u_n_measured_medium": 1e-4}),
         r"\[medium\] n_measured_medium is missing: the index in use with its u; or n"),
        (sheet(medium=but(READ_MEDIUM, temperature_degC=20.0, dn_dt_per_K=None, u_dn_dt_per_K=None)), r"^\[medium\] .*dn_dt_per_K"),
        (at_d(1.49, reference(1.5162, 589.29, 20.0, **CERTIFIED, certified_basis="air", dn_dt_per_K=1e-6)),
         r"\[calibration.reference 1\] u_dn_dt_per_K is missing beside dn_dt_per_K"),
        ({**at_d(1.49, WATER, date=date(2026, 2, 1), interval_days=90), "date": date(2026, 1, 1)}, "2026-02-01 lies after the readings, 2026-01-01"),
        (sheet(reading(1.49, **POOLED), calibration={"reference": [but(SUGAR, wavelength_nm=546.07, temperature_degC=35.0)]}),
         "the sucrose scale is known at the D line, not at 546.07 nm"),
        (at_d(1.41, but(SUGAR, mass_fraction=0.85, temperature_degC=18.0)),
         r"\[calibration\] reference sugar: mass_fraction: at 18 °C .* beyond 0.85, where the sucrose scale ends"),
        (BESIDE_ITS_LINE, "made for 546.07 nm and 589.7 nm was read: give .* or write the same wavelength for reference, reading and scale"),
        (sheet(instrument={"scale_wavelength_nm": 589.29}), "scale_wavelength_nm belongs to prism contact, not to kind = 'v-block'"),
        (sheet(instrument={**CONTACT, "scale_wavelength_nm": 589.29, "prism": PRISM}), r"\[instrument\] prism_apex_deg is missing: a scale read"),
        (sheet(lens={**LENS, "front_radius_mm": but(LENS["front_radius_mm"], u=None, u_sag_mm=1e-3, state="dry")}),
         r"\[lens.front_radius_mm\] u_sag_mm belongs to the optic as it is used"),
        (sheet(reading([1.49, 1.491], mounting=[1, 2, 3])), r"\[reading\] mounting names 3 readings, n holds 2: one entry a reading"),
        (sheet(reading([1.49], minutes_after_mounting=[1.0], **POOLED)),
         r"\[reading\] at 546.07 nm, 35 °C: minutes_after_mounting do not differ within a mounting: read one mounting at several times"),
        (sheet(reading(1.49, 486.13, **POOLED), reading(1.49, 589.29, **POOLED)), "1.49 at 486.13 nm and 1.49 at 589.29 nm: the index must fall"),
        (sheet(reading([1490, 1491])), r"n\[1\]: n_reading = 1490: must be 1 to 3; is the decimal point lost\?$"),
        (sheet(reading([1, 4902, 1, 4903])), r"n\[2\]: n_reading = 4902: must be 1 to 3.*; is it a decimal comma\? write the decimals with a point$"),
        (sheet(lens={**LENS, "linear_swelling": 20.0}),
         r"\[lens\] linear_swelling = 20: must be -0.2 to 1; is it a percentage\? write it as a fraction$"),
        (sheet(lens={**LENS, "linear_swelling": -20.0}), r"\[lens\] linear_swelling = -20: must be -0.2 to 1$"),
        (sheet(instrument={"u_calibration": 0.2}), r"\[instrument\] u_calibration = 0.2: must be 0 to 0.1$"),
        (sheet(instrument={"prism": [PRISM[0], but(PRISM[1], n_prism=None)]}), r"\[instrument.prism 2\] n_prism is missing"),
        (at_d(1.49, but(WATER, mass_fraction=0.4, u_mass_fraction=0.01)),
         r"\[calibration.reference 1\] mass_fraction does not belong to kind = 'water'"),
        (at_d(1.49, but(SUGAR, n_certified=1.4, u_certified=1e-4)), r"\[calibration.reference 1\] n_certified does not belong to kind = 'sucrose'"),
        (at_d(1.49, reference(1.5162, 589.29, 20.0, **CERTIFIED, certified_basis="air", mass_fraction=0.4, u_mass_fraction=0.01)),
         r"\[calibration.reference 1\] mass_fraction does not belong to kind = 'certified'"),
        (sheet(LINES_3[1], LINES_3[0], instrument={"white_light_compensated": True}), r"\[reading 2\] wavelength_nm = 486.13: a white-light"),
        (sheet(LINES_3[0], LINES_3[2], instrument={**CONTACT, "scale_wavelength_nm": 589.29}),
         r"is made for 589.29 nm and was read at 486.13 nm: .* with wavelength_nm = 589.29, n_prism and u_n_prism, or read at 589.29 nm$"),
        (sheet(lens={**LENS, "dimensions": "exact", "front_radius_mm": {**LENS["front_radius_mm"], "u_sag_mm": 1e-3}}),
         r"\[lens.front_radius_mm\] u is given, but \[lens\] dimensions = 'exact'"),
    ],
)  # fmt: skip
def test_refused_with_table_key_and_what_to_do(data, told):
    with pytest.raises(SheetError, match=told):
        follow_index(sheet_from_data(data))


def test_of_two_lines_that_lie_too_close_the_later_is_named_as_it_stands():
    three = (reading(n, nm, **POOLED) for n, nm in ((1.4965, 486.13), (1.4906, 589.29), (1.4907, 587.56)))
    with pytest.raises(SheetError, match=r"\[reading 2\] wavelength_nm lies less than 10 nm from another: 587.56 and 589.29 nm"):
        sheet_from_data(sheet(*three))
    assert sheet_from_data(sheet(reading(1.4965, 500.0, **POOLED), reading(1.4964, 510.0, **POOLED)))


def test_a_reading_is_named_by_its_place():
    with pytest.raises(SheetError, match=r"\[reading 2\] n is missing"):
        sheet_from_data(sheet(reading(1.4965, 486.13, **POOLED), but(reading(1.4906, 589.29, **POOLED), n=None)))


def test_a_white_light_reading_at_the_d_line_is_good():
    assert sheet_from_data(sheet(reading(1.49, 589.29, **POOLED), instrument={"white_light_compensated": True}, **AT_D)).readings


@pytest.mark.parametrize(("u", "told"), [(1.7e-4, True), (1.9e-4, False)])
def test_scatter_beyond_twice_its_history_is_told(u, told):
    """1.4900, 1.4905 and 1.4907 by hand: s² = (4² + 1² + 3²)·1e-8/2, s = 3.606e-4, between twice 1.7e-4 and twice 1.9e-4."""
    remarks = sheet_from_data(sheet(reading([1.4900, 1.4905, 1.4907], u_repeatability=u, dof_repeatability=20))).remarks
    assert any("scatter by" in r for r in remarks) == told


@pytest.mark.parametrize(("count", "told"), [(2, False), (3, True)])
def test_three_alike_hide_their_spread(count, told):
    remarks = sheet_from_data(sheet(reading([1.4902] * count, **POOLED))).remarks
    assert any(f"all {count} readings" in r and "the resolution hides their spread" in r for r in remarks) == told


def test_an_unknown_basis_is_airs_once_it_is_calibrated():
    assert basis_after_calibration(None, "unknown") == "unknown"
    for references, known in (([], "unknown"), ([reference(1.3331, 589.29, 20.0, name="water", kind="water")], "air")):
        assert basis_after_calibration(calibration_of({"reference": references}, None), "unknown") == known


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


@pytest.mark.parametrize(("nm", "same"), [(588.7938, True), (589.7938, True), (588.79, False), (589.8, False)])
def test_half_a_nanometre_from_the_d_line_is_still_the_d_line(nm, same):
    """589.2938 ± 0.5, in doubles exactly."""
    data = sheet(reading(1.49, nm, 20.0, **POOLED), instrument={"white_light_compensated": True}, **AT_D)
    if same:
        sheet_from_data(data)
    else:
        with pytest.raises(SheetError, match="white-light compensated reading is n_D"):
            sheet_from_data(data)


@pytest.mark.parametrize(("nm", "away"), [(546.0, False), (546.5, False), (545.5, False), (546.75, True)])
def test_a_scale_for_a_line_serves_half_a_nanometre_about_it(nm, away):
    """On a scale for 546 nm; what is read elsewhere asks for the prism."""
    data = sheet(reading(1.49, nm, 35.0, **POOLED), instrument={**CONTACT, "scale_wavelength_nm": 546.0}, **AT_D)
    if away:
        with pytest.raises(SheetError, match="prism"):
            follow_index(sheet_from_data(data))
    else:
        assert 1.4 < follow_index(sheet_from_data(data)).index.n.value[0] < 1.6


def test_a_u_of_a_fifth_of_the_radius_is_just_good():
    assert sheet_from_data(sheet(lens={**LENS, "back_radius_mm": {**LENS["back_radius_mm"], "value": -40.0, "u": 8.0}}))


def test_what_weighs_wet_as_much_as_dry_holds_no_water():
    weighed = {"mass_wet_g": 0.3, "mass_dry_g": 0.3, "u_mass_g": 1e-3, "dry_density_kg_per_m3": 1200.0, "u_dry_density_kg_per_m3": 10.0}
    assert value(sheet(reading(1.49, **POOLED), specimen={"state": "dry"}, hydration=weighed)) == pytest.approx(1.49, abs=1e-12)


def test_one_reading_hides_no_spread():
    assert sheet_from_data(sheet(reading([1.4902], **POOLED))).remarks == ()


@pytest.mark.parametrize(("nm", "is_it"), [(588.5, True), (589.5, True), (588.49, False), (589.51, False)])
def test_the_prism_of_a_line_is_known_within_half_a_nanometre(nm, is_it):
    assert (prism_at({"prism": [{"wavelength_nm": 589.0, "n_prism": 1.75}]}, nm) is not None) is is_it


@pytest.mark.parametrize("transition", [-5.0, 25.0, 35.0, 90.0])
def test_a_transition_that_lies_at_an_end_or_beyond_breaks_no_slope(transition):
    """Read at 25 °C and used at 35."""
    assert value(sheet(reading(1.49, T=25.0, **POOLED), temperature=but(WET, glass_transition_degC=transition))) == pytest.approx(1.488, abs=1e-12)


def test_nobody_is_asked_for_fahrenheit_at_45_degrees():
    for T, asked in ((45.0, False), (45.1, True)):
        assert any("if that is °F" in r for r in sheet_from_data(sheet(reading(1.49, T=T, **POOLED))).remarks) is asked


def test_a_liquid_like_the_prism_shows_no_border():
    for n, good in ((1.7499, True), (1.75, False)):
        assert (contact_liquid_problem(1.49, n, 1.75) is None) is good
