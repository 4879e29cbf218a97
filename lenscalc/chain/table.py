"""From a table that somebody brings to checked columns, with a problem for every row that cannot be used."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from lenscalc.errors import InputError, UnknownNameError
from lenscalc.lens.scope import REFUSED
from lenscalc.quantities import (
    IMAGE_INPUTS,
    INPUTS,
    FloatArray,
    as_number,
    complaint,
    impossible,
    is_missing,
    not_a_number,
    plain,
    quantity,
    remark,
    text_of,
    unusual,
)

# What a row may hold beside numbers.
CHOICES: dict[str, tuple[str, ...]] = {
    "index_state": ("dry", "hydrated"), "index_basis": ("air", "vacuum", "unknown"), "lens_kind": ("monofocal", *REFUSED),
    "beam": ("collimated", "model-eye"),
}  # fmt: skip
LABELS = ("id", "name", "candidate", "material", "lot", "specimen", "date", "provenance")  # carried along untouched, like note_…

_ONLY_U = ("calibration", "front_curvature_per_mm", "back_curvature_per_mm", "front_sag_mm", "back_sag_mm")
NUMBERS: tuple[str, ...] = tuple(q.name for q in (*INPUTS, *IMAGE_INPUTS) if q.name not in _ONLY_U)
UNCERTAINTIES: tuple[str, ...] = tuple(
    f"u_{q.name}"
    for q in INPUTS
    if q.name not in ("labelled_power_D", "tolerance_D", "required_probability", "power_D", "optic_diameter_mm", "reading_wavelength_nm",
                      "second_wavelength_nm", "glass_transition_degC", "front_conic", "back_conic", "density_kg_per_m3")
)  # fmt: skip
INPUT_COLUMNS: tuple[str, ...] = tuple(n for n in NUMBERS if n != "power_D") + UNCERTAINTIES + tuple(CHOICES)

DIMENSIONS = ("front_radius_mm", "back_radius_mm", "center_thickness_mm")


@dataclass(eq=False)
class Columns:
    """Columns as float64 arrays (nan: missing) and texts; problems and warnings by row, for the rows that have any."""

    size: int
    numbers: dict[str, FloatArray] = field(default_factory=dict)
    texts: dict[str, Any] = field(default_factory=dict)
    problems: dict[int, list[str]] = field(default_factory=dict)
    warnings: dict[int, list[str]] = field(default_factory=dict)

    def number(self, name: str) -> FloatArray:
        """The column, or one full of nan where the table has none."""
        return self.numbers.get(name, np.full(self.size, np.nan))

    def text(self, name: str) -> Any:
        """The text column, or one full of empty texts."""
        return self.texts.get(name, np.full(self.size, "", dtype=object))

    def refuse(self, rows: Any, sentence: str) -> None:
        """Note a problem for every row of a mask."""
        for row in np.flatnonzero(rows):
            self.problems.setdefault(int(row), []).append(sentence)

    def refuse_missing(self, rows: Any, name: str, sentence: str) -> None:
        """Note what is missing in every row of a mask, unless the row has been refused for this quantity already."""
        for row in np.flatnonzero(rows):
            told = self.problems.setdefault(int(row), [])
            if not any(p.startswith(f"{name} ") for p in told):
                told.append(sentence)

    def warn(self, rows: Any, sentence: str) -> None:
        """Note a warning for every row of a mask."""
        for row in np.flatnonzero(rows):
            self.warnings.setdefault(int(row), []).append(sentence)

    def sentences(self, of: Mapping[int, list[str]]) -> Any:
        """One text a row, empty for most."""
        texts = np.full(self.size, "", dtype=object)
        for row, told in of.items():
            texts[row] = "; ".join(told)
        return texts


def refuse_no_table(table: Any) -> None:
    """Refuse what has no columns by name.

    Raises
    ------
    InputError

    >>> refuse_no_table([1.0, 2.0])
    Traceback (most recent call last):
    lenscalc.errors.InputError: table is of the type list: it must be a mapping of columns by their names, or a data frame
    """
    if not isinstance(table, Mapping) and not (hasattr(table, "keys") and hasattr(table, "columns")):
        fields = getattr(getattr(table, "dtype", None), "names", None)
        hint = "; of these fields write {name: table[name] for name in table.dtype.names}" if fields else ""
        raise InputError(f"table is of the type {type(table).__name__}: it must be a mapping of columns by their names, or a data frame{hint}")


def columns_of(table: Any, constants: Mapping[str, Any] | None) -> Columns:
    """The table (a mapping of columns, or a data frame) as checked columns.

    A whole table is refused for an unknown or a missing column; a row is refused for what stands in it.

    Raises
    ------
    UnknownNameError, InputError
    """
    raw = {str(name): table[name] for name in table}
    for name, value in (constants or {}).items():
        if name in raw:
            raise InputError(f"{name} is given as a constant and stands as a column too: one of the two", quantity=name)
        raw[name] = value
    for name in raw:
        if name not in INPUT_COLUMNS and name not in LABELS and not name.startswith("note_"):
            unknown = UnknownNameError(name, INPUT_COLUMNS, what="column")
            hint = "" if unknown.suggestion else "; a column of your own is carried along if its name starts with note_"
            raise InputError(f"{unknown}{hint}", quantity=name)
    missing = [name for name in DIMENSIONS if name not in raw]
    if missing:
        raise InputError(f"missing column{'s' if len(missing) > 1 else ''} {', '.join(missing)}", quantity=missing[0])
    if "n_lens" not in raw and "n_reading" not in raw:
        raise InputError("missing column n_lens (or n_reading with its wavelength and temperature)", quantity="n_lens")

    for name, value in raw.items():
        try:
            shape = np.shape(value)
        except ValueError:
            raise InputError(f"{name} holds lists of different lengths: a column is one list, one entry a row", quantity=name) from None
        if len(shape) > 1:
            raise InputError(f"{name} has the shape {shape}: a column is one list, one entry a row", quantity=name)
    sizes = {np.size(v) for v in raw.values() if np.ndim(v) > 0}
    if len(sizes) > 1:
        raise InputError(f"columns of different lengths cannot be combined: {', '.join(str(s) for s in sorted(sizes))}")
    size = sizes.pop() if sizes else 1
    columns = Columns(size)
    for name, value in raw.items():
        if name in CHOICES:
            columns.texts[name] = _texts(columns, name, value)
        elif name in NUMBERS or name in UNCERTAINTIES:
            columns.numbers[name] = _numbers(columns, name, value)
    for kind, why in REFUSED.items():
        columns.refuse(columns.text("lens_kind") == kind, f"lens_kind = {kind!r}: such lenses are refused, for {why}")
    for name in DIMENSIONS:
        columns.refuse_missing(np.isnan(columns.numbers[name]), name, f"{name} is missing")
    return columns


def _numbers(columns: Columns, name: str, value: Any) -> FloatArray:
    q = quantity(name)
    numbers = _cast(columns, name, value)
    given = ~np.isnan(numbers)
    bad = given & impossible(q, numbers)
    for row in np.flatnonzero(bad):
        columns.problems.setdefault(int(row), []).append(str(complaint(q, float(numbers[row]))))
    for row in np.flatnonzero(given & ~bad & unusual(q, numbers)):
        columns.warnings.setdefault(int(row), []).append(str(remark(q, float(numbers[row]))))
    numbers[bad] = np.nan
    return numbers


def _cast(columns: Columns, name: str, value: Any) -> FloatArray:
    if np.ma.isMaskedArray(value) and value.dtype.kind in "fiu":
        value = np.ma.filled(value.astype(np.float64), np.nan)  # what is masked is missing
    array = np.asarray(value)
    if array.dtype == np.float16:  # an index of 1.49 is 1.490234375 there, which is 0.03 D in a lens of 20 D
        raise InputError(f"{name} is in half precision, which holds three digits: give float32 or float64", quantity=name)
    if array.dtype.kind in "fiu":
        return np.array(np.broadcast_to(array, columns.size), dtype=np.float64)
    entries = np.broadcast_to(np.asarray(value, dtype=object), columns.size)
    try:  # a column of clean texts is cast at once; anything else is gone through entry by entry, for the message
        if not all(isinstance(entry, str) and entry.isascii() and "_" not in entry for entry in entries):
            raise TypeError
        empty = entries == ""
        numbers = np.where(empty, "nan", entries).astype(np.float64)
        if np.all(np.isfinite(numbers[~empty])):
            return numbers
    except (TypeError, ValueError):
        pass
    numbers = np.full(columns.size, np.nan)
    for row, entry in enumerate(entries):
        if isinstance(entry, list | tuple | dict | np.ndarray):
            told = f"{name} holds something of the type {type(entry).__name__} where one number is wanted: must be {quantity(name).limits_text}"
            columns.problems.setdefault(row, []).append(told)
            continue
        if isinstance(entry, bool | np.bool_):
            columns.problems.setdefault(row, []).append(not_a_number(quantity(name), entry))
            continue
        if is_missing(entry):
            continue
        if isinstance(entry, str) and entry.strip().lower() in ("nan", "inf", "-inf", "infinity"):
            columns.problems.setdefault(row, []).append(not_a_number(quantity(name), entry))
            continue
        try:
            numbers[row] = float(as_number(name, entry))
        except InputError as error:
            columns.problems.setdefault(row, []).append(str(error))
    return numbers


def _texts(columns: Columns, name: str, value: Any) -> Any:
    texts = np.array(
        [text_of(x) for x in np.broadcast_to(np.asarray(value, dtype=object), columns.size)], dtype=object
    )
    wrong = (texts != "") & ~np.isin(texts, CHOICES[name])
    for row in np.flatnonzero(wrong):
        columns.problems.setdefault(int(row), []).append(f"{name} = {texts[row]!r}: must be {' or '.join(CHOICES[name])}")
    return texts


def as_text(value: float) -> str:
    """A number of a table as text: plano for an infinite radius."""
    return "plano" if np.isinf(value) else plain(value)
