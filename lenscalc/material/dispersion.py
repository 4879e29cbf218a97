"""The dispersion of one material: a named form through its readings, with what is known and what is not."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from lenscalc.conditions import LINES_NM
from lenscalc.errors import InputError
from lenscalc.material.dispersion_doubt import FormsBeside, index_by
from lenscalc.material.dispersion_fit import Form
from lenscalc.material.dispersion_forms import abbe_number
from lenscalc.material.dispersion_found import through_abbe_number, through_readings
from lenscalc.material.dispersion_readings import INDEX, wavelengths_of
from lenscalc.quantities import FloatArray
from lenscalc.uncertainty.propagate import STEP


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
    _beside: FormsBeside
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
        return through_abbe_number(cls, n_d, abbe_d, u_n_d, u_abbe_d, form)

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
        return through_readings(cls, wavelength_nm, n, form, terms, u_n, covariance)

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
        return self._beside.half_spread(_index_at(wavelengths_of(wavelength_nm)))[()]

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
        return np.sqrt(variance + self._beside.half_width(value, _index_at(nm)) ** 2 / 3.0)[()]

    def form_half_width(self, wavelength_nm: Any) -> Any:
        """Half-width of the doubt about the form, rectangular: the half-spread, or the distance to Cauchy's form where that is more (two parameters),
        to the farthest form (more than two); inf where one of them gives no index.
        """
        nm = wavelengths_of(wavelength_nm)
        return self._beside.half_width(self._index(nm), _index_at(nm))[()]

    def is_extrapolated(self, wavelength_nm: Any) -> Any:
        """Whether a wavelength lies outside `range_nm`."""
        nm = wavelengths_of(wavelength_nm)
        return ~((nm >= self.range_nm[0]) & (nm <= self.range_nm[1]))[()]

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
        value = index_by(self._form, L, self.parameters)
        bad = ~((value >= INDEX.lower) & (value <= INDEX.upper))
        if np.any(bad):
            worst = float(nm[bad].flat[0])
            text = (
                f"wavelength_nm = {worst:g} nm: the form gives no index there; it was fitted from {self.range_nm[0]:g} to {self.range_nm[1]:g} nm, "
                "stay nearer to that"
            )
            raise InputError(text, quantity="wavelength_nm", value=worst, unit="nm")
        return value

    def _abbe(self, middle: str, short: str, long: str) -> float:
        n = self._index(np.array([LINES_NM[line] for line in (middle, short, long)]))
        return float(abbe_number(*n))

    def _u_abbe(self, middle: str, short: str, long: str) -> float:
        self._ask_for_u()
        L = [LINES_NM[line] / 1000.0 for line in (middle, short, long)]

        def abbe_of(form: Form, p: Any) -> Any:
            return abbe_number(*(form.n_of(x, p) for x in L))

        g = self._form.derivatives(lambda p: abbe_of(self._form, p), self.parameters)
        width = self._beside.half_width(self._abbe(middle, short, long), abbe_of)
        return float(np.sqrt(g @ self.covariance @ g + width**2 / 3.0))

    def _ask_for_u(self) -> None:
        if self.u_from == "unknown":
            raise InputError(self._lacking, quantity="u_n")


def _index_at(nm: FloatArray) -> Callable[[Form, FloatArray], FloatArray]:
    return lambda form, p: index_by(form, nm / 1000.0, p)
