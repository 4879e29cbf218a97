"""What a reading sheet refuses, and whether the message names the table and the key. All data invented for the tests."""

import copy

import pytest

from lenscalc import follow, read_sheet
from lenscalc.errors import FileError, SheetError
from lenscalc.refractometer import sheet_from_data
from lenscalc.refractometer.contact import contact_liquid_problem, contact_liquid_remark

DIMENSION = {"u": 0.02, "state": "hydrated", "temperature_degC": 35.0}
SHEET = {
    "provenance": "invented for the tests",
    "specimen": {"material": "copolymer A", "state": "hydrated", "u_specimen_to_lens": 0.0},
    "instrument": {
        "kind": "prism contact", "resolution": 0.0001, "u_calibration": 0.0002, "u_operator": 0.0, "n_contact_liquid": 1.66, "n_prism": 1.75,
    },
    "reading": [
        {"wavelength_nm": 589.29, "temperature_degC": 20.0, "u_temperature_degC": 0.2, "basis": "air", "n": [1.4902, 1.4904, 1.4903]},
    ],
    "dispersion": {"abbe_d": 52.0, "u_abbe_d": 2.0},
    "temperature": {"dn_dt_per_K": -2e-4, "u_dn_dt_per_K": 2e-5, "state": "hydrated"},
    "lens": {
        "labelled_power_D": 20.5,
        "optic_diameter_mm": 6.0,
        "front_radius_mm": {"value": 15.0, **DIMENSION},
        "back_radius_mm": {"value": -15.0, **DIMENSION},
        "center_thickness_mm": {"value": 0.9, **DIMENSION},
    },
}  # fmt: skip
GONE = object()


def changed(changes):
    """The sheet with {"table.key": value} put in, or taken out where the value is GONE."""
    data = copy.deepcopy(SHEET)
    for path, value in changes.items():
        *way, key = [int(k) if k.isdigit() else k for k in path.split(".")]
        table = data
        for step in way:
            table = table[step] if isinstance(table, list) else table.setdefault(step, {})
        if value is GONE:
            del table[key]
        elif key == len(table) if isinstance(table, list) else False:
            table.append(value)
        else:
            table[key] = value
    return data


MEDIUM = {"n_measured_medium": 1.334, "u_n_measured_medium": 1e-4, "wavelength_nm": 546.07, "temperature_degC": 35.0, "basis": "air"}
SECOND = {"wavelength_nm": 486.13, "temperature_degC": 20.0, "u_temperature_degC": 0.2, "basis": "air", "n": [1.4981, 1.4982]}


