"""The calibration of a sheet against arithmetic done by hand and what is printed of water and sugar solutions."""

from datetime import date, timedelta

import numpy as np
import pytest
from made_sheets import CERTIFIED, LENS, POOLED, at_d, dof, index, part, reading, reference, sheet, value

from lenscalc import follow
from lenscalc.errors import SheetError
from lenscalc.refractometer import sheet_from_data
from lenscalc.refractometer.corrected import corrected

L2 = (0.58929 * 1.000273) ** 2  # µm², in vacuum; Daimon & Masumura 2007, 20 °C, absolute, as the CC0 database prints it
DAIMON = (
    1
    + sum(a * L2 / (L2 - b) for a, b in ((0.5684027565, 5.101829712e-3), (0.1726177391, 1.821153936e-2), (0.02086189578, 2.620722293e-2),
                                         (0.1130748688, 10.69792721)))
) ** 0.5  # fmt: skip
N_AIR_20 = 1.000272  # dry air, 20 °C, 101325 Pa, 589.3 nm, to 1e-6 (Birch & Downs, from memory, to be confirmed against the text)


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
    assert parts == pytest.approx([1e-4 * by_w], rel=0.01, abs=0.0)


def test_a_certificate_in_vacuum_and_at_another_temperature():
    # true at 22 °C in air: 1.5166/n_air − 2·1e-5; shown 1.5162
    about = {**CERTIFIED, "n_certified": 1.5166, "certified_basis": "vacuum", "dn_dt_per_K": -1e-5, "u_dn_dt_per_K": 2e-6}
    data = at_d(1.4904, reference(1.5162, 589.29, 22.0, **about))
    true = 1.5166 / N_AIR_20 - 2e-5
    assert float(calibrated_step(data).value[0]) == pytest.approx(1.4904 - (1.5162 - true), abs=3e-6)
    u = (1e-4**2 + 1e-10 / 12 + 3e-5**2 + (2 * 2e-6) ** 2 + (1e-5 * 0.1) ** 2 + 1e-4**2 + 1e-10 / 12) ** 0.5
    assert float(calibrated_step(data).u[0]) == pytest.approx(u, rel=1e-6, abs=0.0)


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
    assert float(calibrated_step(data).u[0]) == pytest.approx((own + 1 / np.sum(1 / u2)) ** 0.5, rel=1e-9, abs=0.0)


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
    assert part(f, "zero drift") == pytest.approx(4e-4 / 12**0.5, rel=1e-9, abs=0.0)  # anywhere between no drift and all of it
    assert part(f, "readings of the check piece") == pytest.approx(2**0.5 * 1e-4 / 2, rel=1e-9, abs=0.0)


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


@pytest.mark.parametrize(("interval", "days", "old"), [(0, 0, False), (0, 1, True), (180, 30, False), (180, 180, False), (180, 181, True)])
def test_a_calibration_is_old_beyond_its_interval(interval, days, old):
    water = reference(1.3331, 589.29, 20.0, name="water", kind="water")
    data = {**at_d(1.4904, water, date=date(2026, 1, 1), interval_days=interval), "date": date(2026, 1, 1) + timedelta(days)}
    assert any("calibrate again" in remark for remark in sheet_from_data(data).remarks) is old


@pytest.mark.parametrize(("nm", "is_D"), [(589.2938 + 0.5, True), (589.2938 - 0.5, True), (589.2938 + 0.51, False), (589.2938 - 0.51, False)])
def test_sugar_is_known_within_half_a_nanometre_of_the_D_line(nm, is_D):
    sugar = reference(1.39986, nm, 20.0, name="sugar", kind="sucrose", mass_fraction=0.4, u_mass_fraction=1e-4)
    data = at_d(1.4102, sugar)
    data["reading"][0]["wavelength_nm"] = nm
    if is_D:
        assert float(calibrated_step(data).value[0]) == pytest.approx(1.4102, abs=1e-5)
    else:
        with pytest.raises(SheetError, match="the sucrose scale is known at the D line, not at"):
            index(data)


def test_a_specimen_outside_the_references_is_remarked_on():
    one = index(at_d(1.4904, reference(1.3331, 589.29, 20.0, name="water", kind="water"))).warnings
    assert any("1.4903 lies far from the reference at 589.29 nm, 1.3330" in w and "slope is not in the budget" in w for w in one)


