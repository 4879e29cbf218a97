"""A day's specimens as reading sheets of their own, to be kept one by one: the tables that `day` reads, with the digits that were written."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

from lenscalc.errors import InputError, SheetError
from lenscalc.own_file import read_text, tables_in
from lenscalc.quantities import counted
from lenscalc.refractometer.day import day_from_text, lines_of, tables_of


def day_sheets(path: str | Path, shared: str | Path) -> tuple[tuple[str, str], ...]:
    """The name of each specimen of a day and the text of its sheet; `shared` is the TOML file of what all have in common.

    Raises
    ------
    FileError
        if a file is not there, or is not UTF-8 text.
    SheetError
        as `read_day`, and for a specimen that cannot be read: of a day in which one is wrong, nothing is given.
    """
    text, common = read_text(path, kind="CSV UTF-8"), read_text(shared)
    tables = tables_in(common, str(shared), error=SheetError)
    try:
        wrong = [f"{d.name}: {d.problem}" for d in day_from_text(text, tables) if d.problem]
    except InputError as error:
        raise SheetError(f"{path}: {error}") from None
    if wrong:
        more = f" (and {counted(len(wrong) - 1, 'more specimen')} cannot be read)" if wrong[1:] else ""
        raise SheetError(f"{path}: a day is kept whole, mend this or take its lines out: {wrong[0]}{more}")
    return sheet_texts(text, common)


def sheet_texts(text: str, common: str) -> tuple[tuple[str, str], ...]:
    """The sheets of a day that reads without a problem, from the texts of its two files.

    >>> shared = 'instrument = {kind = "v-block", resolution = 1e-5}\\nreading = {wavelength_nm = 546.07, temperature_degC = 35.0}\\n'
    >>> ((name, sheet),) = sheet_texts("specimen,n\\nA1,1.49010\\nA1,1.49020\\n", shared)
    >>> name, [line for line in sheet.splitlines() if "1.49" in line or "name" in line]
    ('A1', ['name = "A1"', '    1.49010,', '    1.49020,'])
    """
    import tomli_w

    shared = tables_in(common, "", parse_float=Decimal)
    return tuple((name, tomli_w.dumps(tables_of(name, lines, shared, Decimal))) for name, lines in lines_of(text, shared)[0].items())
