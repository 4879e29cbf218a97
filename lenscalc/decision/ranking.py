"""Which candidates are worth making: the Pareto set, a weighted ranking, and how sure the order is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from lenscalc.decision.better import better_probability, squared_own_part
from lenscalc.decision.criterion import Criterion, departure
from lenscalc.decision.pareto import pareto_set
from lenscalc.decision.rank_trials import TRIALS, RankTrials, rank_trials
from lenscalc.errors import InputError
from lenscalc.quantities import FloatArray, counted, numbers, single_numbers, whole_number

AMONG: Final = 50
NORMALISED: Final = (
    "each criterion is 1 for the best and 0 for the worst of the candidates ranked, straight between them; the score is the mean by the weights, and "
    "changes with who takes part"
)
ASSUMED: Final = (
    "all were read on one instrument, whose calibration error is one and the same for all and is subtracted in a difference with its sign; all else "
    "is taken as independent from candidate to candidate and from criterion to criterion, and as normal"
)
ASSUMED_SEPARATE: Final = "each was read on an instrument of its own: nothing is shared; all is taken as independent, and as normal"
COMPARED: Final = (
    "“better than the next” sets a candidate against one other, “rank 1” against all at once; neither says that it would conform to its label"
)

_DECIMALS: Final = 12  # of a part of the score
_LEAST: Final = 1e-290  # stands for the largest value where all are nothing
_GRAIN: Final = 1e-13  # of the largest value: |16.1 − 16| and |15.9 − 16| differ in the last bits and are a tie


@dataclass(frozen=True, eq=False)
class Ranking:
    """A ranking; every array in the order of the ranks, `order` holding the rows that they came from.

    `rank` counts from 1, equal scores share the better rank. `parts`: criterion → its normalised value, `weights`: criterion → its weight, of sum 1.
    `pareto`: not dominated, by the values alone. `better_than_next_probability`: nan where nothing is uncertain, for the last, and beyond the short
    list where it comes from trials; `by_trials` says which way it was found. `trials`: of the short list; None where nothing is uncertain.
    """

    order: npt.NDArray[np.int64]
    rank: npt.NDArray[np.int64]
    score: FloatArray
    parts: dict[str, FloatArray]
    weights: dict[str, float]
    pareto: npt.NDArray[np.bool_]
    better_than_next_probability: FloatArray
    by_trials: bool
    trials: RankTrials | None
    remarks: tuple[str, ...]


def rank_candidates(
    values: Mapping[str, Any],
    criteria: Sequence[Criterion],
    *,
    u: Mapping[str, Any] | None = None,
    calibration_part: Mapping[str, Any] | None = None,
    trials: int = TRIALS,
    among: int = AMONG,
    seed: int = 1,
) -> Ranking:
    """Rank candidates by weighted criteria, and say how sure the order is.

    Each criterion is normalised to 1 for the best and 0 for the worst of the candidates, and the score is the mean by the weights. That is a choice
    and no measurement: it changes with the weights and with who takes part; what the Pareto set holds changes with neither weights nor scale.

    Whether a candidate is better than the next follows in closed form for one criterion, and for several whose uncertain ones are low or high; else
    from the trials of the short list. Shared is the calibration alone (see `better_probability`).

    Parameters
    ----------
    values : mapping of columns
        one number a candidate, for every criterion and every column that a criterion is near to.
    criteria : sequence of Criterion
        what is good, with weights.
    u, calibration_part : mappings of columns, optional
        standard uncertainties of the criteria, and their signed parts from the shared calibration; a criterion without is taken as exact.
    trials, among, seed
        number of trials, of the candidates in the short list, and the seed.

    Returns
    -------
    Ranking

    Raises
    ------
    InputError
        for no criterion or one twice, a weight that is not above 0, columns that are missing or of different lengths, a value that is not finite, or
        a short list without a candidate.

    >>> criteria = [Criterion("power_D", "near", 20.0, 2.0), Criterion("abbe_d", "high")]
    >>> found = rank_candidates({"power_D": [20.1, 20.5, 20.2], "abbe_d": [40.0, 45.0, 55.0]}, criteria, u={"power_D": [0.1, 0.1, 0.1]})
    >>> found.order.tolist(), [round(float(s), 3) for s in found.score], found.pareto.tolist()
    ([2, 0, 1], [0.833, 0.667, 0.111], [True, True, False])
    """
    names = [c.name for c in criteria]
    if not criteria:
        raise InputError("nothing to rank by: name at least one criterion, as in power_D:near=20 or abbe_d:high")
    twice = [name for name in names if names.count(name) > 1]
    if twice:
        raise InputError(f"the criterion {twice[0]} is named twice")
    for c in criteria:
        single_numbers(**{f"weight of {c.name}": c.weight})
        if not (c.weight > 0 and np.isfinite(c.weight)):
            raise InputError(f"weight of {c.name} = {c.weight:g}: must be above 0; leave a criterion out that shall not count", quantity=c.name)
    among = whole_number("among", among, 1)
    of_targets = [c.target for c in criteria if isinstance(c.target, str) and np.size(values.get(c.target, ())) != 1]
    _refuse_different_lengths(values, [*names, *of_targets])
    table = np.column_stack([_column(values, name) for name in names])
    many = len(table)
    aims = [np.broadcast_to(_target(values, c), (many,)) for c in criteria]
    u_all, parts_all = (np.column_stack([_optional(m, name, many) for name in names]) for m in (u, calibration_part))
    for j, name in enumerate(names):
        try:
            squared_own_part(u_all[:, j], parts_all[:, j])
        except InputError as error:
            raise InputError(f"{name}: {error}", quantity=name) from None
    whole = sum(c.weight for c in criteria)
    weights = {c.name: c.weight / whole for c in criteria}
    costs = np.column_stack([departure(table[:, j], c.direction, aims[j]) for j, c in enumerate(criteria)])
    grain = _GRAIN * np.maximum(np.abs(table), np.abs(aims).T).max(axis=0, initial=_LEAST)
    costs = np.round(costs / grain) * grain
    worst, best = (costs.max(axis=0), costs.min(axis=0)) if many else (np.zeros(len(names)), np.zeros(len(names)))
    span = worst - best
    # a criterion in which all are alike tells nobody apart; alone it still orders the trials
    scale, shares = np.where(span > 0, span, 1.0), np.array(list(weights.values()))
    part = np.round(1.0 - (costs - best) / scale, _DECIMALS)
    slope = np.where((span > 0) | (len(names) == 1), shares / scale, 0.0)
    score = np.round(part @ shares, _DECIMALS)

    keys = [*parts_all.T, *u_all.T, *costs.T, -score]  # beyond the score only so that the order does not depend on the rows' places
    order = np.lexsort(keys)
    score, part, table, u_all, parts_all = score[order], part[order], table[order], u_all[order], parts_all[order]
    aims = [a[order] for a in aims]
    rank = 1 + np.searchsorted(-score, -score)  # so many have a better score

    uncertain = np.asarray(np.any(u_all, axis=0))
    found = None
    if many and uncertain.any():
        short = slice(0, among)
        found = rank_trials(
            table[short], u=u_all[short], calibration_part=parts_all[short], directions=[c.direction for c in criteria],
            targets=[a[short] for a in aims], weights=slope, trials=trials, seed=seed,
        )  # fmt: skip
    better = np.full(many, np.nan)
    by_trials = any(uncertain[j] and c.direction == "near" for j, c in enumerate(criteria)) and len(criteria) > 1
    if found is not None and by_trials:
        better[: len(found.mean_rank)] = found.better_than_next_probability
    elif found is not None:
        better[:-1] = _in_closed_form(criteria, table, u_all, parts_all, aims, slope)
    remarks = [f"all candidates are alike in {name}: it tells nobody apart" for name, s in zip(names, span, strict=True) if many > 1 and s == 0]
    return Ranking(
        order, rank, score, {n: part[:, j] for j, n in enumerate(names)}, weights,
        pareto_set(-part) if many else np.zeros(0, dtype=bool), better, by_trials, found, tuple(remarks),
    )  # fmt: skip


def _in_closed_form(criteria: Sequence[Criterion], table: Any, u: Any, parts: Any, aims: Any, slope: Any) -> Any:
    if len(criteria) == 1:
        (only,), (aim,) = criteria, aims
        x, of_x, part = table.ravel(), u.ravel(), parts.ravel()
        return better_probability(
            x[:-1], x[1:], u=of_x[:-1], other_u=of_x[1:], calibration_part=part[:-1], other_calibration_part=part[1:],
            direction=only.direction, target=aim[:-1], other_target=aim[1:],
        )  # fmt: skip
    # what is near a target is exact here: the score is a straight function of all that is uncertain
    good = -np.column_stack([departure(table[:, j], c.direction, aims[j]) for j, c in enumerate(criteria)])
    part = (np.column_stack([departure(parts[:, j], c.direction, 0.0) for j, c in enumerate(criteria)]) * slope).sum(axis=1)
    whole = np.sqrt((squared_own_part(u, parts) * slope * slope).sum(axis=1) + part * part)
    score = np.round((good * slope).sum(axis=1), _DECIMALS)
    return better_probability(score[:-1], score[1:], u=whole[:-1], other_u=whole[1:], calibration_part=part[:-1], other_calibration_part=part[1:])


def _refuse_different_lengths(values: Mapping[str, Any], names: Sequence[str]) -> None:
    lengths = {np.size(values[name]) for name in names if name in values}
    if len(lengths) > 1:
        raise InputError(f"columns of different lengths cannot be ranked: {', '.join(str(n) for n in sorted(lengths))}")


def _column(values: Mapping[str, Any], name: str) -> FloatArray:
    if name not in values:
        raise InputError(f"the criterion {name} has no column", quantity=name)
    column = np.atleast_1d(numbers(**{name: values[name]})[0])
    if not np.all(np.isfinite(column)):
        row = int(np.flatnonzero(~np.isfinite(column))[0]) + 1
        raise InputError(f"row {row}: {name} is missing or infinite; leave such a candidate out before", quantity=name, row=row)
    return column


def _target(values: Mapping[str, Any], criterion: Criterion) -> Any:
    if criterion.direction != "near":
        return 0.0
    if isinstance(criterion.target, str):
        return _column(values, criterion.target)
    if criterion.target is None or not np.isfinite(criterion.target):
        raise InputError(f"{criterion.name}: direction near needs a target, as in {criterion.name}:near=20", quantity=criterion.name)
    return criterion.target


def _optional(given: Mapping[str, Any] | None, name: str, many: int) -> FloatArray:
    if given is None or name not in given:
        return np.zeros(many)
    (column,) = numbers(**{f"u of {name}": given[name]})
    if not np.all(np.isfinite(column)):
        raise InputError(f"an uncertainty of {name} is missing or infinite; leave such a candidate out before", quantity=name)
    if column.ndim and column.shape != (many,):
        raise InputError(f"an uncertainty of {name} for {counted(column.size, 'candidate')}, and there are {many}", quantity=name)
    return np.broadcast_to(column, (many,))
