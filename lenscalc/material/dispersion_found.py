"""How the parameters of a dispersion are found: from an Abbe number, or by least squares through readings that are checked before and after."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any, TypeVar
from warnings import warn

import numpy as np

from lenscalc.conditions import LINES_NM
from lenscalc.errors import InputError, RangeWarning, UnknownNameError
from lenscalc.material.dispersion_doubt import FormsBeside
from lenscalc.material.dispersion_fit import Form, form_of, forms_of_size, least_squares
from lenscalc.material.dispersion_forms import SHAPES
from lenscalc.material.dispersion_readings import (
    INDEX,
    WAVELENGTH,
    check_readings,
    column_of,
    covariance_of_readings,
    number_of,
    standard_uncertainty_of,
)  # fmt: skip
from lenscalc.quantities import FloatArray, quantity

_FORMS_FROM_ABBE = tuple(SHAPES)
Made = TypeVar("Made")


def through_abbe_number(
    made: Callable[..., Made], n_d: float, abbe_d: float, u_n_d: float | None, u_abbe_d: float | None, form: str
) -> Made:  # fmt: skip
    """A two-parameter form through n_d and the Abbe number, as `Dispersion.from_abbe` says; `made` is the dispersion's class."""
    if form not in _FORMS_FROM_ABBE:
        raise UnknownNameError(form, _FORMS_FROM_ABBE, what="two-parameter form")
    n = number_of(replace(INDEX, name="n_d"), n_d)
    V = number_of(quantity("abbe_d"), abbe_d)
    if n <= 1.0:
        raise InputError("n_d = 1: a material without refraction has no dispersion", quantity="n_d", value=n)
    through = {name: _through_abbe(name, n, V) for name in _FORMS_FROM_ABBE}
    parameters, response = through[form]
    known = [standard_uncertainty_of("u_n_d", u_n_d), standard_uncertainty_of("u_abbe_d", u_abbe_d)]
    return made(
        form, 2, parameters, response @ np.diag(np.square(known)) @ response.T, (LINES_NM["F"], LINES_NM["C"]), 0, np.zeros(2),
        "unknown" if np.isnan(known).any() else "u_n", response, FormsBeside(tuple((Form(name, 2), p) for name, (p, _) in through.items())),
        "the uncertainty of n_d or of the Abbe number is not known: give u_n_d and u_abbe_d (0 says that it is exact)",
    )  # fmt: skip


def through_readings(
    made: Callable[..., Made], wavelength_nm: Any, n: Any, form: str, terms: int | None, u_n: Any, covariance: Any
) -> Made:  # fmt: skip
    """A form through readings at several wavelengths, as `Dispersion.fit` says; `made` is the dispersion's class."""
    chosen = form_of(form, terms)
    nm, index = column_of(WAVELENGTH, wavelength_nm), column_of(INDEX, n)
    check_readings(chosen, nm, index)
    spare = len(nm) - chosen.size
    of_readings, u_from = covariance_of_readings(len(nm), spare, u_n, covariance)
    root_weight = np.eye(len(nm)) if u_from == "scatter" or not spare else np.linalg.inv(np.linalg.cholesky(of_readings))
    L = nm / 1000.0
    straight, _ = least_squares(form_of("cauchy", 2), L, index, root_weight)
    if straight[1] * (1.0 / L.min() ** 2 - 1.0 / L.max() ** 2) < 1e-9:  # rounding leaves 1e-16 where all are equal
        text = "the index must fall with the wavelength, and these readings rise: are wavelengths and indices in the same order?"
        raise InputError(text, quantity="n")
    parameters, response = least_squares(chosen, L, index, root_weight)
    _check_fall(chosen, parameters, L)
    residuals = index - chosen.n_of(L, parameters)
    if u_from == "scatter":
        of_readings = np.eye(len(nm)) * float(residuals @ residuals) / spare
    elif spare:
        _check_scatter(root_weight @ residuals, spare)
    others = tuple((other, least_squares(other, L, index, root_weight)[0]) for other in forms_of_size(chosen) if other != chosen)
    return made(
        form, chosen.terms, parameters, response @ of_readings @ response.T, (float(nm.min()), float(nm.max())), spare, residuals, u_from,
        response, FormsBeside(((chosen, parameters), *others)),
        f"{len(nm)} readings leave nothing over to judge {chosen.size} parameters by: give u_n or covariance",
    )  # fmt: skip


def _through_abbe(name: str, n_d: float, abbe_d: float) -> tuple[FloatArray, FloatArray]:
    """A and B of n = A + B·g with B·(g_F − g_C) = (n_d − 1)/V and n_d = A + B·g_d; their derivatives by n_d and V."""
    d, F, C = (SHAPES[name](LINES_NM[line] / 1000.0) for line in ("d", "F", "C"))
    by_n = 1.0 / (abbe_d * (F - C))
    B = (n_d - 1.0) * by_n
    by_V = -B / abbe_d
    return np.array([n_d - B * d, B]), np.array([[1.0 - by_n * d, -by_V * d], [by_n, by_V]])


def _check_fall(form: Form, parameters: FloatArray, L: FloatArray) -> None:
    between = np.linspace(L.min(), L.max(), 201)
    rising = np.diff(form.n_of(between, list(parameters))) > 0
    if rising.any():
        where = float(1000.0 * between[1:][rising][0])
        text = f"the fitted form rises with the wavelength near {where:.0f} nm, within the range of the readings: take fewer terms"
        raise InputError(text, quantity="terms", value=form.terms)


def _check_scatter(weighted: FloatArray, spare: int) -> None:
    from scipy.special import chdtrc

    chi2 = float(weighted @ weighted)
    if chdtrc(spare, chi2) < 1e-3:
        times = (chi2 / spare) ** 0.5
        text = (
            f"the readings lie {times:.1f} times further from the fit than their uncertainty explains: the form does not suit them, or u_n is "
            "too small; the uncertainties of this fit are too small by as much"
        )
        warn(text, RangeWarning, stacklevel=4)