def test_the_sheet_itself_is_good():
    sheet = sheet_from_data(changed({}))
    assert sheet.remarks == ()
    assert follow(sheet).evaluation.problems[0] == ""


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"provenance": GONE}, "provenance is missing at the top"),
        ({"specimen": GONE}, r"\[specimen\] is missing"),
        ({"specimen.state": GONE}, r"\[specimen\] state is missing: dry or hydrated"),
        ({"specimen.state": "wet"}, r"\[specimen\] state = 'wet': must be dry or hydrated"),
        ({"instrument.kind": "by eye"}, r"\[instrument\] kind = 'by eye'"),
        ({"instrument.resolution": GONE}, r"\[instrument\] resolution is missing"),
        ({"instrument.resolutoin": 0.0001}, r"\[instrument\] unknown key 'resolutoin'; did you mean resolution\?"),
        ({"dispersoin": {}}, "unknown key 'dispersoin'"),
        ({"instrument.u_calibration": -0.0001}, r"\[instrument\] u_calibration = -0.0001: must be 0 to 0.1"),
        ({"instrument.u_calibration": "0.0002"}, r"\[instrument\] u_calibration = '0.0002': must be a number, without quotes"),
        ({"instrument.u_calibration": True}, r"\[instrument\] u_calibration = True: must be a number"),
        ({"specimen.material": 7}, r"\[specimen\] material = 7: must be text"),
        ({"specimen": "copolymer A"}, r"\[specimen\] must be a table"),
        ({"medium": {**MEDIUM, "same_instrument": "yes"}}, r"\[medium\] same_instrument = 'yes'"),
        ({"medium": {**MEDIUM, "temperature_degC": 20.0}}, r"\[medium\] must be stated at 546.07 nm, 35 °C"),
        ({"medium": {**MEDIUM, "basis": "vacuum"}}, r"\[medium\] must be stated at"),
        ({"reading.1": SECOND}, r"\[dispersion\] abbe_d is given beside 2 lines"),
        ({"lens.linear_swelling": 0.1, "lens.u_linear_swelling": 0.01}, "linear_swelling is given, but every dimension was measured hydrated"),
        ({"lens.gauge": "profilometer"}, r"\[lens\] gauge must be tables"),
        ({"lens.optic_diameter_mm": 10**400}, "is no measurement"),
        ({"reading": []}, r"\[\[reading\]\] is missing"),
        ({"reading.0.n": GONE}, r"\[reading\] n is missing"),
        ({"reading.0.n": []}, r"\[reading\] n = \[\]: must be a list"),
        ({"reading.0.n": 1.4902}, r"\[reading\] n = 1.4902: must be a list"),
        ({"reading.0.n": [1.4902, "1.4903"]}, r"\[reading\] n\[2\] = '1.4903': must be a number"),
        ({"reading.0.n": [1.4902, 14.903]}, r"\[reading\] n\[2\].*n_reading = 14.903: must be 1 to 3; is the decimal point"),
        ({"reading.0.wavelength_nm": 0.589}, r"\[reading\] wavelength_nm.*0.589 nm: must be 200 to 2000 nm; is it in µm"),
        ({"reading.0.temperature_degC": 293.15}, r"\[reading\] temperature_degC.*293.15 °C: must be -20 to 150"),
        ({"reading.0.basis": GONE}, r"\[reading\] basis is missing: air or vacuum or unknown"),
        ({"reading.0.n": [1.4902]}, r"\[reading\] n holds one reading.*u_repeatability"),
        ({"reading.0.u_repeatability": 1e-4}, r"\[reading\] dof_repeatability is missing"),
        ({"reading": [SHEET["reading"][0], SECOND, SECOND]}, r"\[reading 3\] stands at 486.13 nm and 20 °C like an earlier one"),
        ({"reading": [SHEET["reading"][0], {**SECOND, "basis": "vacuum"}]}, r"\[reading 2\] basis = 'vacuum', the first is 'air'"),
        ({"reading": [{**SHEET["reading"][0], "wavelength_nm": 486.13}, {**SECOND, "wavelength_nm": 589.29}]}, "are the two exchanged"),
        ({"reading": [SHEET["reading"][0], {**SECOND, "wavelength_nm": 587.56}]}, r"\[reading 2\] wavelength_nm lies less than 10 nm"),
        ({"dispersion.u_abbe_d": GONE}, r"\[dispersion\] u_abbe_d is missing"),
        ({"temperature.state": "dry"}, r"\[temperature\] state = 'dry'.*hydrated polymer"),
        ({"hydration": {"hydration_shift": -0.04, "u_hydration_shift": 0.001}}, r"\[hydration\] is given, but \[specimen\] state is hydrated"),
        ({"instrument.n_contact_liquid": 1.48}, r"\[instrument\] n_contact_liquid = 1.48 is not above the reading 1.4904"),
        ({"instrument.n_contact_liquid": 1.76}, r"\[instrument\] n_contact_liquid = 1.76 is not below n_prism = 1.75"),
        ({"instrument.n_contact_liquid": GONE}, r"\[instrument\] n_contact_liquid is missing"),
        ({"instrument.kind": "v-block"}, r"\[instrument\] n_contact_liquid belongs to prism contact"),
        ({"lens.front_radius_mm": GONE}, r"\[lens.front_radius_mm\] is missing"),
        ({"lens.front_radius_mm.u": GONE}, r"\[lens.front_radius_mm\] u is missing"),
        ({"lens.center_thickness_mm.u": GONE}, r"\[lens.center_thickness_mm\] u is missing"),
        ({"lens.center_thickness_mm.u_sag_mm": 0.1}, r"\[lens.center_thickness_mm\] unknown key 'u_sag_mm'"),
        ({"lens.front_radius_mm.u_sag_mm": 0.001}, r"\[lens.front_radius_mm\] u and u_sag_mm are both given"),
        ({"lens.dimensions": "exact"}, r"\[lens.front_radius_mm\] u is given, but \[lens\] dimensions = 'exact'"),
        ({"lens.front_radius_mm.value": 0.015}, r"\[lens.front_radius_mm\] value.*0.015 mm.*is it in metres"),
        ({"lens.front_radius_mm.value": 0}, r"\[lens.front_radius_mm\] value.*plano \(inf\), never 0"),
        ({"lens.back_radius_mm.value": "plano"}, r"\[lens.back_radius_mm\] is plano: its radius has no u"),
        ({"lens.back_radius_mm.value": float("inf")}, r"\[lens.back_radius_mm\] is plano: its radius has no u"),
        ({"lens.back_radius_mm.value": -40.0, "lens.back_radius_mm.u": 9.0}, r"\[lens.back_radius_mm\] u is more than a fifth"),
        ({"lens.front_radius_mm.instrument": "gauge 1"}, r"\[lens.gauge.gauge 1\] u_scale_relative"),
        ({"lens.tolerance_D": 0.4}, r"\[lens\] tolerance_from is missing"),
        ({"lens.linear_swelling": 0.1}, r"\[lens\] u_linear_swelling is missing"),
        ({"lens.optic_diameter_mm": GONE}, r"\[lens\] optic_diameter_mm is missing"),
    ],
)  # fmt: skip
def test_refused_by_table_and_key(changes, told):
    with pytest.raises(SheetError, match=told) as caught:
        sheet_from_data(changed(changes), "lot7.toml")
    assert str(caught.value).startswith("lot7.toml: ")


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"specimen.state": "dry"}, "hydration_shift"),
        ({"dispersion": GONE}, "abbe_d"),
        ({"temperature": GONE}, "dn_dt_per_K"),
        ({"lens": GONE}, r"\[lens\] is missing"),
        ({"lens.front_radius_mm.state": "dry"}, "linear_swelling"),
        ({"lens.back_radius_mm.temperature_degC": 20.0}, "linear_expansion_per_K"),
        ({"lens.center_thickness_mm.value": 0.5}, "edge thickness"),
        ({"lens.optic_diameter_mm": 31.0}, "optic_diameter_mm"),
    ],
)
def test_what_is_missing_on_the_way_is_refused(changes, told):
    with pytest.raises(SheetError, match=told):
        follow(sheet_from_data(changed(changes)))


