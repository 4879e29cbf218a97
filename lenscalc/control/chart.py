"""A series on a control chart: what is plotted, its limits, what signals, and the sentence that says so."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from lenscalc.control.advice import WATCHED, Watched
from lenscalc.control.baseline import baseline_points
from lenscalc.control.limits import FrozenLimits, Kind, limits_from
from lenscalc.control.parts import Part, parts_of
from lenscalc.control.rules import FOUR_RULES, checked_rules
from lenscalc.control.run_length import RunLength, average_run_length
from lenscalc.control.series import Series
from lenscalc.control.signals import Signal, of_limits, of_rules, where
from lenscalc.errors import InputError, UnknownNameError
from lenscalc.quantities import counted


@dataclass(frozen=True, eq=False)
class ControlChart:
    """A series judged by limits. `in_baseline` marks the points that the limits come from, where those are in this series.

    `by_chance` is the mean number of points until a signal where nothing has moved, for the rules of the level.
    """

    series: Series
    limits: FrozenLimits
    of: Watched
    rules: tuple[str, ...]
    level: Part
    spread: Part | None
    in_baseline: np.ndarray
    signals: tuple[Signal, ...]
    by_chance: RunLength
    remarks: tuple[str, ...]

    @property
    def signalling(self) -> np.ndarray:
        """The points that signal, counted from 0."""
        at: set[int] = set()
        for signal in self.signals:
            at.update(range(signal.first, signal.last + 1))
        return np.array(sorted(at), dtype=np.int64)

    @property
    def columns(self) -> dict[str, list[Any]]:
        """Every point as columns: number from 1, date, label, id, value; what is plotted, its limits, in the baseline or not, signals or not."""
        found: dict[str, Any] = {"plotted": self.level.value, "lower": self.level.lower, "upper": self.level.upper}
        if self.level.value_below is not None:
            found["plotted_below"] = self.level.value_below
        if self.spread is not None:
            found |= {"spread": self.spread.value, "spread_lower": self.spread.lower, "spread_upper": self.spread.upper}
        signals = np.zeros(self.series.points, dtype=bool)
        signals[self.signalling] = True
        return {
            "point": list(range(1, self.series.points + 1)), "date": list(self.series.date), "label": list(self.series.label),
            "id": list(self.series.id), "value": self.series.mean.tolist(), **{name: column.tolist() for name, column in found.items()},
            "baseline": self.in_baseline.tolist(), "signals": signals.tolist(),
        }  # fmt: skip

    def how_soon(self, shifts_sigma: Iterable[float] = (0.0, 0.5, 1.0, 2.0)) -> dict[float, float]:
        """Mean number of points until the level signals, for moves of the mean by so many sigma of a point; without a move, by chance."""
        own: dict[str, Any] = self.limits.settings  # an average and a sum ask no rules
        return {shift: average_run_length(self.limits.kind, shift_sigma=shift, rules=self.rules, **own).mean for shift in shifts_sigma}

    @property
    def to_freeze(self) -> FrozenLimits:
        """The limits as a record to be kept: with whatever there is to mind about their baseline."""
        return replace(self.limits, remarks=tuple(text for text in self.remarks if text not in self.series.remarks))

    @property
    def sentence(self) -> str:
        """The message of the chart."""
        n, at = self.series.points, self.signalling
        if not len(at):
            return f"Nothing signals in {counted(n, 'point')}."
        told = self.signals[0].sentence  # the earliest, the level before the spread
        told = f"{told[0].lower()}{told[1:]}"
        return f"{len(at)} of {counted(n, 'point')} signal{'s' if len(at) == 1 else ''}, first {told}."

    @property
    def chance_sentence(self) -> str:
        """How often such a chart signals by chance."""
        what = {"ewma": "such a weighted average", "cusum": "such a cumulative sum"}.get(self.limits.kind, "these rules on the level")
        signals = "signals" if what.startswith("such") else "signal"
        return f"Where nothing has moved, {what} {signals} about once in {self.by_chance.mean:.0f} points by chance."


def control_chart(
    series: Series, *, kind: Kind | None = None, baseline: Any = None, limits: FrozenLimits | None = None, rules: Iterable[str] = FOUR_RULES,
    of: Watched = "instrument", **settings: float,
) -> ControlChart:  # fmt: skip
    """Chart a series: by limits from its baseline, or by frozen ones.

    The run rules hold for individuals and group means; their ranges or deviations, the EWMA and the CUSUM signal beyond their limits alone.
    EWMA limits are exact, μ₀ ± L·σ·√(λ/(2 − λ)·(1 − (1 − λ)^{2i})); both EWMA and CUSUM start at the first point of the series, and go on
    after a signal. NIST/SEMATECH e-Handbook, 6.3.2.1 to 6.3.2.4.

    Parameters
    ----------
    series : Series
        see `series`.
    kind : "individuals", "xbar-r", "xbar-s", "ewma" or "cusum", optional
        individuals where nothing is said; with frozen limits the kind is theirs.
    baseline : int, str, list of bool or None
        see `baseline_points`; not together with `limits`.
    limits : FrozenLimits, optional
        from `limits_from` or `read_limits`.
    rules : names of RULES
        see `RULES`.
    of : "instrument" or "material"
        whose values they are, for the advice alone.
    **settings : float
        centre, sigma, weight, width_sigma, k_sigma, h_sigma, head_start_sigma: see `limits_from`.

    Returns
    -------
    ControlChart

    Raises
    ------
    InputError
        for limits of another kind, or given together with a baseline or settings, and as `limits_from`.

    Examples
    --------
    >>> from lenscalc.control import series
    >>> flow = series([49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1])  # NIST/SEMATECH e-Handbook, 6.3.2.2
    >>> chart = control_chart(flow)
    >>> round(float(chart.level.lower[0]), 2), round(float(chart.level.upper[0]), 2), len(chart.signals)
    (45.82, 55.8, 0)
    """
    if of not in WATCHED:
        raise UnknownNameError(of, WATCHED, what="thing to watch")
    chosen = checked_rules(rules)
    in_baseline = np.zeros(series.points, dtype=bool)
    if limits is None:
        limits = limits_from(series, kind=kind or "individuals", baseline=baseline, **settings)
        in_baseline = baseline_points(series, baseline)
    elif kind is not None and kind != limits.kind:
        raise InputError(f"kind = {kind}: the frozen limits are of the kind {limits.kind}; leave the kind out, or take other limits", quantity="kind")
    elif baseline is not None or settings:
        raise InputError("frozen limits hold their own baseline and settings: give either these or the limits", quantity="limits")
    level, spread = parts_of(series, limits)
    signals = sorted(_judged(level, spread, series, limits, chosen, of), key=lambda s: (s.first, s.part, s.last))
    chart = ControlChart(
        series, limits, of, tuple(rule.name for rule in chosen) if limits.kind not in ("ewma", "cusum") else (), level, spread, in_baseline,
        tuple(signals), _by_chance(limits, tuple(rule.name for rule in chosen)), (),
    )  # fmt: skip
    return _with_remarks(chart)


def _judged(level: Part, spread: Part | None, series: Series, limits: FrozenLimits, rules: Any, of: Watched) -> list[Signal]:
    if limits.kind == "ewma":
        return of_limits(series, _outside(level), "the weighted average stands", of, part="level", rule="ewma")
    if level.value_below is not None:
        flags = np.where(level.value > level.upper, 1, np.where(level.value_below < level.lower, -1, 0))
        return of_limits(series, flags, "the cumulative sum stands", of, part="level", rule="cusum")
    assert spread is not None
    # a point on a line is not beyond it, whatever the last bit
    z = np.round(3.0 * (level.value - level.centre) / (level.upper - level.centre), 9)
    what = "the step from the point before stands" if limits.kind == "individuals" else f"the {spread.name} stands"
    return of_rules(series, z, rules, of) + of_limits(series, _outside(spread), what, of, part="spread", rule="spread-beyond-limit")


def _outside(part: Part) -> np.ndarray:
    return np.where(part.value > part.upper, 1, np.where(part.value < part.lower, -1, 0))


def _by_chance(limits: FrozenLimits, rules: tuple[str, ...]) -> RunLength:
    own: dict[str, Any] = limits.settings
    return average_run_length(limits.kind, rules=rules, **own)


def _with_remarks(chart: ControlChart) -> ControlChart:
    remarks = [*chart.series.remarks, *chart.limits.remarks]
    inside = [s for s in chart.signals if chart.in_baseline[s.first : s.last + 1].any()]
    if inside:
        places = ", ".join(where(chart.series, s.first, s.last).lower() for s in inside[:3]) + (" and others" if len(inside) > 3 else "")
        remarks.append(f"the baseline itself signals ({places}): find the cause and leave those points out, or choose another baseline")
    return replace(chart, remarks=tuple(remarks))