def test_a_scale_far_off_is_remarked_on():
    told = index(at_d(1.4904, reference(1.3430, 589.29, 20.0, name="water", kind="water"))).warnings
    assert any("+0.0100 too much at 589.29 nm" in w and "is what the sheet says it is" in w for w in told)


def test_a_scale_that_is_little_off_is_not():
    told = index(at_d(1.4904, reference(1.3339, 589.29, 20.0, name="water", kind="water"))).warnings
    assert not any("too much" in w for w in told)


def test_the_table_of_sugar_is_printed_to_five_decimals():
    """A rectangle of ±0.5e-5: 1e-5/√12."""
    n = calibrated_step(at_d(1.4102, reference(1.39966, 589.29, 20.0, name="sugar", kind="sucrose", mass_fraction=0.4, u_mass_fraction=1e-4)))
    parts = {s.name: abs(float(p[0])) for s, p in n.parts.items()}
    assert parts["sucrose table"] == pytest.approx(1e-5 / 12**0.5, rel=1e-9, abs=0.0)


@pytest.mark.parametrize(("T", "known"), [(0.5, True), (39.5, True), (0.4, False), (39.6, False)])
def test_water_is_a_reference_from_half_a_degree_to_a_half_below_forty(T, known):
    data = at_d(1.4904, reference(1.3331, 589.29, T, name="water", kind="water"), within_K=99)
    if known:
        index(data)
    else:
        with pytest.raises(SheetError, match="known here from 0 to 40"):
            index(data)


@pytest.mark.parametrize(("after", "told"), [(1.51635, False), (1.5164, True), (1.5166, True)])
def test_a_zero_that_moves_by_more_than_twice_its_u_is_told(after, told):
    """Before and after two readings 2e-4 apart: u of each mean is 1e-4, of the difference √2·1e-4."""
    data = sheet(calibration={"check_before": [1.5160, 1.5162], "check_after": [after - 1e-4, after + 1e-4]})
    assert any("the zero moved" in w for w in index(data).warnings) == told


def test_a_zero_that_stays_is_not_told():
    """Read alike before and after, on a scale that hides all scatter: it moved by 0, and u is 0."""
    assert not any("the zero moved" in w for w in index(sheet(calibration={"check_before": [1.516] * 2, "check_after": [1.516] * 2})).warnings)


@pytest.mark.parametrize(("after", "asked"), [(1.5166, False), (1.5172, True), (1.3330, True)])
def test_a_zero_that_moves_further_than_a_scale_does_may_be_that_of_another_piece(after, asked):
    data = sheet(calibration={"check_before": [1.5160, 1.5162], "check_after": [after - 1e-4, after + 1e-4]})
    (told,) = (w for w in index(data).warnings if "the zero moved" in w)
    assert told.endswith(", but look first whether both are of one piece") == asked


@pytest.mark.parametrize("apart", [8e-4, 1.5e-3])
def test_how_rarely_references_disagree_so_much(apart):
    """Two offsets with u² of 1.7e-4² + 1e-4² + 1e-10/12 each: χ² = d²/2u² of one degree of freedom."""
    from scipy.stats import chi2

    certified = {**CERTIFIED, "certified_basis": "air", "u_certified": 1.7e-4}
    both = (reference(1.5162 + off, 589.29, 20.0, **certified | {"name": name}) for name, off in (("one", 0.0), ("other", apart)))
    data = at_d(1.4904, *both, model="offset")
    chance = chi2.sf(apart**2 / 2 / (1.7e-4**2 + 1e-8 + 1e-10 / 12), 1)
    told = "below 0.05 %" if chance < 0.0005 else f"{100 * chance:.1g} %"
    assert any("disagree" in w and f"(chance {told})" in w for w in index(data).warnings), (told, index(data).warnings)


