"""One input field for a count."""

from __future__ import annotations

from lenscalc.quantities import Quantity, plain
from lenscalc.web.fields.beside import say_below
from lenscalc.web.fields.number_field import number_field


def whole_field(of: Quantity, *, key: str, value: int) -> float | None:
    """A field for a whole number, kept in the address; another number is given back as it is, with a sentence below the field."""
    given = number_field(of, key=key, value=float(value), in_address=True)
    if given is not None and of.lower <= given <= of.upper and not given.is_integer():
        say_below(of.name, f"{of.name} = {plain(given)}: must be a whole number, {of.limits_text}", cannot_be=True)
    return given


def count_of(name: str, label: str, meaning: str, lower: float, upper: float, step: float = 1.0) -> Quantity:
    """The quantity of a count that only a page asks for.

    >>> count_of("points", "points", "how many points", 2, 1e6).limits_text
    '2 to 1e+06'
    """
    return Quantity(name, name, "", label, meaning, lower, upper, lower, upper, 0, "convention", float(step))
