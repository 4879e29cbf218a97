"""What a determination says, as a plain tree of texts: every number is formatted once, here, and every view of it shows the same."""

from __future__ import annotations

import hashlib
import json
import unicodedata
from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

_UNPRINTED = ("Cc", "Cf", "Cn", "Co", "Cs")  # control, what moves or hides other signs, unassigned, private, half of a pair
_JOINERS = "\u200c\u200d"  # some scripts cannot be written without them


class Figure(NamedTuple):
    """One figure: the quantity's name, what it is called, and its value as it is printed."""

    quantity: str
    label: str
    text: str


class Group(NamedTuple):
    """Figures that belong together, under a heading of their own or under none."""

    heading: str
    figures: tuple[Figure, ...]


class Column(NamedTuple):
    """A column of a table: the quantity's name ("" for words), its heading, and whether it holds numbers."""

    quantity: str
    label: str
    is_number: bool = False


class Table(NamedTuple):
    """A table: what it shows in a sentence, its columns, its rows as they are printed."""

    caption: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]


class Picture(NamedTuple):
    """A picture by its name, with its message in words."""

    name: str
    message: str


class Section(NamedTuple):
    """One question: its answer in sentences, then figures, pictures, tables, and the small print."""

    question: str
    says: tuple[str, ...] = ()
    groups: tuple[Group, ...] = ()
    pictures: tuple[Picture, ...] = ()
    tables: tuple[Table, ...] = ()
    notes: tuple[str, ...] = ()
    is_decision: bool = False


class Determination(NamedTuple):
    """The whole of it, in the order in which it is read."""

    title: str
    kind: str
    provenance: str
    day: str
    short: tuple[Figure, ...]
    caution: str
    sections: tuple[Section, ...]
    warnings: tuple[str, ...]
    sources: tuple[str, ...]
    stands_on: tuple[Figure, ...]
    signatures: tuple[str, ...]
    checksum_in_short: str
    sheet: str
    record_in_short: str = ""


def printable(text: str) -> str:
    """A text from outside in one line, with every sign that would move, hide or end something written out.

    >>> printable("lot 7\\x07\\n\\u202eB-03")
    'lot 7‹U+0007› ‹U+202E›B-03'
    """
    return " ".join(_written_out(text).split())


def printable_lines(text: str) -> str:
    """The same, with its lines and tabs kept."""
    return "\n".join(_written_out(line.expandtabs(4)) for line in text.splitlines())


def _written_out(text: str) -> str:
    return "".join(
        f"‹U+{ord(c):04X}›" if unicodedata.category(c) in _UNPRINTED and c not in _JOINERS and not c.isspace() else c for c in text
    )


def figures_of(tree: Determination) -> Iterator[tuple[str, str]]:
    """Every figure, in the order of the page: name of the quantity and its printed text.

    The checksums stand aside, since one of them is taken over these.
    """
    yield from ((f.quantity, f.text) for f in tree.short)
    for section in tree.sections:
        yield from ((f.quantity, f.text) for group in section.groups for f in group.figures)
        for table in section.tables:
            yield from ((c.quantity, cell) for row in table.rows for c, cell in zip(table.columns, row, strict=True) if c.quantity and cell)


def sum_of_text(text: str) -> str:
    """SHA-256 of a text in UTF-8.

    >>> sum_of_text("abc")[:16]    # FIPS 180-2, appendix B.1
    'ba7816bf8f01cfea'
    """
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def sum_of_figures(tree: Determination) -> str:
    """SHA-256 of the figures as printed, as a JSON list of pairs without spaces: what two prints of one result have in common."""
    return sum_of_text(json.dumps(list(figures_of(tree)), ensure_ascii=False, separators=(",", ":")))


def as_plain(value: Any) -> Any:
    """The tree as mappings and lists, for JSON."""
    if hasattr(value, "_asdict"):
        return {name: as_plain(part) for name, part in value._asdict().items()}
    if isinstance(value, Mapping):
        return {name: as_plain(part) for name, part in value.items()}
    return [as_plain(part) for part in value] if isinstance(value, tuple | list) else value
