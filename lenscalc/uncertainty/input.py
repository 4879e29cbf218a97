"""One input of a model: a value, how well it is known, and as what it is drawn."""

from __future__ import annotations

from collections.abc import Mapping
from math import inf, isfinite, isinf
from typing import Any, Literal, NamedTuple, get_args

import numpy as np

from lenscalc.errors import InputError, UnknownNameError
from lenscalc.quantities import readings_of, single_numbers
from lenscalc.uncertainty.conformity import coverage_factor

# those of a Source, and two with a shape of their own
InputDistribution = Literal["normal", "t", "rectangular", "triangular", "arcsine", "trapezoid", "curvilinear trapezoid"]


class Input(NamedTuple):
    """One input of a model: value, standard uncertainty, distribution, degrees of freedom.

    `shape` belongs to two distributions: of a trapezoid it is top to base (JCGM 101:2008, 6.4.4: β; 0 is triangular, 1 rectangular), of a
    "curvilinear trapezoid", a rectangle whose limits ±a are themselves known to ±d only, it is d/a (6.4.3). A normal or t of finite degrees of
    freedom is drawn as value + u·t_ν, whose spread is u·√(ν/(ν − 2)); the linear law takes u with ν. What has limits is drawn within them
    whatever its degrees of freedom.

    >>> Input(1.4900, 0.0003)
    Input(value=1.49, u=0.0003, distribution='normal', dof=inf, shape=0.0)
    """

    value: float
    u: float
    distribution: InputDistribution = "normal"
    dof: float = inf
    shape: float = 0.0

    @classmethod
    def from_data(cls, readings: Any) -> Input:
        """Mean of n independent readings with u = s/√n and n − 1 degrees of freedom (type A; JCGM 100:2008, 4.2).

        >>> i = Input.from_data([1.4901, 1.4903, 1.4902, 1.4902])
        >>> round(i.value, 5), round(i.u, 6), i.distribution, i.dof
        (1.4902, 4.1e-05, 't', 3.0)
        """
        x = readings_of(readings)
        if x.size < 2:
            raise InputError(f"readings of shape {x.shape}: u from data needs a list of at least two readings", quantity="readings")
        return cls(float(np.mean(x)), float(np.std(x, ddof=1)) / x.size**0.5, "t", float(x.size - 1))

    @classmethod
    def from_half_width(
        cls,
        value: float,
        half_width: float,
        distribution: InputDistribution = "rectangular",
        *,
        top_to_base: float = 0.0,
        limits_known_to: float = 0.0,
        dof: float = inf,
    ) -> Input:
        """A value known to lie within ± half_width (JCGM 100:2008, 4.3.7 and 4.3.9; JCGM 101:2008, 6.4.2 to 6.4.6).

        `top_to_base` is the trapezoid's, `limits_known_to` the curvilinear trapezoid's: the limits are half_width ± limits_known_to.

        >>> round(Input.from_half_width(20.0, 0.5, "arcsine").u, 4)
        0.3536
        >>> round(Input.from_half_width(0.0, 0.05, "curvilinear trapezoid", limits_known_to=0.025).u, 5)
        0.03005
        """
        if not 0 <= half_width < inf:
            raise InputError(f"half_width = {half_width:g}: must be 0 or more, and finite", quantity="half_width", value=half_width)
        for name, given, of in (("top_to_base", top_to_base, "trapezoid"), ("limits_known_to", limits_known_to, "curvilinear trapezoid")):
            if given and distribution != of:
                raise InputError(f"{name} = {given:g} belongs to a {of}: leave it out, or give distribution={of!r}", quantity=name, value=given)
        if not 0.0 <= limits_known_to <= half_width:
            raise InputError(f"limits_known_to = {limits_known_to:g}: must lie between 0 and half_width = {half_width:g}", quantity="limits_known_to")
        shape = top_to_base or (limits_known_to and limits_known_to / half_width)
        if distribution in ("normal", "t"):
            raise InputError(f"{distribution!r} has no half-width: use one of {', '.join(BOUNDED)}", quantity="distribution", value=distribution)
        made = cls(value, half_width, distribution, dof, shape)
        check_input("this input", made)
        return made._replace(u=half_width / half_width_of_unit_u(distribution, shape))

    @classmethod
    def from_certificate(cls, value: float, expanded: float, *, k: float | None = None, probability: float | None = None, dof: float = inf) -> Input:
        """A certificate's value ± expanded uncertainty, with its k, or with its probability and degrees of freedom (JCGM 100:2008, 4.3.3 to 4.3.5).

        >>> round(Input.from_certificate(50000623.0, 75.0, k=3, dof=18).u, 6)                        # JCGM 100:2008, H.1.3.1
        25.0
        >>> round(Input.from_certificate(1.46945, 6e-5, probability=0.95).u * 1e5, 2)
        3.06
        """
        if (k is None) == (probability is None):
            raise InputError("a certificate needs k or the probability of its interval, one of the two", quantity="k")
        if not expanded >= 0:
            raise InputError(f"expanded = {expanded}: an expanded uncertainty must be 0 or more", quantity="expanded", value=expanded)
        if probability is not None:
            if not 0.0 < probability < 1.0:
                raise InputError(f"probability = {probability:g}: must lie between 0 and 1 (0.95, not 95)", quantity="probability", value=probability)
            k = float(coverage_factor(probability, dof))
        if k is None or not 0 < k < inf:
            raise InputError(f"k = {k}: a coverage factor must be above 0, and finite", quantity="k", value=k)
        return cls(value, expanded / k, "normal" if isinf(dof) else "t", dof)


