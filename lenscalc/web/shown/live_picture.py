"""A chart that follows a slider: its shape is built once, and only its tables are new at each move."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from lenscalc.charts.drawing import Drawing
from lenscalc.charts.style import Ground
from lenscalc.web.shown.note import note
from lenscalc.web.shown.picture import draw, ground


def live_picture(frame: Callable[..., Any], data: Mapping[str, Any], message: str, *, moving: str = "", **of: Any) -> None:
    """A chart with its message in words below it, which is its text alternative too, but for what changes in it while a slider moves.

    Parameters
    ----------
    frame : function
        makes the chart from `ground` and `of`, with tables that are only named.
    data : mapping of names to data frames
        what stands in the frame now.
    message : str
        what the picture says, in words.
    moving : str
        what it says of the numbers of the moment: a picture of another name is built anew, and no slider would be swift.
    """
    draw(Drawing(_shape, (frame, ground(), tuple(sorted(of.items()))), data, description=message))
    note(f"{moving} {message}".strip())


def _shape(frame: Callable[..., Any], on: Ground, of: tuple[tuple[str, Any], ...]) -> Any:
    return frame(ground=on, **dict(of))
