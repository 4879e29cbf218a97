"""Frozen limits in a TOML file, so that next month is judged by the same."""

from __future__ import annotations

import sys
from dataclasses import fields
from pathlib import Path
from typing import Any, Final

from lenscalc.control.limits import CUSUM, EWMA, KINDS, FrozenLimits
from lenscalc.errors import FileError, InputError, UnknownNameError
from lenscalc.own_file import path_of, read_text, tables_in, write_whole

_TEXTS: Final = ("kind", "first", "last", "made_by")
_ABOVE_0: Final = ("sigma", "weight", "width_sigma", "h_sigma", "points")
_COMMON: Final = ("kind", "centre", "sigma", "points", "first", "last", "u_sigma_relative", "made_by")


def as_toml(limits: FrozenLimits) -> str:
    """The record as TOML; a number keeps all its digits."""
    import tomli_w

    held = {field.name: getattr(limits, field.name) for field in fields(limits)}
    return tomli_w.dumps({"limits": {name: list(v) if isinstance(v, tuple) else v for name, v in held.items() if v is not None}})


def save_limits(limits: FrozenLimits, path: str | Path) -> None:
    """Write the record to a file, which appears under its name only when it is whole. A file that is there is not written over.

    Raises
    ------
    FileError
        if the file is there already, or the disk does not take it.
    """
    if path_of(path).exists():
        raise FileError(f"{path} is there already; frozen limits are not written over: choose another name, or remove it yourself")
    write_whole(path, as_toml(limits))


def read_limits(path: str | Path) -> FrozenLimits:
    """The record of a file that `save_limits` wrote.

    Raises
    ------
    FileError
        if the file is not there, or is not UTF-8 text.
    InputError
        naming file and key.
    """
    return limits_from_toml(read_text(path), str(path))


def limits_from_toml(text: str, name: str = "limits") -> FrozenLimits:
    """The record in a TOML text.

    >>> text = '[limits]\\nkind = "individuals"\\ncentre = 1.333\\nsigma = 2e-5\\npoints = 25\\nfirst = "2026-01-05"\\nlast = "2026-06-22"\\n'
    >>> limits_from_toml(text + 'u_sigma_relative = 0.19\\nmade_by = "lenscalc 0.1.0"\\n').points
    25
    """
    data = tables_in(text, name)
    table = data.get("limits")
    if not isinstance(table, dict) or len(data) != 1:
        raise InputError(f"{name}: must hold the one table [limits], as it was written when the limits were frozen")
    kind = table.get("kind")
    if kind not in KINDS:
        raise InputError(f"{name}: [limits] kind = {kind!r}: must be one of {', '.join(KINDS)}", quantity="kind", value=kind)
    own = EWMA if kind == "ewma" else CUSUM if kind == "cusum" else ()
    needed = (*_COMMON, *own)
    for key in table:
        if key not in (*needed, "remarks"):
            raise InputError(f"{name}: [limits] {UnknownNameError(key, needed, what='key')}")
    for key in needed:
        if key not in table:
            raise InputError(f"{name}: [limits] {key} is missing", quantity=key)
    remarks = table.get("remarks", [])
    if not isinstance(remarks, list) or not all(isinstance(text, str) for text in remarks):
        raise InputError(f"{name}: [limits] remarks: must be a list of texts", quantity="remarks")
    checked = {key: _value(f"{name}: [limits] {key}", key, table[key]) for key in needed}
    return FrozenLimits(**checked, remarks=tuple(remarks))


def _value(where: str, key: str, value: Any) -> Any:
    if key in _TEXTS:
        if not isinstance(value, str):
            raise InputError(f"{where} = {value!r}: must be text", quantity=key, value=value)
        return value
    if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) <= sys.float_info.max:
        raise InputError(f"{where} = {value!r:.40}: must be a number", quantity=key, value=value)
    if key in _ABOVE_0 and not value > 0:
        raise InputError(f"{where} = {value}: must be above 0", quantity=key, value=value)
    if key == "points" and value != int(value):
        raise InputError(f"{where} = {value}: must be a whole number", quantity=key, value=value)
    return int(value) if key == "points" else float(value)
