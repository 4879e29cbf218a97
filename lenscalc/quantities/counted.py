"""How many there are, in words."""

from __future__ import annotations


def counted(n: int, one: str, many: str = "") -> str:
    """A number with its noun; `many` where an s does not make the plural.

    >>> counted(1, "record"), counted(0, "record"), counted(2, "degree of freedom", "degrees of freedom")
    ('1 record', '0 records', '2 degrees of freedom')
    """
    return f"{n} {one if n == 1 else many or f'{one}s'}"
