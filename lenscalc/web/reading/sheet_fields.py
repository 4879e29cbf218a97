"""Fields that show and write what stands at one place of the sheet; which kind of field, the schema says."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import streamlit as st

from lenscalc.quantities import Quantity, plain
from lenscalc.refractometer.schema import SCHEMA, Day, Limits, Number, Numbers, Text, Yes
from lenscalc.web.fields.number_field import number_field
from lenscalc.web.reading.in_force import in_force
from lenscalc.web.reading.schema_table import asked
from lenscalc.web.reading.sheet_quantities import of_sheet
from lenscalc.web.reading.sheet_state import KEPT, seeded, tables
from lenscalc.web.reading.sheet_tables import Path, found, put
from lenscalc.web.reading.sheet_words import WORDS, Words
from lenscalc.web.reading.typed_cells import numbers_typed

CHOOSE = "not stated"


def field(*path: str | int) -> Any:
    """The field for a key of the sheet, and what it holds now.

    Raises
    ------
    InputError
        for a list of readings that are no numbers.
    """
    table, key = schema_of(path), str(path[-1])
    kind = SCHEMA[table][key]
    words = words_of(path)
    if isinstance(kind, Text):
        return _choice(path, words, kind) if kind.choices else _line(path, words)
    if isinstance(kind, Yes):
        return _yes(path, words)
    if isinstance(kind, Day):
        return _day(path, words)
    if isinstance(kind, Numbers):
        return _list(path, words, asked(table, key))
    if isinstance(kind, Number):
        return number(path, kind.quantity, words.label)
    assert isinstance(kind, Limits)
    return number(path, of_sheet(table, key, words.label, words.help or words.label, words.decimals))


def pair(*path: str) -> None:
    """A number and the u of it, side by side."""
    side_by_side(path, (*path[:-1], f"u_{path[-1]}"))


def side_by_side(*paths: Path) -> None:
    """Fields in one row, a column each."""
    for column, path in zip(st.columns(len(paths), vertical_alignment="bottom"), paths, strict=True):
        with column:
            field(*path)


def number(path: Path, of: str | Quantity, label: str | None = None) -> float | None:
    """A number field at a path of the sheet."""
    held = found(tables(), path)
    acts = in_force(tables(), path)
    key = seeded(path, float(held) if isinstance(held, int | float) else None)
    value = number_field(of, key=key, label=label or None, while_empty=f"{acts} while empty" if acts else None)
    put(tables(), path, value)
    return value


def schema_of(path: Path) -> str:
    """The schema's name of the table that holds a path.

    >>> schema_of(("lens", "front_radius_mm", "value")), schema_of(("reading", 0, "n")), schema_of(("title",))
    ('lens.front_radius_mm', 'reading', '')
    """
    return ".".join(str(step) for step in path[:-1] if isinstance(step, str))


def words_of(path: Path) -> Words:
    """What a key is called where the registry has no label for it."""
    table = schema_of(path)
    return WORDS.get(f"{table}.{path[-1]}" if table else str(path[-1]), Words(""))


def _line(path: Path, words: Words) -> str:
    text = str(st.text_input(words.label, key=seeded(path, found(tables(), path) or ""), persist_state=KEPT, help=words.help or None) or "").strip()
    put(tables(), path, text or None)
    return text


def _choice(path: Path, words: Words, kind: Text) -> str | None:
    held = found(tables(), path)
    options = kind.choices if kind.required else (CHOOSE, *kind.choices)
    key = seeded(path, held if held in kind.choices else options[0])
    chosen = str(st.selectbox(words.label, options, key=key, help=words.help or None, persist_state=KEPT))
    put(tables(), path, None if chosen == CHOOSE else chosen)
    return None if chosen == CHOOSE else chosen


def _yes(path: Path, words: Words) -> bool:
    held = found(tables(), path)
    said = bool(st.checkbox(words.label, key=seeded(path, held is True), persist_state=KEPT, help=words.help or None))
    put(tables(), path, said if said or held is not None else None)
    return said


def _day(path: Path, words: Words) -> date | None:
    key = seeded(path, found(tables(), path))
    day = st.date_input(words.label, key=key, persist_state=KEPT, value=None, format="YYYY-MM-DD", help=words.help or None)
    put(tables(), path, day)
    return day


def _list(path: Path, words: Words, of: Quantity) -> list[float]:
    held = found(tables(), path) or []
    text = str(st.text_input(words.label, key=seeded(path, "  ".join(plain(x) for x in held)), persist_state=KEPT, help=words.help or None) or "")
    values = numbers_typed(replace(of, name=words.label), text)
    put(tables(), path, values or None)
    return values
