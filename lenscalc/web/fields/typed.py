"""The inputs of a page as what somebody would type: options of a command, arguments in Python, a table of one row."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from math import isinf
from typing import Any

from lenscalc.quantities import plain


def as_options(given: Mapping[str, Any]) -> str:
    """Options of a command.

    >>> as_options({"front_radius_mm": 15.0, "back_radius_mm": float("inf"), "n_lens": 1.49})
    '--front-radius-mm 15 --back-radius-mm plano --n-lens 1.49'
    """
    return " ".join(f"--{name.replace('_', '-')} {_cell(value)}" for name, value in given.items())


def as_arguments(given: Mapping[str, Any]) -> str:
    """Keyword arguments in Python; a plano radius is `inf`, from math.

    >>> as_arguments({"back_radius_mm": float("inf"), "n_lens": 1.49, "eye": "teaching"})
    "back_radius_mm=inf, n_lens=1.49, eye='teaching'"
    """
    return ", ".join(f"{name}={value!r}" if isinstance(value, str) else f"{name}={plain(value)}" for name, value in given.items())


def as_table(*rows: Mapping[str, Any]) -> str:
    """A CSV as `lenscalc batch` takes it; every row has the names of the first.

    >>> as_table({"front_radius_mm": 15.0, "back_radius_mm": float("inf")})
    'front_radius_mm,back_radius_mm\\n15,plano\\n'
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(rows[0])
    writer.writerows([_cell(row[name]) for name in rows[0]] for row in rows)
    return out.getvalue()


def _cell(value: Any) -> str:
    if isinstance(value, str):
        return value
    return "plano" if isinf(value) else plain(value)
