"""Formulas of a sheet whose values nobody has saved: a program wrote them, and no spreadsheet program has opened the workbook since."""

from __future__ import annotations

import re
import zipfile
from collections.abc import Iterator
from typing import Any
from xml.etree.ElementTree import iterparse

_MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
_A_FORMULA = re.compile(rb"<(?:\w+:)?f[\s/>]")
# Who computes no formula but writes 0 for each says by this flag that all are to be computed on opening; whoever does that takes the flag away
# (a vendor's documentation of its spreadsheet; the standard's own words not seen).
_TO_BE_COMPUTED = re.compile(rb"""fullCalcOnLoad\s*=\s*["'](?:1|true)["']""")
_PIECE, _OVERLAP = 1 << 20, 64
_MOST_NAMED = 3


def unsaved_formulas(path: str, part: str) -> dict[int, str]:
    """What is to be said of each row of a sheet, counted from 1, that holds such a cell; `part` is the sheet's name within the workbook.

    Looked for only where the sheet holds a formula at all.
    """
    with zipfile.ZipFile(path) as archive:
        with archive.open(part) as sheet:
            if not _holds_a_formula(sheet):
                return {}
        book = archive.read("xl/workbook.xml") if "xl/workbook.xml" in archive.namelist() else b""
        unsaved = ("", "0") if _TO_BE_COMPUTED.search(book) else ("",)
        with archive.open(part) as sheet:
            return {row: _told(cells) for row, cells in _rows(sheet, unsaved) if cells}


def _holds_a_formula(sheet: Any) -> bool:
    before = b""
    while piece := sheet.read(_PIECE):
        if _A_FORMULA.search(before + piece):
            return True
        before = piece[-_OVERLAP:]
    return False


def _rows(sheet: Any, unsaved: tuple[str, ...]) -> Iterator[tuple[int, list[str]]]:
    number = 0
    for _, element in iterparse(sheet):
        if element.tag == f"{_MAIN}row":
            number = int(float(element.get("r", number + 1)))
            yield number, [cell.get("r", f"a cell of row {number}") for cell in element if _is_unsaved(cell, unsaved)]
            element.clear()


def _is_unsaved(cell: Any, unsaved: tuple[str, ...]) -> bool:
    """A saved value may be an empty text: its cell then says that it holds a text."""
    return cell.find(f"{_MAIN}f") is not None and cell.get("t", "n") == "n" and (cell.findtext(f"{_MAIN}v") or "") in unsaved


def _told(cells: list[str]) -> str:
    more = f" and {len(cells) - _MOST_NAMED} more" if len(cells) > _MOST_NAMED else ""
    return (
        f"{', '.join(cells[:_MOST_NAMED])}{more}: a formula whose value was never saved; "
        "open the workbook in a spreadsheet program, save it there, and take it again"
    )