def test_limits_travel_with_the_error():
    with pytest.raises(SheetError) as caught:
        sheet_from_data(changed({"reading.0.n": [14.9, 1.49]}))
    assert (caught.value.quantity, caught.value.value, caught.value.limits, caught.value.unit) == ("n_reading", 14.9, (1.0, 3.0), "")


def test_files_that_are_no_sheets(tmp_path):
    text = 'provenance = "invented for the tests"\n'
    (tmp_path / "wide.toml").write_bytes(text.encode("utf-16"))
    (tmp_path / "empty.toml").write_bytes(b"")
    (tmp_path / "other.toml").write_text("wavelength: 589\n", encoding="utf-8")
    with pytest.raises(FileError, match=r"wide.toml: not UTF-8"):
        read_sheet(tmp_path / "wide.toml")
    with pytest.raises(SheetError, match=r"empty.toml: the sheet is empty"):
        read_sheet(tmp_path / "empty.toml")
    with pytest.raises(SheetError, match=r"other.toml: not a TOML file.*line 1"):
        read_sheet(tmp_path / "other.toml")
    with pytest.raises(FileError, match=r"none.toml"):
        read_sheet(tmp_path / "none.toml")
    with pytest.raises(FileError):
        read_sheet(tmp_path)


def test_a_byte_order_mark_is_no_mistake(tmp_path):
    marked = tmp_path / "marked.toml"
    marked.write_text('provenance = "invented for the tests"', encoding="utf-8-sig")
    with pytest.raises(SheetError, match=r"\[specimen\] is missing"):
        read_sheet(marked)


def u_of(followed, begin):
    parts = [abs(float(p[0])) for s, p in followed.index.steps[0].n.parts.items() if s.name.startswith(begin)]
    assert len(parts) == 1
    return parts[0]


def test_identical_replicates_leave_the_resolution():
    followed = follow(sheet_from_data(changed({"reading.0.n": [1.4903] * 4})))
    assert u_of(followed, "replicates") == 0.0
    assert u_of(followed, "resolution") == pytest.approx(0.0001 / 12**0.5)  # JCGM 100:2008, F.2.2.1
    assert followed.index.steps[1].n.u[0] == pytest.approx((0.0002**2 + 0.0001**2 / 12) ** 0.5)


def test_replicates_by_hand():
    # 1.4902, 1.4904, 1.4903: s = 1e-4, u = s/√3, 2 degrees of freedom
    followed = follow(sheet_from_data(changed({})))
    assert u_of(followed, "replicates") == pytest.approx(1e-4 / 3**0.5, rel=1e-9, abs=0.0)
    assert [s.dof for s in followed.index.n.parts if s.name.startswith("replicates")] == [2.0]


