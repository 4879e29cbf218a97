"""Options made from the registry: a number with its unit, limits and meaning."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import click

from lenscalc.errors import InputError
from lenscalc.quantities import as_number, complaint, quantity

Decorator = Callable[[Callable[..., Any]], Callable[..., Any]]


class QuantityType(click.ParamType):
    """A number within the limits of a quantity; `plano` where a radius is meant."""

    def __init__(self, name: str) -> None:
        self.quantity = quantity(name)
        self.name = self.quantity.unit or "number"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """The number, or one sentence on what is wrong with it."""
        try:
            number = float(as_number(self.quantity.name, value))
        except InputError as error:
            raise click.UsageError(str(error), ctx) from None
        wrong = complaint(self.quantity, number)
        if wrong:
            raise click.UsageError(wrong, ctx)
        return number


def quantity_option(name: str, *, required: bool = False, default: float | None = None) -> Decorator:
    """`--front-radius-mm` for `front_radius_mm`, with help out of the registry."""
    q = quantity(name)
    help_text = f"{q.label}: {q.meaning} [{q.limits_text}]" if q.meaning != q.label else q.label
    return click.option(
        f"--{name.replace('_', '-')}", name, type=QuantityType(name), required=required, default=default, show_default=default is not None,
        help=help_text,
    )  # fmt: skip


def quantity_options(*names: str, required: bool = False) -> Decorator:
    """Several of them, in this order."""

    def decorate(f: Callable[..., Any]) -> Callable[..., Any]:
        for name in reversed(names):
            f = quantity_option(name, required=required)(f)
        return f

    return decorate


json_option = click.option("--json", "as_json", is_flag=True, help="Print one JSON object whose keys are quantity names.")
