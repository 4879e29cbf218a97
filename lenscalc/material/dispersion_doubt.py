"""The doubt about the form of a dispersion: what other forms with as many parameters make of the same readings."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from lenscalc.material.dispersion_fit import Form
from lenscalc.quantities import FloatArray


@dataclass(frozen=True, eq=False)
class FormsBeside:
    """The forms of one size through the same readings, the chosen one and Cauchy's among them, each with its parameters."""

    parameters: tuple[tuple[Form, FloatArray], ...]

    def half_spread(self, of: Callable[[Form, FloatArray], Any]) -> Any:
        """Half the spread of what `of` makes of each form; inf where one of them gives nothing."""
        return _half_spread([of(form, p) for form, p in self.parameters])

    def half_width(self, value: Any, of: Callable[[Form, FloatArray], Any]) -> Any:
        """Half-width (rectangular) of the doubt about `value`, which the chosen form gives; inf where one of the forms gives nothing.

        Of two parameters the half-spread, or the distance to Cauchy's form where that is more; of more, the distance to the farthest form.
        """
        values = [of(form, p) for form, p in self.parameters]
        far = {form.name: np.abs(value - x) for (form, _), x in zip(self.parameters, values, strict=True)}
        with np.errstate(invalid="ignore"):
            width = np.maximum(_half_spread(values), far["cauchy"]) if self.parameters[0][0].size == 2 else np.maximum.reduce(list(far.values()))
        return np.where(np.isnan(width), np.inf, width)


def index_by(form: Form, L: FloatArray, parameters: FloatArray) -> FloatArray:
    """The index by one form at L = λ/µm, nan where it gives none."""
    with np.errstate(invalid="ignore"):
        return np.asarray(form.n_of(L, list(parameters)), dtype=np.float64)


def _half_spread(values: list[Any]) -> Any:
    spread = (np.maximum.reduce(values) - np.minimum.reduce(values)) / 2.0
    return np.where(np.isnan(spread), np.inf, spread)
