"""The numbers of a sheet's rows: whoever reads a sheet puts each row at its number, and of two at one place only one is left."""

from __future__ import annotations

import re
import zipfile

from lenscalc.errors import FileError

_ROW = re.compile(rb"<(?:\w+:)?row(?=[\s/>])[^>]*>")
_NUMBER = re.compile(rb"""\sr\s*=\s*["']\s*([0-9]+)""")
_PIECE, _LONGEST = 1 << 20, 1 << 16  # bytes read at once; of the beginning of a row


def refuse_lost_rows(path: str, part: str) -> None:
    """Refuse a sheet in which a row's number is not above that of the row before it; `part` is the sheet's name within the workbook.

    Raises
    ------
    FileError
    """
    last, rest = 0, b""
    with zipfile.ZipFile(path) as archive, archive.open(part) as sheet:
        while piece := sheet.read(_PIECE):
            data = rest + piece
            for row in _ROW.finditer(data):
                found = _NUMBER.search(row[0])
                number = int(found[1]) if found else last + 1
                if number <= last:
                    same = "two rows of its first sheet have the number" if number == last else f"in its first sheet row {last} stands before row"
                    raise FileError(
                        f"{path}: {same} {number}, so that one of them would be lost; another program wrote it so: save it anew in a spreadsheet "
                        "program, look whether all rows are there, and take it again"
                    )
                last = number
            opened = data.rfind(b"<")
            rest = data[opened:] if opened > data.rfind(b">") and len(data) - opened < _LONGEST else b""