BOUNDED = ("rectangular", "triangular", "arcsine", "trapezoid", "curvilinear trapezoid")


def half_width_of_unit_u(distribution: InputDistribution, shape: float) -> float:
    """Half the base, in standard uncertainties.

    Trapezoid u² = a²(1 + β²)/6 (JCGM 101:2008, 6.4.4.3); limits known to d: u² = a²/3 + d²/9 (6.4.3.3); both derivable.
    """
    match distribution:
        case "rectangular":
            return float(3.0**0.5)
        case "triangular":
            return float(6.0**0.5)
        case "arcsine":
            return float(2.0**0.5)
        case "trapezoid":
            return float((6.0 / (1.0 + shape * shape)) ** 0.5)
        case "curvilinear trapezoid":
            return float((1.0 / 3.0 + shape * shape / 9.0) ** -0.5)
        case _:
            return inf


def check_input(name: str, given: Input) -> None:
    """Refuse what no input can be, by its name."""
    single_numbers(**{name: given.value, f"u of {name}": given.u, f"dof of {name}": given.dof, f"shape of {name}": given.shape})
    if not isfinite(given.value):
        raise InputError(f"{name} = {given.value}: the value must be a finite number", quantity=name, value=given.value)
    if not 0 <= given.u < inf:
        raise InputError(f"u of {name} = {given.u}: a standard uncertainty must be 0 or more, and finite", quantity=name, value=given.u)
    if given.distribution not in get_args(InputDistribution):
        raise UnknownNameError(str(given.distribution), get_args(InputDistribution), what=f"distribution of {name}:")
    if not given.dof > 0:
        raise InputError(f"dof of {name} = {given.dof}: degrees of freedom must be above 0", quantity=name, value=given.dof)
    if not 0.0 <= given.shape <= 1.0:
        raise InputError(
            f"shape of {name} = {given.shape:g}: top to base of a trapezoid, or what its limits are known to by half-width, lies between 0 and 1",
            quantity=name,
            value=given.shape,
        )


def check_inputs(inputs: Mapping[str, Input]) -> None:
    """Refuse what no inputs can be."""
    if not inputs:
        raise InputError("there are no inputs: give at least one by its name")
    for name, given in inputs.items():
        check_input(name, given)
