"""How many there are, in words."""

from __future__ import annotations


def counted(n: float, one: str, many: str = "", how: str = "") -> str:
    """A number with its noun; `many` where an s does not make the plural, `how` the number is written.

    >>> counted(1, "record"), counted(0, "record"), counted(2, "degree of freedom", "degrees of freedom")
    ('1 record', '0 records', '2 degrees of freedom')
    >>> counted(1.0, "degree", how=".3g"), counted(1.04, "degree", how=".3g"), counted(12000, "row", how=",")
    ('1 degree', '1.04 degrees', '12,000 rows')
    """
    number = f"{n:{how}}"
    return f"{number} {one if number == '1' else many or f'{one}s'}"
