"""One look for all charts: system fonts, no background of their own, colours that the colour-blind can tell apart.

Blue and orange differ in every common colour blindness, and both stand out from a light and from a dark ground; what matters is
written on the chart besides, so that nothing is told by colour alone.
"""

from __future__ import annotations

import re
import textwrap
from typing import Any, Literal

import altair as alt

Ground = Literal["light", "dark"]

BLUE = "#3b87c8"
ORANGE = "#d9731a"
ROWS_KEEP_THEIR_HEIGHT = alt.AutoSizeParams(type="fit-x", contains="padding")  # else a page takes the axis's room from the rows
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


def neutral_colours() -> tuple[tuple[str, str], ...]:
    """The colours that are neither blue nor orange: on a light ground, and what takes their place on a dark one."""
    return tuple((of["light"], of["dark"]) for of in (_INK, _QUIET, _LINE))


def titled(*sentences: str, letters: int = 64) -> alt.TitleParams:
    """Sentences above a chart, each on lines of its own, short enough for a narrow window; a number keeps its unit.

    >>> titled("MTF.", "Beam: collimated onto the bare lens, 3 mm wide.").text
    ['MTF.', 'Beam: collimated onto the bare lens, 3\xa0mm wide.']
    """
    kept = (re.sub(r"(?<=\d) (?=(mm|nm|µm|D|per)\b)", "\u00a0", sentence) for sentence in sentences)
    return alt.TitleParams(text=[line for sentence in kept for line in textwrap.wrap(sentence, letters)])


def in_expression(text: str) -> str:
    """A text within one of the picture's own expressions, in one line, where nothing in it can end it.

    >>> print(in_expression("lot\\n3's"))
    'lot 3\\'s'
    """
    return "'" + " ".join(text.split()).replace("\\", "\\\\").replace("'", "\\'") + "'"


def styled(chart: Any, ground: Ground) -> alt.LayerChart:
    """The chart with our fonts and colours set into it, ready for `theme=None` on a page, for a notebook or for print."""
    chart.config = alt.Config(  # in one piece: every configure_ of altair copies the whole chart, which took half of its time
        font=FONT, background="transparent", padding=6,
        view=alt.ViewConfig(stroke=None),
        axis=alt.AxisConfig(
            labelColor=_QUIET[ground], titleColor=_INK[ground], domainColor=_QUIET[ground], tickColor=_QUIET[ground], gridColor=_LINE[ground],
            labelFontSize=13, titleFontSize=14, titleFontWeight="normal", titlePadding=8, labelFlush=False,
        ),
        text=alt.MarkConfig(fontSize=13, color=_INK[ground]),
        title=alt.TitleConfig(fontSize=13, fontWeight="normal", color=_INK[ground], anchor="start", frame="group", lineHeight=17, offset=12),
    )  # fmt: skip
    return chart  # type: ignore[no-any-return]
