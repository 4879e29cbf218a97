"""The step from the wavelength of a reading to the wavelength in use, by two-parameter forms; rows of a column at once."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from lenscalc.conditions import LINES_NM
from lenscalc.errors import InputError
from lenscalc.material.dispersion_forms import SHAPES
from lenscalc.quantities import complaint, numbers, quantity


class WavelengthStep(NamedTuple):
    """Index at the wavelength in use; derivatives by the reading(s) and by V; the half-spread between the forms.

    `is_extrapolated`: the step leaves the range that the dispersion was given for (F to C with an Abbe number, else between the readings).
    """

    n: Any
    by_reading: Any
    by_second: Any
    by_abbe: Any
    half_spread: Any
    is_extrapolated: Any


def by_abbe_number(n: Any, wavelength_nm: Any, abbe_d: Any, to_nm: Any) -> WavelengthStep:
    """From one reading and the Abbe number to another wavelength, by the two-parameter Cauchy form n = A + B/L².

    B·(g_F − g_C) = n_F − n_C = (n_d − 1)/V and n_d = n + B·(g_d − g); solved for B exactly. Conrady's form, a one-resonance form and the dispersion
    of water give the same step with other digits; half their spread is returned and belongs in the budget. It covers the published fits of PMMA,
    polystyrene and PDMS from 400 to 1000 nm and water itself from 400 to 950 nm; beyond F and C it grows to several 1e-4.

    Accuracy: 2e-16 relative, over 400–700 nm, Abbe numbers 15 to 100.

    Raises
    ------
    InputError
        for an Abbe number outside its limits; one that is missing (nan) gives nan.

    >>> step = by_abbe_number(1.490595, 587.5618, 58.0, 546.074)      # PMMA, Szczurowski 2013: n_e 1.492611, V 58.00
    >>> round(float(step.n), 5), bool(abs(step.n - 1.492611) < 2 * step.half_spread)
    (1.49262, True)
    """
    n, wavelength_nm, abbe_d, to_nm = (x[()] for x in numbers(n=n, wavelength_nm=wavelength_nm, abbe_d=abbe_d, to_nm=to_nm))
    given, limits = np.asarray(abbe_d), quantity("abbe_d")
    for bad in given[(given < limits.lower) | (given > limits.upper)]:
        raise InputError(str(complaint(limits, float(bad))), quantity="abbe_d", value=float(bad), limits=(limits.lower, limits.upper))
    steps = {}
    for form, g in SHAPES.items():
        across = g(LINES_NM["F"] / 1000.0) - g(LINES_NM["C"] / 1000.0)
        here = g(np.asarray(wavelength_nm, dtype=np.float64) / 1000.0)
        to_d = g(LINES_NM["d"] / 1000.0) - here
        move = g(np.asarray(to_nm, dtype=np.float64) / 1000.0) - here
        B = (n - 1.0) / (abbe_d * across - to_d)
        steps[form] = (n + B * move, 1.0 + move / (abbe_d * across - to_d), -B * move * across / (abbe_d * across - to_d))
    n_to, by_n, by_V = steps["cauchy"]
    beyond = _outside(wavelength_nm, LINES_NM["F"], LINES_NM["C"]) | _outside(to_nm, LINES_NM["F"], LINES_NM["C"])
    return WavelengthStep(n_to, by_n, np.zeros_like(n_to), by_V, _half_spread(steps), beyond)


def by_second_reading(n: Any, wavelength_nm: Any, n_second: Any, second_nm: Any, to_nm: Any) -> WavelengthStep:
    """From readings at two wavelengths to a third, by the Cauchy form through both; half the spread between forms beside it.

    Accuracy: 2e-16 relative, over 450–700 nm.

    >>> step = by_second_reading(1.490595, 587.5618, 1.496536, 486.1327, 546.074)      # the same fit at d and F
    >>> round(float(step.n), 5), bool(abs(step.n - 1.492611) < step.half_spread)
    (1.49263, True)
    """
    n, wavelength_nm, n_second, second_nm, to_nm = (
        x[()] for x in numbers(n=n, wavelength_nm=wavelength_nm, n_second=n_second, second_nm=second_nm, to_nm=to_nm)
    )
    steps = {}
    for form, g in SHAPES.items():
        here, there, to = (g(np.asarray(x, dtype=np.float64) / 1000.0) for x in (wavelength_nm, second_nm, to_nm))
        w = (to - here) / (there - here)
        steps[form] = (n + (n_second - n) * w, 1.0 - w, w)
    n_to, by_n, by_second = steps["cauchy"]
    beyond = _outside(to_nm, np.minimum(wavelength_nm, second_nm), np.maximum(wavelength_nm, second_nm))
    return WavelengthStep(n_to, by_n, by_second, np.zeros_like(n_to), _half_spread(steps), beyond)


def _half_spread(steps: dict[str, tuple[Any, Any, Any]]) -> Any:
    values = [n for n, _, _ in steps.values()]
    return (np.maximum.reduce(values) - np.minimum.reduce(values)) / 2.0


def _outside(wavelength_nm: Any, shortest: Any, longest: Any) -> Any:
    nm = np.asarray(wavelength_nm, dtype=np.float64)
    return (nm < shortest) | (nm > longest)
