"""Quantities that only a reading sheet holds, with the limits that its schema sets for them."""

from __future__ import annotations

from dataclasses import replace
from math import inf

from lenscalc.quantities import Quantity, quantity
from lenscalc.refractometer.schema import SCHEMA, Limits, Minutes


def of_sheet(table: str, key: str, label: str, meaning: str, decimals: int) -> Quantity:
    """A quantity out of one line of the schema."""
    limits = SCHEMA[table][key]
    assert isinstance(limits, Limits)
    return Quantity(key, key, limits.unit, label, meaning, limits.lower, limits.upper, -inf, inf, decimals, "lot", 10.0**-decimals)


MEASURED_AT = replace(quantity("reading_temperature_degC"), label="temperature of the lens when it was measured", meaning="the lens is used at 35 °C")
MINUTES = Quantity(
    "minutes_after_mounting", "t", "min", "time after mounting", "how long the specimen had been on the prism", Minutes().of_one.lower,
    Minutes().of_one.upper, -inf, inf, 1, "instrument", 0.5,
)  # fmt: skip
