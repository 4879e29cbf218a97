"""The run length of sets of run rules: exactly over states where a set has finitely many, by trials for rules of trend."""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise
from typing import Final

import numpy as np

from lenscalc.control.rules import Rule, signalling

_TRIALS: Final = 20_000
_SEED: Final = 20260104
_BLOCK: Final = 64

Memory = tuple[int, ...]


@lru_cache(maxsize=512)
def by_states(rules: tuple[Rule, ...], shift: float) -> float:
    """Mean run length by a Markov chain: a state is, for each rule and side, which of the last points were beyond and may still count."""
    from scipy.special import ndtr

    cuts = sorted({side * rule.beyond_sigma for rule in rules for side in (1, -1)})
    edges = np.array([-np.inf, *cuts, np.inf])
    chance = np.diff(ndtr(edges - shift))
    pieces = list(pairwise(edges.tolist()))
    start: Memory = (0, 0) * len(rules)  # upwards, downwards
    number: dict[Memory, int] = {start: 0}
    to_do, moves = [start], []
    while to_do:
        state = to_do.pop()
        for piece, p in zip(pieces, chance, strict=True):
            after = _next(state, piece, rules)
            if after is None:
                continue
            if after not in number:
                number[after] = len(number)
                to_do.append(after)
            moves.append((number[state], number[after], p))
    held = np.eye(len(number))
    for a, b, p in moves:
        held[a, b] -= p
    return float(np.linalg.solve(held, np.ones(len(number)))[0])


def _next(state: Memory, piece: tuple[float, float], rules: tuple[Rule, ...]) -> Memory | None:
    """What is remembered after a point between two neighbouring lines; None if it signals. The newest point is the lowest bit."""
    lower, upper = piece
    after = []
    for i, rule in enumerate(rules):
        for j, least in enumerate((lower, -upper)):  # upwards, downwards
            beyond = int(least >= rule.beyond_sigma)
            seen = 2 * state[2 * i + j] + beyond
            if beyond and seen.bit_count() >= rule.needed:
                return None
            after.append(_that_may_count(seen, rule))
    return tuple(after)


def _that_may_count(seen: int, rule: Rule) -> int:
    """The newest bits, as far back as points to come that are all beyond can still bring them to a signal."""
    newest = (seen & ((1 << count) - 1) for count in range(rule.among - 1, -1, -1))
    return next(bits for to_come, bits in enumerate(newest, start=1) if bits.bit_count() + to_come >= rule.needed)


@lru_cache(maxsize=512)
def by_trials(rules: tuple[Rule, ...], shift: float) -> tuple[float, float]:
    """Mean run length and its standard uncertainty from trials with a fixed seed, so that the same question has the same answer.

    Every trial ends soon: no shift of the level makes a trend rarer.
    """
    draw = np.random.default_rng(_SEED)
    lengths = np.zeros(_TRIALS)
    longest = max(rule.among for rule in rules)
    alive = np.arange(_TRIALS)
    before = np.empty((_TRIALS, 0))
    done = 0
    while len(alive):
        fresh = draw.normal(shift, size=(len(alive), _BLOCK))
        z = np.hstack([before, fresh])
        hits = np.zeros(z.shape, dtype=bool)
        for rule in rules:
            hits |= signalling(z, rule) != 0
        hits[:, : before.shape[1]] = False  # told before
        ended = hits.any(axis=1)
        lengths[alive[ended]] = done + hits[ended].argmax(axis=1) - before.shape[1] + 1
        alive = alive[~ended]
        before = z[~ended][:, -longest:]
        done += _BLOCK
    return float(lengths.mean()), float(lengths.std() / _TRIALS**0.5)
