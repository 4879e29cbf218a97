"""What a candidate is ranked by, and the limits that it must keep: read from a short text, never evaluated as code."""

from __future__ import annotations

import operator
import re
from typing import Any, Final, Literal, NamedTuple, get_args

import numpy as np
import numpy.typing as npt

from lenscalc.errors import InputError
from lenscalc.quantities import numbers, single_numbers

Direction = Literal["low", "high", "near"]

_NAME: Final = r"[A-Za-z_][A-Za-z0-9_]*"
_NUMBER: Final = r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?"
_COMPARISONS: Final = {"<=": operator.le, ">=": operator.ge, "==": operator.eq, "!=": operator.ne, "<": operator.lt, ">": operator.gt}
_LIMIT: Final = re.compile(rf"\s*({_NAME})\s*(<=|>=|==|!=|<|>)\s*({_NUMBER})\s*")
_CRITERION: Final = re.compile(rf"\s*({_NAME})\s*:\s*(?:(low|high)|near\s*=\s*({_NUMBER}|{_NAME}))\s*")


class Limit(NamedTuple):
    """A limit that a candidate must keep: a column, a comparison, a number."""

    name: str
    comparison: str
    number: float


class Criterion(NamedTuple):
    """A column and what is good in it: low, high, or near a target, which is a number or the name of another column; its weight."""

    name: str
    direction: Direction
    target: float | str | None = None
    weight: float = 1.0


def read_limit(text: str) -> Limit:
    """A limit as somebody writes it: one name, one comparison (<, <=, >, >=, ==, !=), one number.

    Raises
    ------
    InputError
        for any other text; nothing of it is evaluated.

    >>> read_limit("power_D >= 19")
    Limit(name='power_D', comparison='>=', number=19.0)
    >>> read_limit("power_D >= 19 and abbe_d > 40")
    Traceback (most recent call last):
    lenscalc.errors.InputError: limit 'power_D >= 19 and abbe_d > 40': write NAME OP NUMBER, as in power_D>=19 (OP is <, <=, >, >=, == or !=); ...
    """
    found = _LIMIT.fullmatch(text)
    if not found:
        hint = "; one comparison a limit: give the others as limits of their own" if re.search(r"\b(and|or)\b|&|\|", text) else ""
        hint = hint or ("; equality is ==" if re.search(r"[^<>=!]=[^=]", text) else "; write the decimals with a point" if "," in text else "")
        raise InputError(f"limit {text!r}: write NAME OP NUMBER, as in power_D>=19 (OP is <, <=, >, >=, == or !=){hint}", value=text)
    return Limit(found[1], found[2], float(found[3]))


def read_criterion(text: str, weight: float = 1.0) -> Criterion:
    """A criterion as somebody writes it: NAME:low, NAME:high, NAME:near=NUMBER or NAME:near=COLUMN.

    Raises
    ------
    InputError
        for any other text, or a weight that is not above 0.

    >>> read_criterion("abbe_d:high"), read_criterion("power_D:near=20").target
    (Criterion(name='abbe_d', direction='high', target=None, weight=1.0), 20.0)
    """
    found = _CRITERION.fullmatch(text)
    if not found:
        raise InputError(f"criterion {text!r}: write NAME:low, NAME:high or NAME:near=TARGET, as in power_D:near=20 or abbe_d:high", value=text)
    name, target = found[1], found[3]
    direction: Any = found[2] or "near"
    (weight,) = single_numbers(**{f"weight of {name}": weight})
    if not (weight > 0 and np.isfinite(weight)):
        raise InputError(f"weight of {name} = {weight:g}: must be above 0; leave a criterion out that shall not count", quantity=name, value=weight)
    return Criterion(name, direction, float(target) if target and re.fullmatch(_NUMBER, target) else target, weight)


def keeps(limit: Limit, values: Any) -> npt.NDArray[np.bool_]:
    """Which values keep the limit; a missing one (nan) keeps none, whatever the comparison.

    >>> keeps(Limit("abbe_d", "!=", 40.0), [40.0, 45.0, float("nan")]).tolist()
    [False, True, False]
    """
    (array,) = numbers(values=values)
    if limit.comparison not in _COMPARISONS:
        raise InputError(f"comparison {limit.comparison!r}: must be one of {', '.join(_COMPARISONS)}", quantity=limit.name)
    return np.asarray(_COMPARISONS[limit.comparison](array, limit.number) & ~np.isnan(array))


def departure(values: Any, direction: Direction, target: Any = None) -> Any:
    """How far a value is from what is good: itself where low is good, its negative where high is, the distance from the target where near is.

    >>> departure([19.5, 20.25], "near", 20.0).tolist(), departure([3.0], "high").tolist()
    ([0.5, 0.25], [-3.0])
    """
    (array,) = numbers(values=values)
    if direction not in get_args(Direction):
        raise InputError(f"direction {direction!r}: must be low, high or near", value=direction)
    if direction == "near":
        (aim,) = numbers(target=np.nan if target is None else target)
        if np.any(np.isnan(aim)):
            raise InputError("direction near needs a target, as in power_D:near=20")
        return np.abs(array - aim)
    return array if direction == "low" else -array
