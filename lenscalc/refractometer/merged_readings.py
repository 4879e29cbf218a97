"""Several lists of readings brought together: three directions, several temperatures, several lines."""

from __future__ import annotations

import warnings
from dataclasses import replace
from typing import Any

import numpy as np

from lenscalc.conditions import LINES_NM, TEMPERATURE_IN_USE_DEGC, WAVELENGTH_IN_USE_NM
from lenscalc.errors import InputError, RangeWarning, SheetError
from lenscalc.material import Dispersion, by_abbe_number
from lenscalc.refractometer.corrected import Block
from lenscalc.refractometer.index_in_use import FORM
from lenscalc.refractometer.lamp import light_at
from lenscalc.refractometer.sheet import ReadingSheet
from lenscalc.refractometer.sheet_readings import Reading
from lenscalc.uncertainty import Estimate, Source, combine, coverage_factor, errors_only

MISFIT = 0.001  # level at which readings are said not to lie on a line or a form


def over_directions(blocks: list[Block]) -> tuple[list[Block], tuple[str, ...]]:
    """The mean of three directions, and what the orientation leaves open as a rectangular line of half the range."""
    if all(b.reading.direction is None for b in blocks):
        return blocks, ()
    merged, told = [], []
    for place in dict.fromkeys(b.reading.place for b in blocks):
        three = [b for b in blocks if b.reading.place == place]
        values = [float(b.n.value) for b in three]
        half = (max(values) - min(values)) / 2.0
        oriented = errors_only({Source("orientation of the specimen", "lot", distribution="rectangular"): half / 3.0**0.5})
        n = combine(sum(values) / 3.0, [*((1.0 / 3.0, b.n) for b in three), (1.0, oriented)])
        shown = combine(sum(float(b.shown.value) for b in three) / 3.0, [(1.0 / 3.0, b.shown) for b in three])
        merged.append(Block(replace(_with_widest_doubt(three), direction=None), shown, n))
        each = ", ".join(f"{b.reading.direction} {b.n.value:.5f}" for b in three)
        told.append(f"three directions at {place[0]:g} nm: {each}; their mean is carried, half their range is a line of the budget")
    return merged, tuple(told)


def _with_widest_doubt(blocks: list[Block]) -> Reading:
    """Of readings that become one, that of the widest doubt about the temperature, with the widest about the light."""
    readings = [b.reading for b in blocks]
    return replace(max(readings, key=lambda r: r.u_temperature_degC), u_wavelength_nm=max(r.u_wavelength_nm for r in readings))


def over_temperatures(blocks: list[Block]) -> tuple[list[Block], Estimate | None, tuple[str, ...]]:
    """One slope for all lines, each line with a level of its own (weights 1/u²); every line brought to the temperature nearest to the eye's."""
    T = np.array([b.reading.temperature_degC for b in blocks])
    if np.ptp(T) == 0:
        return blocks, None, ()
    u = np.array([float(b.shown.u) for b in blocks])
    w = u**-2.0 if np.all(u > 0) else np.ones_like(u)
    lines = list(dict.fromkeys(b.reading.wavelength_nm for b in blocks))
    members = {line: np.array([b.reading.wavelength_nm == line for b in blocks]) for line in lines}
    middle = {line: float(np.sum(w[m] * T[m]) / np.sum(w[m])) for line, m in members.items()}
    away = T - np.array([middle[b.reading.wavelength_nm] for b in blocks])
    if all(np.ptp(T[m]) == 0 for m in members.values()):
        raise SheetError("[[reading]] stands at several temperatures, but no wavelength was read at two: they tell nothing about dn/dT")
    slope_by = w * away / np.sum(w * away * away)
    values = np.array([float(b.n.value) for b in blocks])
    bare = float(slope_by @ values)
    heat = {}
    for t in np.unique(T):  # the error of one temperature tilts the line
        hot = max(b.reading.u_temperature_degC for b in blocks if b.reading.temperature_degC == t)
        heat[Source(f"temperature of the specimen at {t:g} °C", "instrument")] = hot * float(np.sum(slope_by[t == T]))
    tilt = errors_only(heat)  # what all temperatures share moves the level alone, and is the specimen's temperature further on
    slope = combine(bare, [*zip(slope_by.tolist(), (b.n for b in blocks), strict=True), (bare, tilt)])
    to = float(np.clip(TEMPERATURE_IN_USE_DEGC, np.min(T), np.max(T)))
    merged = []
    for line, m in members.items():
        by = np.where(m, w / np.sum(w[m]), 0.0) + (to - middle[line]) * slope_by
        mine = [b for b, one in zip(blocks, m, strict=True) if one]
        shown = combine(float(by @ [b.shown.value for b in blocks]), zip(by.tolist(), (b.shown for b in blocks), strict=True))
        n = combine(float(by @ values), [*zip(by.tolist(), (b.n for b in blocks), strict=True), ((to - middle[line]) * bare, tilt)])
        merged.append(Block(replace(_with_widest_doubt(mine), temperature_degC=to), shown, n))
    own = np.array([_own_u(b, bare * b.reading.u_temperature_degC) for b in blocks])
    return merged, slope, _off_the_line(values, slope_by, members, middle, T, w, own)


