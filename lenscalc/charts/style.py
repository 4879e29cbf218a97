"""One look for all charts: system fonts, no background of their own, colours that the colour-blind can tell apart.

Blue and orange differ in every common colour blindness, and both stand out from a light and from a dark ground; what matters is
written on the chart besides, so that nothing is told by colour alone.
"""

from __future__ import annotations

from typing import Any, Literal

import altair as alt

Ground = Literal["light", "dark"]

BLUE = "#3b87c8"
ORANGE = "#d9731a"
FONT = "system-ui, -apple-system, 'Segoe UI', 'Liberation Sans', Arial, sans-serif"

_INK = {"light": "#22303c", "dark": "#e4e9ee"}
_QUIET = {"light": "#55626e", "dark": "#a9b4be"}
_LINE = {"light": "#dde2e7", "dark": "#3a434c"}


def ink(ground: Ground) -> str:
    """The colour of writing and of lines on this ground."""
    return _INK[ground]


def quiet(ground: Ground) -> str:
    """The colour of what stands back: axes, notes."""
    return _QUIET[ground]


def styled(chart: Any, ground: Ground) -> alt.LayerChart:
    """The chart with our fonts and colours set into it, ready for `theme=None` on a page, for a notebook or for print."""
    return (  # type: ignore[no-any-return]
        chart.configure(font=FONT, background="transparent", padding=6)
        .configure_view(stroke=None)
        .configure_axis(
            labelColor=_QUIET[ground], titleColor=_INK[ground], domainColor=_QUIET[ground], tickColor=_QUIET[ground], gridColor=_LINE[ground],
            labelFontSize=13, titleFontSize=14, titleFontWeight="normal", titlePadding=8,
        )
        .configure_text(fontSize=13, color=_INK[ground])
    )  # fmt: skip
