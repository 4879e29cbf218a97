"""The centre and the sigma that limits are made from: taken once from a baseline, then held."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final, Literal

import numpy as np

from lenscalc.control.baseline import baseline_points
from lenscalc.control.constants import chart_constants
from lenscalc.control.series import Series
from lenscalc.errors import InputError, UnknownNameError
from lenscalc.quantities import counted, single_numbers

Kind = Literal["individuals", "xbar-r", "xbar-s", "ewma", "cusum"]
KINDS: Final = ("individuals", "xbar-r", "xbar-s", "ewma", "cusum")
GROUPED: Final = ("xbar-r", "xbar-s")
ENOUGH: Final = 25
FEWEST: Final = 20

_ROUNDING: Final = 1e-15  # of the centre: a scatter below it is that of arithmetic

WEIGHT, WIDTH, K, H = 0.2, 3.0, 0.5, 5.0
EWMA, CUSUM = ("weight", "width_sigma"), ("k_sigma", "h_sigma", "head_start_sigma")
# a weight below 0.01 remembers hundreds of points; its wait takes minutes to compute
RANGES: Final = {"weight": (0.01, 1.0), "width_sigma": (0.1, 10.0), "k_sigma": (0.0, 10.0), "h_sigma": (0.1, 100.0)}


@dataclass(frozen=True)
class FrozenLimits:
    """What next month's points are judged by, and where it came from.

    `sigma` is of one reading for a chart of group means, else of one point; `u_sigma_relative` is what so short a baseline leaves open of it. EWMA:
    `weight` (λ) and `width_sigma` (L). CUSUM: `k_sigma`, `h_sigma` and `head_start_sigma`, all in sigma. `first` and `last` name the baseline's ends,
    `points` counts it; `made_by` says which version computed it. `remarks` is what there was to mind about the baseline.
    """

    kind: Kind
    centre: float
    sigma: float
    points: int
    first: str
    last: str
    u_sigma_relative: float
    made_by: str
    weight: float | None = None
    width_sigma: float | None = None
    k_sigma: float | None = None
    h_sigma: float | None = None
    head_start_sigma: float | None = None
    remarks: tuple[str, ...] = ()

    @property
    def settings(self) -> dict[str, float]:
        """What an EWMA or a CUSUM is set to, by name; empty for the other kinds."""
        named = {name: getattr(self, name) for name in (*EWMA, *CUSUM)}
        return {name: value for name, value in named.items() if value is not None}


def limits_from(
    series: Series, *, kind: Kind = "individuals", baseline: Any = None, centre: float | None = None, sigma: float | None = None,
    weight: float = WEIGHT, width_sigma: float = WIDTH, k_sigma: float = K, h_sigma: float = H, head_start_sigma: float = 0.0,
) -> FrozenLimits:  # fmt: skip
    """Centre and sigma from a baseline: σ = (mean moving range)/d2 of single points, (mean R)/d2 or (mean s)/c4 within groups.

    Groups may differ in size: each range is then divided by the d2 of its own size (s by its c4), and the centre is the mean of all
    readings. `centre` and `sigma`, given from outside (a certified value, a long record), take the place of the baseline's. Points that a
    group makes are charted by their means in the kinds for single points. NIST/SEMATECH e-Handbook, 6.3.2.1 to 6.3.2.4.

    Parameters
    ----------
    series : Series
        see `series`.
    kind : "individuals", "xbar-r", "xbar-s", "ewma" or "cusum"
        the chart; the two of group means need a group at every point.
    baseline : int, str, list of bool or None
        see `baseline_points`.
    centre, sigma : float, optional
        in the unit of the values; sigma above 0.
    weight, width_sigma : float
        EWMA: λ, above 0 to 1, and L, the limits' distance in sigma of the average.
    k_sigma, h_sigma, head_start_sigma : float
        CUSUM: allowance, decision interval, and the sums' start (half of h is usual for a fast initial response), at most h/2 + k and h: from
        higher up both sums could stand above 0 when one signals, and the wait that is told would not hold.

    Raises
    ------
    InputError
        for a baseline that does not vary or is a single point, for a group of one reading, or for a setting outside its range.

    Examples
    --------
    >>> from lenscalc.control.series import series
    >>> flow = series([49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1])     # NIST/SEMATECH e-Handbook, 6.3.2.2
    >>> limits = limits_from(flow)
    >>> round(limits.centre, 2), round(limits.sigma, 4), limits.points
    (50.81, 1.6641, 10)
    """
    import lenscalc

    if kind not in KINDS:
        raise UnknownNameError(kind, KINDS, what="kind of chart")
    weight, width_sigma, k_sigma, h_sigma, head_start_sigma = check_settings(
        weight=weight, width_sigma=width_sigma, k_sigma=k_sigma, h_sigma=h_sigma, head_start_sigma=head_start_sigma
    )
    marked = baseline_points(series, baseline)
    at = np.flatnonzero(marked)
    if kind in GROUPED:
        check_groups(series)
        found_centre, found_sigma, u_relative = _within_groups(series, marked, kind)
    else:
        found_centre, found_sigma, u_relative = _single_points(series.mean[at], at, known=sigma is not None)
    remarks = _remarks(series, at, u_relative, all_of_it=baseline is None and series.baseline is None, known=sigma is not None)
    if sigma is None:
        sigma = found_sigma
        if not sigma > _ROUNDING * abs(found_centre):
            said = f"all {len(at)} of its points are {found_centre:.10g}" if kind not in GROUPED else "no group has any spread"
            raise InputError(
                f"the baseline does not vary: {said}, and limits would have no width; read with more decimals, or give sigma from a longer record",
                quantity="sigma",
            )  # fmt: skip
    else:
        u_relative = 0.0
        (sigma,) = single_numbers(sigma=sigma)
        if not (np.isfinite(sigma) and sigma > 0):
            raise InputError(f"sigma = {sigma}: must be a number above 0", quantity="sigma", value=sigma)
    if centre is not None:
        (centre,) = single_numbers(centre=centre)
        if not np.isfinite(centre):
            raise InputError(f"centre = {centre}: must be a finite number", quantity="centre", value=centre)
    if not sigma > _ROUNDING * abs(found_centre if centre is None else centre):
        text = f"sigma = {sigma:g}: limits so near to their centre are lost in its last digit; is it in another unit?"
        raise InputError(text, quantity="sigma", value=sigma)
    own: dict[str, float] = {}
    if kind == "ewma":
        own = {"weight": weight, "width_sigma": width_sigma}
    elif kind == "cusum":
        own = {"k_sigma": k_sigma, "h_sigma": h_sigma, "head_start_sigma": head_start_sigma}
    ends = [series.date[i] or series.label[i] or f"point {i + 1}" for i in (at[0], at[-1])]
    return FrozenLimits(
        kind, float(found_centre if centre is None else centre), float(sigma), len(at), ends[0], ends[1], float(u_relative),
        f"lenscalc {lenscalc.__version__}", **{name: float(value) for name, value in own.items()}, remarks=tuple(remarks),
    )  # fmt: skip


def _single_points(values: np.ndarray, at: np.ndarray, *, known: bool) -> tuple[float, float, float]:
    n = len(values)
    neighbours = np.diff(at) == 1  # what is left out of a baseline leaves no step across it
    steps = np.abs(np.diff(values))[neighbours]
    if not len(steps):
        if known:
            return _mean(values), np.nan, np.nan
        has = "the baseline has 1 point" if n == 1 else f"the baseline has {n} points, and no two of them follow each other"
        raise InputError(f"{has}: a moving range needs two that do; choose a longer baseline", quantity="baseline")
    # of a mean of moving ranges, whose neighbours correlate: var = (0.8265·n − …)/(n − 1)² of σ², by the moments of |x − y| and |x − y|·|y − z|
    m = len(steps)
    u_relative = ((m * (2.0 - 4.0 / np.pi) + 2.0 * (m - 1) * (4.0 / np.pi) * (3.0**0.5 / 2.0 + np.pi / 12.0 - 1.0)) * np.pi / 4.0) ** 0.5 / m
    return _mean(values), float(steps.mean()) / chart_constants(2).d2, u_relative


def _mean(values: np.ndarray) -> float:
    first, *_ = values.tolist()
    return float(first + (values - first).mean())  # of equal values their own value, to the last bit


def _within_groups(series: Series, marked: np.ndarray, kind: Kind) -> tuple[float, float, float]:
    of_mark = marked[series.point]
    centre = _mean(series.reading[of_mark])
    spread = group_spread(series, kind)[marked]
    constants = [chart_constants(int(n)) for n in series.size[marked]]
    mean = np.array([c.d2 if kind == "xbar-r" else c.c4 for c in constants])
    sd = np.array([c.d3 if kind == "xbar-r" else (1.0 - c.c4 * c.c4) ** 0.5 for c in constants])
    return centre, float((spread / mean).mean()), float(np.sum((sd / mean) ** 2) ** 0.5 / len(mean))


def group_spread(series: Series, kind: Kind) -> np.ndarray:
    """Range of each group, or its standard deviation."""
    starts = np.searchsorted(series.point, np.arange(series.points))
    if kind == "xbar-r":
        return np.asarray(np.maximum.reduceat(series.reading, starts) - np.minimum.reduceat(series.reading, starts))
    off = series.reading - series.mean[series.point]
    return np.asarray((np.add.reduceat(off * off, starts) / (series.size - 1)) ** 0.5)


def check_groups(series: Series) -> None:
    """Refuse a group that has no spread."""
    for i in np.flatnonzero(series.size < 2):
        raise InputError(
            f"{series.name(int(i))} has one reading: a chart of group means needs two or more in every group; "
            "give the readings a group, or chart them as individuals", quantity="group",
        )  # fmt: skip


def check_settings(*, weight: float, width_sigma: float, k_sigma: float, h_sigma: float, head_start_sigma: float) -> tuple[float, ...]:
    """The settings of an EWMA or a CUSUM as floats; refuses one that is outside its range."""
    weight, width_sigma, k_sigma, h_sigma, head_start_sigma = checked = single_numbers(
        weight=weight, width_sigma=width_sigma, k_sigma=k_sigma, h_sigma=h_sigma, head_start_sigma=head_start_sigma
    )
    given = {"weight": weight, "width_sigma": width_sigma, "k_sigma": k_sigma, "h_sigma": h_sigma, "head_start_sigma": head_start_sigma}
    for name, (lower, upper) in (RANGES | {"head_start_sigma": (0.0, min(h_sigma, 0.5 * h_sigma + k_sigma))}).items():
        value = given[name]
        if not lower <= value <= upper:
            raise InputError(f"{name} = {value:g}: must be {lower:g} to {upper:g}", quantity=name, value=value, limits=(lower, upper))
    return checked


def _remarks(series: Series, at: np.ndarray, u_relative: float, *, all_of_it: bool, known: bool) -> list[str]:
    n, found = len(at), []
    if all_of_it:
        found.append("no baseline is named: the limits come from all points, also from those that they judge; name one and freeze it")
    if known:
        return found
    if n < FEWEST:
        leave = f"{counted(n, 'point')} leave{'s' if n == 1 else ''}"
        found.append(f"the baseline is too short: {leave} sigma open by {100 * u_relative:.0f} %; take {FEWEST}, better {ENOUGH} or more")
    elif n < ENOUGH:
        found.append(f"the baseline is short: {n} points leave sigma open by {100 * u_relative:.0f} %; {ENOUGH} or more are better")
    values = series.mean[at]
    different = len(np.unique(values))
    if different in (2, 3, 4) and n >= 5:
        found.append(f"the baseline holds only {different} different values: so coarse a resolution leaves the limits' width to chance")
    off = values - values.mean()
    squares = float(off @ off)
    if n >= FEWEST and squares:
        alike = float(off[1:] @ off[:-1]) / squares
        if alike > 2.0 / n**0.5:
            found.append(f"neighbouring points of the baseline are alike (correlation {alike:.2f}): limits from steps between them are too narrow")
    return found
