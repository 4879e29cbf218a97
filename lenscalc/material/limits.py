"""What this room's quantities may be, and the mistakes that people make with them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from lenscalc.errors import InputError
from lenscalc.quantities import FloatArray, Quantity, counted, in_row, quantity, within

_PERCENT = ((0.01, "is it a percentage? write it as a fraction"),)
_GRAMS = ((1000.0, "is it in g/cm³? write it in kg/m³"),)
_POINT = ((0.1, "is the decimal point one place off?"), (0.01, "is the decimal point two places off?"))

INDEX = Quantity("n", "n", "", "index", "refractive index of a component", 1.0, 3.0, 1.3, 1.8, mistakes=_POINT)
FRACTION = Quantity("volume_fraction", "φ", "", "volume fraction", "part of the volume", 0.0, 1.0, 0.0, 1.0, mistakes=_PERCENT)
WATER_WET = quantity("water_mass_fraction_wet")
WATER_DRY = Quantity(
    "water_mass_fraction_dry", "w", "", "water, dry basis", "mass of water by the mass of the DRY specimen", 0.0, 20.0, 0.0, 9.0, mistakes=_PERCENT
)
DENSITY = Quantity("density_kg_per_m3", "ρ", "kg/m³", "density", "density of a polymer", 500.0, 5000.0, 800.0, 2500.0, mistakes=_GRAMS)
DENSITY_WATER = Quantity(
    "density_water_kg_per_m3", "ρw", "kg/m³", "density of the water", "density of what the polymer takes up", 900.0, 1200.0, 950.0, 1100.0,
    mistakes=_GRAMS,
)  # fmt: skip
MASS = Quantity("mass_g", "m", "g", "mass", "mass of a specimen", 1e-9, 1e6)
REFRACTION = Quantity("molar_refraction_cm3_per_mol", "R", "cm³/mol", "molar refraction", "molar refraction of the repeat unit", 1.0, 1000.0)
MOLAR_MASS = Quantity("molar_mass_g_per_mol", "M", "g/mol", "molar mass", "molar mass of the repeat unit", 1.0, 1e5)


def components(q: Quantity, values: Any, name: str | None = None) -> list[FloatArray]:
    """One entry a component, each a number or an array, checked; a message counts the components from 0 as Python does.

    >>> components(INDEX, 1.5)
    Traceback (most recent call last):
    lenscalc.errors.InputError: n = 1.5: must be a sequence with one entry a component, such as [1.336, 1.51]
    """
    name = name or q.name
    unsized = isinstance(values, str) or not hasattr(values, "__len__") or (isinstance(values, np.ndarray) and values.ndim == 0)
    if unsized or len(values) == 0:
        raise InputError(f"{name} = {values!r}: must be a sequence with one entry a component, such as [1.336, 1.51]", quantity=name, value=values)
    return [within(q, value, f"{name}[{i}]") for i, value in enumerate(values)]


def parts_of_one(values: Any, name: str) -> list[FloatArray]:
    """Fractions that sum to 1, one entry a component.

    >>> parts_of_one([38, 62], "volume_fraction")
    Traceback (most recent call last):
    lenscalc.errors.InputError: volume_fraction sums to 100: must sum to 1; are these percentages? write them as fractions
    """
    entries = components(replace(FRACTION, lower=-np.inf, upper=np.inf), values, name)
    try:
        sums = np.atleast_1d(np.sum(np.broadcast_arrays(*entries), axis=0))
    except ValueError:
        raise InputError(f"{name}: the components are columns of different lengths", quantity=name) from None
    wrong = np.flatnonzero(np.abs(sums - 1.0) > 1e-9)  # rounding of the sum is far below, a fraction that was forgotten far above
    if wrong.size:
        total = float(sums.flat[wrong[0]])
        where, row = in_row(int(wrong[0]), sums.size)
        hint = "; are these percentages? write them as fractions" if abs(total - 100.0) < 5.0 else ""
        raise InputError(f"{where}{name} sums to {total:.12g}: must sum to 1{hint}", quantity=name, value=total, limits=(1.0, 1.0), row=row)
    return components(FRACTION, entries, name)


def as_many(first: Sequence[Any], first_name: str, second: Sequence[Any], second_name: str) -> None:
    """Refuses lists of components of different lengths."""
    if len(first) != len(second):
        has = f"{first_name} has {counted(len(first), 'component')} and {second_name} has {len(second)}"
        raise InputError(f"{has}: give one of each a component", quantity=second_name)


def together(*arrays: Any) -> None:
    """Refuses columns of different lengths."""
    try:
        np.broadcast_shapes(*(np.shape(a) for a in arrays))
    except ValueError:
        lengths = ", ".join(str(np.shape(a)) for a in arrays if np.shape(a))
        raise InputError(f"columns of different lengths cannot be combined: {lengths}") from None


def one_of(value: object, known: Sequence[str], name: str) -> None:
    """Refuses a word that is none of the known ones."""
    if value not in known:
        raise InputError(f"{name} = {value!r}: must be {', '.join(repr(k) for k in known)}", quantity=name, value=value)
