"""A ranking in words, the same for page and command: how much each criterion counts, whose table it is, who would conform and by which rule."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Any, Final

import numpy as np

from lenscalc.batch.ranked import Ranked
from lenscalc.decision import REQUIRED_PROBABILITY, RULE, Criterion
from lenscalc.decision.decide import UNDECIDED, WOULD, WOULD_NOT
from lenscalc.uncertainty import probability_text

MOST_NAMED: Final = 8  # in a sentence
_SHORT: Final = {WOULD: "yes", WOULD_NOT: "no", UNDECIDED: "not decided"}


def weighed(criteria: Sequence[Criterion]) -> str:
    """How much the criteria count beside each other; nothing where there is only one.

    >>> weighed([Criterion("power_D", "near", 20.0), Criterion("abbe_d", "high")]), weighed([Criterion("abbe_d", "high")])
    ('counted alike (1 : 1)', '')
    >>> weighed([Criterion("power_D", "near", 20.0, 2.0), Criterion("abbe_d", "high")])
    'weighted 2 : 1'
    """
    if len(criteria) < 2:
        return ""
    alike = len({c.weight for c in criteria}) == 1
    return f"counted alike ({' : '.join('1' for _ in criteria)})" if alike else f"weighted {' : '.join(f'{c.weight:g}' for c in criteria)}"


def provenance_of(found: Ranked) -> str:
    """What the table says of where its ranked rows come from; nothing where it says nothing, or more than a sentence holds."""
    told = Counter(str(text) for text in found.columns.get("provenance", ()) if text)
    if not 0 < len(told) <= 3:
        return ""
    return "; ".join(text if count == len(found.names) else f"{text} ({count:,} of {len(found.names):,})" for text, count in told.items())


def has_verdicts(found: Ranked) -> bool:
    """Whether of any of the ranked it was decided, or tried to decide, whether it would conform."""
    return any(found.columns.get("verdict", ()))


def who_conforms(found: Ranked) -> str:
    """How many of the ranked would conform and which, in a sentence without its end; that the table does not say so, where it has no verdict."""
    if not found.names:
        return "no candidate is left that could"
    if not has_verdicts(found):
        return "whether they would conform is not in this table"
    ways = ((WOULD, WOULD, WOULD), (WOULD_NOT, WOULD_NOT, WOULD_NOT), (UNDECIDED, "are not decided", "is not decided"),
            ("", "have no verdict", "has no verdict"))  # fmt: skip
    many = len(found.names)
    told: list[str] = []
    for verdict, of_several, of_one in ways:
        rows = np.flatnonzero(found.columns["verdict"] == verdict)
        if rows.size or verdict == WOULD:
            named = [found.names[i] + (f" (probability {p})" if verdict == UNDECIDED and (p := _p_text(found, i)) else "") for i in rows[:MOST_NAMED]]
            who = ", ".join(named) + (f" and {rows.size - MOST_NAMED:,} more" if rows.size > MOST_NAMED else "")
            if verdict == WOULD and rows.size and (p := _p_text(found, rows)):
                whose = "" if rows.size == 1 else "each with " if p.startswith("above") else "lowest "
                who += f" ({whose}probability {p})"
            count = f"{rows.size:,}" if rows.size else "none"
            told.append(f"{count}{'' if told else f' of the {many:,} ranked'} {of_one if rows.size == 1 else of_several}{f': {who}' if who else ''}")
    return "; ".join(told)


def _p_text(found: Ranked, rows: Any) -> str:
    """The conformance probability of a candidate, of several the least; empty where the table does not have it."""
    p = float(np.min(np.asarray(found.columns["conformance_probability"])[rows])) if "conformance_probability" in found.columns else float("nan")
    return "" if p != p else probability_text(p)


def rule_of(required_probability: Iterable[float | None]) -> str:
    """The rule of verdicts with the probability that it requires, which is what the rows state, or else the usual one.

    >>> rule_of([])[-16:], rule_of([0.9, 0.9])[-15:], rule_of([0.9, 0.8])[-32:]
    ('required is 0.95', 'required is 0.9', 'required is what each row states')
    """
    stated = {REQUIRED_PROBABILITY if p is None or p != p else float(p) for p in required_probability} or {REQUIRED_PROBABILITY}
    return f"{RULE}; required is {f'{min(stated):g}' if len(stated) == 1 else 'what each row states'}"


def conforms_text(found: Ranked, i: int) -> str:
    """What was decided of a candidate, in short, with its conformance probability."""
    verdict = _SHORT.get(str(found.columns["verdict"][i]), "no verdict")
    p = _p_text(found, i)
    return f"{verdict}, p {p}" if p else verdict


def label_text(label: float) -> str:
    """A label as it is written on a lens; nothing where there is none.

    >>> label_text(20.5), label_text(20.0), label_text(float("nan"))
    ('20.5', '20.0', '')
    """
    return "" if label != label else f"{label:.2f}".removesuffix("0")
