"""What a change of the implant does at the spectacle plane: always a difference of refraction, with the uncertainty of every input."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np

from lenscalc.errors import InputError, UnknownNameError
from lenscalc.eye.implant import Implanted, implant_path, planes_with_implant, principal_heights
from lenscalc.eye.light_path import light_path_of
from lenscalc.eye.published import PublishedEye
from lenscalc.lens import thick_lens
from lenscalc.quantities import single_numbers
from lenscalc.uncertainty import Estimate, Input, Source, combine, errors_only, propagate
from lenscalc.uncertainty.propagate import STEP


@dataclass(frozen=True, eq=False)
class RefractionChange:
    """A difference of refraction at the spectacle plane [D] as an estimate, and its derivative by every uncertain input [D per its unit]."""

    refraction_change_D: Estimate
    sensitivities: Mapping[str, float]


class EyeSensitivities(NamedTuple):
    """Change of the refraction at the spectacle plane [D] for a small change of one input, the others held.

    Per dioptre of the implant (its principal planes held), per 0.001 of its index (its dimensions and front vertex held), per 0.1 mm of its
    position (deeper), per 0.1 mm of axial length (longer), per dioptre of the cornea (steeper).
    """

    per_dioptre: float
    per_0001_of_index: float
    per_tenth_mm_of_position: float
    per_tenth_mm_of_length: float
    per_dioptre_of_cornea: float


def refraction_with(eye: PublishedEye, s: Implanted) -> Any:
    """The body: refraction at the spectacle plane; plain arithmetic, no checks."""
    return light_path_of(planes_with_implant(eye, s)).refraction_D


def refraction_change(
    eye: PublishedEye,
    before: Implanted,
    after: Implanted,
    *,
    u: Mapping[str, float | Input | Estimate] | None = None,
    u_change: Mapping[str, float | Input | Estimate] | None = None,
) -> RefractionChange:
    """Refraction with `after` minus refraction with `before`, in one eye.

    Parameters
    ----------
    eye : PublishedEye
    before, after : Implanted
        as `implanted` gives them, of plain numbers.
    u : mapping
        standard uncertainties, by the names of `Implanted`, of what both states share: an error of it moves both and all but cancels.
    u_change : mapping
        those of the difference between the states, such as of an index error itself. A number is a standard uncertainty; an `Input` brings its
        degrees of freedom, an `Estimate`, such as of an index in use, its own sources. Their values are not taken: `before` and `after` have them.

    Returns
    -------
    RefractionChange
        Where no sources are given they bear the names of the inputs; the index belongs to the lot, all else to the single lens and its eye.

    Raises
    ------
    InputError
        where an implant is too strong for the eye; UnknownNameError for a name that `Implanted` has not.

    References
    ----------
    Vergence, and JCGM 100:2008, equation 10, with derivatives by complex step.

    Examples
    --------
    >>> from lenscalc.eye import implanted, published_eye
    >>> eye = published_eye("le_grand_full")
    >>> made = implanted(eye, front_radius_mm=15.0, back_radius_mm=-15.0, center_thickness_mm=0.9, n_lens=1.49)
    >>> change = refraction_change(eye, made, made._replace(n_lens=1.491), u={"longer_mm": 0.5}, u_change={"n_lens": 0.0003})
    >>> f"{change.refraction_change_D.value:.4f} D, u {change.refraction_change_D.u:.4f} D"
    '-0.0956 D, u 0.0290 D'
    """
    shared, of_change = dict(u or {}), dict(u_change or {})
    for name in (*shared, *of_change):
        if name not in Implanted._fields:
            raise UnknownNameError(name, Implanted._fields, what="input of an implanted eye")
    before, after = before.in_numbers(), after.in_numbers()
    for s in (before, after):
        implant_path(eye, s)
    given = {**shared, **{f"change of {name}": x for name, x in of_change.items()}}
    inputs = {name: _offset(x) for name, x in given.items()}

    def model(**x: Any) -> Any:
        base = {name: value + x.get(name, 0.0) for name, value in before._asdict().items()}
        moved = {name: value + x.get(name, 0.0) + x.get(f"change of {name}", 0.0) for name, value in after._asdict().items()}
        return refraction_with(eye, Implanted(**moved)) - refraction_with(eye, Implanted(**base))

    if not inputs:
        return RefractionChange(Estimate(float(model())), {})
    found = propagate(model, inputs)
    terms = [(slope, _as_estimate(name, given[name], inputs[name])) for name, slope in found.sensitivities.items()]
    return RefractionChange(combine(found.value, terms), found.sensitivities)


def eye_sensitivities(eye: PublishedEye, s: Implanted) -> EyeSensitivities:
    """How the refraction answers to implant, index, position, length and cornea.

    >>> from lenscalc.eye import implanted, published_eye
    >>> eye = published_eye("le_grand_full")
    >>> by = eye_sensitivities(eye, implanted(eye, front_radius_mm=15.0, back_radius_mm=-15.0, center_thickness_mm=0.9, n_lens=1.49))
    >>> [round(x, 3) for x in by]
    [-0.728, -0.095, 0.132, -0.264, -1.018]
    """
    s = s.in_numbers()
    path, planes = implant_path(eye, s), planes_with_implant(eye, s)
    lens = thick_lens(s.front_radius_mm, s.back_radius_mm, s.center_thickness_mm, s.n_lens, s.n_aqueous, s.n_vitreous)
    # a plate has no principal plane: that of a lens that is all but one lies in its middle, as it is seen from in front
    front = lens.front_principal_plane_mm if lens.power_D != 0 else s.center_thickness_mm / 2.0 * s.n_aqueous / s.n_lens
    height = principal_heights(path, planes, front)
    return EyeSensitivities(
        float(-height * height),
        0.001 * refraction_slope(eye, s, "n_lens"),
        0.1 * refraction_slope(eye, s, "depth_mm"),
        0.1 * refraction_slope(eye, s, "longer_mm"),
        refraction_slope(eye, s, "steeper_D"),
    )


def refraction_slope(eye: PublishedEye, s: Implanted, name: str) -> float:
    """∂(refraction)/∂(an input named as in `Implanted`), by complex step; D per its unit.

    Accuracy: 2e-15 relative, over implants with radii 8 to 40 mm.
    """
    if name not in Implanted._fields:
        raise UnknownNameError(name, Implanted._fields, what="input of an implanted eye")
    s = s.in_numbers()
    stepped = s._replace(**{name: getattr(s, name) + 1j * STEP})
    return float(np.imag(refraction_with(eye, stepped)) / STEP)


def refraction_of_index_error(eye: PublishedEye, s: Implanted, index_error: float) -> float:
    """From an error of the index to the spectacle plane in one step: refraction with n + error minus with n [D], the dimensions held.

    Accuracy: 2e-15 relative to the cornea's power, over implants with radii 8 to 40 mm.

    >>> from lenscalc.eye import implanted, published_eye
    >>> eye = published_eye("le_grand_full")
    >>> made = implanted(eye, front_radius_mm=15.0, back_radius_mm=-15.0, center_thickness_mm=0.9, n_lens=1.49)
    >>> round(refraction_of_index_error(eye, made, 0.001), 4)
    -0.0956
    """
    s, (index_error,) = s.in_numbers(), single_numbers(index_error=index_error)
    if not abs(index_error) <= 0.1:
        raise InputError(f"index_error = {index_error:g}: must be -0.1 to 0.1; an error of an index, not an index", quantity="index_error")
    return float(implant_path(eye, s._replace(n_lens=s.n_lens + index_error)).refraction_D - implant_path(eye, s).refraction_D)


def index_error_behind(eye: PublishedEye, s: Implanted, refraction_change_D: float) -> float:
    """And back: the error of the index that would move the refraction by this much (the inverse of `refraction_of_index_error`).

    Raises
    ------
    InputError
        where no error within ±0.1 does, as for an implant without power.

    >>> from lenscalc.eye import implanted, published_eye
    >>> eye = published_eye("le_grand_full")
    >>> made = implanted(eye, front_radius_mm=15.0, back_radius_mm=-15.0, center_thickness_mm=0.9, n_lens=1.49)
    >>> round(index_error_behind(eye, made, -0.25), 5)
    0.00261
    """
    s, (refraction_change_D,) = s.in_numbers(), single_numbers(refraction_change_D=refraction_change_D)
    start, error = refraction_with(eye, s), 0.0
    for _ in range(10):  # Newton: every round doubles the digits, the last ones only wander by the last bit
        moved = s._replace(n_lens=s.n_lens + error)
        slope = refraction_slope(eye, moved, "n_lens")
        missed_D = refraction_with(eye, moved) - start - refraction_change_D
        error = float(np.clip(error - (missed_D / slope if slope else np.inf), -0.11, 0.11))
    if not abs(missed_D) < 1e-9 or abs(error) > 0.1 + 1e-12:  # 0.1 itself comes back with its last bits moved
        text = f"refraction_change_D = {refraction_change_D:g} D: no error of the index within ±0.1 moves the refraction so far"
        raise InputError(text, quantity="refraction_change_D")
    return error


def largest_u_n_lens_for(eye: PublishedEye, s: Implanted, *, refraction_change_D: float = 0.25, coverage: float = 2.0) -> float:
    """How well the index must be known so that this change of refraction is not its fault: the largest u with coverage·u·|dR/dn| within it.

    >>> from lenscalc.eye import implanted, published_eye
    >>> eye = published_eye("le_grand_full")
    >>> made = implanted(eye, front_radius_mm=15.0, back_radius_mm=-15.0, center_thickness_mm=0.9, n_lens=1.49)
    >>> round(largest_u_n_lens_for(eye, made), 4)
    0.0013
    """
    refraction_change_D, coverage = single_numbers(refraction_change_D=refraction_change_D, coverage=coverage)
    if not refraction_change_D > 0:
        raise InputError(f"refraction_change_D = {refraction_change_D:g} D: must be above 0", quantity="refraction_change_D")
    if not coverage > 0:
        raise InputError(f"coverage = {coverage:g}: must be above 0", quantity="coverage")
    slope = abs(refraction_slope(eye, s, "n_lens"))
    return refraction_change_D / (coverage * slope) if slope else float("inf")


def _offset(x: float | Input | Estimate) -> Input:
    if isinstance(x, Estimate):
        return Input(0.0, float(x.u), dof=float(x.dof))
    return x._replace(value=0.0) if isinstance(x, Input) else Input(0.0, x)


def _as_estimate(name: str, x: float | Input | Estimate, offset: Input) -> Estimate:
    if isinstance(x, Estimate):
        return x
    law = offset.distribution
    if law == "trapezoid" or law == "curvilinear trapezoid":
        raise InputError(f"u of {name}: a {law} has a shape that a source of a budget does not carry; give its standard uncertainty", quantity=name)
    return errors_only({Source(name, "lot" if name.endswith("n_lens") else "lens", offset.dof, law): offset.u})
