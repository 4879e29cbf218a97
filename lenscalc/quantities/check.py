"""Checks of values against the registry: one text for one mistake, whoever asks."""

from __future__ import annotations

import re
import sys
from dataclasses import replace
from math import prod
from typing import Any

import numpy as np
import numpy.typing as npt

from lenscalc.errors import InputError
from lenscalc.quantities.quantity import Quantity
from lenscalc.quantities.registry import quantity

# float() would also take 1_5, full-width digits and infinity
DECIMAL = re.compile(r"[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][+-]?[0-9]+)?")

_NO_VALUE = ("n/a", "na", "n.a.", "#n/a", "nan", "none", "null", "-", "--", "–", "—", "?")
_FLAT = ("flat", "plan", "plane", "planar", "∞", "inf", "-inf", "infinity", "infinite")
_KEYBOARD = str.maketrans("−–", "--")

FloatArray = npt.NDArray[np.float64]


def plain(value: float) -> str:
    """A number as a person would write it, to 12 digits."""
    return f"{value:.12g}"


def complaint(q: Quantity, value: float) -> str | None:
    """What is impossible about this value, as a sentence; None if nothing is.

    >>> complaint(quantity("n_lens"), 14.9)
    'n_lens = 14.9: must be 1 to 3; is the decimal point one place off?'
    >>> complaint(quantity("front_radius_mm"), 0.015)
    'front_radius_mm = 0.015 mm: must be 0.5 to 1e+07 mm in magnitude, or inf (plano); is it in metres? write it in mm'
    >>> complaint(quantity("n_lens"), 1.49) is None
    True
    """
    unit = f" {q.unit}" if q.unit else ""
    if np.isnan(value):
        return f"{q.name} is missing or not a number: must be {q.limits_text}"
    if q.infinite and np.isinf(value):
        return None
    size = abs(value) if q.by_magnitude else value
    if q.lower <= size <= q.upper:
        return None
    text = f"{q.name} = {plain(value)}{unit}: must be {q.limits_text}"
    if q.infinite and value == 0:
        text += "; a flat surface is plano (inf), never 0"
    return text + _hint(q, size)


def remark(q: Quantity, value: float) -> str | None:
    """What is unusual about a possible value, as a sentence; None if nothing is.

    >>> remark(quantity("center_thickness_mm"), 0.0009)
    'center_thickness_mm = 0.0009 mm: usual is 0.1 to 5; is it in metres? write it in mm'
    >>> remark(quantity("center_thickness_mm"), 0.0) is None
    True
    """
    if np.isnan(value) or np.isinf(value) or (value == 0 and q.lower == 0):
        return None
    size = abs(value) if q.by_magnitude else value
    if q.usual_lower <= size <= q.usual_upper:
        return None
    unit = f" {q.unit}" if q.unit else ""
    return f"{q.name} = {plain(value)}{unit}: usual is {q.usual_lower:g} to {q.usual_upper:g}{_hint(q, size)}"


def _hint(q: Quantity, size: float) -> str:
    for mistake in q.mistakes:
        factor, sentence, shift = (*mistake, 0.0)[:3]
        if q.usual_lower <= size * factor + shift <= q.usual_upper:
            return f"; {sentence}"
    return ""


def impossible(q: Quantity, values: FloatArray) -> npt.NDArray[np.bool_]:
    """Where an array leaves the hard limits (NaN included)."""
    size = np.abs(values) if q.by_magnitude else values
    good = (size >= q.lower) & (size <= q.upper)
    if q.infinite:
        good |= np.isinf(values)
    return ~good


def unusual(q: Quantity, values: FloatArray) -> npt.NDArray[np.bool_]:
    """Where an array of possible values leaves the usual limits."""
    size = np.abs(values) if q.by_magnitude else values
    outside = ~((size >= q.usual_lower) & (size <= q.usual_upper))
    if q.lower == 0:
        outside &= values != 0
    return outside & np.isfinite(values)


def as_number(name: str, value: Any) -> FloatArray:
    """One argument as float64, or an InputError that names it. `"plano"` is read as inf where a radius is meant.

    >>> float(as_number("front_radius_mm", "plano"))
    inf
    >>> as_number("n_lens", "1,49")
    Traceback (most recent call last):
    lenscalc.errors.InputError: n_lens = '1,49' is not a number: must be 1 to 3; write the decimals with a point
    """
    if isinstance(value, str):
        return np.float64(number_in_text(quantity(name), value))  # type: ignore[return-value]
    try:
        return np.asarray(value, dtype=np.float64)
    except OverflowError:
        raise _too_large(name) from None
    except (TypeError, ValueError):
        q, wrong = quantity(name), _first_that_is_none(value)
        raise InputError(not_a_number(q, wrong), quantity=name, value=wrong, limits=(q.lower, q.upper), unit=q.unit) from None


