"""A dimension and the state in which it was measured: dry or hydrated, at a temperature."""

from __future__ import annotations

from dataclasses import dataclass

from lenscalc.conditions import TEMPERATURE_IN_USE_DEGC
from lenscalc.errors import InputError, UnknownNameError
from lenscalc.uncertainty import Estimate, combine

STATES = ("dry", "hydrated")


@dataclass(frozen=True, eq=False)
class Dimension:
    """A length [mm] as measured: its estimate, state ("dry" or "hydrated") and temperature [°C]."""

    name: str
    length_mm: Estimate
    state: str
    temperature_degC: float

    def __post_init__(self) -> None:
        if self.state not in STATES:
            raise UnknownNameError(self.state, STATES, what="state of a dimension")


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
    swelling = linear_swelling if dimension.state == "dry" else Estimate(0.0)
    expansion = linear_expansion_per_K if warming_K else Estimate(0.0)
    if swelling is None:
        raise InputError(
            f"{dimension.name} was measured dry and the lens is used hydrated: give [lens] linear_swelling with u_linear_swelling, "
            "or measure it hydrated",
            quantity=dimension.name,
        )
    if expansion is None:
        raise InputError(
            f"{dimension.name} was measured at {dimension.temperature_degC:g} °C and the lens is used at {TEMPERATURE_IN_USE_DEGC:g} °C: "
            "give [lens] linear_expansion_per_K with u_linear_expansion_per_K, or measure it at 35 °C",
            quantity=dimension.name,
        )
    grown, warmed = 1.0 + float(swelling.value), 1.0 + float(expansion.value) * warming_K
    by_each = ((grown * warmed, d), (float(d.value) * warmed, swelling), (float(d.value) * grown * warming_K, expansion))
    return combine(d.value * grown * warmed, by_each)
