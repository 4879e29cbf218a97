"""The index error in proportion: the implant's power as one line among what else scatters the refraction after surgery, and as a bias of a lot."""

from __future__ import annotations

from typing import NamedTuple

from lenscalc.errors import InputError
from lenscalc.quantities import single_numbers
from lenscalc.uncertainty import BudgetLine, Estimate, Source, budget, errors_only
from lenscalc.uncertainty.rounding import fixed, percent

# Norrby, J. Cataract Refract. Surg. 34 (2008) 368: shares of the variance and the mean absolute error, in the abstract, which was read. The abstract
# itemises 88 % of it; the cornea is within the rest. Volume and page from memory.
SHARES = {
    "implant position, foreseen": 0.35,
    "refraction, determined afterwards": 0.27,
    "axial length, measured": 0.17,
    "pupil size": 0.08,
    "implant power": 0.01,
    "the rest, the cornea among it": 0.12,
}
MEAN_ABSOLUTE_ERROR_D = 0.6
STANDARD_DEVIATION_D = MEAN_ABSOLUTE_ERROR_D * (3.141592653589793 / 2.0) ** 0.5  # of a normal distribution with this mean absolute error


class InProportion(NamedTuple):
    """The outcome's scatter as an estimate about 0 [D], its budget with the implant's power as one line, the lot's bias [D], and both in words."""

    scatter_D: Estimate
    lines: list[BudgetLine]
    lot_bias_D: float
    sentence: str


def in_proportion(*, power_scatter_D: float | None = None, lot_bias_D: float = 0.0) -> InProportion:
    """The published scatter of the refraction after surgery, with this lot's power in it.

    Parameters
    ----------
    power_scatter_D : float, optional [D, at the spectacle plane]
        standard deviation of the refraction from the power of the lot's single lenses; without it the published 1 %.
    lot_bias_D : float [D, at the spectacle plane]
        change of refraction from an error that all lenses of the lot share, such as of its index.

    Raises
    ------
    InputError
        for a scatter below 0.

    References
    ----------
    Norrby 2008 (abstract): position 35 %, refraction 27 %, axial length 17 %, pupil 8 %, implant power 1 % of the variance; mean absolute error
    0.6 D. The shares go with the measurements of their day.

    Examples
    --------
    >>> seen = in_proportion(lot_bias_D=-0.09)
    >>> for line in seen.lines:
    ...     print(f"{line.source:<34} {line.part:.2f} D {100 * line.share:3.0f} %")
    implant position, foreseen         0.44 D  35 %
    refraction, determined afterwards  0.39 D  27 %
    axial length, measured             0.31 D  17 %
    the rest, the cornea among it      0.26 D  12 %
    pupil size                         0.21 D   8 %
    implant power                      0.08 D   1 %
    """
    (lot_bias_D,) = single_numbers(lot_bias_D=lot_bias_D)
    if power_scatter_D is not None:
        (power_scatter_D,) = single_numbers(power_scatter_D=power_scatter_D)
    if power_scatter_D is not None and not power_scatter_D >= 0:
        raise InputError(f"power_scatter_D = {power_scatter_D:g} D: a standard deviation must be 0 or more", quantity="power_scatter_D")
    if not abs(lot_bias_D) < float("inf"):
        raise InputError(f"lot_bias_D = {lot_bias_D:g} D: must be a number", quantity="lot_bias_D")
    parts = {Source(name, "lens"): share**0.5 * STANDARD_DEVIATION_D for name, share in SHARES.items()}
    if power_scatter_D is not None:
        parts[Source("implant power", "lens")] = power_scatter_D
    scatter = errors_only(parts)
    lines = budget(scatter)
    share = sum(line.share for line in lines if line.source == "implant power")
    return InProportion(scatter, lines, lot_bias_D, _sentence(share, float(scatter.u), lot_bias_D))


def _sentence(share: float, scatter_D: float, bias_D: float) -> str:
    return (
        f"The power of single lenses makes {percent(share)} of the variance of the refraction after surgery, whose standard deviation is "
        f"{scatter_D:.2f} D by published figures. An error of the lot's index is not in it: that moves the refraction of every eye with a lens of "
        f"the lot by the same {fixed(bias_D, 2, '+')} D, and no number of eyes averages it away."
    )
