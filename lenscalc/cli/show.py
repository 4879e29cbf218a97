"""What a command prints: one JSON object, or lines for a person."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Iterable, Mapping
from typing import Any

import click
import numpy as np

from lenscalc.conditions import CAUTION
from lenscalc.quantities import quantity
from lenscalc.uncertainty.rounding import with_u

WIDTH = 100


def show_json(values: Mapping[str, Any], warnings: Iterable[str]) -> None:
    """Print the object, with `caution` and `warnings`; plano as text, what is infinite or missing as null, −0 as 0."""
    click.echo(json.dumps({**_plain(values), "warnings": list(warnings), "caution": CAUTION}, allow_nan=False, ensure_ascii=False, indent=2))


def _plain(value: Any, name: str = "") -> Any:
    if isinstance(value, Mapping):
        return {k: _plain(v, k) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(v, name) for v in value]
    if isinstance(value, np.generic):
        value = value.item()
    if isinstance(value, float):
        if not np.isfinite(value):
            return "plano" if name.endswith("radius_mm") and np.isinf(value) else None
        return value + 0.0
    return value


def line(label: str, text: str) -> None:
    """One line, the label in its column."""
    click.echo(f"  {label:<40} {text}")


def value_line(name: str, value: Any, u: float | None = None) -> None:
    """One quantity by its registry label; with its u no more digits than that supports, without one six significant."""
    if value is None or (isinstance(value, float) and np.isnan(value)):
        return
    q = quantity(name)
    if np.isinf(value):
        line(q.label, "at infinity" if q.unit == "mm" else "infinite")
    elif u is not None and np.isfinite(u):
        line(q.label, with_u(float(value), float(u), q.unit))
    else:
        line(q.label, f"{float(value) + 0.0:.6g} {q.unit}".rstrip())


def heading(text: str) -> None:
    """A heading with an empty line before it."""
    click.echo(f"\n{text}")


def paragraph(text: str) -> None:
    """Wrapped text."""
    click.echo(textwrap.fill(text, WIDTH, initial_indent="  ", subsequent_indent="  "))


def show_end(warnings: Iterable[str]) -> None:
    """Warnings, then the caution: where the numbers are read."""
    told = list(warnings)
    if told:
        heading("Mind")
        for sentence in told:
            paragraph(f"- {sentence}")
    heading("Caution")
    paragraph(CAUTION)
