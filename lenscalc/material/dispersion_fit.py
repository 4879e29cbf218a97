"""Least squares of a dispersion form through readings. Parameters belong to L = λ/µm; derivatives by complex step."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import combinations
from typing import Any

import numpy as np

from lenscalc.errors import InputError, UnknownNameError
from lenscalc.material.dispersion_forms import SHAPES, powers_of, resonances_of
from lenscalc.quantities import FloatArray
from lenscalc.uncertainty.propagate import STEP

# power series by their number of terms; "schott" is a series for n², the others for n
_POWERS: dict[str, dict[int, tuple[float, ...]]] = {
    "cauchy": {k: tuple(-2.0 * i for i in range(k)) for k in range(2, 7)},
    "conrady": {2: (0.0, -3.5), 3: (0.0, -1.0, -3.5)},
    "schott": {2: (0.0, -2.0), **{k: (0.0, 2.0, -2.0, -4.0, -6.0, -8.0)[:k] for k in range(3, 7)}},
}
_SCHOTT_NAMES = {0.0: "a0", 2.0: "a1", -2.0: "a2", -4.0: "a3", -6.0: "a4", -8.0: "a5"}
_TERMS: dict[str, tuple[int, ...]] = {
    **{name: tuple(by_terms) for name, by_terms in _POWERS.items()}, "one resonance": (2,), "water": (2, 3, 4, 5, 6), "sellmeier": (1, 2, 3),
}  # fmt: skip


@dataclass(frozen=True)
class Form:
    """A form and its number of terms; Sellmeier's terms have two parameters each, b and c, in turn."""

    name: str
    terms: int

    @property
    def size(self) -> int:
        """How many parameters it has."""
        return 2 * self.terms if self.name == "sellmeier" else self.terms

    @property
    def parameter_names(self) -> tuple[str, ...]:
        """The parameters in their order, with their units."""
        if self.name == "sellmeier":
            return tuple(f"{letter}{i}{unit}" for i in range(1, self.terms + 1) for letter, unit in (("b", ""), ("c", "_um2")))
        if self.name in _POWERS:
            powers = _POWERS[self.name][self.terms]
            return tuple((_SCHOTT_NAMES[p] if self.name == "schott" else "abcdef"[i]) + _unit(-p) for i, p in enumerate(powers))
        return ("a", "b", *("cdef"[i] + _unit(2.0 * i + 2.0) for i in range(self.terms - 2)))

    def n_of(self, L: Any, parameters: Any) -> Any:
        """The index; plain arithmetic."""
        if self.name == "sellmeier":
            return resonances_of(L, parameters[0::2], parameters[1::2])
        if self.name in _POWERS:
            series = powers_of(L, parameters, _POWERS[self.name][self.terms])
            return series**0.5 if self.name == "schott" else series
        return parameters[0] + parameters[1] * SHAPES[self.name](L) + sum(p / (L * L) ** float(i + 1) for i, p in enumerate(parameters[2:]))

    def derivatives(self, f: Callable[[Any], Any], parameters: FloatArray) -> FloatArray:
        """∂f/∂parameter along the last axis, of any plain arithmetic f of the parameters."""
        columns = []
        for j in range(self.size):
            moved = parameters.astype(np.complex128)
            moved[j] += STEP * 1j
            columns.append(np.imag(f(list(moved))) / STEP)
        return np.stack(columns, axis=-1)

    def jacobian(self, L: Any, parameters: FloatArray) -> FloatArray:
        """∂n/∂parameter at each L."""
        return self.derivatives(lambda p: np.broadcast_to(self.n_of(L, p), np.shape(L)), parameters)


def _unit(power: float) -> str:
    if power == 0:
        return ""
    size = "" if abs(power) == 1 else f"{abs(power):g}".replace(".", "_")
    return f"{'_um' if power > 0 else '_per_um'}{size}"


def form_of(name: str, terms: int | None) -> Form:
    """The form of this name, with two parameters where `terms` is not given."""
    if name not in _TERMS:
        raise UnknownNameError(name, _TERMS, what="form of the dispersion")
    known = _TERMS[name]
    if terms is None:
        return Form(name, known[0])
    if terms not in known:
        allowed = f"must be {known[0]}" if len(known) == 1 else f"must be {known[0]} to {known[-1]}"
        raise InputError(f"terms = {terms!r}: {allowed} for the form {name!r}", quantity="terms", value=terms)
    return Form(name, int(terms))


def forms_of_size(form: Form) -> tuple[Form, ...]:
    """The forms with as many parameters, this one among them, that need no search for resonances."""
    others = [Form(name, form.size) for name, terms in _TERMS.items() if name != "sellmeier" and form.size in terms]
    return (form, *(other for other in others if other != form and not (other.name == "schott" and form.size == 2)))


