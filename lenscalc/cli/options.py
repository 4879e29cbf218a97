"""Options made from the registry: a number with its unit, limits and meaning."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import click

from lenscalc.errors import InputError
from lenscalc.quantities import as_number, complaint, quantity

Decorator = Callable[[Callable[..., Any]], Callable[..., Any]]


def reader_of(name: str, *, called: str | None = None) -> Callable[[str], float]:
    """Reads a number of this quantity within its limits (`plano` where a radius is meant), or says in one sentence what is wrong with it.

    `called` is the name in that sentence, where an option asks for a second one of its kind.
    """
    q = replace(quantity(name), name=called or name)

    def read(text: str) -> float:
        try:
            number = float(as_number(name, text))
        except InputError as error:
            raise click.UsageError(str(error), click.get_current_context(silent=True)) from None
        wrong = complaint(q, number)
        if wrong:
            raise click.UsageError(wrong, click.get_current_context(silent=True))
        return number

    return read


def quantity_option(name: str, *, required: bool = False, default: float | None = None) -> Decorator:
    """`--front-radius-mm` for `front_radius_mm`, with help out of the registry."""
    q = quantity(name)
    help_text = f"{q.label if q.meaning == q.label else f'{q.label}: {q.meaning}'} [{q.limits_text}]"
    # click takes an explicit default of None for a value: then nothing would be required
    value: dict[str, Any] = {} if default is None else {"default": default, "show_default": True}
    flag = f"--{name.replace('_', '-')}"
    return click.option(flag, name, type=reader_of(name), metavar=q.unit or "NUMBER", required=required, help=help_text, **value)


def quantity_options(*names: str, required: bool = False) -> Decorator:
    """Several of them, in this order."""

    def decorate(f: Callable[..., Any]) -> Callable[..., Any]:
        for name in reversed(names):
            f = quantity_option(name, required=required)(f)
        return f

    return decorate


json_option = click.option("--json", "as_json", is_flag=True, help="Print one JSON object whose keys are quantity names.")
