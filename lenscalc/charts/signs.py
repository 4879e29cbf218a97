"""The signs of what was decided of a candidate: the same in every picture, and told by shape, not by colour alone."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any, Final

import altair as alt

from lenscalc.charts.style import BLUE, ORANGE, Ground, ink, quiet

SIGNS: Final = ("●", "▲", "○", "◆")
SHAPES: Final = ("circle", "triangle-up", "circle", "diamond")


def colours(ground: Ground) -> list[str]:
    """The colour of each sign on this ground."""
    return [BLUE, ORANGE, quiet(ground), ink(ground)]


def filled(by: Any, all_kinds: Sequence[str]) -> Any:
    """The channel `by` for the filling of marks with a column `kind`: the kind whose sign is ○ is left empty."""
    empty = [kind for sign, kind in zip(SIGNS, all_kinds, strict=False) if sign == "○"]
    return alt.condition(f"datum.kind === {json.dumps(empty[0])}", alt.value("transparent"), by) if empty else by


def legend(all_kinds: Sequence[str]) -> str:
    """The signs in words, for the sentence under a chart.

    >>> legend(["would conform", "would not"])
    '● would conform, ▲ would not'
    """
    return ", ".join(f"{sign} {kind}" for sign, kind in zip(SIGNS, all_kinds, strict=False))
