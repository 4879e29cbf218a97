"""A function of a room, as a reference case calls it."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from typing import Any

Adapter = Callable[..., dict[str, Any]]


def of(room: str, name: str, quantity: str | None = None) -> Adapter:
    """The function of this name: its one value as `quantity`, or the values of the tuple it gives under their own names.

    The room is imported at the first call, so that a list of functions costs nothing.

    >>> of("light", "snell_deg", "angle_deg")(n1=1.0, n2=1.5, angle_deg=0.0)
    {'angle_deg': np.float64(0.0)}
    """

    def call(**inputs: Any) -> dict[str, Any]:
        found = getattr(import_module(f"lenscalc.{room}"), name)(**inputs)
        return {quantity: found} if quantity else dict(found._asdict())

    return call
