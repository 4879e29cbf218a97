"""Wrong input, told beside the field that it concerns."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lenscalc.errors import InputError

Slots = Mapping[str, Any]  # by the name of the quantity; "" where it concerns no single field


def told(error: InputError, slots: Slots) -> None:
    """The core's own sentence below the field of its quantity, or at the top where it concerns several."""
    slots.get(error.quantity or "", slots[""]).error(str(error), icon=":material/error:")