@pytest.mark.parametrize(("fraction", "T"), [(0.0, 20.0), (2e-4, 20.0), (0.84, 20.0), (0.85, 20.0), (0.4, 10.0), (0.4, 30.0), (0.85, 30.0)])
def test_sugar_may_be_a_reference_from_end_to_end_of_its_scale(fraction, T):
    from lenscalc.material import sucrose_index

    n = round(float(sucrose_index(fraction, T)), 5)
    data = at_d(1.4102, reference(n, 589.29, T, name="sugar", kind="sucrose", mass_fraction=fraction, u_mass_fraction=1e-4), within_K=15)
    assert float(calibrated_step(data).value[0]) == pytest.approx(1.4102, abs=6e-6)


def test_a_medium_that_was_read_keeps_its_own_u_beside_the_drift():
    """One source of 1e-4 (a pooled repeatability) acts once: 1e-4 on the index of the medium."""
    medium = {**reading(1.3350, **POOLED), "same_instrument": True, "dn_dt_per_K": -1e-4, "u_dn_dt_per_K": 1e-5}
    data = sheet(lens=LENS, medium=medium, calibration={"check_before": [1.5160, 1.5162], "check_after": [1.5164, 1.5166]})
    own = [acts["n_measured_medium"] for s, acts in follow(sheet_from_data(data)).sources.items() if s.name.startswith("repeatability at medium")]
    assert [abs(part) for part in own] == pytest.approx([1e-4], rel=1e-9, abs=0.0)


def test_the_check_piece_has_the_degrees_of_freedom_of_both_means():
    data = sheet(calibration={"check_before": [1.5160, 1.5162], "check_after": [1.5164, 1.5166, 1.5165]})
    assert dof(index(data), "readings of the check piece") == 3


def test_a_calibration_of_tomorrow_is_refused():
    water = reference(1.3331, 589.29, 20.0, name="water", kind="water")
    for day, good in ((date(2026, 11, 20), True), (date(2026, 11, 21), False)):
        data = at_d(1.4904, water, date=day, interval_days=180)
        data["date"] = date(2026, 11, 20)
        if good:
            sheet_from_data(data)
        else:
            with pytest.raises(SheetError):
                sheet_from_data(data)


SUGAR = {"name": "sugar", "kind": "sucrose", "u_mass_fraction": 1e-4}


def of_sugar(fraction, T):
    """The parts of a sugar solution of this strength: of its mass fraction and of its temperature (0.1 K), in a calibration by it."""
    data = at_d(1.4102, reference(1.40, 589.29, T, mass_fraction=fraction, **SUGAR), within_K=15)
    parts = {s.name: abs(float(p[0])) for s, p in index(data).index.n.parts.items()}
    return parts["mass fraction of sugar"], parts["temperature of sugar"]


@pytest.mark.parametrize(
    ("fraction", "T", "inner", "T_inner"), [(0.0, 20.0, 0.01, 20.0), (0.85, 20.0, 0.84, 20.0), (0.85, 30.0, 0.84, 29.0), (0.4, 10.0, 0.4, 11.0)]
)
def test_at_the_end_of_the_sugar_scale_the_slopes_are_those_beside_it(fraction, T, inner, T_inner):
    """The scale has no corner there: from one per cent or one kelvin inside, where both sides are known, the slopes differ by a few per cent."""
    assert of_sugar(fraction, T) == pytest.approx(of_sugar(inner, T_inner), rel=0.06, abs=0.0)


def test_of_water_at_one_per_cent_of_sugar():
    """n_D at 20 °C of 0 and 1 %: 1.33299 and 1.33442 on the international scale (from memory, to be confirmed against the text)."""
    assert of_sugar(0.0, 20.0)[0] == pytest.approx(1e-4 * 0.143, rel=0.01, abs=0.0)


@pytest.mark.parametrize("basis", ["air", "vacuum", "unknown"])
def test_a_basis_that_the_references_settle_is_told(basis):
    data = at_d(1.4904, reference(1.3331, 589.29, 20.0, name="water", kind="water"))
    data["reading"][0]["basis"] = basis
    assert any(w.startswith("basis unknown: the references are relative to air") for w in index(data).warnings) is (basis == "unknown")


