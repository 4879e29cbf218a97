"""Propagation of distributions by random trials of any vectorised model (JCGM 101:2008)."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from itertools import repeat
from math import ceil
from typing import Any

import numpy as np

from lenscalc.errors import InputError
from lenscalc.quantities import FloatArray, single_numbers, whole_number
from lenscalc.uncertainty.blocks import before_blocks, cores, generator, in_order
from lenscalc.uncertainty.draws import drawn, factor_of
from lenscalc.uncertainty.histogram import BINS, Histogram
from lenscalc.uncertainty.input import Input, check_inputs
from lenscalc.uncertainty.kept_trials import KeptBlocks, Task, Trials
from lenscalc.uncertainty.propagate import correlation_matrix, propagate

MOST = 200_000_000  # where an adaptive run ends that does not settle
TOGETHER = 8  # blocks a thread works at before it hands back: what is added up per hand-over (a histogram) is large beside one block


def run_trials(
    model: Callable[..., Any],
    inputs: Mapping[str, Input],
    correlation: Any | Mapping[tuple[str, str], float] | None = None,
    trials: int | None = None,
    digits: int = 2,
    *,
    seed: int = 1,
    probability: float = 0.95,
    workers: int | None = None,
    validate: bool = False,
    on_progress: Callable[[int, int], object] | None = None,
) -> Trials:
    """Mean, u and coverage intervals of `model(**arrays)` by trials (JCGM 101:2008, clause 7).

    With trials=None blocks of M = max(⌈100/(1 − probability)⌉, 10⁴) trials are run until twice the standard deviation of the averages of mean, u and
    both ends lies within δ (7.9.4; looked at after every 8 blocks, at most 2·10⁸ trials); with `validate` within δ/5, and the linear result stands
    beside it (clause 8). A block has its own random numbers, spawned from the seed, and blocks are added up in their order: the result has the same
    bits on any number of `workers` (None: every core). Memory does not grow with the trials: means are carried along, intervals are read from a
    histogram of 131 072 bins that no value falls out of (`histogram.Histogram` states its error).

    `on_progress(done, total)` is called after every 8 blocks (total is an estimate in an adaptive run). If it returns False or raises, or on a
    keyboard interrupt, the run ends and what has been run is returned, marked `stopped`.

    Not for a result without a standard deviation: a t of ν ≤ 2 is refused. Correlated inputs must be normal. The model sees arrays of one length, in
    several threads at once, and gives an array of that length.

    Raises
    ------
    InputError
        for inputs, correlations, probability (up to 0.9999), digits (1 to 3) or trials that cannot be, and for a model that gives no finite number.

    >>> r = run_trials(lambda a, b: a + b, {"a": Input(1.0, 0.3, "rectangular"), "b": Input(2.0, 0.3, "rectangular")}, trials=1_000_000)
    >>> round(r.mean, 2), round(r.u, 2), [round(x, 2) for x in r.interval]                  # exact: 3, 0.424, 3 ± 0.807
    (3.0, 0.42, [2.19, 3.81])
    """
    check_inputs(inputs)
    check_spread(inputs)
    _check(trials, digits, probability, seed)
    factor = factor_of(inputs, correlation_matrix(list(inputs), correlation))
    linear = propagate(model, inputs, correlation) if validate else None
    block = max(ceil(100.0 / (1.0 - probability) - 1e-6), 10_000)
    goal = 0.2 if validate else 1.0

    def outputs(size: int, random: np.random.Generator) -> FloatArray:
        return values_of(model, drawn(inputs, factor, size, random), size)

    # where the histogram's bins are finest, and where about the ends lie, is read from a block of its own
    first = outputs(10_000, before_blocks(seed))
    histogram = _histogram_for(first)
    low, high = np.quantile(first - histogram.middle, [1.0 - probability, probability])  # twice the tail: more than lie beyond the ends
    kept = KeptBlocks(histogram, (float(low), float(high)), block, probability)

    def task(index: int, size: int) -> Task:
        random = generator(seed, index)
        bins = np.empty(size, dtype=np.intp)
        rows = np.empty((-(-size // block), 5))
        ends = np.empty((len(rows), 2))
        for row, start in enumerate(range(0, size, block)):
            d = outputs(min(block, size - start), random) - histogram.middle
            bins[start : start + block] = histogram.bins(d)
            ends[row] = d.min(), d.max()
            rows[row] = kept.row(d)
        counts = np.bincount(bins, minlength=BINS + 1)
        return Task(rows, counts, histogram.middle + ends.min(), histogram.middle + ends.max())

    wanted = MOST if trials is None else int(trials)
    reason = ""
    results = in_order(task, _sizes(wanted, TOGETHER * block), cores(workers))
    try:
        for result in results:
            kept.add(result)
            done = trials is None and kept.settled(digits, goal)
            total = kept.trials if done else kept.estimate(wanted, trials, digits, goal)
            reason = _heard(on_progress, kept.trials, total)
            if reason or done:
                break
    except KeyboardInterrupt:
        if not kept.trials:
            raise
        reason = "interrupted"
    finally:
        results.close()
    return kept.result(digits, goal, seed, "" if kept.trials == trials else reason, linear)


def _histogram_for(y: FloatArray) -> Histogram:
    low, middle, high = (float(x) for x in np.quantile(y, [0.16, 0.5, 0.84]))
    # most values can be one and the same, or all
    scale = (high - low) or float(np.std(y))
    return Histogram(middle, max(scale, 1e-12 * abs(middle)) or 1.0)


def _heard(on_progress: Callable[[int, int], object] | None, done: int, total: int) -> str:
    """Why whoever watches wants the run to end; nothing if not."""
    if on_progress is None:
        return ""
    try:
        return "on_progress gave False" if on_progress(done, total) is False else ""
    except Exception as error:  # whatever it is: what has been run is not lost by it, and the result says it
        return f"on_progress raised {type(error).__name__}: {error}"


def check_spread(inputs: Mapping[str, Input]) -> None:
    """Refuse draws without a standard deviation."""
    for name, x in inputs.items():
        if x.distribution in ("normal", "t") and x.dof <= 2 and x.u > 0:
            raise InputError(
                f"dof of {name} = {x.dof:g}: a t of 2 or fewer degrees of freedom has no standard deviation; take more readings, or u from pooled "
                "history",
                quantity=name,
                value=x.dof,
            )


def _check(trials: int | None, digits: int, probability: float, seed: int) -> None:
    whole_number("seed", seed, 0)
    (probability,) = single_numbers(probability=probability)
    if not 0.0 < probability <= 0.9999:
        raise InputError(
            f"probability = {probability:g}: must lie above 0 and at or below 0.9999 (0.95, not 95)", quantity="probability", value=probability
        )
    if digits not in (1, 2, 3):
        raise InputError(f"digits = {digits}: significant digits of u, 1, 2 or 3", quantity="digits", value=digits)
    if trials is not None:
        whole_number("trials", trials, 10_000, why="fewer leave the ends of an interval to chance")


def values_of(model: Callable[..., Any], arrays: Mapping[str, FloatArray], size: int) -> FloatArray:
    """The model's values, one a trial, each a finite number."""
    with np.errstate(all="ignore"):
        y = np.asarray(model(**arrays))
    if y.shape not in ((size,), ()) or y.dtype.kind not in "fiub":
        raise InputError(f"the model gives {y.dtype} of shape {y.shape} for {size} trials: it must give one real number a trial")
    y = np.broadcast_to(y, (size,)).astype(np.float64, copy=False)
    bad = ~np.isfinite(y)
    if bad.any():
        at = ", ".join(f"{name} = {x[bad][0]:g}" for name, x in arrays.items())
        raise InputError(f"the model gives no finite number in {int(bad.sum())} of {size} trials, the first at {at}")
    return y


def _sizes(total: int, together: int) -> Iterator[int]:
    yield from repeat(together, total // together)
    if total % together:
        yield total % together
