"""What the columns of a table mean, one by one: for who reads a result without the page or the command that made it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Final, NamedTuple

from lenscalc.chain.table import CHOICES, LABELS
from lenscalc.conditions import CAUTION
from lenscalc.decision import Criterion, Limit
from lenscalc.quantities import is_quantity, plain, quantity
from lenscalc.uncertainty.rounding import percent

# columns that are no quantity: texts that a result brings
TEXTS: Final = {
    "verdict": "whether the lens would conform to its label if cut to these dimensions, where that can be decided",
    "problem": "what is wrong with the row; empty for a good one",
    "warning": "what is possible but unusual, or why the row is not decided",
}
_WORDS: Final = {"index_state": "state of the index", "index_basis": "basis of the index", "lens_kind": "kind of the lens", "beam": "beam"}
PART: Final = "calibration_part_"
NORMALISED: Final = "normalised_"
_KEPT: Final = {">=": "{} or more", "<=": "{} or less", ">": "more than {}", "<": "less than {}"}
_RANKED: Final = {
    "row": "the row's place in the table that was ranked, from 1",
    "pareto": "whether no other candidate is as good in every criterion and better in one, by the values alone",
}


class Explained(NamedTuple):
    """One column: its name, the same in words, its unit and what it means."""

    column: str
    in_words: str
    unit: str
    meaning: str


HEADING: Final = Explained("column", "in words", "unit", "meaning")
LAST: Final = Explained("caution", "", "", CAUTION)  # what the numbers must not be used for goes with them


def legend(names: Iterable[str]) -> list[Explained]:
    """Every column of a table, in its order.

    >>> for line in legend(["candidate", "u_power_D", "verdict", "note_oven"]):
    ...     print(*line, sep=" | ")
    candidate | candidate |  | a label, carried along
    u_power_D | standard uncertainty of the power | D | standard uncertainty of the power
    verdict | verdict |  | whether the lens would conform to its label if cut to these dimensions, where that can be decided
    note_oven | note_oven |  | a column of the table's own, carried along; it takes no part
    """
    return [_explained(name) for name in names]


def _explained(name: str) -> Explained:
    if is_quantity(name):
        q = quantity(name)
        return Explained(name, q.label, q.unit, q.meaning)
    if name in CHOICES:
        return Explained(name, _WORDS[name], "", " or ".join(CHOICES[name]))
    if name.startswith(PART) and is_quantity(name.removeprefix(PART)):
        q = quantity(name.removeprefix(PART))
        meaning = f"signed part of u({q.name}) from the stated calibration of the index scale"
        return Explained(name, f"calibration's part of the {q.label}", q.unit, meaning)
    if name.startswith(NORMALISED) and is_quantity(name.removeprefix(NORMALISED)):
        of = quantity(name.removeprefix(NORMALISED)).label
        return Explained(name, f"worth by the {of}", "", "1 for the best and 0 for the worst of the candidates ranked, straight between them")
    if name in TEXTS or name in _RANKED:
        return Explained(name, name, "", TEXTS.get(name) or _RANKED[name])
    return Explained(name, name, "", "a label, carried along" if name in LABELS else "a column of the table's own, carried along; it takes no part")


def how_ranked(criteria: Iterable[Criterion], limits: Iterable[Limit], weights: Mapping[str, float]) -> list[Explained]:
    """What counted in a ranking, with its aim and weight, and the limits that were kept: lines below those of the columns.

    >>> aims = [Criterion("power_D", "near", "labelled_power_D"), Criterion("abbe_d", "high")]
    >>> for line in how_ranked(aims, [Limit("abbe_d", ">=", 40.0)], {"power_D": 0.25, "abbe_d": 0.75}):
    ...     print(*line, sep=" | ")
    criterion: power_D | power | D | near labelled_power_D is good; weight 25 %
    criterion: abbe_d | Abbe number |  | high is good; weight 75 %
    limit: abbe_d | Abbe number |  | 40 or more; who is outside is not ranked
    """
    told = []
    for c in criteria:
        aim = c.direction if c.direction != "near" else f"near {c.target if isinstance(c.target, str) else plain(c.target or 0.0)}"
        told.append(_explained(c.name)._replace(column=f"criterion: {c.name}", meaning=f"{aim} is good; weight {percent(weights[c.name])}"))
    for limit in limits:
        kept = _KEPT[limit.comparison].format(plain(limit.number))
        told.append(_explained(limit.name)._replace(column=f"limit: {limit.name}", meaning=f"{kept}; who is outside is not ranked"))
    return told
