"""Quantities that only a reading sheet holds, with the limits that its schema sets for them."""

from __future__ import annotations

from dataclasses import replace
from math import inf

from lenscalc.quantities import Quantity, quantity
from lenscalc.refractometer.schema import SCHEMA, Limits


def of_sheet(table: str, key: str, label: str, meaning: str, decimals: int) -> Quantity:
    """A quantity out of one line of the schema."""
    limits = SCHEMA[table][key]
    assert isinstance(limits, Limits)
    return Quantity(key, key, limits.unit, label, meaning, limits.lower, limits.upper, -inf, inf, decimals, "lot", 10.0**-decimals)


RESOLUTION = of_sheet("instrument", "resolution", "resolution of the refractometer", "smallest step of index that it shows", 5)
REPEATABILITY = of_sheet(
    "reading", "u_repeatability", "pooled u of one reading", "from earlier readings, where there is only one", 6
)
DOF_REPEATABILITY = of_sheet("reading", "dof_repeatability", "its degrees of freedom", "number of earlier readings less the number of sets", 0)
SWELLING = of_sheet("lens", "linear_swelling", "linear swelling", "length wet over length dry, less 1", 4)
U_SWELLING = of_sheet("lens", "u_linear_swelling", "u of the linear swelling", "standard uncertainty of the linear swelling", 4)
EXPANSION = of_sheet("lens", "linear_expansion_per_K", "linear thermal expansion", "relative change of length per kelvin, wet", 6)
U_EXPANSION = of_sheet("lens", "u_linear_expansion_per_K", "u of the linear thermal expansion", "standard uncertainty of the linear expansion", 6)
MEASURED_AT = replace(quantity("reading_temperature_degC"), label="temperature of the lens when it was measured", meaning="the lens is used at 35 °C")
