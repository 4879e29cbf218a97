"""How accurate a function is: the worst relative error against a statement of its equation in 60 digits, over a domain.

A docstring says "Accuracy: 4e-16 relative, over ..." and the tests of this folder hold it to that: what is measured is no worse, and a claim that is
far from what is measured is no measurement either. `python -m pytest tests/edges -s -k accuracy` prints the table.
"""

import re
from typing import Any, NamedTuple

import mpmath
import numpy as np
from mpmath import mpf

mpmath.mp.dps = 60  # for the numbers that a table of cases writes out
STATED = re.compile(r"Accuracy: ([0-9.]+e-[0-9]+) relative\b")
SLACK = 30.0  # rounding differs a little between processors and libraries; a claim looser than this was not measured


class Case(NamedTuple):
    """A function, columns of its arguments, and its equation in many digits; `of` says how it is called and what of its result is looked at.

    `scale`: what an error is relative to, where not to the value itself; a number or one for each part of the result.
    """

    function: Any
    columns: dict[str, Any]
    exact: Any
    of: Any = None
    scale: Any = None

    def __str__(self):
        return self.function.__name__


@mpmath.workdps(60)
def worst(case):
    """The largest relative error of any part of the result over all rows."""
    columns = {name: np.broadcast_to(np.asarray(x, dtype=np.float64), np.broadcast_shapes(*(np.shape(c) for c in case.columns.values())))
               for name, x in case.columns.items()}  # fmt: skip
    found = parts((case.of or case.function)(**columns))
    most = 0.0
    for row in range(next(iter(columns.values())).size):
        values = {name: mpf(float(x[row])) for name, x in columns.items()}
        exact = parts(case.exact(**values))
        scales = parts(case.scale(**values)) if case.scale else tuple(abs(x) for x in exact)
        assert len(found) == len(exact)
        for i, (got, want) in enumerate(zip(found, exact, strict=True)):
            number = float(np.broadcast_to(got, columns[next(iter(columns))].shape)[row])
            error = off(number, want, scales[i if len(scales) > 1 else 0])
            assert error < 1e-3, f"row {row}, part {i}: {number!r}, not {mpmath.nstr(want, 20)}; {({n: float(v) for n, v in values.items()})}"
            most = max(most, error)
    return most


def off(number, want, scale):
    if mpmath.isnan(want) or np.isnan(number):
        return 0.0 if mpmath.isnan(want) and np.isnan(number) else 1.0
    if mpmath.isinf(want) or np.isinf(number):
        return 0.0 if abs(mpf(number)) == abs(want) else 1.0
    error = abs(mpf(number) - want)
    return 0.0 if error == 0 else float(error / scale) if scale else 1.0


def parts(x):
    return tuple(x) if isinstance(x, tuple | list) else (x,)


def stated(function):
    """The figure in a docstring, or None."""
    found = STATED.search(function.__doc__ or "")
    return float(found.group(1)) if found else None


def accuracy_holds(case):
    """What every room's test asks."""
    said, is_so = stated(case.function), worst(case)
    print(f"\n{case.function.__module__}.{case.function.__name__}: measured {is_so:.1e}, stated {said}")
    assert said is not None, f"{case}: no 'Accuracy: ...' in its docstring; measured {is_so:.1e}"
    assert is_so <= said
    assert said <= max(SLACK * is_so, 4e-16), f"{case}: states {said:g}, measured {is_so:.1e}"


class Rows:
    """Columns over a domain: the corners that are named, and between them rows by a fixed seed."""

    def __init__(self, many=250, seed=1):
        self.many, self.draw = many, np.random.default_rng(seed)

    def even(self, low, high, *corners):
        return np.concatenate([np.array(corners, dtype=float), self.draw.uniform(low, high, self.many - len(corners))])

    def log(self, low, high, *corners):
        return np.concatenate([np.array(corners, dtype=float), np.exp(self.draw.uniform(np.log(low), np.log(high), self.many - len(corners)))])

    def signs(self):
        return self.draw.choice([-1.0, 1.0], self.many)
