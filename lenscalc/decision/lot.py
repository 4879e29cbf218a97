"""A lot is not one lens: the error of the index is common to all its lenses, dimensions differ from lens to lens.

Treated as independent from lens to lens, a common error would average out over the lot; it does not: it moves all of them together.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final, NamedTuple

import numpy as np

from lenscalc.errors import InputError
from lenscalc.quantities import numbers, whole_number
from lenscalc.uncertainty import conformance_probability, nonconformance_probability
from lenscalc.uncertainty.conformity import refuse_swapped, t_density
from lenscalc.uncertainty.panels import about, over_panels, vanished

WANTED_YIELD: Final = 0.95
LOW_QUANTILE: Final = 0.05
LENSES: Final = 1000

_BISECTIONS: Final = 80
_NOTHING_D: Final = 1e-100
_ARGUMENTS: Final = ("power_D", "u_common_D", "u_individual_D", "lower_D", "upper_D", "dof_common", "asked")


class LotForecast(NamedTuple):
    """What to expect of a lot cut to one set of dimensions; fractions and probabilities.

    `expected_yield`: of the lenses within the limits, averaged over the common error. `yield_quantile`: the yield that is missed with the low
    probability asked for. `yield_below_probability`: that the yield is below the wanted one. `lot_off_probability`: that the mean power of the
    lot lies outside the limits. `all_off_probability`, `none_off_probability`: that every one of its lenses is off, or none.
    """

    expected_yield: Any
    yield_quantile: Any
    yield_below_probability: Any
    lot_off_probability: Any
    all_off_probability: Any
    none_off_probability: Any


def lot_forecast(
    power_D: Any,
    u_common_D: Any,
    u_individual_D: Any,
    lower_D: Any,
    upper_D: Any,
    *,
    dof_common: Any = np.inf,
    wanted_yield: Any = WANTED_YIELD,
    lenses: Any = LENSES,
    low_probability: Any = LOW_QUANTILE,
) -> LotForecast:
    """Yield of a lot of lenses that share one error (common part of u) and have each its own (individual part, normal).

    The common part is normal, or with finite `dof_common` a scaled and shifted Student t. Plain numbers or arrays that broadcast. Plain numpy.

    Raises
    ------
    InputError
        for an uncertainty below 0, a lower limit above the upper one, a limit that is infinite, a yield or probability outside 0 to 1, or a number
        of lenses that is not whole, or below one.

    >>> f = lot_forecast(20.5, 0.2, 0.05, 20.1, 20.9)
    >>> round(float(f.expected_yield), 3), round(float(f.yield_quantile), 3), round(float(f.all_off_probability), 3)
    (0.948, 0.564, 0.005)
    """
    common = (power_D, u_common_D, u_individual_D, lower_D, upper_D, dof_common)
    return LotForecast(
        expected_yield(*common[:5], dof_common=dof_common),
        yield_quantile(*common[:5], dof_common=dof_common, probability=low_probability),
        yield_below_probability(*common[:5], dof_common=dof_common, wanted_yield=wanted_yield),
        nonconformance_probability(power_D, u_common_D, lower_D, upper_D, dof_common),
        all_off_probability(*common[:5], dof_common=dof_common, lenses=lenses),
        none_off_probability(*common[:5], dof_common=dof_common, lenses=lenses),
    )


def expected_yield(power_D: Any, u_common_D: Any, u_individual_D: Any, lower_D: Any, upper_D: Any, *, dof_common: Any = np.inf) -> Any:
    """Fraction of the lenses of a lot within the limits, averaged over the common error.

    Where the common part is normal this is the conformance probability of one lens taken from the lot. What the two do not share is the spread about
    it: see `yield_quantile`.

    Accuracy: 3e-16 relative, over normal errors.

    >>> round(float(expected_yield(20.5, 0.2, 0.05, 20.1, 20.9)), 4)
    0.9477
    """
    power, u_c, u_i, lower, upper, dof, shape = _checked(power_D, u_common_D, u_individual_D, lower_D, upper_D, dof_common)
    result = np.asarray(conformance_probability(power, np.hypot(u_c, u_i), lower, upper))
    few = np.isfinite(dof)
    if np.any(few):
        of_few = (x[few] for x in (power, u_c, u_i, lower, upper, dof))
        result[few] = _averaged(conformance_probability, 0.0, 1.0, *of_few)
    return result.reshape(shape)[()]


def all_off_probability(
    power_D: Any, u_common_D: Any, u_individual_D: Any, lower_D: Any, upper_D: Any, *, dof_common: Any = np.inf, lenses: Any = LENSES
) -> Any:
    """Probability that every lens of a lot of so many lies outside the limits: the mean of (1 − yield)^lenses over the common error.

    Accuracy: 5e-15 relative, over 1 to 1e9 lenses, normal errors, probabilities from 1e-12; 4e-14 from 1e-40.

    >>> round(float(all_off_probability(20.5, 0.2, 0.0, 20.1, 20.9)), 4)          # two standard uncertainties either side
    0.0455
    """
    many = float(whole_number("lenses", lenses, 1))

    def all_off(*lens: Any) -> Any:
        return _power(nonconformance_probability(*lens), conformance_probability(*lens), many)

    return _expected(all_off, 1.0, many, power_D, u_common_D, u_individual_D, lower_D, upper_D, dof_common)


def none_off_probability(
    power_D: Any, u_common_D: Any, u_individual_D: Any, lower_D: Any, upper_D: Any, *, dof_common: Any = np.inf, lenses: Any = LENSES
) -> Any:
    """Probability that every lens of a lot of so many lies within the limits: the mean of yield^lenses over the common error.

    Accuracy: 4e-14 relative, over 1 to 1e9 lenses, normal errors, probabilities from 1e-12; 4e-13 from 1e-40, by the last bit of a limit's distance.

    >>> round(float(none_off_probability(20.5, 0.2, 0.0, 20.1, 20.9)), 4)
    0.9545
    """
    many = float(whole_number("lenses", lenses, 1))

    def none_off(*lens: Any) -> Any:
        return _power(conformance_probability(*lens), nonconformance_probability(*lens), many)

    return _expected(none_off, 0.0, many, power_D, u_common_D, u_individual_D, lower_D, upper_D, dof_common)


def yield_below_probability(
    power_D: Any, u_common_D: Any, u_individual_D: Any, lower_D: Any, upper_D: Any, *, dof_common: Any = np.inf,
    wanted_yield: Any = WANTED_YIELD,
) -> Any:  # fmt: skip
    """Probability that the yield of the lot is below a wanted one.

    The yield falls steadily as the lot's mean leaves the middle of the limits, so that a yield is a distance from it, found by bisection.

    >>> round(float(yield_below_probability(20.5, 0.2, 0.05, 20.1, 20.9, wanted_yield=0.95)), 3)
    0.112
    """
    wanted = _fraction("wanted_yield", wanted_yield)
    power, u_c, u_i, lower, upper, dof, wanted, shape = _checked(power_D, u_common_D, u_individual_D, lower_D, upper_D, dof_common, wanted)
    half, off = (upper - lower) / 2.0, power - (lower + upper) / 2.0  # places are measured from the middle of the limits
    near, far = np.zeros(power.shape), vanished(half, u_i)[1]
    for _ in range(_BISECTIONS):
        d = (near + far) / 2.0
        enough = conformance_probability(d, u_i, -half, half) >= wanted
        near, far = np.where(enough, d, near), np.where(enough, far, d)
    never = conformance_probability(0.0, u_i, -half, half) < wanted
    below = nonconformance_probability(off, u_c, -far, far, dof)
    return np.where(wanted == 0.0, 0.0, np.where(never, 1.0, below)).reshape(shape)[()]


def yield_quantile(
    power_D: Any, u_common_D: Any, u_individual_D: Any, lower_D: Any, upper_D: Any, *, dof_common: Any = np.inf,
    probability: Any = LOW_QUANTILE,
) -> Any:  # fmt: skip
    """The yield that a lot falls short of with this probability only.

    >>> round(float(yield_quantile(20.5, 0.2, 0.05, 20.1, 20.9, probability=0.05)), 3)
    0.564
    """
    low = _fraction("probability", probability)
    power, u_c, u_i, lower, upper, dof, low, shape = _checked(power_D, u_common_D, u_individual_D, lower_D, upper_D, dof_common, low)
    half, off = (upper - lower) / 2.0, np.abs(power - (lower + upper) / 2.0)
    near, far = np.zeros(power.shape), off + np.where(u_c > 0, upper - lower + 100.0 * u_i + u_c, 0.0)  # no lens is good there
    for _ in range(_BISECTIONS):
        d = (near + far) / 2.0
        enough = nonconformance_probability(off, u_c, -d, d, dof) < low
        near, far = np.where(enough, near, d), np.where(enough, d, far)
    return np.asarray(conformance_probability(far, u_i, -half, half)).reshape(shape)[()]


def _power(p: Any, rest: Any, many: float) -> Any:
    """The power of p to so many, where p + rest = 1: from the smaller of the two, which has the digits."""
    with np.errstate(divide="ignore"):
        return np.exp(many * np.where(rest < 0.5, np.log1p(-rest), np.log(p)))


def _expected(g: Callable[..., Any], beyond: float, many: float, *arguments: Any) -> Any:
    power, u_c, u_i, lower, upper, dof, shape = _checked(*arguments)
    return _averaged(g, beyond, many, power, u_c, u_i, lower, upper, dof).reshape(shape)[()]


def _averaged(g: Callable[..., Any], beyond: float, many: float, power: Any, u_c: Any, u_i: Any, lower: Any, upper: Any, dof: Any) -> Any:
    """The mean over the common error of g(power, u_individual, lower, upper), which is `beyond` where no lens is good, of a lot of so many lenses."""
    from scipy.special import ndtri

    first, last = vanished(lower, u_i)[0], vanished(upper, u_i)[1]
    outside = nonconformance_probability(power, u_c, first, last, dof)
    to_lower, to_upper, a, b = (x - power for x in (lower, upper, first, last))  # measured from the power, a small common part keeps its digits
    points = [*about(to_lower, u_i), *about(to_upper, u_i), *about(np.zeros(power.shape), u_c), a, b]
    spread = np.where(u_c > _NOTHING_D, u_c, 1.0)
    for limit in (to_lower, to_upper):  # far out the common error falls off within a part of its own u, and a lot is all off, or none, right there
        points += about(limit, u_c / np.maximum(1.0, np.abs(limit / spread)))
    if many > 1.0:  # where one of so many lies beyond z, g turns within a part of u_individual; where hardly any is good, in the middle
        z = -float(ndtri(0.5 / many))
        for place in ((to_lower + to_upper) / 2.0, *(limit + side * z * u_i for limit in (to_lower, to_upper) for side in (-1.0, 1.0))):
            points += about(place, u_i / max(z, 1.0))

    def part(error: Any) -> Any:
        return g(error, u_i, to_lower, to_upper) * t_density(error / spread, dof) / spread

    with np.errstate(over="ignore", invalid="ignore", under="ignore"):
        inside = over_panels(part, np.clip(np.stack(points), a, b))
    return np.where(u_c > _NOTHING_D, inside + beyond * outside, g(power, u_i, lower, upper))


def _checked(*arguments: Any) -> tuple[Any, ...]:
    arrays = numbers(**dict(zip(_ARGUMENTS, arguments, strict=False)))
    shape = arrays[0].shape
    power, u_c, u_i, lower, upper, dof, *more = (a.ravel() for a in arrays)
    power = np.where(np.isnan(arrays).any(axis=0).ravel(), np.nan, power)  # of a lot of which something is missing nothing is said
    for name, u in (("u_common_D", u_c), ("u_individual_D", u_i)):
        if np.any(u < 0):
            raise InputError(f"{name} = {float(u[u < 0][0]):g} D: a standard uncertainty must be 0 or more", quantity=name)
    if np.any(dof <= 0):
        raise InputError(f"dof_common = {float(dof[dof <= 0][0]):g}: degrees of freedom must be above 0", quantity="dof_common")
    refuse_swapped(lower, upper, "lower_D", "upper_D")
    if np.any(np.isinf(lower) | np.isinf(upper)):
        raise InputError("the yield of a lot needs two finite limits; of one limit the conformance probability tells", quantity="lower_D")
    return power, u_c, u_i, lower, upper, dof, *more, shape


def _fraction(name: str, value: Any) -> Any:
    (a,) = numbers(**{name: value})
    if np.any(~((a >= 0.0) & (a <= 1.0))):
        raise InputError(f"{name} must be 0 to 1; is it a percentage? write it as a fraction", quantity=name, limits=(0.0, 1.0))
    return a
