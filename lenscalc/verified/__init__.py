"""The functions that a reference case may name, each giving its values by quantity: thin adapters, a file a room; nothing is computed here."""

from __future__ import annotations

from lenscalc.verified import decision, eye, lens, light, material, numbers, refractometer
from lenscalc.verified.adapter import Adapter

FUNCTIONS: dict[str, Adapter] = {
    **numbers.FUNCTIONS,
    **light.FUNCTIONS,
    **material.FUNCTIONS,
    **refractometer.FUNCTIONS,
    **lens.FUNCTIONS,
    **eye.FUNCTIONS,
    **decision.FUNCTIONS,
}

__all__ = ["FUNCTIONS"]
