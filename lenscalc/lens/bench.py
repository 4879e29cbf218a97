"""Power on a bench: from what a bench reads to the power there, and from there to the power in the eye and back."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields
from typing import Any, NamedTuple

import numpy as np

from lenscalc.errors import InputError, UnknownNameError
from lenscalc.lens.thick_lens import powers_of
from lenscalc.quantities import complaint, numbers, quantity
from lenscalc.uncertainty import Estimate, through

# Where the light of the whole pupil was taken to be in focus, and so what `best_focus_shift_mm` belongs to.
FOCUS_CRITERIA = ("paraxial", "least rms spot", "least wavefront error", "highest contrast", "marginal")


@dataclass(frozen=True, eq=False)
class Condition:
    """A lens in one condition (temperature, wet or dry, medium): dimensions [mm] and indices as they are there; numbers or estimates.

    Media and lens on one basis, relative to air. Where two conditions name the same source of error (a gauge, the swelling), it is carried as one.
    """

    front_radius_mm: Any
    back_radius_mm: Any
    center_thickness_mm: Any
    n_lens: Any
    n_medium: Any

    def __post_init__(self) -> None:
        for field in fields(self):
            _check(field.name, getattr(self, field.name))


class InAnotherCondition(NamedTuple):
    """Power in the other condition [D] and the factor it was multiplied by."""

    power_D: Estimate
    factor: Estimate


class BenchPower(NamedTuple):
    """Power [D] in the medium of the bench; equivalent focal length and paraxial back focal length there [mm]."""

    power_D: Estimate
    equivalent_focal_length_mm: Estimate
    back_focal_length_mm: Estimate | None


def in_another_condition(power_D: Any, *, measured: Condition, wanted: Condition) -> InAnotherCondition:
    """Power of a lens in one condition from the power measured in another: F·Q with Q = F_wanted/F_measured, both from the dimension formula.

    From air or saline at room temperature to the eye, and back with the two exchanged. The dimensions act on Q only a little, for they stand in both
    powers; a difference of indices acts fully. Not for gradient-index, diffractive or multi-material lenses.

    The factor is from memory of an annex of ISO 11979-2, to be confirmed against the text; derivable.

    Raises
    ------
    InputError
        for values outside their limits, and where one of the two powers is 0 and there is no factor.

    >>> bench = Condition(15.0, -15.0, 0.9, 1.4915, 1.0)      # dry, 23 °C, in air
    >>> eye = Condition(15.0, -15.0, 0.9, 1.49, 1.336)
    >>> round(float(in_another_condition(64.9, measured=bench, wanted=eye).power_D.value), 3)
    20.474
    """
    both = {"measured": measured, "wanted": wanted}
    dimensions = {f"{side}_{f.name}": getattr(condition, f.name) for side, condition in both.items() for f in fields(condition)}
    _check("power_D", power_D)

    def formula_power(of: dict[str, Any], side: str) -> Any:
        R1, R2, t, n, m = (of[f"{side}_{f.name}"] for f in fields(Condition))
        return powers_of(R1, R2, t, n, m, m).power_D

    def factor(**of: Any) -> Any:
        return formula_power(of, "wanted") / formula_power(of, "measured")

    Q = _carried(factor, dimensions)
    if not np.all(np.isfinite(Q.value)) or np.any(Q.value == 0.0):
        raise InputError("one of the two conditions gives this lens no power: there is no factor between them; look at radii and indices")
    return InAnotherCondition(_carried(lambda power, **of: power * factor(**of), {"power": power_D, **dimensions}), Q)


def power_from_back_focal_length(
    best_focus_mm: Any, *, best_focus_shift_mm: Any, focus_criterion: str, front_radius_mm: Any, center_thickness_mm: Any, n_lens: Any, n_medium: Any
) -> BenchPower:
    """Power from the distance between the back vertex and the best focus in one medium.

    BFL = best focus − its shift from the paraxial focus (negative when undercorrected), and f = BFL + (t/n)(F1/F)·m with F = m/f, which is
    f = BFL/(1 − (t/n)F1). Vertex and focus in the same medium; a window behind the lens needs its own correction. Numbers or estimates.

    Accuracy: 5e-16 relative, over 30 to 90 mm.

    Parameters
    ----------
    best_focus_mm, best_focus_shift_mm : float, array or Estimate [mm]
        the shift belongs to the criterion: taking all of the marginal aberration for the least RMS spot costs a 20 D lens at 3 mm
        0.34 D on a bench in air, which is 0.11 D in the eye.
    focus_criterion : {"paraxial", "least rms spot", "least wavefront error", "highest contrast", "marginal"}
        how the focus was found; "paraxial" has no shift.
    front_radius_mm, center_thickness_mm, n_lens, n_medium
        in the condition of the bench.

    Raises
    ------
    InputError
        for values outside their limits, an unknown criterion, a shift beside "paraxial".

    >>> r = power_from_back_focal_length(65.0, best_focus_shift_mm=-0.35, focus_criterion="least rms spot",
    ...     front_radius_mm=15.0, center_thickness_mm=0.9, n_lens=1.49, n_medium=1.336)
    >>> round(float(r.power_D.value), 4), round(float(r.equivalent_focal_length_mm.value), 4)
    (20.317, 65.7578)
    """
    if focus_criterion not in FOCUS_CRITERIA:
        raise UnknownNameError(focus_criterion, FOCUS_CRITERIA, what="focus criterion")
    stated = {"best_focus_mm": best_focus_mm, "best_focus_shift_mm": best_focus_shift_mm}
    best, shift = numbers(**{name: _value(name, x) for name, x in stated.items()})
    if focus_criterion == "paraxial" and np.any(shift != 0.0):
        raise InputError(
            "best_focus_shift_mm is given beside the paraxial focus, which has none: give 0, or name the criterion", quantity="best_focus_shift_mm"
        )
    if not np.all(np.isfinite(best) & np.isfinite(shift) & (best != 0.0) & (best != shift)):
        text = "best_focus_mm and best_focus_shift_mm must be finite numbers, and the best and the paraxial focus not at the vertex itself"
        raise InputError(text, quantity="best_focus_mm")
    inputs = {
        "best": best_focus_mm, "shift": best_focus_shift_mm, "front_radius_mm": front_radius_mm, "center_thickness_mm": center_thickness_mm,
        "n_lens": n_lens, "n_medium": n_medium,
    }  # fmt: skip
    for name in ("front_radius_mm", "center_thickness_mm", "n_lens", "n_medium"):
        _check(name, inputs[name])

    def focal_length(best: Any, shift: Any, front_radius_mm: Any, center_thickness_mm: Any, n_lens: Any, n_medium: Any) -> Any:
        return (best - shift) / (1.0 - center_thickness_mm / n_lens * (n_lens - n_medium) / front_radius_mm)

    return BenchPower(
        _carried(lambda **of: 1000.0 * of["n_medium"] / focal_length(**of), inputs),
        _carried(focal_length, inputs),
        _carried(lambda best, shift: best - shift, {"best": best_focus_mm, "shift": best_focus_shift_mm}),
    )


def power_from_magnification(
    image_height_mm: Any, *, target_height_mm: Any, collimator_focal_length_mm: Any, n_medium: Any = 1.0
) -> BenchPower:
    """Power from the size of the image of a target in a collimator that stands in air: 1/F = f_collimator·h_image/h_target.

    In air that length is the focal length. In a wet cell with flat windows it is f/m = 1/F and not f: the angle of the light is smaller by m inside,
    and so F comes out without m. A negative image height gives a negative power. Numbers or estimates.

    Accuracy: 4e-16 relative, over images of 0.1 to 5 mm.

    Raises
    ------
    InputError
        for values that are 0 or not finite, and an index outside its limits.

    >>> r = power_from_magnification(2.0, target_height_mm=8.0, collimator_focal_length_mm=200.0, n_medium=1.336)
    >>> float(r.power_D.value), round(float(r.equivalent_focal_length_mm.value), 3)
    (20.0, 66.8)
    """
    inputs = {"image": image_height_mm, "target": target_height_mm, "collimator": collimator_focal_length_mm}
    for name, x in inputs.items():
        if not np.all(np.isfinite(_value(name, x))) or np.any(_value(name, x) == 0.0):
            raise InputError(f"the {name}'s height or focal length must be a finite number other than 0", quantity=name)
    _check("n_medium", n_medium)

    def per_power(image: Any, target: Any, collimator: Any) -> Any:
        return collimator * image / target

    return BenchPower(
        _carried(lambda **of: 1000.0 / per_power(**of), inputs),
        _carried(lambda n_medium, **of: n_medium * per_power(**of), {**inputs, "n_medium": n_medium}),
        None,
    )


def _value(name: str, x: Any) -> Any:
    return numbers(**{name: x.value if isinstance(x, Estimate) else x})[0]


def _check(name: str, x: Any) -> None:
    q = quantity(name)
    for value in np.atleast_1d(_value(name, x)):
        wrong = complaint(q, float(value))
        if wrong:
            raise InputError(wrong, quantity=name, value=float(value), limits=(q.lower, q.upper), unit=q.unit)


def _carried(formula: Callable[..., Any], inputs: dict[str, Any]) -> Estimate:
    """Numbers as exact estimates."""
    numbers(**{name: _value(name, x) for name, x in inputs.items()})  # refuses columns that do not go together
    return through(formula, **{name: x if isinstance(x, Estimate) else Estimate(_value(name, x)) for name, x in inputs.items()})
