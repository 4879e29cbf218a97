"""What somebody types or pastes into a cell: numbers, also with a decimal comma, labels, lists of readings."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from lenscalc.errors import InputError
from lenscalc.quantities import Quantity, number_in_text, plain
from lenscalc.web.fields.printed_minus import with_hyphen

_COMMA = re.compile(r"[+-]?[0-9]*,[0-9]+([eE][+-]?[0-9]+)?")
_THOUSANDS = re.compile(r"[+-]?[1-9][0-9]{0,2},[0-9]{3}")


def as_written(cell: object) -> str:
    """The text of a cell; an empty one may be None or nan.

    >>> as_written(" 1.49 "), as_written(float("nan"))
    ('1.49', '')
    """
    return "" if cell is None or cell != cell else str(cell).strip()


def number_typed(q: Quantity, text: str) -> float:
    """The number in a cell; a decimal comma is taken as the point where it can mean nothing else.

    Raises
    ------
    InputError
        for what is no number, for a point and a comma in one, and for a comma that may stand between thousands.

    >>> from lenscalc.quantities import quantity
    >>> number_typed(quantity("n_reading"), "1,4902"), number_typed(quantity("back_radius_mm"), "−15,2")
    (1.4902, -15.2)
    >>> number_typed(quantity("reading_temperature_degC"), "20,5 °C")
    Traceback (most recent call last):
    lenscalc.errors.InputError: reading_temperature_degC = '20,5 °C' is not a number: must be -20 to 150 °C
    """
    bare = with_hyphen(text.strip().replace("\u00a0", ""))
    if not _COMMA.fullmatch(bare):
        return number_in_text(q, bare) if "," not in bare else _refused(q, bare)
    value = float(bare.replace(",", "."))
    if _THOUSANDS.fullmatch(bare) and q.lower <= value and 1000.0 * value <= q.upper:
        raise InputError(
            f"{q.name} = {text.strip()!r} may be {plain(value)} or {plain(1000.0 * value)}: write it with a point, or without the comma",
            quantity=q.name, value=text, limits=(q.lower, q.upper), unit=q.unit,
        )  # fmt: skip
    return value


def _refused(q: Quantity, text: str) -> float:
    """Commas are taken here, so they are not what is wrong; a point and a comma in one number are."""
    if "." in text:
        told = "holds a point and a comma: write one of them, before the decimals, and none between thousands"
    else:
        told = f"is not a number: must be {q.limits_text}"
    raise InputError(f"{q.name} = {text!r} {told}", quantity=q.name, value=text, limits=(q.lower, q.upper), unit=q.unit)


def numbers_typed(q: Quantity, text: str) -> list[float]:
    """A list of numbers in one cell, apart by blanks, semicolons, or commas with a blank behind.

    >>> from lenscalc.quantities import quantity
    >>> numbers_typed(quantity("n_reading"), "1,33452 1,33451"), numbers_typed(quantity("n_reading"), "1.4902, 1.4904; 1.4903")
    ([1.33452, 1.33451], [1.4902, 1.4904, 1.4903])
    """
    pieces = (piece for piece in re.split(r"[\s;]+|,\s+", text.strip()) if piece)
    return [number_typed(q, entry) for piece in pieces for entry in (piece.split(",") if "." in piece else [piece]) if entry]


def label_typed(text: str) -> int | str:
    """A label as a sheet holds it: a whole number, or text.

    >>> label_typed("2"), label_typed("Monday"), label_typed("007")
    (2, 'Monday', '007')
    """
    return int(text) if text.isascii() and text.isdigit() and str(int(text)) == text else text


def has_comma(texts: Iterable[str]) -> bool:
    """Whether any of these is a number with a decimal comma."""
    return any(_COMMA.fullmatch(with_hyphen(text.strip())) for text in texts)


def alike(values: Sequence[float]) -> list[str]:
    """Numbers of one column as text, with as many decimals as the one that needs most.

    >>> alike([1.5022, 1.50214]), alike([20.0, 35.0])
    (['1.50220', '1.50214'], ['20', '35'])
    """
    decimals = max((len(plain(v).partition(".")[2]) for v in values if "e" not in plain(v)), default=0)
    return [plain(v) if "e" in plain(v) else f"{v:.{decimals}f}" for v in values]
