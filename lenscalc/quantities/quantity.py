"""What the package knows of one quantity."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf
from typing import Literal

Scope = Literal["instrument", "lot", "lens", "convention", "result"]


@dataclass(frozen=True)
class Quantity:
    """One quantity: its names, unit, limits, and the mistakes that people make with it.

    Beyond `lower`…`upper` a value is impossible and refused; beyond `usual_lower`…`usual_upper` it is possible and remarked on. With
    `by_magnitude` the limits hold for the absolute value (a radius has a sign). `mistakes` are (factor, sentence) or (factor, sentence, shift):
    where value × factor + shift falls into the usual range, the sentence says what may have happened. `scope` says whose error it is: the
    instrument's and the lot's are common to all lenses of a lot, a lens's is its own.
    """

    name: str
    symbol: str
    unit: str
    label: str
    meaning: str
    lower: float
    upper: float
    usual_lower: float = -inf
    usual_upper: float = inf
    decimals: int = 4
    scope: Scope = "convention"
    step: float = 0.0
    by_magnitude: bool = False
    infinite: bool = False
    mistakes: tuple[tuple[float, str] | tuple[float, str, float], ...] = ()

    @property
    def limits_text(self) -> str:
        """The limits in words, with the unit.

        >>> from lenscalc.quantities import quantity
        >>> quantity("n_lens").limits_text
        '1 to 3'
        >>> quantity("front_radius_mm").limits_text
        '0.5 to 1e+07 mm in magnitude, or inf (plano)'
        """
        unit = f" {self.unit}" if self.unit else ""
        text = f"{self.lower:g} to {self.upper:g}{unit}"
        if self.by_magnitude:
            text += " in magnitude"
        return text + (", or inf (plano)" if self.infinite else "")
