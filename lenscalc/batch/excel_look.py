"""How a column looks in a workbook: as wide as its heading, with the decimals that its quantity is written with. The values stay whole."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from lenscalc.batch.legend import NORMALISED, PART
from lenscalc.quantities import is_quantity, quantity

FIRST_BELOW_THE_HEAD: Final = "A2"
SENTENCE: Final = 60.0  # letters, of a column of sentences
_LEAST, _MOST = 10.0, 40.0
_SENTENCES: Final = ("problem", "warning", "verdict")
_SHARE_DECIMALS: Final = 4


def number_format(name: str) -> str:
    """The format of a column's numbers; nothing for one that no registry knows.

    >>> number_format("power_D"), number_format("u_n_lens"), number_format("calibration_part_abbe_d"), number_format("batch_no")
    ('0.000', '0.000000', '0.00', '')
    """
    if name.startswith(NORMALISED):
        return _with(_SHARE_DECIMALS)
    if name.startswith(PART) and not is_quantity(name):
        name = f"u_{name.removeprefix(PART)}"
    return _with(quantity(name).decimals) if is_quantity(name) else ""


def _with(decimals: int) -> str:
    return f"0.{'0' * decimals}" if decimals else "0"


def width_of(name: str) -> float:
    """How wide a column is, in letters.

    >>> width_of("row"), width_of("front_radius_mm"), width_of("problem")
    (10.0, 17.0, 60.0)
    """
    return SENTENCE if name in _SENTENCES else min(max(len(name) + 2.0, _LEAST), _MOST)


def lay_out(sheet: Any, widths: Sequence[float]) -> None:
    """The widths of a sheet, and its first row kept in sight; before any row is in it."""
    from openpyxl.utils import get_column_letter

    for i, width in enumerate(widths, 1):
        sheet.column_dimensions[get_column_letter(i)].width = width
    sheet.freeze_panes = FIRST_BELOW_THE_HEAD
