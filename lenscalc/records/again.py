"""A record computed again from its sheet and its settings, and compared value by value."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from lenscalc.errors import InputError
from lenscalc.records.determination import computed, tolerance_table_of
from lenscalc.records.made_by import BITS, made_by
from lenscalc.records.record import SHORT, Record
from lenscalc.records.rows import SECTIONS, as_kept

CLOSE = 1e-13  # of a value, or of 1 where the value is smaller: what processors and libraries may differ by
STATED = ("session", "lists", "readings", "corrections", "dimensions")  # by the sheet
SAME_BITS, WITHIN, DIFFERS, REFUSED = "the same bits", f"within {CLOSE:g}", "differs", "refused"


@dataclass(frozen=True)
class Difference:
    """One field that came out otherwise: where it stands (`lens.power_D`, `steps[2].n`), then, and now; None where it is not there."""

    field: str
    then: Any
    now: Any

    @property
    def is_close(self) -> bool:
        """Whether both are numbers within `CLOSE` of each other."""
        if not (isinstance(self.then, float) and isinstance(self.now, float)):
            return False
        return abs(self.now - self.then) <= CLOSE * max(1.0, abs(self.then), abs(self.now))

    @property
    def is_of_words(self) -> bool:
        """Whether no figure is another: a remark or a note in other words, or a field that the record's version did not have.

        A verdict is no mere word, nor is a name that the sheet states: material, lot, mounting, dimension.
        """
        if self.field.endswith(".verdict"):
            return False
        in_words = isinstance(self.then, str) and not self.field.startswith(STATED)
        return self.field.startswith("remarks") or in_words or (self.then is None and "." in self.field)


@dataclass(frozen=True, eq=False)
class Again:
    """The outcome: what it is in words, what differs, and with what it was computed then and now.

    `is_same_maker`: version, libraries and processor are those of the record, so that the bits must be too. `holds`: same bits for the same maker,
    within `CLOSE` otherwise.
    """

    outcome: str
    differences: tuple[Difference, ...]
    then: Mapping[str, str]
    now: Mapping[str, str]
    is_same_maker: bool
    refusal: str = ""

    @property
    def holds(self) -> bool:
        """Whether the record came out again as well as it must."""
        return self.outcome == SAME_BITS or (self.outcome == WITHIN and not self.is_same_maker)

    @property
    def figures_hold(self) -> bool:
        """Whether it holds, or another version differs from it in words alone."""
        in_words = self.outcome == DIFFERS and all(d.is_close or d.is_of_words for d in self.differences)
        return self.holds or (in_words and not self.is_same_maker)


def computed_again(record: Record, text: str) -> Again:
    """Compute a record's sheet anew, by the tolerance table of the record, and compare every value that it states or that came of it.

    Raises
    ------
    InputError
        for a withdrawal, of which nothing was computed.
    """
    made, now = record.section("record"), made_by()
    if record.is_withdrawal:
        raise InputError(f"record {record.id} only says that record {made['supersedes'][:SHORT]} is withdrawn: nothing was computed for it")
    then = {name: str(made.get(name, "unknown")) for name in now}
    same = then["lenscalc"] == now["lenscalc"] and all(then[name] == now[name] for name in BITS)
    try:
        _, sections = computed(text, str(made["sheet_name"]), tolerance_table_of(record.content))
    except InputError as error:
        return Again(REFUSED, (), then, now, same, str(error))
    content = as_kept({"record": made, **sections})
    found = tuple(d for s in SECTIONS for d in _differences(s.name, record.content.get(s.name), content.get(s.name)))
    outcome = SAME_BITS if not found else WITHIN if all(d.is_close for d in found) else DIFFERS
    return Again(outcome, found, then, now, same)


def told_of_again(record: Record, found: Again) -> str:
    """A sentence on a record whose figures do not come out again; empty where they do."""
    if found.figures_hold:
        return ""
    figures = [d for d in found.differences if not d.is_of_words] or found.differences
    first = f", {figures[0].field} {figures[0].then} then, {figures[0].now} now" if figures else f": {found.refusal}"
    if found.is_same_maker:
        why = "the same version on the same kind of machine owes the same bits, so these are not the figures of its sheet"
    else:
        why = f"it is said to be by lenscalc {found.then['lenscalc']}, and another version or machine may rightly have given other figures"
    return f"record {record.id}, computed again: {found.outcome}{first}; {why}; `lenscalc records again {record.id}` shows all of it"


def _differences(where: str, then: Any, now: Any) -> Iterator[Difference]:
    if isinstance(then, Mapping) and isinstance(now, Mapping):
        for name in dict.fromkeys((*then, *now)):
            yield from _differences(f"{where}.{name}", then.get(name), now.get(name))
    elif isinstance(then, list) and isinstance(now, list) and len(then) == len(now):
        for i, (a, b) in enumerate(zip(then, now, strict=True), 1):
            yield from _differences(f"{where}[{i}]", a, b)
    elif isinstance(then, list) or isinstance(now, list):
        yield Difference(f"{where}: rows", len(then or []), len(now or []))
    elif isinstance(then, Mapping) or isinstance(now, Mapping):
        yield Difference(where, None if then is None else "there", None if now is None else "there")
    elif then != now:
        yield Difference(where, then, now)
