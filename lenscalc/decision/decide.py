"""The decision on a label: would a lens of this index conform if it were cut to these dimensions?"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from lenscalc.errors import InputError
from lenscalc.quantities import numbers
from lenscalc.uncertainty import conformance_probability, coverage_factor, nonconformance_probability

REQUIRED_PROBABILITY = 0.95

WOULD = "would conform if cut to these dimensions"
WOULD_NOT = "would not conform if cut to these dimensions"
UNDECIDED = "not decided: the power lies too near a limit for its uncertainty"
SIDE_OPEN = "so near a limit that its u leaves open on which side of it the power lies"  # of a power outside its limits that is not decided

RULE = (
    "decided where the conformance probability (JCGM 106) reaches the required one, or falls to one minus it; "
    "the guarded acceptance limits beside it lie inside the tolerance by U, k for 95 %"
)


class Decision(NamedTuple):
    """Limits [D], probabilities and verdicts; arrays, one entry a case."""

    lower_limit_D: Any
    upper_limit_D: Any
    acceptance_lower_D: Any
    acceptance_upper_D: Any
    conformance_probability: Any
    lot_off_probability: Any
    verdict: Any


def refuse_per_cent(required_probability: Any) -> None:
    """A required probability is a fraction.

    Raises
    ------
    InputError
        for one outside 0 to 1.

    >>> refuse_per_cent(95)
    Traceback (most recent call last):
    lenscalc.errors.InputError: required_probability = 95: must be 0 to 1; is it in per cent?
    """
    (p,) = numbers(required_probability=required_probability)
    for beyond in p[(p < 0) | (p > 1)]:
        raise InputError(f"required_probability = {beyond:g}: must be 0 to 1; is it in per cent?", quantity="required_probability")


def in_few_words(verdict: str) -> str:
    """A verdict for a narrow column, without what it hangs on; any other text as it is.

    >>> in_few_words(WOULD), in_few_words(WOULD_NOT), in_few_words(UNDECIDED)
    ('would conform', 'would not conform', 'not decided')
    """
    return {WOULD: "would conform", WOULD_NOT: "would not conform", UNDECIDED: "not decided"}.get(verdict, verdict)


def outside_text(verdict: str, *, by_radii: bool = True) -> str:
    """What a smaller uncertainty does to a power outside its limits, and what brings it in: other radii, where there are any that give its label.

    >>> outside_text(WOULD_NOT)
    'A smaller uncertainty cannot bring it in; other radii can.'
    >>> outside_text(UNDECIDED)
    'A smaller u would decide which, and does not move the power in; other radii do.'
    """
    if verdict == UNDECIDED:
        mends = "; other radii do" if by_radii else ""
        return f"A smaller u would decide which, and does not move the power in{mends}."
    return f"A smaller uncertainty cannot bring it in{'; other radii can' if by_radii else ''}."


def decide(
    power_D: Any,
    u_power_D: Any,
    dof: Any,
    u_common_D: Any,
    dof_common: Any,
    label_D: Any,
    tolerance_D: Any,
    required_probability: Any = REQUIRED_PROBABILITY,
) -> Decision:
    """Decide a computed power against a label given independently of the reading (JCGM 106:2012, clauses 7 and 8).

    The probability that the lot is off uses the common part of the uncertainty alone: it asks whether the mean power of all its lenses, cut
    to these dimensions, lies outside the tolerance. Where the guard band leaves no acceptance zone, its limits are nan;
    where something is missing, the verdict is empty.

    Raises
    ------
    InputError
        for a required probability outside 0 to 1, and for what is no number.

    >>> import numpy as np
    >>> d = decide(*(np.array([x]) for x in (20.47, 0.05, np.inf, 0.04, np.inf, 20.5, 0.4)))
    >>> d.verdict[0], round(float(d.conformance_probability[0]), 6)
    ('would conform if cut to these dimensions', 1.0)
    """
    refuse_per_cent(required_probability)
    power_D, u_power_D, dof, u_common_D, dof_common, label_D, tolerance_D, required_probability = numbers(
        power_D=power_D, u_power_D=u_power_D, dof=dof, u_common_D=u_common_D, dof_common=dof_common, label_D=label_D, tolerance_D=tolerance_D,
        required_probability=required_probability,
    )  # fmt: skip
    lower, upper = label_D - tolerance_D, label_D + tolerance_D
    p = conformance_probability(power_D, u_power_D, lower, upper, dof)
    off = nonconformance_probability(power_D, u_common_D, lower, upper, dof_common)
    guard = np.where(u_power_D == 0, 0.0, coverage_factor(0.95, dof) * u_power_D)
    none_left = 2.0 * guard >= upper - lower
    verdict = np.where(p >= required_probability, WOULD, np.where(p <= 1.0 - required_probability, WOULD_NOT, UNDECIDED))
    verdict = np.where(np.isnan(p), "", verdict).astype(object)
    return Decision(lower, upper, np.where(none_left, np.nan, lower + guard), np.where(none_left, np.nan, upper - guard), p, off, verdict)


def proposed_label_D(power_D: Any) -> Any:
    """The nearest half dioptre: a proposal, nothing more. Labels come in half dioptres (common practice, no source).

    >>> float(proposed_label_D(20.469666))
    20.5
    """
    return np.round(power_D * 2.0) / 2.0
