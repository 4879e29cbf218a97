"""Whether a change of the refraction would be noticed: set beside the step in which refraction is measured, and the depth of focus of an eye."""

from __future__ import annotations

from typing import Final

from lenscalc.errors import InputError
from lenscalc.quantities import single_numbers
from lenscalc.uncertainty.rounding import figure

USUAL_STEP_D: Final = 0.25  # common practice, no source
DEPTH_OF_FOCUS_D: Final = 0.3  # either way, at a pupil of 3 to 4 mm
# Both abstracts were read; journal, volume and page of the second, and the authors named below, from memory.
DEPTH_FROM = (
    "F. W. Campbell, The depth of field of the human eye, thesis, Glasgow 1959 (abstract): no less than about ±0.3 D at a pupil of 3 mm; "
    "D. A. Atchison, W. N. Charman, R. L. Woods, Optom. Vis. Sci. 74 (1997) 511 (abstract): 0.59 D from end to end at 4 mm, in the mean of five"
)


def would_be_noticed(shift_D: float, *, u_D: float = 0.0) -> str:
    """Two sentences on a change of the refraction; they decide nothing about a person.

    Parameters
    ----------
    shift_D : float [D, at the spectacle plane]
        the refraction with the change minus the refraction without.
    u_D : float [D]
        its standard uncertainty: two of it either way are looked at.

    Raises
    ------
    InputError
        for a shift that is no number, or an uncertainty below 0.

    References
    ----------
    The step of 0.25 D: common practice, no source. The depth of focus: `DEPTH_FROM`; it depends on pupil, light, target and criterion, and others
    found more (K. N. Ogle and J. T. Schwartz, J. Opt. Soc. Am. 49 (1959) 273, abstract: 0.63 to 0.94 D from end to end).

    Examples
    --------
    >>> print(would_be_noticed(-0.15))
    Hardly, by itself: 0.15 D is less than the usual step of a prescription, 0.25 D, and within an eye's depth of focus, about ±0.3 D. What it means for a person, a licensed practitioner judges.
    >>> would_be_noticed(0.4)[:49], would_be_noticed(-0.27)[:48], would_be_noticed(0.0)
    ('Probably: 0.40 D reaches the usual step of a pres', 'Perhaps: 0.27 D reaches the usual step of a pres', 'No: the refraction stays where it is.')
    """  # noqa: E501
    shift_D, u_D = single_numbers(shift_D=shift_D, u_D=u_D)
    if not abs(shift_D) < float("inf") or not 0 <= u_D < float("inf"):
        told = f"refraction_shift_D = {shift_D:g} D, u {u_D:g} D: must be a number, with an uncertainty of 0 or more"
        raise InputError(told, quantity="refraction_shift_D")
    if not round(abs(shift_D) + u_D, 3):
        return "No: the refraction stays where it is."
    size = round(abs(shift_D), 3)  # as it is printed beside a limit, and so compared
    least, most = size - 2.0 * u_D, size + 2.0 * u_D
    less, reaches = most < USUAL_STEP_D, least >= USUAL_STEP_D  # whoever has the step reaches it
    within, beyond = most <= DEPTH_OF_FOCUS_D, least > DEPTH_OF_FOCUS_D  # its end is within it
    answer = "Hardly, by itself" if less else "Probably" if beyond else "Perhaps"
    near = size < 0.02 or round(size, 2) in (USUAL_STEP_D, DEPTH_OF_FOCUS_D)  # two decimals would print the limit itself
    told = f"{figure(abs(shift_D), u_D, 'D')}," if u_D else f"{size:.{3 if near else 2}f} D"
    first = "is less than" if less else "reaches" if reaches else "may be less or more than"
    then = "and goes beyond" if beyond else "but is within" if reaches and within else "and within" if within else "and may be within or beyond"
    return (
        f"{answer}: {told} {first} the usual step of a prescription, {USUAL_STEP_D:g} D, {then} an eye's depth of focus, about "
        f"±{DEPTH_OF_FOCUS_D:g} D. "
        "What it means for a person, a licensed practitioner judges."
    )
