"""What the columns of a table mean, one by one: for who reads a result without the page or the command that made it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final, NamedTuple

from lenscalc.chain.table import CHOICES, LABELS
from lenscalc.conditions import CAUTION
from lenscalc.quantities import is_quantity, quantity

# columns that are no quantity: texts that a result brings
TEXTS: Final = {
    "verdict": "whether the lens would conform to its label if cut to these dimensions, where that can be decided",
    "problem": "what is wrong with the row; empty for a good one",
    "warning": "what is possible but unusual, or why the row is not decided",
}
_WORDS: Final = {"index_state": "state of the index", "index_basis": "basis of the index", "lens_kind": "kind of the lens", "beam": "beam"}
PART: Final = "calibration_part_"
_NORMALISED = "normalised_"
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
    u_power_D | standard uncertainty of the power | D | standard uncertainty of power_D
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
    if name.startswith(_NORMALISED) and is_quantity(name.removeprefix(_NORMALISED)):
        of = quantity(name.removeprefix(_NORMALISED)).label
        return Explained(name, f"worth by the {of}", "", "1 for the best and 0 for the worst of the candidates ranked, straight between them")
    if name in TEXTS or name in _RANKED:
        return Explained(name, name, "", TEXTS.get(name) or _RANKED[name])
    return Explained(name, name, "", "a label, carried along" if name in LABELS else "a column of the table's own, carried along; it takes no part")
