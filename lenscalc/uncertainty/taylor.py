"""Derivatives of a model up to the third, exact to rounding: arithmetic of truncated Taylor polynomials in two variables.

A model that is plain arithmetic and numpy's functions runs on these polynomials as it runs on numbers. No step, no difference: in
tests/uncertainty/test_second_order.py the derivatives agree with mpmath to 1e-12.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

import numpy as np

from lenscalc.errors import InputError
from lenscalc.quantities import FloatArray

POWERS = ((0, 0), (1, 0), (0, 1), (2, 0), (1, 1), (0, 2), (3, 0), (2, 1), (1, 2), (0, 3))
_AT = {p: i for i, p in enumerate(POWERS)}
# which products of coefficients make which: those above the third order are cut off
_PRODUCTS = [(i, j, _AT[a + c, b + d]) for i, (a, b) in enumerate(POWERS) for j, (c, d) in enumerate(POWERS) if a + b + c + d <= 3]


class Taylor:
    """A polynomial Σ c·s^a·t^b up to the third order; its coefficients are arrays, a column a pair of variables."""

    __slots__ = ("c",)

    def __init__(self, c: FloatArray) -> None:
        self.c = c

    def _other(self, x: Any) -> FloatArray:
        if isinstance(x, Taylor):
            return x.c
        c = np.zeros_like(self.c)
        c[0] = x
        return c

    def __add__(self, x: Any) -> Taylor:
        return Taylor(self.c + self._other(x))

    __radd__ = __add__

    def __neg__(self) -> Taylor:
        return Taylor(-self.c)

    def __pos__(self) -> Taylor:
        return self

    def __sub__(self, x: Any) -> Taylor:
        return Taylor(self.c - self._other(x))

    def __rsub__(self, x: Any) -> Taylor:
        return Taylor(self._other(x) - self.c)

    def __mul__(self, x: Any) -> Taylor:
        if not isinstance(x, Taylor):
            return Taylor(self.c * x)
        c = np.zeros_like(self.c)
        for i, j, k in _PRODUCTS:
            c[k] += self.c[i] * x.c[j]
        return Taylor(c)

    __rmul__ = __mul__

    def __truediv__(self, x: Any) -> Taylor:
        if isinstance(x, Taylor):
            return self.__mul__(x.of(_reciprocal))
        return Taylor(self.c / x)

    def __rtruediv__(self, x: Any) -> Taylor:
        return self.of(_reciprocal).__mul__(x)

    def __pow__(self, p: Any) -> Taylor:
        if isinstance(p, Taylor):
            return p.__mul__(self.of(_log)).of(_exp)
        if p >= 0 and not p % 1:  # whole: also where the base is 0
            result = Taylor(self._other(1.0))
            for _ in range(int(p)):
                result = result * self
            return result
        return self.of(lambda x: (x**p, p * x ** (p - 1), p * (p - 1) * x ** (p - 2), p * (p - 1) * (p - 2) * x ** (p - 3)))

    def __rpow__(self, x: Any) -> Taylor:
        return Taylor(self.c * np.log(x)).of(_exp)

    def of(self, function: Callable[[Any], tuple[Any, Any, Any, Any]]) -> Taylor:
        """A function of this polynomial, from the function's value and its first three derivatives."""
        g0, g1, g2, g3 = function(self.c[0])
        rest = self.c.copy()
        rest[0] = 0.0
        h = Taylor(rest)
        h2 = h * h
        result: Taylor = h * g1 + h2 * (g2 / 2.0) + h2 * h * (g3 / 6.0)
        result.c[0] = g0
        return result

    def __array_ufunc__(self, ufunc: Any, method: str, *given: Any, **more: Any) -> Taylor:
        name = ufunc.__name__
        if method == "__call__" and not more:
            if name in _OPERATORS:
                a, b = given
                result: Taylor = getattr(a, f"__{_OPERATORS[name]}__")(b) if isinstance(a, Taylor) else getattr(b, f"__r{_OPERATORS[name]}__")(a)
                return result
            if name in FUNCTIONS:
                return self.of(FUNCTIONS[name])
            if name == "negative":
                return -self
            if name == "square":
                return self * self
        raise InputError(f"second-order terms: numpy's {name} is not among {', '.join(sorted(FUNCTIONS))}, + − × ÷ and powers")

    def _refuse(self, *_: Any) -> Any:
        raise InputError("second-order terms: the model must be plain arithmetic and numpy's functions; it compares, rounds or takes a float")

    __lt__ = __le__ = __gt__ = __ge__ = __abs__ = __float__ = __int__ = __bool__ = _refuse


_OPERATORS = {"add": "add", "subtract": "sub", "multiply": "mul", "divide": "truediv", "power": "pow", "float_power": "pow"}


def _reciprocal(x: Any) -> tuple[Any, Any, Any, Any]:
    r = 1.0 / x
    return r, -r * r, 2.0 * r * r * r, -6.0 * r * r * r * r


