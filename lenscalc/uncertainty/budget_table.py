"""A budget as a table: text to print, or a data frame to export."""

from __future__ import annotations

from collections.abc import Sequence
from math import isinf, isnan
from typing import TYPE_CHECKING, Any

from lenscalc.uncertainty.budget import BudgetLine
from lenscalc.uncertainty.propagate import InputLine, Propagated
from lenscalc.uncertainty.rounding import decimals_for, fixed

if TYPE_CHECKING:
    import pandas as pd


def to_frame(lines: Sequence[BudgetLine] | Sequence[InputLine]) -> pd.DataFrame:
    """The lines of a budget as a data frame, unrounded: a row a line, columns named as the line's parts.

    >>> from lenscalc.uncertainty import Input, propagate
    >>> r = propagate(lambda a, b: a * b, {"a": Input(3.0, 0.1), "b": Input(2.0, 0.2)})
    >>> to_frame(r.lines)[["input", "contribution", "share"]].round(3).values.tolist()
    [['b', 0.6, 0.9], ['a', 0.2, 0.1]]
    """
    import pandas as pd

    names = type(lines[0])._fields if lines else InputLine._fields
    return pd.DataFrame([tuple(line) for line in lines], columns=list(names))


def as_text(result: Propagated, probability: float = 0.95, unit: str = "") -> str:
    """The budget printed: every input to two digits of its u, then the result with u, k and U, rounded as JCGM 100:2008, 7.2.6 asks.

    U is rounded from its own full digits, not from the rounded u.

    >>> from lenscalc.uncertainty import Input, propagate
    >>> inputs = {"ls": Input(50000623, 25, dof=18), "d": Input(215, 9.7, dof=25.6)}
    >>> print(as_text(propagate(lambda ls, d: ls + d, inputs), 0.99, "nm"))
    input     value    u  distribution   dof  sensitivity  contribution   share
    ls     50000623   25  normal          18            1            25  86.9 %
    d         215.0  9.7  normal        25.6            1           9.7  13.1 %
    result 50000838 nm, u 27 nm; 99 %: k 2.81, U 75 nm (23 degrees of freedom)
    """
    heads = ("input", "value", "u", "distribution", "dof", "sensitivity", "contribution", "share")
    rows = [
        (
            line.input,
            "" if isnan(line.value) else _to(line.value, line.u),
            "" if isnan(line.u) else _to(line.u, line.u),
            line.distribution,
            "∞" if isinf(line.dof) else f"{line.dof:.3g}",
            "" if isnan(line.sensitivity) else f"{line.sensitivity:.5g}",
            _to(line.contribution, abs(line.contribution)),
            f"{100.0 * line.share:.1f} %",
        )
        for line in result.lines
    ]
    widths = [max(len(row[i]) for row in (heads, *rows)) for i in range(len(heads))]
    words = {0, 3}

    def in_columns(row: tuple[str, ...]) -> str:
        return "  ".join(c.ljust(w) if i in words else c.rjust(w) for i, (c, w) in enumerate(zip(row, widths, strict=True))).rstrip()

    k, U = result.coverage_factor(probability), result.expanded(probability)
    space = f" {unit}" if unit else ""
    dof = result.dof_of_k
    freedom = "" if isinf(dof) else f" ({int(dof) or format(dof, '.2g')} degree{'s' if int(dof) != 1 else ''} of freedom)"
    last = (
        f"result {_to(result.value, result.u)}{space}, u {_to(result.u, result.u)}{space}; {100.0 * probability:g} %: "
        f"k {k:.2f}, U {_to(U, U)}{space}{freedom}"
    )
    return "\n".join([*(in_columns(row) for row in (heads, *rows)), last])


def _to(x: Any, u: float) -> str:
    """A number to two digits of u."""
    if not u > 0:
        return f"{x:.8g}"
    small = abs(u) < 1e-4
    if small and abs(x) < 1e-2:  # many zeros say nothing
        return f"{x:.{max(0, 1 + _magnitude(x) - _magnitude(u)) if x else 1}e}"
    return fixed(x, decimals_for(u))


def _magnitude(x: float) -> int:
    return int(f"{abs(x):e}".split("e")[1])
