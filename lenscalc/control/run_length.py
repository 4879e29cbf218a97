"""How long a chart waits, on average, until it signals: by chance where nothing has moved, and after a shift."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from typing import Any, Final, NamedTuple

import numpy as np

from lenscalc.control.limits import KINDS, WEIGHT, WIDTH, H, K, Kind, check_settings
from lenscalc.control.rules import FOUR_RULES, checked_rules
from lenscalc.control.rules_run_length import by_states, by_trials
from lenscalc.errors import InputError, UnknownNameError
from lenscalc.quantities import single_numbers

_SETTLED: Final = 1e-9  # of the limits' own width
_AT_ONCE: Final = 48  # states
_NEVER: Final = 1e12  # points; nobody asks how much longer


class RunLength(NamedTuple):
    """Mean number of points until the signal, that one counted; u is its standard uncertainty where it was found by trials, else 0."""

    mean: float
    u: float


def average_run_length(
    kind: Kind = "individuals", *, shift_sigma: float = 0.0, rules: Iterable[str] = FOUR_RULES, weight: float = WEIGHT, width_sigma: float = WIDTH,
    exact_limits: bool = True, k_sigma: float = K, h_sigma: float = H, head_start_sigma: float = 0.0,
) -> RunLength:  # fmt: skip
    """Mean number of points until a chart signals, for independent normal points whose mean stands `shift_sigma` off from the first point on.

    Centre and sigma are taken as known: limits from a short baseline signal more often than this says. Rules of one point and of several among
    several go by a Markov chain over the states that a signal may still come from (Champ and Woodall 1987), rules of trend by 20 000 trials. EWMA and
    CUSUM solve the integral equation of the run length at Gauss–Legendre nodes (Crowder 1987; Vance 1986), which keeps 1e-11 of any wait; 1e-10 where
    limits widen. A wait of more than 10¹² points is told as one of 10¹².

    Parameters
    ----------
    kind : "individuals", "xbar-r", "xbar-s", "ewma" or "cusum"
        the first three by their `rules` on the points; the chart of ranges is not counted.
    shift_sigma : float
        in sigma of one point, either sign, −10 to 10.
    rules : names of RULES
        for the first three kinds.
    weight, width_sigma, exact_limits : float, float, bool
        EWMA: λ, L, and whether the limits widen from the first point on (exact) or stand at their asymptote.
    k_sigma, h_sigma, head_start_sigma : float
        CUSUM, both sides together.

    Returns
    -------
    RunLength

    Raises
    ------
    InputError
        for a setting outside its range.

    Examples
    --------
    >>> round(average_run_length(rules=["beyond-3-sigma"]).mean, 2), round(average_run_length().mean, 2)
    (370.4, 91.75)
    >>> round(average_run_length("cusum", shift_sigma=1.0, h_sigma=4.0).mean, 2)
    8.38
    """
    weight, width_sigma, k_sigma, h_sigma, head_start_sigma = check_settings(
        weight=weight, width_sigma=width_sigma, k_sigma=k_sigma, h_sigma=h_sigma, head_start_sigma=head_start_sigma
    )
    (shift_sigma,) = single_numbers(shift_sigma=shift_sigma)
    if kind not in KINDS:
        raise UnknownNameError(kind, KINDS, what="kind of chart")
    if not abs(shift_sigma) <= 10.0:
        raise InputError(f"shift_sigma = {shift_sigma:g}: must be -10 to 10", quantity="shift_sigma", value=shift_sigma, limits=(-10.0, 10.0))
    if kind == "ewma":
        return RunLength(_ewma(weight, width_sigma, shift_sigma, exact_limits), 0.0)
    if kind == "cusum":
        return RunLength(_cusum(k_sigma, h_sigma, shift_sigma, head_start_sigma), 0.0)
    chosen = checked_rules(rules)
    if any(rule.pattern in ("trend", "alternating") for rule in chosen):
        return RunLength(*by_trials(chosen, shift_sigma))
    return RunLength(by_states(chosen, shift_sigma), 0.0)


def _density(x: Any) -> Any:
    return np.exp(-0.5 * x * x) / (2.0 * np.pi) ** 0.5


@lru_cache(maxsize=512)
def _nodes(count: int) -> tuple[Any, Any]:
    return np.polynomial.legendre.leggauss(count)


@lru_cache(maxsize=512)
def _ewma(weight: float, width_sigma: float, shift: float, exact: bool) -> float:
    """L(u) = 1 + (1/λ)∫ L(y) φ((y − (1 − λ)u)/λ − δ) dy between the limits; with limits that widen, point by point until they have settled."""
    from scipy.special import ndtr

    end = width_sigma * (weight / (2.0 - weight)) ** 0.5
    x, w = _nodes(int(48 + 8 * end / weight))

    def step(start: Any, to: Any) -> Any:
        return _density((to - (1.0 - weight) * start[:, None]) / weight - shift) / weight

    out = ndtr(((1.0 - weight) * end * x - end) / weight + shift) + ndtr(-((1.0 - weight) * end * x + end) / weight - shift)
    held = _waits(step(end * x, end * x) * (end * w), out)
    if not exact:
        return _or_never(1.0 + (step(np.zeros(1), end * x) * (end * w) @ held).item())
    # the chance of having come so far, then what still follows from there under limits that no longer move
    start, mass, total, i = np.zeros(1), np.ones(1), 0.0, 0
    while True:
        i += 1
        total += float(mass.sum())
        now = end * (1.0 - (1.0 - weight) ** (2 * i)) ** 0.5
        mass = (mass @ step(start, now * x)) * (now * w)
        start = now * x
        if end - now < _SETTLED * end or mass.sum() < 1e-15:
            break
    ahead = 1.0 + step(start, end * x) * (end * w) @ held
    return _or_never(float(total + mass @ ahead))


def _waits(into: Any, out: Any) -> Any:
    """Mean number of points until the end from each state, by the chances of going from one to another and of ending, small where waits are long.

    State by state is left out, its visits given to those before it, and nothing is ever subtracted: so the digits are those of the chances, where
    I − P has lost them (Grassmann, Taksar and Heyman, Operations Research 33 (1985) 1107, from memory).
    """
    count = len(out)
    table, points, away = np.column_stack([out, np.ones(count), into]), np.empty(count), np.empty(count)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        for last in range(count, 0, -_AT_ONCE):
            first = max(0, last - _AT_ONCE)  # of these every row, of the rows before them first their columns alone: all at once would be slow
            for k in range(last - 1, first - 1, -1):
                row, column = table[k], table[:k, k + 2]
                away[k] = row[0] + row[2 : k + 2].sum()
                column /= away[k]
                table[first:k, : k + 2] += np.outer(column[first:], row[: k + 2])
                table[:first, first + 2 : k + 2] += np.outer(column[:first], row[first + 2 : k + 2])
            table[:first, : first + 2] += table[:first, first + 2 : last + 2] @ table[first:last, : first + 2]
        for k in range(count):
            points[k] = (table[k, 1] + table[k, 2 : k + 2] @ points[:k]) / away[k]
    return points


def _or_never(wait: float) -> float:
    """What the equation gives, or the longest wait that is told; where a signal has no chance in float64, no number comes out."""
    return wait if wait <= _NEVER else _NEVER


@lru_cache(maxsize=512)
def _cusum(k: float, h: float, shift: float, start: float) -> float:
    """Both sides together: of one side L(s) = 1 + L(0)Φ(k − s − δ) + ∫₀ʰ L(y) φ(y + k − s − δ) dy; joined as Lucas and Crosier (1982) do.

    That takes one side to be at 0 when the other signals: both above 0 they add up to 2s − 2ki after i points, which is no more than h.
    """
    (up, up_rate), (down, down_rate) = _one_side(k, h, shift, start), _one_side(k, h, -shift, start)
    # (a·d + b·c − c·d)/(c + d), divided by c·d: so a side that hardly ever signals takes no digits from the other
    return float((up + down - 1.0) / max(up_rate + down_rate, 1.0 / _NEVER))


def _one_side(k: float, h: float, shift: float, start: float) -> tuple[float, float]:
    """The wait from a head start over that from 0, and 1 over that from 0; 1 and 0 of a side that never signals."""
    from scipy.special import ndtr

    x, w = _nodes(int(48 + 8 * h))
    y, w = 0.5 * h * (x + 1.0), 0.5 * h * w
    points = np.concatenate([[0.0], y])
    into = np.empty((len(points), len(points)))
    into[:, 0] = ndtr(k - points - shift)
    into[:, 1:] = _density(y + k - points[:, None] - shift) * w
    held = _waits(into, ndtr(points + shift - k - h))
    from_0 = float(held[0])
    if not from_0 < _NEVER:
        return 1.0, 0.0
    here = 1.0 + float(ndtr(k - start - shift)) * from_0 + float((_density(y + k - start - shift) * w) @ held[1:])
    return here / from_0, 1.0 / from_0