def _exp(x: Any) -> tuple[Any, Any, Any, Any]:
    e = np.exp(x)
    return e, e, e, e


def _log(x: Any) -> tuple[Any, Any, Any, Any]:
    r = 1.0 / x
    return np.log(x), r, -r * r, 2.0 * r * r * r


def _log10(x: Any) -> tuple[Any, Any, Any, Any]:
    scale = 1.0 / np.log(10.0)
    g0, g1, g2, g3 = _log(x)
    return g0 * scale, g1 * scale, g2 * scale, g3 * scale


def _sqrt(x: Any) -> tuple[Any, Any, Any, Any]:
    root = np.sqrt(x)
    return root, 0.5 / root, -0.25 / (root * x), 0.375 / (root * x * x)


def _sin(x: Any) -> tuple[Any, Any, Any, Any]:
    s, c = np.sin(x), np.cos(x)
    return s, c, -s, -c


def _cos(x: Any) -> tuple[Any, Any, Any, Any]:
    s, c = np.sin(x), np.cos(x)
    return c, -s, -c, s


def _tan(x: Any) -> tuple[Any, Any, Any, Any]:
    t = np.tan(x)
    d = 1.0 + t * t
    return t, d, 2.0 * t * d, 2.0 * d * (1.0 + 3.0 * t * t)


def _arcsin(x: Any) -> tuple[Any, Any, Any, Any]:
    s = (1.0 - x * x) ** -0.5
    return np.arcsin(x), s, x * s**3, (1.0 + 2.0 * x * x) * s**5


def _arccos(x: Any) -> tuple[Any, Any, Any, Any]:
    _, g1, g2, g3 = _arcsin(x)
    return np.arccos(x), -g1, -g2, -g3


def _arctan(x: Any) -> tuple[Any, Any, Any, Any]:
    h = 1.0 / (1.0 + x * x)
    return np.arctan(x), h, -2.0 * x * h * h, (6.0 * x * x - 2.0) * h**3


def _sinh(x: Any) -> tuple[Any, Any, Any, Any]:
    s, c = np.sinh(x), np.cosh(x)
    return s, c, s, c


def _cosh(x: Any) -> tuple[Any, Any, Any, Any]:
    s, c = np.sinh(x), np.cosh(x)
    return c, s, c, s


def _tanh(x: Any) -> tuple[Any, Any, Any, Any]:
    t = np.tanh(x)
    d = 1.0 - t * t
    return t, d, -2.0 * t * d, -2.0 * d * (1.0 - 3.0 * t * t)


FUNCTIONS: dict[str, Callable[[Any], tuple[Any, Any, Any, Any]]] = {
    "exp": _exp, "log": _log, "log10": _log10, "sqrt": _sqrt, "sin": _sin, "cos": _cos, "tan": _tan, "arcsin": _arcsin, "arccos": _arccos,
    "arctan": _arctan, "sinh": _sinh, "cosh": _cosh, "tanh": _tanh, "reciprocal": _reciprocal,
}  # fmt: skip


class Derivatives(NamedTuple):
    """f_i, f_ij and f_ijj (the row is i), each times the steps of its variables."""

    first: FloatArray
    second: FloatArray
    third: FloatArray


def derivatives(model: Callable[..., Any], values: Mapping[str, float], steps: Mapping[str, float]) -> Derivatives:
    """Derivatives of `model(**values)` times the steps: with u for the steps, the terms of the law of propagation.

    >>> d = derivatives(lambda x, y: x * x * y, {"x": 3.0, "y": 2.0}, {"x": 1.0, "y": 1.0})
    >>> d.first.tolist(), d.second.tolist(), d.third.tolist()
    ([12.0, 9.0], [[4.0, 6.0], [6.0, 0.0]], [[0.0, 0.0], [2.0, 0.0]])
    """
    names = list(values)
    n = len(names)
    i, j = np.triu_indices(n)  # a column a pair, every variable with itself among them: f(x + s + t)
    polynomials = {}
    for k, name in enumerate(names):
        c = np.zeros((len(POWERS), i.size))
        c[0], c[1], c[2] = values[name], steps[name] * (i == k), steps[name] * (j == k)
        polynomials[name] = Taylor(c)
    with np.errstate(all="ignore"):
        try:
            result = model(**polynomials)
        except (TypeError, AttributeError) as error:
            raise InputError(f"second-order terms: the model must be plain arithmetic and numpy's functions ({error})") from error
    f = result.c if isinstance(result, Taylor) else np.zeros((len(POWERS), i.size))  # a model that uses no input has none
    if not np.all(np.isfinite(f)):
        raise InputError("second-order terms: a derivative of the model is not finite at these values")
    first, second, third = np.zeros(n), np.zeros((n, n)), np.zeros((n, n))
    first[i], second[i, j], second[j, i], third[i, j], third[j, i] = f[1], f[4], f[4], 2.0 * f[8], 2.0 * f[7]
    return Derivatives(first, second, third)
