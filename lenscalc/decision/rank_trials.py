"""The distribution of ranks by random trials: one error of the calibration for all candidates of a trial."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final, NamedTuple

import numpy as np

from lenscalc.decision.better import squared_own_part
from lenscalc.decision.criterion import Direction, departure
from lenscalc.errors import InputError
from lenscalc.quantities import FloatArray, counted, numbers, whole_number
from lenscalc.uncertainty.blocks import cores, generator, in_order

TRIALS: Final = 100_000
COVERED: Final = 0.95

_DRAWS: Final = 1 << 19  # numbers of one block: a block's size follows from the candidates alone, so that the bits do not depend on the machine


class RankTrials(NamedTuple):
    """Ranks by trials, in the order of the candidates given.

    `probability[i, r]`: that candidate i has rank r + 1. `mean_rank`; `rank_lower`, `rank_upper`: the ranks between which it lies with 95 %;
    `better_than_next_probability`: that it has the better score than the candidate after it (nan for the last).
    """

    probability: FloatArray
    mean_rank: FloatArray
    rank_lower: FloatArray
    rank_upper: FloatArray
    better_than_next_probability: FloatArray
    trials: int
    seed: int


def rank_trials(
    values: Any,
    *,
    u: Any = 0.0,
    calibration_part: Any = 0.0,
    directions: Direction | Sequence[Direction] = "high",
    targets: Any = None,
    weights: Any = 1.0,
    trials: int = TRIALS,
    seed: int = 1,
    workers: int | None = None,
) -> RankTrials:
    """Draw all candidates' values again and again and count the ranks.

    In a trial one normal number is the error of the calibration, for all candidates and criteria alike, each times its own signed part; what remains
    of every u is drawn independently. The score is −Σ weight·departure over the criteria; candidates of equal score share their ranks by lot. The
    same seed gives the same bits on any number of cores. Memory grows with the square of the number of candidates: it is meant for a short list.

    Parameters
    ----------
    values, u, calibration_part : arrays of shape (candidates,) or (candidates, criteria)
        values, their standard uncertainties, and the signed parts of these from the shared calibration.
    directions : one for all criteria, or one a criterion
        "low", "high" or "near".
    targets : sequence with one entry a criterion, optional
        what "near" is near to: a number, or an array with one a candidate.
    weights : number or one a criterion
        of the departures, per unit of the criterion.
    trials, seed, workers
        how many, the seed of the random numbers, the number of threads (all cores by default).

    Returns
    -------
    RankTrials

    Raises
    ------
    InputError
        for values, uncertainties or weights that are not finite, an uncertainty below 0, a calibration part larger than the whole u, fewer than one
        trial, or directions, targets or weights that are not one a criterion.

    Three candidates of which nothing is known but that they are alike have each rank with probability 1/3:

    >>> found = rank_trials([20.0, 20.0, 20.0], u=0.1)
    >>> bool((abs(found.probability - 1 / 3) < 0.005).all()), round(float(found.mean_rank[0]), 1)
    (True, 2.0)
    """
    (table,) = numbers(values=values)
    table = table.reshape(len(table), int(np.prod(table.shape[1:]))) if table.ndim else table.reshape(1, 1)
    many, criteria = table.shape
    trials = whole_number("trials", trials, 1)
    whole_number("seed", seed, 0)
    if not np.all(np.isfinite(table)):
        raise InputError("a value is missing or infinite; leave such a candidate out before")
    u_all, parts = (_like(name, a, table.shape) for name, a in (("u", u), ("calibration_part", calibration_part)))
    if not np.all(np.isfinite(u_all) & np.isfinite(parts)):
        raise InputError("an uncertainty is missing or infinite; leave such a candidate out before")
    own = np.sqrt(squared_own_part(u_all, parts))
    ways: list[Direction] = [directions] * criteria if isinstance(directions, str) else list(directions)
    aims: list[Any] = [None] * criteria if targets is None else list(targets)
    (weight,) = numbers(weights=weights)
    for what, size in (("directions", len(ways)), ("targets", len(aims)), ("weights", weight.size if weight.ndim else criteria)):
        if size != criteria:
            raise InputError(f"{what}: {size} for {counted(criteria, 'criterion', 'criteria')}; give one for each", quantity=what)
    weight = np.broadcast_to(weight, (criteria,))
    if not np.all(np.isfinite(weight)):
        raise InputError("a weight is missing or infinite; leave a criterion out that shall not count", quantity="weights")
    for aim in aims:
        if np.shape(aim) not in ((), (many,)):
            raise InputError(f"a target of shape {np.shape(aim)} does not go with {counted(many, 'candidate')}", quantity="targets")
    if many == 0:
        none = np.zeros(0)
        return RankTrials(np.zeros((0, 0)), none, none, none, none, trials, seed)

    def block(number: int, size: int) -> tuple[Any, Any]:
        random = generator(seed, number)
        shared = random.standard_normal((size, 1))
        score = np.zeros((size, many))
        for j in range(criteria):
            drawn = np.tile(table[:, j], (size, 1))
            if np.any(parts[:, j]):
                drawn += shared * parts[:, j]
            if np.any(own[:, j]):
                drawn += own[:, j] * random.standard_normal((size, many))
            score -= weight[j] * departure(drawn, ways[j], aims[j])
        order = np.argsort(-score, axis=1, kind="stable")
        ordered = np.take_along_axis(score, order, axis=1)
        if np.any(ordered[:, 1:] == ordered[:, :-1]):
            order = np.lexsort((random.random((size, many)), -score), axis=1)
        counts = np.bincount((order * many + np.arange(many)).ravel(), minlength=many * many).reshape(many, many)
        wins = (score[:, :-1] > score[:, 1:]).sum(axis=0) + 0.5 * (score[:, :-1] == score[:, 1:]).sum(axis=0)
        return counts, wins

    rows = max(1, _DRAWS // many)
    sizes = [min(rows, trials - start) for start in range(0, trials, rows)]
    counts, wins = np.zeros((many, many), dtype=np.int64), np.zeros(many - 1)
    for found, won in in_order(block, sizes, cores(workers)):
        counts += found
        wins += won
    p = counts / trials
    upto = np.cumsum(counts, axis=1)
    low, high = (1 + np.argmax(upto >= q * trials, axis=1) for q in ((1 - COVERED) / 2, (1 + COVERED) / 2))
    return RankTrials(
        p, p @ np.arange(1.0, many + 1.0), low.astype(np.float64), high.astype(np.float64), np.append(wins / trials, np.nan), trials, seed
    )


def _like(name: str, a: Any, shape: tuple[int, ...]) -> FloatArray:
    (array,) = numbers(**{name: a})
    try:
        return np.broadcast_to(array[:, np.newaxis] if array.ndim == 1 else array, shape)
    except ValueError:
        whose = f"{counted(shape[0], 'candidate')} and {counted(shape[1], 'criterion', 'criteria')}"
        raise InputError(f"an array of shape {array.shape} does not go with {whose}") from None