def least_squares(form: Form, L: FloatArray, n: FloatArray, root_weight: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Parameters, and how each reading moves each of them: (JᵀWJ)⁻¹JᵀW, W = root_weightᵀ·root_weight.

    Linear forms are solved at once; Schott's (a series for n²) and Sellmeier's are started from a linear problem and brought down on n itself.

    Raises
    ------
    InputError
        where the readings do not determine the parameters, or the best resonance lies where it cannot.
    """
    if form.name == "sellmeier":
        p = _with_resonances(form, L, n, root_weight)
        _check_resonances(p[1::2], L)
    else:
        squared = form.name == "schott"
        columns = np.stack([L**q for q in _POWERS["schott"][form.terms]], axis=1) if squared else form.jacobian(L, np.ones(form.size))
        p = _inverse(form, root_weight @ columns) @ (root_weight @ (n * n if squared else n))
    if form.name in ("schott", "sellmeier"):
        for _ in range(20):
            step = _inverse(form, root_weight @ form.jacobian(L, p)) @ (root_weight @ (n - form.n_of(L, p)))
            p = p + step
            if np.all(np.abs(step) <= 1e-13 * np.abs(p)):
                break
    if form.name == "sellmeier":
        _check_resonances(p[1::2], L)
    return p, _inverse(form, root_weight @ form.jacobian(L, p)) @ root_weight


def _inverse(form: Form, matrix: FloatArray) -> FloatArray:
    """The pseudo-inverse of a matrix of full rank, its columns brought to one size on the way."""
    size = np.linalg.norm(matrix, axis=0)
    u, s, vt = np.linalg.svd(matrix / np.where(size > 0, size, 1.0), full_matrices=False)
    if not s[-1] > 1e-10:  # of columns of length 1 the largest lies between 1 and √6
        text = f"the readings do not determine the {form.size} parameters of the form {form.name!r}: take fewer terms, or readings further apart"
        raise InputError(text, quantity="terms", value=form.terms)
    inverse: FloatArray = (vt.T / s @ u.T) / size[:, None]
    return inverse


def _with_resonances(form: Form, L: FloatArray, n: FloatArray, root_weight: FloatArray) -> FloatArray:
    """The best resonances: b is linear in n² once c is given, so c alone is searched, from several starts on both sides of the readings."""
    from scipy.optimize import least_squares as search

    def strengths(log_c: FloatArray) -> tuple[Any, FloatArray]:
        columns = (L * L)[:, None] / ((L * L)[:, None] - np.exp(log_c))
        weight = root_weight / (2.0 * n)
        b = np.linalg.lstsq(weight @ columns, weight @ (n * n - 1.0), rcond=None)[0]
        return b, weight @ (n * n - 1.0 - columns @ b)

    short, long = float(L.min()) ** 2, float(L.max()) ** 2
    ultraviolet = np.geomspace(0.002, 0.03, 6)  # below the square of 200 nm, the shortest wavelength that is read
    infrared = np.array([5.0 * long, 50.0 * long])
    starts: list[FloatArray] = []
    for beyond in range(form.terms):  # the best of each kind, or all would be resonances in the ultraviolet alone
        kind = [np.log([*u, *i]) for u in combinations(ultraviolet, form.terms - beyond) for i in combinations(infrared, beyond)]
        starts += sorted(kind, key=lambda x: float(np.linalg.norm(strengths(x)[1])))[:3]

    def left_over(log_c: FloatArray) -> FloatArray:
        return strengths(log_c)[1]

    def found(start: FloatArray) -> Any:  # each resonance stays on its side of the readings
        lower, upper = np.where(start < np.log(short), np.log([[1e-4], [short]]), np.log([[long], [1e4]]))
        return search(left_over, start, bounds=(lower, upper), xtol=1e-15, ftol=1e-15, gtol=1e-15, x_scale=0.1)

    best = min((found(start) for start in starts), key=lambda r: float(r.cost)).x
    order = np.argsort(best)
    b = strengths(best)[0]
    return np.stack([b[order], np.exp(best[order])], axis=1).ravel()


def _check_resonances(c: FloatArray, L: FloatArray) -> None:
    short, long = float(L.min()), float(L.max())
    for value in c:
        if not 2e-4 < value < 5e3:
            text = "the readings do not fix a resonance of Sellmeier's form (none between 14 nm and 70 µm): take fewer terms, or another form"
            raise InputError(text, quantity="terms")
        resonance = float(value**0.5)
        if 0.98 * short <= resonance <= 1.02 * long:
            text = (
                f"the best fit of Sellmeier's form has a resonance at {1000 * resonance:.0f} nm, inside or at the end of the range of the readings "
                f"({1000 * short:g} to {1000 * long:g} nm): take fewer terms, or another form"
            )
            raise InputError(text, quantity="terms")
