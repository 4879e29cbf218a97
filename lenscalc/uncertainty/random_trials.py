"""Propagation of distributions by random trials of any vectorised model (JCGM 101:2008)."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from itertools import repeat
from math import ceil, isfinite
from typing import Any, NamedTuple

import numpy as np

from lenscalc.errors import InputError
from lenscalc.quantities import FloatArray
from lenscalc.uncertainty.blocks import check_seed, cores, generator, in_order
from lenscalc.uncertainty.draws import drawn, factor_of
from lenscalc.uncertainty.histogram import BINS, Histogram
from lenscalc.uncertainty.input import Input, check_inputs
from lenscalc.uncertainty.propagate import Propagated, correlation_matrix, propagate
from lenscalc.uncertainty.rounding import decimals_for, numerical_tolerance

MOST = 200_000_000  # where an adaptive run ends that does not settle
TOGETHER = 8  # blocks a thread works at before it hands back: what is added up per hand-over (a histogram) is large beside one block


class Validation(NamedTuple):
    """The linear interval beside the trials' (JCGM 101:2008, 8.1): validated where both ends lie within the tolerance δ.

    `enough` says whether the trials were settled to δ/5, as 8.2 asks for; without, `validated` is a guess.
    """

    lower_difference: float
    upper_difference: float
    tolerance: float
    validated: bool
    enough: bool


@dataclass(frozen=True, eq=False)
class Trials:
    """Result of `run_trials`.

    `interval` is the probabilistically symmetric one. `tolerance` is δ, half a unit of the last wanted digit of u; `noise` gives 2s of mean, u, lower
    and upper end, where s is the standard deviation of the average of the blocks (7.9.4), nan for fewer than two full blocks; `settled` where all of
    them lie within δ (δ/5 for a validation). `resolution` is the widest bin at the ends of an interval: by less than that the histogram can be off.
    A `stopped` run was cancelled, `stop_reason` says by what: it holds what had been run. `linear` and `validated` are None where not asked for.
    """

    mean: float
    u: float
    interval: tuple[float, float]
    shortest_interval: tuple[float, float]
    probability: float
    trials: int
    tolerance: float
    noise: Mapping[str, float]
    settled: bool
    resolution: float
    seed: int
    histogram: Histogram
    stopped: bool
    stop_reason: str
    linear: Propagated | None = None
    validated: bool | None = None

    def __str__(self) -> str:
        d = decimals_for(self.u)
        (a, b), (c, e) = self.interval, self.shortest_interval
        return (
            f"{self.mean:.{d}f}, u {self.u:.{d}f}; {100 * self.probability:g} %: {a:.{d}f} to {b:.{d}f}, shortest {c:.{d}f} to {e:.{d}f}; "
            f"{self.trials} trials{', stopped' if self.stopped else ''}"
        )

    def against(self, linear: Propagated) -> Validation:
        """Is the linear interval good enough at the tolerance of these trials?"""
        lower, upper = linear.interval(self.probability)
        below, above = abs(lower - self.interval[0]), abs(upper - self.interval[1])
        ends = max(self.noise["lower"], self.noise["upper"])
        return Validation(below, above, self.tolerance, below <= self.tolerance and above <= self.tolerance, ends <= self.tolerance / 5.0)


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
    first = outputs(10_000, generator(seed, 2**32 - 1))
    histogram = _histogram_for(first)
    low, high = np.quantile(first - histogram.middle, [1.0 - probability, probability])  # twice the tail: more than lie beyond the ends
    kept = _Kept(histogram, (float(low), float(high)), block, probability)

    def task(index: int, size: int) -> _Task:
        random = generator(seed, index)
        bins = np.empty(size, dtype=np.intp)
        rows = np.empty((-(-size // block), 5))
        least, most = np.inf, -np.inf
        for row, start in enumerate(range(0, size, block)):
            d = outputs(min(block, size - start), random) - histogram.middle
            bins[start : start + block] = histogram.bins(d)
            least, most = min(least, float(d.min())), max(most, float(d.max()))
            rows[row] = kept.row(d)
        counts = np.bincount(bins, minlength=BINS + 1)
        return _Task(rows, counts, histogram.middle + least, histogram.middle + most)

    wanted = MOST if trials is None else trials
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
    scale = (high - low) / 2.0 or float(np.std(y))
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
    check_seed(seed)
    if not 0.0 < probability <= 0.9999:
        raise InputError(
            f"probability = {probability:g}: must lie above 0 and at or below 0.9999 (0.95, not 95)", quantity="probability", value=probability
        )
    if digits not in (1, 2, 3):
        raise InputError(f"digits = {digits}: significant digits of u, 1, 2 or 3", quantity="digits", value=digits)
    if trials is not None and (trials < 10_000 or int(trials) != trials):
        raise InputError(
            f"trials = {trials}: a whole number of at least 10000; fewer leave the ends of an interval to chance", quantity="trials", value=trials
        )


def values_of(model: Callable[..., Any], arrays: Mapping[str, FloatArray], size: int) -> FloatArray:
    """The model's values, one a trial, each a finite number."""
    with np.errstate(all="ignore"):
        y = np.asarray(model(**arrays))
    if y.shape not in ((size,), ()) or y.dtype.kind not in "fiub":
        raise InputError(f"the model gives {y.dtype} of shape {y.shape} for {size} trials: it must give one real number a trial")
    y = np.broadcast_to(y, (size,)).astype(np.float64, copy=False)
    if not isfinite(float(y.sum())) and not np.all(np.isfinite(y)):
        bad = ~np.isfinite(y)
        at = ", ".join(f"{name} = {x[bad][0]:g}" for name, x in arrays.items())
        raise InputError(f"the model gives no finite number in {int(bad.sum())} of {size} trials, the first at {at}")
    return y