def test_pooled_repeatability_by_hand():
    pooled = {"reading.0.n": [1.4903, 1.4903, 1.4903, 1.4903], "reading.0.u_repeatability": 2e-4, "reading.0.dof_repeatability": 20}
    assert u_of(follow(sheet_from_data(changed(pooled))), "repeatability") == pytest.approx(1e-4)
    one = {"reading.0.n": [1.4903], "reading.0.u_repeatability": 2e-4, "reading.0.dof_repeatability": 20}
    assert u_of(follow(sheet_from_data(changed(one))), "repeatability") == pytest.approx(2e-4)


def test_a_liquid_just_above_is_remarked_on():
    sheet = sheet_from_data(changed({"instrument.n_contact_liquid": 1.495}))
    assert "only 0.0046 above the reading" in sheet.remarks[0]


def test_without_a_liquid_the_reason_is_kept():
    sheet = sheet_from_data(changed({"instrument.n_contact_liquid": GONE, "instrument.no_contact_liquid_because": "cast on the prism"}))
    assert "cast on the prism" in sheet.remarks[0]


def test_one_gauge_acts_on_all_that_it_measured():
    """A scale that reads 0.1 % long makes both radii and the thickness long: the power falls by 0.1 % (a lens k times as large is k times weaker)."""
    on_it = {f"lens.{name}.instrument": "gauge" for name in ("front_radius_mm", "back_radius_mm", "center_thickness_mm")}
    followed = follow(sheet_from_data(changed({**on_it, "lens.gauge.gauge.u_scale_relative": 0.001})))
    power = followed.evaluation.estimates["power_D"]
    part = [p for s, p in power.parts.items() if s.name == "scale of the gauge"]
    assert len(part) == 1
    assert part[0][0] == pytest.approx(-0.001 * power.value[0], rel=1e-12, abs=0.0)


def test_two_gauges_are_two_causes():
    two = {
        "lens.front_radius_mm.instrument": "a", "lens.back_radius_mm.instrument": "b",
        "lens.gauge.a.u_scale_relative": 0.001, "lens.gauge.b.u_scale_relative": 0.002,
    }  # fmt: skip
    parts = {s.name: p[0] for s, p in follow(sheet_from_data(changed(two))).evaluation.estimates["power_D"].parts.items()}
    assert parts["scale of the b"] == pytest.approx(2 * parts["scale of the a"])  # equal surfaces, errors in the ratio of the gauges


def test_a_plano_surface_takes_curvature_or_sag():
    sag = {"lens.back_radius_mm.value": "plano", "lens.back_radius_mm.u": GONE, "lens.back_radius_mm.u_sag_mm": 0.0009}
    curvature = {"lens.back_radius_mm.value": "plano", "lens.back_radius_mm.u": GONE, "lens.back_radius_mm.u_curvature_per_mm": 0.0002}
    a, b = (follow(sheet_from_data(changed({**c, "lens.labelled_power_D": 10.0}))).evaluation.columns["u_power_D"][0] for c in (sag, curvature))
    assert a == pytest.approx(b, rel=1e-12, abs=0.0)  # at half the 6 mm optic a flat surface has s = h²c/2 = 4.5·c


def test_exact_dimensions_give_a_power_and_no_decision():
    exact = {f"lens.{name}.u": GONE for name in ("front_radius_mm", "back_radius_mm", "center_thickness_mm")} | {"lens.dimensions": "exact"}
    followed = follow(sheet_from_data(changed(exact)))
    assert followed.evaluation.only("power_D") > 0
    assert followed.evaluation.only("conformance_probability") is None
    assert any("not a decision" in w for w in followed.warnings)


def test_a_liquid_below_or_at_the_reading_is_no_remark_but_a_refusal():
    for liquid in (1.489, 1.49):
        assert contact_liquid_remark(1.49, liquid) is None
        assert "is not above the reading" in contact_liquid_problem(1.49, liquid, None)
    assert "only 0.0099 above" in contact_liquid_remark(1.49, 1.4999)
    assert contact_liquid_remark(1.49, 1.5001) is None


def test_what_is_exact_is_no_line_of_the_budget():
    followed = follow(sheet_from_data({**SHEET, "instrument": {**SHEET["instrument"], "u_operator": 0.0}}))
    assert not any(source.name == "operator" for source in followed.index.n.parts)