@pytest.mark.parametrize(("model", "end"), [("offset", "that is wrong, or fit offset and slope"), ("offset and slope", "that is wrong")])
def test_references_that_disagree_are_told_with_what_else_to_fit(model, end):
    three = [
        reference(n + off, 589.29, 20.0, **CERTIFIED | {"name": f"piece of {n}", "certified_basis": "air", "n_certified": n})
        for n, off in ((1.45, 0.0), (1.50, 2e-3), (1.55, 0.0))
    ]
    (told,) = (w for w in index(at_d(1.4904, *three, model=model)).warnings if "disagree" in w)
    assert told == f"the references at 589.29 nm disagree by more than their uncertainties (chance below 0.05 %): look for the one {end}"


def test_outside_two_references_their_span_is_told():
    pieces = [
        reference(n, 589.29, 20.0, **CERTIFIED | {"name": f"piece of {n}", "certified_basis": "air", "n_certified": n}) for n in (1.33, 1.45)
    ]
    about = "1.4904 lies outside the references at 589.29 nm, 1.3300 to 1.4500: the calibration is extrapolated"
    assert about in index(at_d(1.4904, *pieces, model="offset and slope")).warnings
    assert f"{about}, and an error of slope is not in the budget" in index(at_d(1.4904, *pieces, model="offset")).warnings


def test_every_line_is_calibrated_at_its_own_temperature():
    """486.13 nm read at 20 °C and 589.29 nm at 30, each with its piece read beside it."""
    lists = [(486.13, 20.0, 1.4965), (589.29, 30.0, 1.4905)]
    pieces = [
        reference(1.5162, nm, T, **CERTIFIED | {"name": f"block {nm:g}", "certified_basis": "air", "certified_temperature_degC": T})
        for nm, T, _ in lists
    ]
    data = sheet(*(reading(n, nm, T, **POOLED) for nm, T, n in lists), calibration={"model": "offset", "reference": pieces}, temperature=None)
    del data["instrument"]["u_calibration"]
    _, calibrations, _ = corrected(sheet_from_data(data))
    assert list(calibrations) == [486.13, 589.29]
    # without a stated u_calibration the offset has the u of the reading of the piece and of its certificate
    for c in calibrations.values():
        assert c.u_offset == pytest.approx((1e-8 + 1e-10 / 12 + 9e-10) ** 0.5, rel=1e-9, abs=0.0)


def test_a_medium_that_was_read_shares_the_doubt_about_the_drift():
    """A rectangle as wide as the drift, 4e-4, in the index of the medium as in that of the lens, with one sign."""
    medium = {**reading(1.3350, **POOLED), "same_instrument": True, "dn_dt_per_K": -1e-4, "u_dn_dt_per_K": 1e-5}
    data = sheet(lens=LENS, medium=medium, calibration={"check_before": [1.5160, 1.5162], "check_after": [1.5164, 1.5166]})
    (acts,) = (acts for s, acts in follow(sheet_from_data(data)).sources.items() if s.name == "zero drift of the instrument")
    assert acts["n_measured_medium"] == pytest.approx(acts["n_reading"], rel=1e-12, abs=0.0)
    assert acts["n_reading"] == pytest.approx(4e-4 / 12**0.5, rel=1e-9, abs=0.0)


def test_whose_the_scatter_is():
    """That of the specimen's readings is the lot's; that of a reference's is in all that the instrument reads."""
    parts = index(at_d(1.4904, reference(1.3331, 589.29, 20.0, name="water", kind="water"))).index.n.parts
    scopes = {s.name: s.scope for s in parts if s.name.startswith("repeatability")}
    assert scopes == {"repeatability at 589.29 nm, 20 °C, pooled": "lot", "repeatability at water, 589.29 nm, 20 °C, pooled": "instrument"}


@pytest.mark.parametrize("names", [["one"], ["one", "other"]])
def test_references_that_agree_are_not_called_wrong(names):
    pieces = [reference(1.5162, 589.29, 20.0, **CERTIFIED | {"name": name, "certified_basis": "air"}) for name in names]
    assert not any("disagree" in w for w in index(at_d(1.4904, *pieces, model="offset")).warnings)


def test_a_reference_belongs_to_the_line_within_half_a_nanometre():
    water = reference(1.3331, 589.0, 20.0, name="water", kind="water")
    table = sheet_from_data(at_d(1.4904, water)).calibration
    assert [len(table.at(nm)) for nm in (588.49, 588.5, 589.5, 589.51)] == [0, 1, 1, 0]
