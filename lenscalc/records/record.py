"""One record, as a person asks for it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple

from lenscalc.records.canonical import Content, hash_of

SHORT = 12  # digits of a hash by which a person calls a record


DETERMINATION, WITHDRAWAL = "determination", "withdrawal"  # kinds of records: a sheet with what came of it; a word that one does not stand


class Withdrawal(NamedTuple):
    """The record that withdraws another, and why."""

    hash: str
    because: str


@dataclass(frozen=True, eq=False)
class Record:
    """A record: its hash, which is its name; its content, section by section; the hashes of those that supersede it, and what withdraws it.

    `content` is laid out as `lenscalc.records.canonical` says; a field that does not apply is not there.
    """

    hash: str
    content: Content
    superseded_by: tuple[str, ...] = ()
    withdrawn_by: tuple[Withdrawal, ...] = ()

    @property
    def id(self) -> str:
        """The first digits of the hash, by which it is called."""
        return self.hash[:SHORT]

    @property
    def gives_its_hash(self) -> bool:
        """Whether the content, read whole, is still that which the hash was taken of."""
        return hash_of(self.content) == self.hash

    @property
    def is_withdrawal(self) -> bool:
        """Whether it only says that another record does not stand; then it has no sections beside `record`."""
        return bool(self.section("record")["kind"] == WITHDRAWAL)

    def section(self, name: str) -> Mapping[str, Any]:
        """A section of which a record has one: record, tolerance, session, index, lens, decision; empty where it has none."""
        found: Mapping[str, Any] = self.content.get(name, {})
        return found

    def rows(self, name: str) -> list[Mapping[str, Any]]:
        """A section that is a list: lists, readings, corrections, steps, budget, dimensions, remarks; empty where it has none."""
        return list(self.content.get(name, []))

    @property
    def added_at_utc(self) -> str:
        """When it was added, by the clock of the computer, in UTC."""
        return str(self.section("record")["added_at_utc"])

    @property
    def material(self) -> str:
        """The material, as the sheet calls it."""
        return str(self.section("session")["material"])

    @property
    def lot(self) -> str | None:
        """The lot; None where the sheet does not say."""
        return self.section("session").get("lot")

    @property
    def day(self) -> str:
        """The day of the readings; where the sheet does not say, the day it was added."""
        return str(self.section("session").get("read_on") or self.added_at_utc[:10])


def by_day(records: Iterable[Record], places: Mapping[str, int]) -> list[Record]:
    """The records in the order of their days, those of one day by their places (`lenscalc.records.order`)."""
    return sorted(records, key=lambda r: (r.day, places[r.hash]))
