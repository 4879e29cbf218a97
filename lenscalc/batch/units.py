"""Units that a heading may name in place of a quantity's own, and what turns one into the other."""

from __future__ import annotations

import unicodedata
from decimal import Decimal
from fractions import Fraction
from typing import Any, NamedTuple

import numpy as np

from lenscalc.quantities import Quantity
from lenscalc.quantities.check import DECIMAL

# definitions, exact (from memory, to be confirmed against the text of the SI brochure): inch 25.4 mm, 0 °C = 273.15 K, °F = 9/5·°C + 32
_LENGTHS = {
    "m": Fraction(1), "cm": Fraction(1, 100), "mm": Fraction(1, 1000), "um": Fraction(1, 10**6), "micron": Fraction(1, 10**6),
    "microns": Fraction(1, 10**6), "nm": Fraction(1, 10**9), "inch": Fraction(254, 10**4), "inches": Fraction(254, 10**4),
    "in": Fraction(254, 10**4), '"': Fraction(254, 10**4),
}  # fmt: skip
_CURVATURES = {f"{before}{u}{after}": 1 / f for u, f in _LENGTHS.items() for before, after in (("1/", ""), ("", "^-1"), ("", "-1"), ("per_", ""))}
_DENSITIES = {
    **dict.fromkeys(("kg/m3", "kg/m^3", "kg_per_m3"), Fraction(1)),
    **dict.fromkeys(("g/cm3", "g/cm^3", "g_per_cm3", "g/ml", "g_per_ml"), Fraction(1000)),
}
_ONE = dict.fromkeys(("", "1", "-"), Fraction(1))
_FRACTIONS = _ONE | {"%": Fraction(1, 100), "percent": Fraction(1, 100)}
_PER_KELVIN = dict.fromkeys(("1/k", "1/degc", "per_k", "per_degc", "k^-1", "k-1"), Fraction(1))
_PER_KELVIN |= dict.fromkeys(("1/degf", "per_degf"), Fraction(9, 5))
_TEMPERATURES = {
    "degc": (Fraction(1), Fraction(0)), "c": (Fraction(1), Fraction(0)), "k": (Fraction(1), Fraction(-27315, 100)),
    "degf": (Fraction(5, 9), Fraction(-160, 9)), "f": (Fraction(5, 9), Fraction(-160, 9)),
}  # fmt: skip
_DIOPTRES = dict.fromkeys(("d", "dpt", "dioptre", "dioptres", "diopter", "diopters", "1/m", "m^-1", "m-1", "per_m"), Fraction(1))


class Conversion(NamedTuple):
    """value in the quantity's own unit = value · factor + shift; `unit` as the heading writes it."""

    unit: str
    factor: Fraction
    shift: Fraction

    @property
    def changes(self) -> bool:
        """Whether it is another unit than the quantity's own."""
        return self.factor != 1 or self.shift != 0

    def apply(self, values: Any) -> Any:
        """A column converted: numbers as numbers, texts as texts, each rounded once; what is no number stays as it is, for the row's message."""
        if not self.changes:
            return values
        if isinstance(values, np.ndarray) and values.dtype == np.float64:
            of, over = self.factor.numerator, self.factor.denominator
            return (values * of + float(self.shift * over)) / over
        return np.fromiter((self._one(v) for v in values), dtype=object, count=len(values))

    def _one(self, value: Any) -> Any:
        if isinstance(value, str) and DECIMAL.fullmatch(value.strip()):
            return repr(float(Fraction(Decimal(value.strip())) * self.factor + self.shift)) if len(value) < 60 else value
        if isinstance(value, int | float) and not isinstance(value, bool) and np.isfinite(value):
            return float(Fraction(value) * self.factor + self.shift)
        return value


def conversion(q: Quantity, unit: str) -> Conversion | None:
    """What turns a value in this unit into the quantity's own; None where that cannot be.

    An uncertainty of a temperature is a difference and is not shifted. A percentage is read only where the quantity is a fraction by its limits.

    >>> from lenscalc.quantities import quantity
    >>> conversion(quantity("center_thickness_mm"), "µm").factor
    Fraction(1, 1000)
    >>> conversion(quantity("reading_temperature_degC"), "K").apply(["293.15"]).tolist()
    ['20.0']
    >>> conversion(quantity("n_lens"), "%") is None
    True
    """
    wanted = spelled(unit)
    if q.unit == "°C":
        if wanted not in _TEMPERATURES:
            return None
        factor, shift = _TEMPERATURES[wanted]
        return Conversion(unit, factor, Fraction(0) if q.name.startswith("u_") else shift)
    table, own = _table(q)
    return Conversion(unit, table[wanted] / own, Fraction(0)) if wanted in table else None


def _table(q: Quantity) -> tuple[dict[str, Fraction], Fraction]:
    if q.unit in ("mm", "nm"):
        return _LENGTHS, _LENGTHS[q.unit]
    if q.unit == "1/mm":
        return _CURVATURES, _CURVATURES["1/mm"]
    of = {"D": _DIOPTRES, "1/K": _PER_KELVIN, "kg/m³": _DENSITIES}
    if q.unit in of:
        return of[q.unit], Fraction(1)
    return (_FRACTIONS if "fraction" in q.name or "probability" in q.name else _ONE), Fraction(1)


def units_of(q: Quantity) -> tuple[str, ...]:
    """The units that may stand in a heading of this quantity."""
    return tuple(_TEMPERATURES) if q.unit == "°C" else tuple(u for u in _table(q)[0] if u)


def spelled(unit: str) -> str:
    """A unit in the one spelling that the tables have: µ as u, superscripts as digits, degrees as deg, small letters."""
    text = unicodedata.normalize("NFKC", unit.strip())
    for sign, word in (("°", "deg"), ("μ", "u"), ("−", "-"), (" ", "")):
        text = text.replace(sign, word)
    return text.lower()
