"""Which input matters: Sobol' indices of a model by trials."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from itertools import repeat
from typing import Any

import numpy as np

from lenscalc.errors import InputError
from lenscalc.quantities import FloatArray, whole_number
from lenscalc.uncertainty.blocks import before_blocks, cores, generator, in_order
from lenscalc.uncertainty.draws import drawn
from lenscalc.uncertainty.input import Input, check_inputs
from lenscalc.uncertainty.random_trials import check_spread, values_of

BATCHES = 32  # as many independent determinations give u of the indices


@dataclass(frozen=True, eq=False)
class SobolIndices:
    """Result of `sobol_indices`, by input: the part of the variance that knowing this input alone would take away (`first`), the part that would be
    left if all others were known (`total`), and the standard uncertainties of both by the trials. `evaluations` counts the model's.
    """

    first: Mapping[str, float]
    total: Mapping[str, float]
    u_first: Mapping[str, float]
    u_total: Mapping[str, float]
    variance: float
    evaluations: int


def sobol_indices(
    model: Callable[..., Any], inputs: Mapping[str, Input], trials: int = 10_000 * BATCHES, *, seed: int = 1, workers: int | None = None
) -> SobolIndices:
    """First-order and total indices of independent inputs, with their own uncertainty.

    Two independent sets A and B of draws, and for every input A with its column from B: first order by Saltelli et al., Comput. Phys. Commun. 181
    (2010) 259, table 2 (b), S = mean(f_B·(f_AB − f_A))/V, total by Jansen, ibid. 117 (1999) 35, T = mean((f_A − f_AB)²)/2V (both from memory, to be
    confirmed against the text). The trials are 32 batches; u is the standard deviation of the batches' indices over √32. In a linear model both are
    the shares of u² of `propagate`; what total has beyond first is interaction. An index near 0 can come out below it, within its u.

    Raises
    ------
    InputError
        for inputs that cannot be, fewer than 32 000 trials, a model without variance, or one that gives no finite number.

    >>> s = sobol_indices(lambda a, b: a + 2.0 * b, {"a": Input(0.0, 1.0), "b": Input(0.0, 1.0)})                     # exact: 0.2, 0.8
    >>> round(s.first["a"], 2), round(s.total["b"], 2), s.u_total["b"] < 0.01
    (0.2, 0.8, True)
    """
    check_inputs(inputs)
    check_spread(inputs)
    whole_number("seed", seed, 0)
    size = whole_number("trials", trials, 1000 * BATCHES, why="fewer say little about an index") // BATCHES
    names = list(inputs)
    centre = float(np.mean(values_of(model, drawn(inputs, None, 10_000, before_blocks(seed)), 10_000)))

    def batch(index: int, size: int) -> FloatArray:
        """The batch's means of f_B(f_AB − f_A) and ½(f_A − f_AB)² by input, and last, twice, its variance."""
        random = generator(seed, index)
        a, b = drawn(inputs, None, size, random), drawn(inputs, None, size, random)
        # about the mean: the estimator of the first order is then less noisy, and no less right
        fa, fb = (values_of(model, x, size) - centre for x in (a, b))
        means = np.empty((len(names) + 1, 2))
        for i, name in enumerate(names):
            change = values_of(model, {**a, name: b[name]}, size) - centre - fa
            means[i] = (fb * change).mean(), 0.5 * (change * change).mean()
        means[-1] = np.var(np.concatenate([fa, fb]), ddof=1)
        return means

    by_batch = np.array(list(in_order(batch, repeat(size, BATCHES), cores(workers))))
    *means, V = by_batch.mean(axis=0)
    if not np.all(V > 0):
        raise InputError("the model does not vary with its inputs: there are no shares of a variance of 0")
    index = np.array(means) / V
    u = np.std(by_batch[:, :-1] / by_batch[:, -1:], axis=0, ddof=1) / BATCHES**0.5

    def named(column: FloatArray) -> dict[str, float]:
        return dict(zip(names, column.tolist(), strict=True))

    return SobolIndices(named(index[:, 0]), named(index[:, 1]), named(u[:, 0]), named(u[:, 1]), float(V.mean()), size * BATCHES * (len(names) + 2))
