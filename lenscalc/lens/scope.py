"""Which lenses the formulas of this room hold for, and which they refuse by name."""

from __future__ import annotations

from lenscalc.errors import InputError, UnknownNameError

KINDS = ("monofocal", "toric")
REFUSED = {
    "diffractive": "its power comes from a grating too, which answers to the wavelength and hardly to the index",
    "gradient-index": "its index changes from place to place, and one reading is not the index of the lens",
    "multi-material": "it has more than one index, and one reading is not the index of the lens",
}


def refuse_other_kinds(kind: str) -> None:
    """Let refractive monofocal and toric lenses pass.

    Raises
    ------
    InputError
        for a diffractive, gradient-index or multi-material lens, with the reason; UnknownNameError for any other word.

    >>> refuse_other_kinds("toric")
    >>> refuse_other_kinds("gradient-index")
    Traceback (most recent call last):
    lenscalc.errors.InputError: gradient-index lenses are refused: its index changes from place to place, and one reading is not the index of the lens
    """
    if kind in REFUSED:
        raise InputError(f"{kind} lenses are refused: {REFUSED[kind]}", quantity="kind", value=kind)
    if kind not in KINDS:
        raise UnknownNameError(kind, [*KINDS, *REFUSED], what="kind of lens")