def _too_large(name: str) -> InputError:
    """For a whole number beyond 1e308, whose digits nobody wants to see."""
    return InputError(f"{name} is a whole number too large for any measurement", quantity=name)


def readings_of(values: Any) -> FloatArray:
    """Readings as float64, or an InputError that says which of them is no number.

    >>> readings_of([1.4901, float("nan")])
    Traceback (most recent call last):
    lenscalc.errors.InputError: reading 2 = nan is not a finite number: leave it out, or write what was read
    """
    try:
        readings = np.asarray(values, dtype=np.float64)
    except OverflowError:
        raise _too_large("readings") from None
    except (TypeError, ValueError):
        raise InputError(f"readings = {values!r}: must be a list of numbers, decimals with a point", quantity="readings") from None
    if readings.ndim > 1:
        raise InputError(f"readings of shape {readings.shape}: they must be one list", quantity="readings")
    wrong = np.flatnonzero(~np.isfinite(readings))
    if wrong.size:
        value = float(readings.flat[wrong[0]])
        told = f"reading {wrong[0] + 1} = {value:g} is not a finite number: leave it out, or write what was read"
        raise InputError(told, quantity="readings", value=value)
    return readings


def number_in_text(q: Quantity, text: str) -> float:
    """The number that a text holds, for a quantity of the registry or one like it; nan for "nan", inf for "plano" where a radius is meant.

    Raises
    ------
    InputError
        that names the quantity and its limits.
    """
    bare = text.strip()
    if q.infinite and bare.lower() in ("plano", "inf"):
        return float("inf")
    if DECIMAL.fullmatch(bare) and np.isfinite(float(bare)):
        return float(bare)
    if bare.lower() == "nan":
        return float("nan")
    raise InputError(not_a_number(q, bare), quantity=q.name, value=text, limits=(q.lower, q.upper), unit=q.unit)


def not_a_number(q: Quantity, value: object) -> str:
    """The sentence for text where a number is wanted."""
    text = value if isinstance(value, str) else ""
    hint = "; write plano for a flat surface" if q.infinite and text.strip().lower() in _FLAT else how_to_write(text)
    return f"{q.name} = {value!r} is not a number: must be {q.limits_text}{hint}"


def how_to_write(text: str) -> str:
    """What to do about a text where a number is wanted, as the end of a sentence; empty where it may mean anything.

    >>> how_to_write("1.4903 ± 0.0002"), how_to_write("n/a")
    ('; write the value alone, its uncertainty has a place of its own', '; where there is no value, write nothing')
    """
    bare = text.strip()
    if bare.lower() in _NO_VALUE:
        return "; where there is no value, write nothing"
    if "±" in bare or "+/-" in bare:
        return "; write the value alone, its uncertainty has a place of its own"
    if bare.startswith(("<", ">", "≤", "≥")):
        return "; a limit is no value"
    if "%" in bare:
        return "; write it without %, a fraction as 0.05 for 5 %, anything else as the value itself"
    if "," in bare:
        return f"; write {'no sign between thousands, and ' if '.' in bare else ''}the decimals with a point"
    plain_minus = bare.translate(_KEYBOARD)
    if plain_minus != bare and DECIMAL.fullmatch(plain_minus):
        return f"; its minus is not the keyboard's: write {plain_minus}"
    number = DECIMAL.match(plain_minus)
    behind = plain_minus[number.end() :].lstrip() if number else ""
    return "; write the number alone" if behind[:1].isalpha() or behind.startswith(("°", "*", "?", "(")) else ""


def within(q: Quantity, value: Any, name: str | None = None) -> FloatArray:
    """A value of a quantity as float64, or an InputError that names it; `name` where it has another one here. "plano" is inf where that is meant.

    >>> within(quantity("wavelength_nm"), 0.546)
    Traceback (most recent call last):
    lenscalc.errors.InputError: wavelength_nm = 0.546 nm: must be 150 to 5000 nm; is it in µm? write it in nm
    """
    q = replace(q, name=name) if name else q
    if isinstance(value, str) and q.infinite and value.strip().lower() == "plano":
        return np.asarray(np.inf)
    try:
        if isinstance(value, str):
            raise TypeError
        array = np.asarray(value, dtype=np.float64)
    except OverflowError:
        raise _too_large(q.name) from None
    except (TypeError, ValueError):
        wrong = _first_that_is_none(value)
        raise InputError(not_a_number(q, wrong), quantity=q.name, value=wrong, limits=(q.lower, q.upper), unit=q.unit) from None
    _refuse_impossible(q, array)
    return array


def _refuse_impossible(q: Quantity, array: FloatArray) -> None:
    bad = np.flatnonzero(impossible(q, np.atleast_1d(array)))
    if bad.size:
        first = float(array.flat[bad[0]])
        where, row = in_row(int(bad[0]), array.size)
        raise InputError(f"{where}{complaint(q, first)}", quantity=q.name, value=first, limits=(q.lower, q.upper), unit=q.unit, row=row)


