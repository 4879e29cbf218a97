"""A dimension and the state in which it was measured: dry or hydrated, at a temperature."""

from __future__ import annotations

from dataclasses import dataclass

from lenscalc.conditions import TEMPERATURE_IN_USE_DEGC
from lenscalc.errors import InputError
from lenscalc.uncertainty import Estimate, combine


@dataclass(frozen=True, eq=False)
class Dimension:
    """A length [mm] as measured: its estimate, state ("dry" or "hydrated") and temperature [°C]."""

    name: str
    length_mm: Estimate
    state: str
    temperature_degC: float


def dimension_in_use(dimension: Dimension, linear_swelling: Estimate | None, linear_expansion_per_K: Estimate | None) -> Estimate:
    """The dimension wet at 35 °C: d·(1 + s)·(1 + α(35 °C − T)), s only where it was measured dry.

    Both corrections are linear; a volume expansion is three times α. They are shared by all dimensions of a lens, and so are their errors.

    Raises
    ------
    InputError
        where a correction is needed and not given; nothing is ever taken as 0 by default.

    >>> from lenscalc.uncertainty import Source, estimate
    >>> dry = Dimension("front_radius_mm", estimate(10.0, 0.02, Source("front radius", scope="lens")), "dry", 35.0)
    >>> wet = dimension_in_use(dry, estimate(0.10, 0.01, Source("linear swelling")), None)
    >>> round(float(wet.value), 6), round(float(wet.u), 4)
    (11.0, 0.1024)
    """
    d, warming_K = dimension.length_mm, TEMPERATURE_IN_USE_DEGC - dimension.temperature_degC
    grown = warmed = 1.0
    terms: list[tuple[float, Estimate]] = []
    if dimension.state == "dry":
        if linear_swelling is None:
            raise InputError(
                f"{dimension.name} was measured dry and the lens is used hydrated: give [lens] linear_swelling with u_linear_swelling, "
                "or measure it hydrated",
                quantity=dimension.name,
            )
        grown += float(linear_swelling.value)
    if warming_K != 0:
        if linear_expansion_per_K is None:
            raise InputError(
                f"{dimension.name} was measured at {dimension.temperature_degC:g} °C and the lens is used at {TEMPERATURE_IN_USE_DEGC:g} °C: "
                "give [lens] linear_expansion_per_K with u_linear_expansion_per_K, or measure it at 35 °C",
                quantity=dimension.name,
            )
        warmed += float(linear_expansion_per_K.value) * warming_K
    terms.append((grown * warmed, d))
    if dimension.state == "dry" and linear_swelling is not None:
        terms.append((float(d.value) * warmed, linear_swelling))
    if warming_K != 0 and linear_expansion_per_K is not None:
        terms.append((float(d.value) * grown * warming_K, linear_expansion_per_K))
    return combine(d.value * grown * warmed, terms)
