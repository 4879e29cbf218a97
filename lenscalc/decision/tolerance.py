"""The tolerance about a labelled power: a table with its edition, replaceable by a file."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from itertools import pairwise
from math import inf, isfinite
from pathlib import Path
from sys import float_info
from typing import Any, Final

import numpy as np

from lenscalc.errors import InputError
from lenscalc.own_file import read_text, tables_in
from lenscalc.quantities import checked, complaint, given_back, quantity

SHIPPED: Final = "spherical_1999_2014.toml"
_KEYS: Final = {"edition": True, "band": True, "seen": False, "quoted_in": False, "note": False}  # key: required


@dataclass(frozen=True)
class ToleranceTable:
    """Bands (up to this magnitude of the label [D], half-width of the tolerance [D]) and the edition they come from."""

    edition: str
    bands: tuple[tuple[float, float], ...]
    seen: str = ""
    note: str = ""

    def of(self, label: Any) -> Any:
        """Half-widths for an array of labels: nan for nan, and beyond the last band if that has an end."""
        size = np.abs(label)
        result = np.full(np.shape(label), np.nan)
        for limit, tolerance in reversed(self.bands):
            result = np.where(size <= limit, tolerance, result)
        return result


def read_tolerance_table(path: str | Path | Traversable) -> ToleranceTable:
    """A tolerance table from a TOML file: `edition`, then `[[band]]` tables of `up_to_D` and `tolerance_D`, the labels' magnitudes rising.

    Only the last band may lack `up_to_D`: it then has no end. A label on a bound belongs to the band that ends there.

    Raises
    ------
    FileError
        if the file is not there, or is not UTF-8 text.
    InputError
        naming file, table and key.
    """
    source = Path(path) if isinstance(path, str) else path
    name = str(source)
    data = tables_in(read_text(source), name)
    try:
        return _table(data)
    except InputError as error:
        raise InputError(f"{name}: {error}", quantity=error.quantity, value=error.value, limits=error.limits, unit=error.unit) from None


def _table(data: dict[str, Any]) -> ToleranceTable:
    for key in data:
        if key not in _KEYS:
            raise InputError(f"unknown key {key!r}: a tolerance table has {', '.join(_KEYS)}")
    for key, required in _KEYS.items():
        if required and key not in data:
            raise InputError(f"{key} is missing: a tolerance table says its edition and its bands")
        if key != "band" and key in data and not (isinstance(data[key], str) and data[key].strip()):
            raise InputError(f"{key} must be a text that says something")
    if not isinstance(data["band"], list) or not data["band"]:
        raise InputError("[[band]]: give at least one, with up_to_D and tolerance_D")
    bands = [_band(i, band, last=i == len(data["band"])) for i, band in enumerate(data["band"], start=1)]
    for i, (before, after) in enumerate(pairwise(bands), start=2):
        if after[0] <= before[0]:
            raise InputError(f"[[band]] {i}: up_to_D = {after[0]:g} D must be above {before[0]:g} D, where the band before ends")
    return ToleranceTable(data["edition"].strip(), tuple(bands), data.get("seen", ""), data.get("note", ""))


def _band(i: int, band: Any, *, last: bool) -> tuple[float, float]:
    if not isinstance(band, dict) or not set(band) <= {"up_to_D", "tolerance_D"}:
        raise InputError(f"[[band]] {i}: has up_to_D and tolerance_D, nothing else")
    if "up_to_D" not in band and not last:
        raise InputError(f"[[band]] {i}: up_to_D is missing; only the last band has no end")
    numbers = {}
    for key in ("up_to_D", "tolerance_D"):
        value = band.get(key, inf if key == "up_to_D" else None)
        if isinstance(value, bool) or not isinstance(value, int | float) or float_info.max < abs(value) < inf:
            raise InputError(f"[[band]] {i}: {key} must be a number in dioptres")
        numbers[key] = float(value)
    wrong = "tolerance_D = 0 D: nothing would conform" if numbers["tolerance_D"] == 0 else complaint(quantity("tolerance_D"), numbers["tolerance_D"])
    if wrong:
        raise InputError(f"[[band]] {i}: {wrong}", quantity="tolerance_D")
    if not numbers["up_to_D"] > 0 or ("up_to_D" in band and not isfinite(numbers["up_to_D"])):
        raise InputError(f"[[band]] {i}: up_to_D = {numbers['up_to_D']:g} D: must be a number above 0; leave it out for a last band without end")
    return numbers["up_to_D"], numbers["tolerance_D"]


@cache
def shipped_tolerance_table() -> ToleranceTable:
    """The table that comes with the package: quoted, of withdrawn editions.

    >>> shipped_tolerance_table().bands
    ((15.0, 0.3), (25.0, 0.4), (30.0, 0.5), (inf, 1.0))
    """
    return read_tolerance_table(files("lenscalc.decision") / "tolerances" / SHIPPED)


TOLERANCE_EDITION: Final = shipped_tolerance_table().edition


def power_tolerance_D(labelled_power_D: Any, *, table: ToleranceTable | None = None) -> Any:
    """Half-width of the tolerance about a labelled power, by a table; the one that is shipped: to 15 D ±0.3; 25 ±0.4; 30 ±0.5; beyond ±1.0 D.

    By the magnitude of the label, the boundary belonging to the smaller tolerance. The shipped table is quoted after ISO 11979-2:1999/2014, both
    withdrawn: the edition in force must be checked, and its table given by `read_tolerance_table`. Not for toric lenses.

    Raises
    ------
    InputError
        for a label that cannot be, or one beyond the last band of a table that ends.

    >>> [power_tolerance_D(p) for p in (15, 15.5, 25, 30, 30.5, -5)]
    [0.3, 0.4, 0.4, 0.5, 1.0, 0.3]
    """
    table = table or shipped_tolerance_table()
    a, shape = checked(labelled_power_D=labelled_power_D)
    label = a["labelled_power_D"]
    result = table.of(label)
    if np.any(np.isnan(result)):
        beyond = float(label[np.isnan(result)][0])
        raise InputError(
            f"labelled_power_D = {beyond:g} D: beyond the tolerance table, which ends at {table.bands[-1][0]:g} D ({table.edition})",
            quantity="labelled_power_D", value=beyond, limits=(-table.bands[-1][0], table.bands[-1][0]), unit="D",
        )  # fmt: skip
    return given_back(result, shape)