def in_row(row: int, many: int) -> tuple[str, int | None]:
    """The begin of a sentence about one of many rows, and its number counted from 1; of a single case neither.

    >>> in_row(2, 5), in_row(0, 1)
    (('row 3: ', 3), ('', None))
    """
    return (f"row {row + 1}: ", row + 1) if many > 1 else ("", None)


def checked(**values: Any) -> tuple[dict[str, FloatArray], tuple[int, ...]]:
    """Public functions' arguments, checked against the registry and broadcast against each other.

    Returns the arguments as 1-D float64 arrays of one length, and the shape to give back (`()` where all were plain numbers).

    Raises
    ------
    InputError
        for the first value outside its hard limits, with its row.
    """
    arrays = {name: as_number(name, value) for name, value in values.items()}
    for name, array in arrays.items():
        _refuse_impossible(quantity(name), array)
    shape = _one_shape(arrays)
    return {n: np.broadcast_to(a, shape).reshape(prod(shape)) for n, a in arrays.items()}, shape


def numbers(**values: Any) -> tuple[FloatArray, ...]:
    """Arguments that stand in no registry, as float64 of one shape; what they may be is for the caller to say.

    Raises
    ------
    InputError
        that names the first that is no number, or the lengths that cannot be combined.

    >>> numbers(u="0,05")
    Traceback (most recent call last):
    lenscalc.errors.InputError: u = '0,05' is not a number; write the decimals with a point
    """
    arrays = {}
    for name, value in values.items():
        try:
            arrays[name] = np.asarray(value, dtype=np.float64)
        except OverflowError:
            raise _too_large(name) from None
        except (TypeError, ValueError):
            wrong = _first_that_is_none(value)
            hint = how_to_write(wrong) if isinstance(wrong, str) else ""
            raise InputError(f"{name} = {wrong!r} is not a number{hint}", quantity=name, value=wrong) from None
    if len({array.shape for array in arrays.values()}) == 1:
        return tuple(arrays.values())  # a fifth of the time, and most often so
    shape = _one_shape(arrays)
    return tuple(np.broadcast_to(array, shape) for array in arrays.values())  # to be read: broadcast_arrays warns of its own flags


def is_numeric(x: Any) -> bool:
    """Whether arithmetic takes it as it is: a number or an array of numbers, complex ones too."""
    if isinstance(x, int):
        return abs(x) <= sys.float_info.max
    return isinstance(x, (float, complex, np.number)) or (isinstance(x, np.ndarray) and x.dtype.kind in "biufc")


def in_numbers(name: str, x: Any) -> Any:
    """What arithmetic takes, as it is; a list, or a text that is a number, as float64.

    Raises
    ------
    InputError
        that names what is no number.

    >>> in_numbers("n_lens", 1.49 + 1e-30j), in_numbers("n_lens", [1.49, 1.5])
    ((1.49+1e-30j), array([1.49, 1.5 ]))
    """
    return x if is_numeric(x) else as_given(numbers(**{name: x})[0])


def single_numbers(**values: Any) -> tuple[float, ...]:
    """Arguments that stand in no registry and are one number each, as floats.

    Raises
    ------
    InputError
        that names the first that is no number, or more than one.

    >>> single_numbers(shift_D=[0.25, 0.5])
    Traceback (most recent call last):
    lenscalc.errors.InputError: shift_D holds 2 numbers: must be a single one
    """
    return tuple(float(value) if isinstance(value, float) else _single(name, value) for name, value in values.items())


def _single(name: str, value: Any) -> float:
    (array,) = numbers(**{name: value})
    if array.size != 1:
        raise InputError(f"{name} holds {array.size} numbers: must be a single one", quantity=name)
    return float(array.item())


def _first_that_is_none(value: Any) -> Any:
    return next((one for one in np.asarray(value, dtype=object).flat if not _is_number(one)), value)


def _is_number(one: Any) -> bool:
    try:
        float(one)
    except (TypeError, ValueError):
        return False
    return True


def _one_shape(arrays: dict[str, FloatArray]) -> tuple[int, ...]:
    try:
        return np.broadcast_shapes(*(np.shape(a) for a in arrays.values()))
    except ValueError:
        lengths = ", ".join(f"{n} {np.shape(a)}" for n, a in arrays.items() if np.shape(a))
        raise InputError(f"columns of different lengths cannot be combined: {lengths}") from None


def given_back(array: FloatArray, shape: tuple[int, ...]) -> Any:
    """A flat result in the shape of the arguments that `checked` took: a float for plain numbers."""
    return float(array.item()) if shape == () else array.reshape(shape)


def as_given(value: Any) -> Any:
    """A result that kept its arguments' shape: a float for plain numbers, the array otherwise."""
    return float(value) if np.ndim(value) == 0 else value
