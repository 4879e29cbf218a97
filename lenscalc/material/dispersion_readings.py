"""What may go into a dispersion: numbers within their limits, readings that can determine a form, their covariance."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Literal

import numpy as np

from lenscalc.errors import InputError
from lenscalc.material.dispersion_fit import Form
from lenscalc.quantities import FloatArray, Quantity, counted, quantity, within

WAVELENGTH = replace(quantity("reading_wavelength_nm"), name="wavelength_nm", label="wavelength", meaning="wavelength in air")
INDEX = replace(quantity("n_reading"), name="n")


def wavelengths_of(wavelength_nm: Any) -> FloatArray:
    """Wavelengths within 200–2000 nm, in the shape they came in."""
    return within(WAVELENGTH, wavelength_nm)


def number_of(q: Quantity, value: Any) -> float:
    """One number."""
    array = within(q, value)
    if array.shape:
        raise InputError(f"{q.name} has {array.size} values: one material at a time", quantity=q.name)
    return float(array)


def standard_uncertainty_of(name: str, value: Any) -> float:
    """One standard uncertainty, 0 or more; nan where it is not given."""
    if value is None:
        return float("nan")
    return number_of(replace(INDEX, name=name, lower=0.0, upper=np.inf, mistakes=()), value)


def column_of(q: Quantity, values: Any) -> FloatArray:
    """A list of numbers."""
    array = within(q, values)
    if array.ndim != 1:
        raise InputError(f"{q.name} must be a list of readings, one value a wavelength", quantity=q.name)
    return array


def check_readings(form: Form, nm: FloatArray, n: FloatArray) -> None:
    """Refuse readings that cannot determine this form."""
    if len(nm) != len(n):
        raise InputError(f"wavelength_nm has {counted(len(nm), 'value')} and n has {len(n)}: each reading needs both", quantity="n")
    if len(nm) < form.size:
        text = f"the form {form.name!r} with terms = {form.terms} has {form.size} parameters and needs as many readings; there are {len(nm)}"
        raise InputError(text, quantity="terms", value=form.terms)
    ordered = np.sort(nm)
    same = np.flatnonzero(np.diff(ordered) < 0.05)
    if same.size:
        text = f"wavelength_nm = {ordered[same[0]]:g} nm appears twice: take the mean of the replicates, with its u, and give each wavelength once"
        raise InputError(text, quantity="wavelength_nm", value=float(ordered[same[0]]), unit="nm")
    if ordered[-1] - ordered[0] < 10.0:
        raise InputError("the readings lie less than 10 nm apart: they tell nothing about dispersion", quantity="wavelength_nm", unit="nm")


def covariance_of_readings(size: int, spare: int, u_n: Any, covariance: Any) -> tuple[FloatArray, Literal["u_n", "covariance", "scatter", "unknown"]]:
    """The covariance of the readings, and where it comes from; nan where only the scatter can tell, or nothing."""
    if u_n is not None and covariance is not None:
        raise InputError("u_n and covariance are both given: the variances belong on the diagonal of covariance", quantity="covariance")
    if covariance is not None:
        try:
            matrix = np.asarray(covariance, dtype=np.float64)
        except (TypeError, ValueError, OverflowError):
            matrix = np.array([])
        if matrix.shape != (size, size) or not np.all(np.isfinite(matrix)) or not np.allclose(matrix, matrix.T, rtol=1e-9, atol=0.0):
            text = f"covariance must be a symmetric matrix of numbers, {size} by {size}, in the order of the readings"
            raise InputError(text, quantity="covariance")
        lowest, highest = np.linalg.eigvalsh(matrix)[[0, -1]]
        if lowest < -1e-12 * highest or (spare and lowest <= 1e-12 * highest):
            text = "covariance is not positive definite: beside what the readings share, each needs an uncertainty of its own"
            raise InputError(text, quantity="covariance")
        return matrix, "covariance"
    if u_n is not None:
        u = within(replace(INDEX, name="u_n", lower=0.0, upper=1.0, mistakes=()), u_n)
        if u.shape not in ((), (size,)):
            raise InputError(f"u_n must be one number or one a reading ({size}), not {u.size}", quantity="u_n")
        if spare and not np.all(u):
            raise InputError("u_n = 0: a reading that is exact leaves the others without weight; give it the uncertainty it has", quantity="u_n")
        return np.diag(np.broadcast_to(u * u, (size,))), "u_n"
    return np.full((size, size), np.nan), "scatter" if spare else "unknown"
