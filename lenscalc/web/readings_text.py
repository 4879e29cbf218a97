"""A list of readings as somebody types it."""

from __future__ import annotations

import re
from collections.abc import Sequence

from lenscalc.errors import InputError
from lenscalc.quantities import as_number, plain


def readings_from(text: str) -> list[float]:
    r"""The readings in a text: one a line, or apart by blanks, semicolons or commas. A decimal comma is refused.

    >>> readings_from("1.4902\n1.4904; 1.4903")
    [1.4902, 1.4904, 1.4903]
    >>> readings_from("1,4902 1,4904")
    Traceback (most recent call last):
    lenscalc.errors.InputError: n_reading = '1,4902' is not a number: must be 1 to 3; write the decimals with a point
    """
    entries = [entry for piece in re.split(r"[\s;]+|,\s+", text.strip()) for entry in (piece.split(",") if "." in piece else [piece]) if entry]
    if not entries:
        raise InputError("n_reading is missing: type the readings of one specimen, one a line", quantity="n_reading")
    return [float(as_number("n_reading", entry)) for entry in entries]


def readings_as_text(readings: Sequence[float]) -> str:
    r"""One reading a line.

    >>> readings_as_text([1.4902, 1.49])
    '1.4902\n1.49'
    """
    return "\n".join(plain(n) for n in readings)