def _sizes(total: int, together: int) -> Iterator[int]:
    yield from repeat(together, total // together)
    if total % together:
        yield total % together


class _Task(NamedTuple):
    rows: FloatArray  # a block: trials, mean and mean square deviation about it, both ends (all from the histogram's middle)
    counts: np.ndarray
    least: float
    most: float


class _Kept:
    """What is kept of the blocks that have been run."""

    def __init__(self, histogram: Histogram, cuts: tuple[float, float], block: int, probability: float) -> None:
        self.histogram, self.cuts, self.block, self.probability = histogram, cuts, block, probability
        self.trials = 0
        self.mean = self.squares = 0.0
        # of mean, u and both ends by block: how many, their mean, their sum of squares about it
        self.blocks, self.of_blocks, self.about = 0, np.zeros(4), np.zeros(4)

    def row(self, d: FloatArray) -> tuple[float, float, float, float, float]:
        """What is kept of one block, given as distances from the histogram's middle; they are used up."""
        n = d.size
        mean = float(d.sum()) / n
        lower = upper = 0.0
        if n == self.block:
            # the q = pM values in the middle (7.7.2), by place
            q = int(self.probability * n + 0.5)
            r = max((n - q) // 2, 1)
            lower, upper = self._from_below(d, r), self._from_above(d, max(n - r - q, 0))
        d -= mean
        d *= d
        return float(n), mean, float(d.sum()), lower, upper

    def _from_below(self, d: FloatArray, place: int) -> float:
        """The value at a place, counted from 1, looked for among those beyond a cut where they are enough: they are few, and the search is long."""
        few = d[d < self.cuts[0]]
        return float(np.partition(few if place <= few.size else d, place - 1)[place - 1])

    def _from_above(self, d: FloatArray, higher: int) -> float:
        """The value that so many are above, likewise."""
        few = d[d > self.cuts[1]]
        return float(np.partition(few if higher < few.size else d, -1 - higher)[-1 - higher])

    def add(self, task: _Task) -> None:
        for n, mean, squares, lower, upper in task.rows.tolist():
            count = self.trials + int(n)
            step = mean - self.mean
            self.mean += step * (n / count)
            self.squares += squares + step * step * (self.trials * n / count)
            self.trials = count
            if n == self.block:
                self.blocks += 1
                here = np.array([mean, (squares / (n - 1)) ** 0.5, lower, upper])
                away = here - self.of_blocks
                self.of_blocks = self.of_blocks + away / self.blocks
                self.about = self.about + away * (here - self.of_blocks)
        self.histogram.add(task.counts, task.least, task.most)

    @property
    def u(self) -> float:
        return float((self.squares / (self.trials - 1)) ** 0.5)

    @property
    def noise(self) -> FloatArray:
        """2s of the averages over the blocks."""
        if self.blocks < 2:
            return np.full(4, np.nan)
        noise: FloatArray = 2.0 * (self.about / (self.blocks * (self.blocks - 1.0))) ** 0.5
        return noise

    def settled(self, digits: int, goal: float) -> bool:
        return bool(np.all(self.noise <= goal * numerical_tolerance(self.u, digits)))

    def estimate(self, wanted: int, trials: int | None, digits: int, goal: float) -> int:
        if trials is not None:
            return trials
        tolerance = goal * numerical_tolerance(self.u, digits)
        worst = float(np.max(self.noise)) / tolerance if tolerance > 0 else 1.0
        return min(wanted, max(self.trials + 1, int(self.trials * worst * worst))) if isfinite(worst) else wanted

    def result(self, digits: int, goal: float, seed: int, reason: str, linear: Propagated | None) -> Trials:
        h = self.histogram
        interval, shortest = h.intervals(self.probability)
        noise = dict(zip(("mean", "u", "lower", "upper"), self.noise.tolist(), strict=True))
        result = Trials(
            mean=h.middle + self.mean,
            u=self.u,
            interval=interval,
            shortest_interval=shortest,
            probability=self.probability,
            trials=self.trials,
            tolerance=numerical_tolerance(self.u, digits),
            noise=noise,
            settled=self.settled(digits, goal),
            resolution=max(h.width_at(x) for x in (*interval, *shortest)),
            seed=seed,
            histogram=h,
            stopped=bool(reason),
            stop_reason=reason,
        )
        if linear is None:
            return result
        return Trials(**{**result.__dict__, "linear": linear, "validated": result.against(linear).validated})
