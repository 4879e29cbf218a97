"""Calibration: readings of references whose index is known → offset, or offset and slope, of the index scale."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from lenscalc.errors import InputError
from lenscalc.quantities import counted, single_numbers
from lenscalc.uncertainty import Estimate, Source, combine, errors_only
from lenscalc.uncertainty.line import fit_line

CALIBRATION = Source("calibration of the refractometer", scope="instrument")
MODELS = ("offset", "offset and slope")
INCONSISTENT = 0.05  # level at which references are said to disagree


@dataclass(frozen=True, eq=False)
class Reference:
    """One reference as read and as it truly is, relative to air at its own temperature and wavelength; each with the sources of its error."""

    name: str
    read: Estimate
    true: Estimate


@dataclass(frozen=True, eq=False)
class Calibration:
    """error(n) = offset + slope·(n − n0), what the instrument shows too much of a true index n; n0 is the weighted mean of the references.

    `of_offset` and `of_slope` keep the sources of the references' readings and true values, `u_stated` is the scale's own beside them: so everything
    that is read shares them, and what acts on reference and specimen alike (a compensation, the prism) cancels by itself.
    """

    n0: float
    offset: float
    u_offset: float
    dof_offset: float
    slope: float
    u_slope: float
    dof_slope: float
    lowest: float
    highest: float
    chance: float
    of_offset: Estimate
    of_slope: Estimate
    u_stated: float

    def corrected(self, n: Estimate) -> Estimate:
        """A reading with the error taken off; the references' sources stand in it with their signs, so that what two readings share cancels.

        >>> water = Reference("water", Estimate(1.3331, {}), Estimate(1.33299, {Source("water"): 1e-5}))
        >>> oil = Reference("oil", Estimate(1.46965, {}), Estimate(1.46945, {Source("oil"): 3e-5}))
        >>> c = calibrate([water, oil], model="offset and slope")
        >>> lens, medium = (c.corrected(Estimate(x, {})) for x in (1.4903, 1.3341))
        >>> round(float(lens.value), 5), round(float(medium.value), 5)
        (1.49009, 1.33399)
        >>> difference = combine(0.0, [(1.0, lens), (-1.0, medium)])      # the offset cancels in it, the slope does not
        >>> {s.name: f"{p:.1e}" for s, p in difference.parts.items()}
        {'water': '-1.1e-05', 'oil': '3.4e-05'}
        """
        per_shown = 1.0 / (1.0 + self.slope)  # the error belongs to the true index, and the true index is what is looked for
        away = (n.value - self.offset - self.n0) * per_shown
        value = n.value - self.offset - self.slope * away
        stated = Estimate(value, {CALIBRATION: self.u_stated} if self.u_stated > 0 or not self.of_offset.parts else {})
        return combine(value, [(per_shown, n), (-per_shown, self.of_offset), (-away * per_shown, self.of_slope), (per_shown, stated)])

    def covers(self, n: float) -> bool:
        """Whether an index lies within the span of the references; a single reference covers what lies within 0.05 of it."""
        reach = 0.05 if self.lowest == self.highest else 0.0
        return self.lowest - reach <= n <= self.highest + reach


def calibrate(references: Sequence[Reference], *, model: str = "offset", u_stated: float = 0.0) -> Calibration:
    """Offset, or offset and slope, from references; weights 1/u² of each reference's (read − true).

    Two calibrations share what stands in their references under sources of one name: of a sheet the certificate of a piece that is called the same in
    both, and water's own uncertainty. The same piece under another name counts as another.

    `u_stated` is what the lab says its scale is good to between and besides the references; it joins the offset. `chance` is the probability that
    references which agree scatter as much as these (chi-square); nan where they are no more than the parameters.

    Raises
    ------
    InputError
        for an unknown model, too few references, references without an uncertainty, or a stated one below 0.

    >>> water = Reference("water", Estimate(1.3331, {Source("a"): 3e-5}), Estimate(1.33299, {Source("b"): 1e-5}))
    >>> c = calibrate([water])
    >>> f"{c.offset:.1e}", f"{c.u_offset:.1e}"
    ('1.1e-04', '3.2e-05')
    """
    if model not in MODELS:
        raise InputError(f"model = {model!r}: must be {' or '.join(MODELS)}", quantity="model", value=model)
    (u_stated,) = single_numbers(u_stated=u_stated)
    if not 0.0 <= u_stated < np.inf:
        raise InputError(f"u_stated = {u_stated:g}: a standard uncertainty must be 0 or more, and finite", quantity="u_stated", value=u_stated)
    least = 1 if model == "offset" else 2
    if len(references) < least:
        raise InputError(f"{model} from {counted(len(references), 'reference')}: at least {least} needed")
    errors = [combine(r.read.value - r.true.value, [(1.0, r.read), (-1.0, r.true)]) for r in references]
    for r, e in zip(references, errors, strict=True):
        if not e.u > 0:
            raise InputError(f"reference {r.name}: neither its reading nor its true index has an uncertainty")
    n = np.array([float(r.true.value) for r in references])
    off, u = np.array([float(e.value) for e in errors]), np.array([float(e.u) for e in errors])
    from scipy.special import chdtrc

    if model == "offset":
        weights = 1.0 / (u * u) / np.sum(1.0 / (u * u))
        offset = combine(float(weights @ off), list(zip(weights.tolist(), errors, strict=True)))
        n0, slope = float(weights @ n), errors_only({})
        left, dof = float(np.sum(((off - offset.value) / u) ** 2)), len(errors) - 1
    else:
        if np.ptp(n) < 0.01:
            raise InputError("the references lie less than 0.01 apart in index: they tell nothing about a slope; take an offset")
        line = fit_line(n, off, u=u)
        n0 = line.x0
        offset = combine(line.intercept, list(zip(line.intercept_by.tolist(), errors, strict=True)))
        slope = combine(line.slope, list(zip(line.slope_by.tolist(), errors, strict=True)))
        left, dof = line.chi2, len(errors) - 2
    chance = float(chdtrc(dof, left)) if dof > 0 else float("nan")
    stated = errors_only({Source("stated"): u_stated})
    whole = combine(offset.value, [(1.0, offset), (1.0, stated)])
    return Calibration(
        n0, float(offset.value), float(whole.u), float(whole.dof), float(slope.value), float(slope.u), float(slope.dof),
        float(np.min(n)), float(np.max(n)), chance, offset, slope, u_stated,
    )  # fmt: skip


def stated_calibration(u_stated: float) -> Calibration:
    """No references: the scale is taken as right, with the uncertainty that the lab states for it.

    >>> float(stated_calibration(2e-4).corrected(Estimate(1.49, {})).u)
    0.0002
    """
    nan = float("nan")
    nothing = errors_only({})
    return Calibration(1.5, 0.0, u_stated, np.inf, 0.0, 0.0, np.inf, nan, nan, nan, nothing, nothing, u_stated)
