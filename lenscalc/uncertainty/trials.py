"""The interval of an estimate by trials: every source drawn from its own distribution (JCGM 101:2008)."""

from __future__ import annotations

from math import inf, isfinite
from typing import NamedTuple

import numpy as np

from lenscalc.errors import InputError
from lenscalc.quantities import FloatArray, single_numbers, whole_number
from lenscalc.uncertainty.draws import draw
from lenscalc.uncertainty.estimate import Estimate
from lenscalc.uncertainty.source import Source


class TrialInterval(NamedTuple):
    """Ends of the probabilistically symmetric interval, and the standard deviation of the trials."""

    lower: float
    upper: float
    spread: float


def interval_by_trials(estimate: Estimate, probability: float = 0.95, *, trials: int = 100_000, seed: int = 1, case: int = 0) -> TrialInterval:
    """Interval of one case of an estimate by random trials of its sources.

    The value is linear in its sources, and each is drawn as its kind says: a type A line of ν degrees of freedom as u·t_ν (JCGM 101:2008, 6.4.9: the
    scaled and shifted t, whose spread is wider than u), a rectangular one as u·√3·(−1…1). Where a rectangular line or few replicates rule, the linear
    interval k·u covers more than it says; this one does not.

    Raises
    ------
    InputError
        for a probability outside 0 to 1, or fewer than 1000 trials.

    >>> e = Estimate(1.49, {Source("resolution", distribution="rectangular"): 1e-4 / 12**0.5})
    >>> i = interval_by_trials(e)
    >>> f"{(i.upper - i.lower) / 2:.2e}"                 # 95 % of the half-width 5e-5
    '4.75e-05'
    """
    whole_number("seed", seed, 0)
    trials = whole_number("trials", trials, 1000, why="fewer leave the ends of an interval to chance")
    (probability,) = single_numbers(probability=probability)
    if not 0.0 < probability < 1.0:
        raise InputError(f"probability = {probability:g}: must lie between 0 and 1", quantity="probability", value=probability)
    random = np.random.default_rng(seed)
    total = np.zeros(trials)
    shape = np.shape(estimate.value)
    normal = 0.0
    for source, part in estimate.parts.items():
        own = float(np.broadcast_to(part, shape).ravel()[case])
        if source.dof == inf and source.distribution in ("normal", "t"):
            normal += own * own
        elif own != 0:
            total += own * draws(source, trials, random)
    if normal:  # however many normal sources there are, their sum is one normal
        total += normal**0.5 * random.standard_normal(trials)
    value = float(np.ravel(estimate.value)[case])
    tail = (1.0 - probability) / 2.0
    lower, upper = np.quantile(total, [tail, 1.0 - tail])
    return TrialInterval(value + float(lower), value + float(upper), float(np.std(total)))


def draws(source: Source, trials: int, random: np.random.Generator) -> FloatArray:
    """Draws of a source in units of its u: t with its degrees of freedom where these are finite, else its distribution with standard deviation 1."""
    return draw("t" if isfinite(source.dof) else source.distribution, source.dof, 0.0, trials, random)