def _off_the_line(values: Any, slope_by: Any, members: dict[float, Any], middle: dict[float, float], T: Any, w: Any, u: Any) -> tuple[str, ...]:
    """A break in the slope (a glass transition, or water lost on warming) shows as scatter about one line."""
    from scipy.special import chdtrc

    dof = len(values) - len(members) - 1
    if dof < 1 or not np.all(u > 0):
        return ()
    chi2, slope = 0.0, float(slope_by @ values)
    for line, m in members.items():
        level = float(np.sum(w[m] * values[m]) / np.sum(w[m]))
        residual = values[m] - level - slope * (T[m] - middle[line])
        chi2 += float(np.sum((residual / u[m]) ** 2))
    if float(chdtrc(dof, chi2)) < MISFIT:
        return ("the readings do not lie on one line with temperature: look for a glass transition between them, or water lost on warming",)
    return ()


def dispersion_of(sheet: ReadingSheet, blocks: list[Block]) -> tuple[Dispersion | None, list[Block], tuple[str, ...]]:
    """What the sheet knows of the dispersion, fitted to its lines or from the Abbe number that it states; the lines with the error of their light.

    The slope of a first fit turns an error of the wavelength into one of the index; the fit that is kept knows of it.
    """
    found = _stated(sheet, blocks) if len(blocks) == 1 else _fitted(sheet, blocks)
    lit = [_with_lamp(b, found) for b in blocks]
    if len(blocks) == 1 or found is None:
        return found, lit, ()
    if lit != blocks:
        found = _fitted(sheet, lit)
    return found, lit, _off_the_form(found, lit)


def _stated(sheet: ReadingSheet, blocks: list[Block]) -> Dispersion | None:
    if not sheet.dispersion or "abbe_d" not in sheet.dispersion:
        return None
    r, V = blocks[0].reading, sheet.dispersion["abbe_d"]
    n = float(blocks[0].n.value)
    try:
        return Dispersion.from_abbe(float(by_abbe_number(n, r.wavelength_nm, V, LINES_NM["d"]).n), V)
    except InputError as error:
        left = f"{n:.5g} is left at {r.wavelength_nm:g} nm when the instrument's errors are taken off"
        raise SheetError(f"[reading] {left}, and that is no index of a polymer: {error}") from None


def _fitted(sheet: ReadingSheet, blocks: list[Block]) -> Dispersion:
    table = sheet.dispersion or {}
    covariance = np.array([[float(a.n.covariance(b.n)) for b in blocks] for a in blocks])
    terms: dict[str, int] = {"terms": int(table["terms"])} if "terms" in table else {}
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", RangeWarning)  # said by _off_the_form, which knows how well each spread is known
            return Dispersion.fit(
                [b.reading.wavelength_nm for b in blocks], [float(b.n.value) for b in blocks],
                form=table.get("form", "cauchy"), covariance=covariance, **terms,
            )  # fmt: skip
    except InputError as error:
        raise SheetError(f"[dispersion] {error}") from None


def _with_lamp(block: Block, dispersion: Dispersion | None) -> Block:
    """The error of the light's wavelength, by the slope of the dispersion; what it did to the references is in the block already."""
    u = block.reading.u_wavelength_nm
    if u == 0:
        return block
    if dispersion is None:
        raise SheetError("[reading] u_wavelength_nm is given, but nothing says how the index changes with it: give abbe_d, or read a second line")
    slope = float(dispersion.slope_per_nm(block.reading.wavelength_nm))
    return replace(block, n=combine(block.n.value, [(1.0, block.n), (slope, light_at([block.reading], block.reading.wavelength_nm))]))


def _off_the_form(fit: Dispersion, blocks: list[Block]) -> tuple[str, ...]:
    """Lines that scatter about the fitted form by more than each of them may by itself."""
    from scipy.special import chdtrc

    own = [_own_u(b, float(fit.slope_per_nm(b.reading.wavelength_nm)) * b.reading.u_wavelength_nm) for b in blocks]
    if fit.dof < 1 or not all(u > 0 for u in own):
        return ()
    chi2 = float(np.sum((fit.residuals / np.array(own)) ** 2))
    if float(chdtrc(fit.dof, chi2)) < MISFIT:
        times = (chi2 / fit.dof) ** 0.5
        form = f"the {fit.form} form of {fit.terms} terms"
        return (f"the lines lie {times:.1f} times further from {form} than their own u explains: try another form, or look for a wrong line",)
    return ()


def _own_u(block: Block, more: float) -> float:
    """What one list of readings may be off by itself; a spread of few readings is widened as Student's t widens it."""
    wide = float(coverage_factor(0.95, block.shown.dof)) / float(coverage_factor(0.95))
    return float(np.hypot(float(block.shown.u) * wide, more))


def fitted_at_green(dispersion: Dispersion, blocks: list[Block]) -> tuple[Estimate, str]:
    """The fitted index at the wavelength in use, with the doubt about the form as a line of its own."""
    by = np.ravel(dispersion.by_readings(WAVELENGTH_IN_USE_NM))
    terms = [(float(c), b.n) for c, b in zip(by, blocks, strict=True)]
    form = errors_only({FORM: float(dispersion.form_half_width(WAVELENGTH_IN_USE_NM)) / 3.0**0.5})
    note = f"{dispersion.form} form of {dispersion.terms} terms fitted to {len(blocks)} lines"
    return combine(float(dispersion.n(WAVELENGTH_IN_USE_NM)), [*terms, (1.0, form)]), note
