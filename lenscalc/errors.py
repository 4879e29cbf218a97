"""Every error and warning of lenscalc.

LenscalcError
├── InputError (ValueError)      a value that cannot be: names quantity, value, limits, unit, row
│   ├── UnknownNameError         a column, option or key that nobody knows; suggests the nearest
│   └── SheetError               something in a reading sheet; names table and key
├── FileError (OSError)          a file that cannot be read or written
└── WorkerError                  a process or a machine that should compute, and does not

RangeWarning (UserWarning)       possible, but outside the usual or the published range
"""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches
from typing import Any

FEW = 12  # names that an error still lists


class LenscalcError(Exception):
    """Anything that lenscalc itself refuses."""


class InputError(LenscalcError, ValueError):
    """A value that cannot be used, with what is needed to mend it.

    `quantity`, `value`, `limits` (lower, upper), `unit` and `row` (counted from 1; None for a single case) are kept as attributes where they are
    known.
    """

    def __init__(
        self,
        message: str,
        *,
        quantity: str | None = None,
        value: object = None,
        limits: tuple[float, float] | None = None,
        unit: str | None = None,
        row: int | None = None,
    ) -> None:
        super().__init__(message)
        self.quantity = quantity
        self.value = value
        self.limits = limits
        self.unit = unit
        self.row = row

    def __reduce__(self) -> tuple[Any, ...]:
        return _as_it_was, (type(self), self.args, self.__dict__)  # whole from one process to another, whatever its class asks for


def _as_it_was(kind: type[InputError], args: tuple[Any, ...], attributes: dict[str, Any]) -> InputError:
    error = kind.__new__(kind, *args)
    error.__dict__.update(attributes)
    return error


class UnknownNameError(InputError):
    """A name that nobody knows, with the nearest that somebody does, or all of them where they are few."""

    def __init__(self, name: str, known: Iterable[str], *, what: str) -> None:
        names = list(known)
        near = get_close_matches(name, names, n=1, cutoff=0.6)
        hint = f"; did you mean {near[0]}?" if near else f"; there are {', '.join(names)}" if 0 < len(names) <= FEW else ""
        super().__init__(f"unknown {what} {name!r}{hint}", quantity=name)
        self.suggestion = near[0] if near else None


class SheetError(InputError):
    """Something in a reading sheet that cannot be used; the message names the table and the key."""


class FileError(LenscalcError, OSError):
    """A file that cannot be read or written."""


class WorkerError(LenscalcError):
    """A process or a machine that should compute blocks, and cannot be reached, does not fit or died over one."""


class RangeWarning(UserWarning):
    """A value that is possible but lies outside the usual or the published range."""
