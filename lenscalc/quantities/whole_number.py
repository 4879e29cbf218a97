"""One whole number, as of points or trials."""

from typing import Any

import numpy as np

from lenscalc.errors import InputError
from lenscalc.quantities.check import single_numbers


def whole_number(name: str, value: Any, least: int, most: float = np.inf, why: str = "") -> int:
    """A count as an int; it may be written as 20.0 or 1e6. `why` is said where it is refused.

    Raises
    ------
    InputError
        that names what is no number, not a whole one, below `least` or above `most`.

    >>> whole_number("trials", 1e6, least=1)
    1000000
    >>> whole_number("points", 2.5, least=1, most=2001)
    Traceback (most recent call last):
    lenscalc.errors.InputError: points = 2.5: must be a whole number, 1 to 2001
    """
    (number,) = single_numbers(**{name: value})
    whole = not isinstance(value, bool | np.bool_) and number % 1 == 0  # inf % 1 is nan
    if not (whole and least <= number <= most):
        ends = f"{least} or more" if most == np.inf else f"{least} to {most}"
        told = f"{name} = {value}: must be a whole number, {ends}{f'; {why}' if why else ''}"
        raise InputError(told, quantity=name, value=value, limits=(least, most))
    return int(value if isinstance(value, int | np.integer) else number)
