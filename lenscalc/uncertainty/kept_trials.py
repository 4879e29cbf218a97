"""What is kept of random trials while they run, and their result."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import inf, isfinite
from typing import NamedTuple

import numpy as np

from lenscalc.quantities import FloatArray
from lenscalc.uncertainty.histogram import Histogram
from lenscalc.uncertainty.propagate import Propagated
from lenscalc.uncertainty.rounding import decimals_for, fixed, numerical_tolerance


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
            f"{fixed(self.mean, d)}, u {self.u:.{d}f}; {100 * self.probability:g} %: {fixed(a, d)} to {fixed(b, d)}, "
            f"shortest {fixed(c, d)} to {fixed(e, d)}; "
            f"{self.trials} trials{', stopped' if self.stopped else ''}"
        )

    def against(self, linear: Propagated) -> Validation:
        """Is the linear interval good enough at the tolerance of these trials?"""
        lower, upper = linear.interval(self.probability)
        below, above = abs(lower - self.interval[0]), abs(upper - self.interval[1])
        ends = max(self.noise["lower"], self.noise["upper"])
        return Validation(below, above, self.tolerance, below <= self.tolerance and above <= self.tolerance, ends <= self.tolerance / 5.0)


class Task(NamedTuple):
    """What a thread hands back of some blocks."""

    rows: FloatArray  # a block: trials, mean and mean square deviation about it, both ends (all from the histogram's middle)
    counts: np.ndarray
    least: float
    most: float


class KeptBlocks:
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
        lower = upper = np.nan  # only a whole block has ends
        if n == self.block:
            # q = pM values beyond the r-th (7.7.2, from memory), by place; at either end lie fifty or more
            q = int(self.probability * n + 0.5)
            r = (n - q + 1) // 2
            lower, upper = self._from_below(d, r), self._from_above(d, n - r - q)
        d -= mean
        d *= d
        return float(n), mean, float(d.sum()), lower, upper

    def _from_below(self, d: FloatArray, place: int) -> float:
        """The value at a place, counted from 1, looked for among those beyond a cut where they are enough: they are few, and the search is long."""
        few, at = d[d < self.cuts[0]], place - 1
        return float(np.partition(few if at < few.size else d, at)[at])

    def _from_above(self, d: FloatArray, higher: int) -> float:
        """The value that so many are above, likewise."""
        few, at = d[d > self.cuts[1]], -1 - higher
        return float(np.partition(few if higher < few.size else d, at)[at])

    def add(self, task: Task) -> None:
        """Take in what a thread hands back; the order of the blocks decides the last bits."""
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
        """The standard deviation of all trials so far."""
        return float((self.squares / (self.trials - 1)) ** 0.5)

    @property
    def noise(self) -> FloatArray:
        """2s of the averages over the blocks."""
        if self.blocks < 2:
            return np.full(4, np.nan)
        noise: FloatArray = 2.0 * (self.about / (self.blocks * (self.blocks - 1.0))) ** 0.5
        return noise

    def settled(self, digits: int, goal: float) -> bool:
        """Whether the noise lies within `goal` times the tolerance of so many digits of u."""
        return bool(np.all(self.noise <= goal * numerical_tolerance(self.u, digits)))

    def estimate(self, wanted: int, trials: int | None, digits: int, goal: float) -> int:
        """How many trials the run will take, by its noise so far."""
        if trials is not None:
            return trials
        tolerance = goal * numerical_tolerance(self.u, digits)
        worst = float(np.max(self.noise)) / tolerance if tolerance else inf
        return min(wanted, max(self.trials + 1, int(self.trials * worst * worst))) if isfinite(worst) else wanted

    def result(self, digits: int, goal: float, seed: int, reason: str, linear: Propagated | None) -> Trials:
        """The result of what has been run."""
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
