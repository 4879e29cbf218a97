"""The dispersion of one material: a named form through its readings, with what is known and what is not."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, Literal
from warnings import warn

import numpy as np

from lenscalc.conditions import LINES_NM
from lenscalc.errors import InputError, RangeWarning, UnknownNameError
from lenscalc.material.dispersion_fit import Form, form_of, forms_of_size, least_squares
from lenscalc.material.dispersion_forms import SHAPES, abbe_number
from lenscalc.material.dispersion_readings import (
    INDEX,
    WAVELENGTH,
    check_readings,
    column_of,
    covariance_of_readings,
    number_of,
    standard_uncertainty_of,
    wavelengths_of,
)  # fmt: skip
from lenscalc.quantities import FloatArray, quantity
from lenscalc.uncertainty.propagate import STEP

_FORMS_FROM_ABBE = tuple(SHAPES)


@dataclass(frozen=True, eq=False)
class Dispersion:
    """n(λ) of one material, from an Abbe number (`from_abbe`) or from readings at several wavelengths (`fit`).

    The index keeps the basis of the readings (relative to air, if they are). `parameters` belong to L = λ/µm, in the order of `parameter_names`;
    `covariance` is theirs (nan where nothing is known), `residuals` are reading − fit, `dof` is readings − parameters, `range_nm` the lowest and
    highest wavelength fitted (F and C for an Abbe number). `u_from` says where the uncertainty comes from: "u_n", "covariance", "scatter" (then `dof`
    are its degrees of freedom, and an error common to all readings is not in it) or "unknown".

    Every uncertainty holds the covariance of the parameters and the doubt about the form, so two parameters through two points are never certain.
    The forms with the same number of parameters are taken through the same readings. Of two parameters, half their spread is the half-width of a
    rectangular distribution, or the distance to the Cauchy form where that is more (Conrady's two-term form stands at the far end). Of more, the
    distance to the form farthest away is. Points of the published fits of PMMA, polystyrene and PDMS, given u = 3e-5, are then missed by at most 2.2
    standard uncertainties from 400 to 1000 nm in every form, points of water by 3.5 (Conrady, two terms; 2.2 in the others).
    """

    form: str
    terms: int
    parameters: FloatArray
    covariance: FloatArray
    range_nm: tuple[float, float]
    dof: int
    residuals: FloatArray
    u_from: Literal["u_n", "covariance", "scatter", "unknown"]
    _response: FloatArray  # ∂parameter/∂reading
    _others: tuple[tuple[Form, FloatArray], ...]  # the forms of the same size with their parameters, this one and Cauchy's among them
    _lacking: str  # what must be given before an uncertainty can be told

    @classmethod
    def from_abbe(cls, n_d: float, abbe_d: float, *, u_n_d: float | None = None, u_abbe_d: float | None = None, form: str = "cauchy") -> Dispersion:
        """A two-parameter form through n_d and the Abbe number V_d, which it keeps exactly.

        Parameters
        ----------
        n_d, abbe_d : float
            index at 587.5618 nm, and (n_d − 1)/(n_F − n_C).
        u_n_d, u_abbe_d : float, optional
            their standard uncertainties, taken as independent; 0 says "exact". Without them `u_n` has no answer.
        form : {"cauchy", "conrady", "one resonance", "water"}
            n = A + B·g(L): 1/L², 1/L^3.5, 1/(L² − 0.0125), or water's own dispersion (for aqueous media).

        Raises
        ------
        InputError
            for values outside their limits, or an unknown form.

        >>> pmma = Dispersion.from_abbe(1.490595, 58.0, u_n_d=0.0, u_abbe_d=0.0)     # PMMA, Szczurowski 2013: n_e 1.492611
        >>> print(f"{pmma.n(546.074):.5f}, form alone u {pmma.u_n(546.074):.5f}, V_e {pmma.abbe_e:.1f}")
        1.49262, form alone u 0.00002, V_e 57.7
        """
        if form not in _FORMS_FROM_ABBE:
            raise UnknownNameError(form, _FORMS_FROM_ABBE, what="two-parameter form")
        n = number_of(replace(INDEX, name="n_d"), n_d)
        V = number_of(quantity("abbe_d"), abbe_d)
        if n <= 1.0:
            raise InputError("n_d = 1: a material without refraction has no dispersion", quantity="n_d", value=n)
        through = {name: _through_abbe(name, n, V) for name in _FORMS_FROM_ABBE}
        parameters, response = through[form]
        known = [standard_uncertainty_of("u_n_d", u_n_d), standard_uncertainty_of("u_abbe_d", u_abbe_d)]
        return cls(
            form, 2, parameters, response @ np.diag(np.square(known)) @ response.T, (LINES_NM["F"], LINES_NM["C"]), 0, np.zeros(2),
            "unknown" if np.isnan(known).any() else "u_n", response, tuple((Form(name, 2), p) for name, (p, _) in through.items()),
            "the uncertainty of n_d or of the Abbe number is not known: give u_n_d and u_abbe_d (0 says that it is exact)",
        )  # fmt: skip

    @classmethod
    def fit(
        cls, wavelength_nm: Any, n: Any, *, form: str = "cauchy", terms: int | None = None, u_n: Any = None, covariance: Any = None
    ) -> Dispersion:
        """Least squares through readings at several wavelengths, each wavelength once.

        Parameters
        ----------
        wavelength_nm, n : sequences of equal length
            wavelengths in air [200–2000 nm] and indices.
        form : {"cauchy", "conrady", "schott", "sellmeier", "one resonance", "water"}
            a + b/L² + c/L⁴ + …; a + b/L + c/L^3.5 (two terms: a + b/L^3.5); n² = a0 + a1·L² + a2/L² + a3/L⁴ + … (two terms: a0 + a2/L²);
            n² = 1 + Σ b·L²/(L² − c), two parameters a term; the last two as in `from_abbe`, water's with c/L² + d/L⁴ + … beside it.
        terms : int, optional
            2–6 (Cauchy, Schott, water), 2–3 (Conrady), 1–3 (Sellmeier). Without it the form has two parameters.
        u_n : float or sequence, optional
            standard uncertainty of each reading, independent of the others.
        covariance : matrix, optional
            covariance of the readings in place of `u_n`: an offset common to all, as of the calibration, is u² added to every entry.
            With neither, the scatter about the fit tells, where readings are left over.

        Raises
        ------
        InputError
            for too few or unusable readings; for a fit that rises with the wavelength within their range; for a resonance there.

        Warns
        -----
        RangeWarning
            if the readings lie further from the fit than their uncertainty explains (chi-squared, 1 in 1000).

        >>> nm, n = [486.1327, 546.074, 587.5618, 656.2725], [1.496536, 1.492611, 1.490595, 1.488077]      # PMMA, Szczurowski 2013
        >>> pmma = Dispersion.fit(nm, n, form="sellmeier", u_n=5e-5)
        >>> print(f"{pmma.n(632.8):.5f} with u {pmma.u_n(632.8):.5f}, V_d {pmma.abbe_d:.1f} with u {pmma.u_abbe_d:.1f}")
        1.48884 with u 0.00004, V_d 58.0 with u 0.5
        """
        chosen = form_of(form, terms)
        nm, index = column_of(WAVELENGTH, wavelength_nm), column_of(INDEX, n)
        check_readings(chosen, nm, index)
        spare = len(nm) - chosen.size
        of_readings, u_from = covariance_of_readings(len(nm), spare, u_n, covariance)
        root_weight = np.eye(len(nm)) if u_from in ("scatter", "unknown") or spare == 0 else np.linalg.inv(np.linalg.cholesky(of_readings))
        L = nm / 1000.0
        straight, _ = least_squares(form_of("cauchy", 2), L, index, root_weight)
        if straight[1] * (1.0 / L.min() ** 2 - 1.0 / L.max() ** 2) < 1e-9:  # rounding leaves 1e-16 where all are equal
            text = "the index must fall with the wavelength, and these readings rise: are wavelengths and indices in the same order?"
            raise InputError(text, quantity="n")
        parameters, response = least_squares(chosen, L, index, root_weight)
        _check_fall(chosen, parameters, nm)
        residuals = index - chosen.n_of(L, parameters)
        if u_from == "scatter":
            of_readings = np.eye(len(nm)) * float(residuals @ residuals) / spare
        elif spare > 0:
            _check_scatter(root_weight @ residuals, spare)
        others = tuple((other, least_squares(other, L, index, root_weight)[0]) for other in forms_of_size(chosen) if other != chosen)
        return cls(
            form, chosen.terms, parameters, response @ of_readings @ response.T, (float(nm.min()), float(nm.max())), spare, residuals, u_from,
            response, ((chosen, parameters), *others),
            f"{len(nm)} readings leave nothing over to judge {chosen.size} parameters by: give u_n or covariance",
        )  # fmt: skip

    @property
    def parameter_names(self) -> tuple[str, ...]:
        """The parameters in their order, with their units ("b_um2" is in µm²)."""
        return self._form.parameter_names

    def n(self, wavelength_nm: Any) -> Any:
        """Index at a wavelength or an array of them; ask `is_extrapolated` whether readings surround it.

        Raises
        ------
        InputError
            outside 200–2000 nm, at or beyond a resonance, or where the form gives no index.
        """
        return self._index(wavelengths_of(wavelength_nm))[()]

    def slope_per_nm(self, wavelength_nm: Any) -> Any:
        """dn/dλ [1/nm]."""
        nm = wavelengths_of(wavelength_nm)
        self._index(nm)
        return (np.imag(self._form.n_of(nm / 1000.0 + 1j * STEP, list(self.parameters))) / STEP / 1000.0)[()]

    def by_readings(self, wavelength_nm: Any) -> Any:
        """∂n(λ)/∂reading, the readings along the last axis: g(λ)·(JᵀWJ)⁻¹JᵀW, linear for Schott's and Sellmeier's form.

        After `from_abbe` the readings are n_d and the Abbe number. An offset common to all readings moves the index by the sum of these.
        """
        nm = wavelengths_of(wavelength_nm)
        self._index(nm)
        return self._form.jacobian(nm / 1000.0, self.parameters) @ self._response

    def half_spread(self, wavelength_nm: Any) -> Any:
        """Half the spread between the forms with this number of parameters through the same readings; inf where one of them gives no index."""
        return _half_spread(self._by_forms(wavelengths_of(wavelength_nm)))[()]

    def u_n(self, wavelength_nm: Any) -> Any:
        """Standard uncertainty of the index: parameters and form. It grows with the distance from the readings.

        Raises
        ------
        InputError
            where nothing is known of the readings' uncertainty.
        """
        self._ask_for_u()
        nm = wavelengths_of(wavelength_nm)
        value = self._index(nm)
        g = self._form.jacobian(nm / 1000.0, self.parameters)
        variance = np.einsum("...i,ij,...j->...", g, self.covariance, g)
        return np.sqrt(variance + self._form_width(value, self._by_forms(nm)) ** 2 / 3.0)[()]

    def form_half_width(self, wavelength_nm: Any) -> Any:
        """Half-width of the doubt about the form, rectangular: the half-spread, or the distance to Cauchy's form where that is more (two parameters),
        to the farthest form (more than two); inf where one of them gives no index.
        """
        nm = wavelengths_of(wavelength_nm)
        return self._form_width(self._index(nm), self._by_forms(nm))[()]

    def is_extrapolated(self, wavelength_nm: Any) -> Any:
        """Whether a wavelength lies outside `range_nm`."""
        nm = wavelengths_of(wavelength_nm)
        return ((nm < self.range_nm[0]) | (nm > self.range_nm[1]))[()]

    @property
    def abbe_d(self) -> float:
        """V_d = (n_d − 1)/(n_F − n_C)."""
        return self._abbe("d", "F", "C")

    @property
    def abbe_e(self) -> float:
        """V_e = (n_e − 1)/(n_F′ − n_C′)."""
        return self._abbe("e", "F'", "C'")

    @property
    def u_abbe_d(self) -> float:
        """Standard uncertainty of V_d, with the full covariance: what is common to all readings cancels in n_F − n_C. Form as in `u_n`."""
        return self._u_abbe("d", "F", "C")

    @property
    def u_abbe_e(self) -> float:
        """Standard uncertainty of V_e, as of V_d."""
        return self._u_abbe("e", "F'", "C'")

    # --- inside ---------------------------------------------------------------------------------------------------------------------

    @property
    def _form(self) -> Form:
        return Form(self.form, self.terms)

    def _index(self, nm: FloatArray) -> FloatArray:
        L = nm / 1000.0
        if self.form == "sellmeier":
            for c in self.parameters[1::2]:
                resonance = 1000.0 * float(c**0.5)
                beyond = nm <= resonance if resonance < self.range_nm[0] else nm >= resonance
                if np.any(beyond):
                    worst = float(nm[beyond].flat[0])
                    text = f"wavelength_nm = {worst:g} nm: the fit has a resonance at {resonance:.0f} nm and says nothing at or beyond it"
                    raise InputError(text, quantity="wavelength_nm", value=worst, unit="nm")
        value = _real(self._form, L, self.parameters)
        bad = ~((value >= INDEX.lower) & (value <= INDEX.upper))
        if np.any(bad):
            worst = float(nm[bad].flat[0])
            text = (
                f"wavelength_nm = {worst:g} nm: the form gives no index there; it was fitted from {self.range_nm[0]:g} to {self.range_nm[1]:g} nm, "
                "stay nearer to that"
            )
            raise InputError(text, quantity="wavelength_nm", value=worst, unit="nm")
        return value

    def _by_forms(self, nm: FloatArray) -> list[FloatArray]:
        return [_real(form, nm / 1000.0, p) for form, p in self._others]

    def _form_width(self, value: Any, by_forms: list[Any]) -> Any:
        """Half-width of the doubt about the form."""
        far = {form.name: np.abs(value - x) for (form, _), x in zip(self._others, by_forms, strict=True)}
        with np.errstate(invalid="ignore"):
            width = np.maximum(_half_spread(by_forms), far["cauchy"]) if len(self.parameters) == 2 else np.maximum.reduce(list(far.values()))
        return np.where(np.isnan(width), np.inf, width)

    def _abbe(self, middle: str, short: str, long: str) -> float:
        n = self._index(np.array([LINES_NM[line] for line in (middle, short, long)]))
        return float(abbe_number(*n))

    def _u_abbe(self, middle: str, short: str, long: str) -> float:
        self._ask_for_u()
        L = [LINES_NM[line] / 1000.0 for line in (middle, short, long)]

        def abbe_of(form: Form, p: Any) -> Any:
            return abbe_number(*(form.n_of(x, p) for x in L))

        g = self._form.derivatives(lambda p: abbe_of(self._form, p), self.parameters)
        width = self._form_width(self._abbe(middle, short, long), [abbe_of(form, p) for form, p in self._others])
        return float(np.sqrt(g @ self.covariance @ g + width**2 / 3.0))

    def _ask_for_u(self) -> None:
        if self.u_from == "unknown":
            raise InputError(self._lacking, quantity="u_n")


def _through_abbe(name: str, n_d: float, abbe_d: float) -> tuple[FloatArray, FloatArray]:
    """A and B of n = A + B·g with B·(g_F − g_C) = (n_d − 1)/V and n_d = A + B·g_d; their derivatives by n_d and V."""
    d, F, C = (SHAPES[name](LINES_NM[line] / 1000.0) for line in ("d", "F", "C"))
    by_n = 1.0 / (abbe_d * (F - C))
    B = (n_d - 1.0) * by_n
    by_V = -B / abbe_d
    return np.array([n_d - B * d, B]), np.array([[1.0 - by_n * d, -by_V * d], [by_n, by_V]])


def _real(form: Form, L: FloatArray, p: FloatArray) -> FloatArray:
    with np.errstate(invalid="ignore"):
        return np.asarray(form.n_of(L, list(p)), dtype=np.float64)


def _half_spread(values: list[Any]) -> Any:
    spread = (np.maximum.reduce(values) - np.minimum.reduce(values)) / 2.0
    return np.where(np.isnan(spread), np.inf, spread)


def _check_fall(form: Form, parameters: FloatArray, nm: FloatArray) -> None:
    between = np.linspace(nm.min(), nm.max(), 201)
    slope = np.imag(form.n_of(between / 1000.0 + 1j * STEP, list(parameters)))
    if np.any(slope > 0):
        where = float(between[slope > 0][0])
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
        warn(text, RangeWarning, stacklevel=3)
