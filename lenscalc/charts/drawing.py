"""A chart in two parts: a shape that stays, and the tables that are drawn into it. Altair builds a shape in 50 to 150 ms; it is filled in one."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache, update_wrapper
from typing import Any, Generic, ParamSpec

import altair as alt
import pandas as pd

from lenscalc.charts.columns import Columns, records

P = ParamSpec("P")


@dataclass(frozen=True, eq=False)
class Drawing:
    """A shape filled with numbers: drawn fast on a page, and as an altair chart for notebooks and print.

    Parameters
    ----------
    shape : function that returns a chart
        its data are named (`table("curve")`), and an open place in it is a text that begins with @: `alt.Scale(domain=["@low", "@high"])`.
        Called once for each set of `given`.
    given : tuple
        what the shape depends on: the ground, which parts there are. No numbers that a slider moves.
    tables : mapping
        name in the shape to columns, or to a data frame. Every name of the shape must be there, with no rows where there is nothing to draw.
    places : mapping
        what goes into the open places, by name without the @. As long as these stay the same, a page only swaps the tables, and nothing flickers.
    top : mapping
        width, height, title: what stands at the top of the specification, where it changes with the numbers.
    description : str
        the message for who does not see the picture.

    Examples
    --------
    >>> def line(ground):
    ...     x = alt.X("x:Q", scale=alt.Scale(domain=["@low", "@high"]))
    ...     return alt.layer(alt.Chart(table("curve")).mark_line().encode(x=x, y=alt.Y("y:Q")))
    >>> from lenscalc.charts.columns import columns
    >>> curve = columns({"x": [0.0, 1.0], "y": [0.0, 2.0]})
    >>> drawn = Drawing(line, ("light",), {"curve": curve}, {"low": 0.0, "high": 1.0}, description="A line.")
    >>> drawn.specification()["layer"][0]["encoding"]["x"]["scale"]["domain"], drawn.chart().to_dict()["datasets"]["curve"][1]
    ([0.0, 1.0], {'x': 1.0, 'y': 2.0})
    """

    shape: Callable[..., alt.LayerChart]
    given: tuple[Hashable, ...]
    tables: Mapping[str, Columns | pd.DataFrame]
    places: Mapping[str, Any] = field(default_factory=dict)
    top: Mapping[str, Any] = field(default_factory=dict)
    description: str = ""

    def specification(self) -> dict[str, Any]:
        """The filled specification, its tables left out."""
        filled: dict[str, Any] = _filled(_template(self.shape, self.given), self.places)
        return {**filled, **self.top}

    def whole(self) -> dict[str, Any]:
        """The filled specification with its tables and the message: all that a renderer needs."""
        of_each = {name: rows.to_dict("records") if isinstance(rows, pd.DataFrame) else records(rows) for name, rows in self.tables.items()}
        datasets = {name: rows for name, rows in of_each.items() if rows}
        return self.specification() | {"datasets": datasets, "description": self.description}

    def chart(self) -> alt.LayerChart:
        """The same as an altair chart, in which altair looks through every part: that takes 0.15 s."""
        return alt.LayerChart.from_dict(self.whole())


class Charted(Generic[P]):
    """A function that makes a drawing, called for an altair chart; `.drawing(...)`, with the same arguments, gives a page the drawing itself."""

    def __init__(self, draw: Callable[P, Drawing]) -> None:
        self.drawing = draw
        update_wrapper(self, draw)

    def __call__(self, *args: P.args, **kwargs: P.kwargs) -> alt.LayerChart:
        """The drawing as an altair chart."""
        return self.drawing(*args, **kwargs).chart()


def table(name: str) -> alt.NamedData:
    """A place for a table in a shape."""
    return alt.NamedData(name)


@lru_cache(maxsize=256)
def _template(shape: Callable[..., alt.LayerChart], given: tuple[Hashable, ...]) -> dict[str, Any]:
    return shape(*given).to_dict()


def _filled(part: Any, places: Mapping[str, Any]) -> Any:
    if isinstance(part, str):
        return places[part[1:]] if part.startswith("@") else part
    if isinstance(part, dict):
        return {key: _filled(value, places) for key, value in part.items()}
    return [_filled(value, places) for value in part] if isinstance(part, list) else part
