"""Run rules: patterns in successive points that a process which has not moved shows rarely.

They are the ones that the NIST/SEMATECH e-Handbook lists (6.3.2), as quoted in texts that cite it; they are described, not numbered. How
rarely each set signals by chance: `average_run_length`.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import nan
from types import MappingProxyType
from typing import Final, Literal, NamedTuple

import numpy as np

from lenscalc.errors import InputError, UnknownNameError

Pattern = Literal["jump", "shift", "trend", "alternating"]


class Rule(NamedTuple):
    """`needed` of `among` successive points beyond so many sigma on one side; for a trend or an alternation only how many in a row, and
    there is no sigma.
    """

    name: str
    sentence: str
    pattern: Pattern
    needed: int
    among: int
    beyond_sigma: float = nan


RULES: Final = MappingProxyType({
    rule.name: rule
    for rule in (
        Rule("beyond-3-sigma", "one point beyond three sigma", "jump", 1, 1, 3.0),
        Rule("2-of-3-beyond-2-sigma", "two of three beyond two sigma on the same side", "shift", 2, 3, 2.0),
        Rule("4-of-5-beyond-1-sigma", "four of five beyond one sigma on the same side", "shift", 4, 5, 1.0),
        Rule("8-on-one-side", "eight in a row on one side", "shift", 8, 8, 0.0),
        Rule("6-rising-or-falling", "six in a row rising, or falling", "trend", 6, 6),
        Rule("14-alternating", "fourteen in a row going up and down by turns", "alternating", 14, 14),
    )
})  # fmt: skip
LIMITS_ONLY: Final = ("beyond-3-sigma",)
FOUR_RULES: Final = tuple(RULES)[:4]
ALL_RULES: Final = tuple(RULES)


def checked_rules(rules: Iterable[str]) -> tuple[Rule, ...]:
    """The rules of these names, in the order of the list above.

    >>> [rule.name for rule in checked_rules(["8-on-one-side", "beyond-3-sigma"])]
    ['beyond-3-sigma', '8-on-one-side']
    """
    wanted = [rules] if isinstance(rules, str) else list(rules)
    for name in wanted:
        if name not in RULES:
            raise UnknownNameError(name, RULES, what="run rule")
    if not wanted:
        raise InputError(f"rules: choose at least one of {', '.join(RULES)}", quantity="rules")
    return tuple(RULES[name] for name in RULES if name in wanted)


def signalling(z: np.ndarray, rule: Rule) -> np.ndarray:
    """Where the rule is completed: +1 above or rising, −1 below or falling, 0 where it is not; `z` in sigma from the centre,
    along its last axis.

    A point signals only if it is itself one of those beyond, so that a pattern is not told again by a point that has come back. A point on a line
    is not beyond it, one on the centre is on neither side, equal neighbours neither rise nor fall.

    >>> signalling(np.array([0.0, 2.1, 0.5, 2.2, 0.1]), RULES["2-of-3-beyond-2-sigma"]).tolist()
    [0, 0, 0, 1, 0]
    """
    if rule.pattern in ("trend", "alternating"):
        return _by_steps(np.sign(np.diff(z)), rule)
    found = np.zeros(z.shape, dtype=np.int64)
    for side in (1, -1):
        beyond = side * z > rule.beyond_sigma
        found[beyond & (_of_last(beyond, rule.among) >= rule.needed)] = side
    return found


def _of_last(flags: np.ndarray, among: int) -> np.ndarray:
    """How many of the last `among` are set; at the start of those there are."""
    total = np.cumsum(flags, axis=-1)
    before = np.zeros_like(total)
    before[..., among:] = total[..., :-among]
    return np.asarray(total - before)


def _by_steps(step: np.ndarray, rule: Rule) -> np.ndarray:
    found = np.zeros((*step.shape[:-1], step.shape[-1] + 1), dtype=np.int64)
    if rule.pattern == "trend":
        for side in (1, -1):
            going = step == side
            found[..., 1:][going & (_of_last(going, rule.needed - 1) == rule.needed - 1)] = side
        return found
    turned = np.zeros(step.shape, dtype=bool)
    turned[..., 1:] = step[..., 1:] * step[..., :-1] < 0
    done = turned & (_of_last(turned, rule.needed - 2) == rule.needed - 2)
    found[..., 1:][done] = step[done].astype(np.int64)
    return found
