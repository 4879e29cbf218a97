"""A chart into a file, by its ending; nothing is fetched, then or when the file is opened."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

from lenscalc.charts.style import Ground
from lenscalc.errors import FileError
from lenscalc.own_file import path_of, refuse_device, refuse_other_ending, whole_file

if TYPE_CHECKING:
    from lenscalc.charts.drawing import Drawing

PAPER = {"light": "#ffffff", "dark": "#191814"}
ENDINGS = (".html", ".svg", ".png", ".json")
_UNDRAWABLE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")  # no sign of XML 1.0


def check_chart_path(path: str) -> None:
    """Refuse an ending that is not written, or a folder that is not there, before anything is computed.

    >>> check_chart_path("ranks.pdf")
    Traceback (most recent call last):
    lenscalc.errors.FileError: ranks.pdf: .pdf is not written here; use .html, .svg, .png or .json
    """
    refuse_other_ending(path, *ENDINGS)
    if not path_of(path).resolve().parent.is_dir():
        raise FileError(f"{path}: the folder is not there")
    refuse_device(path)


def save_chart(chart: Any, path: str, *, ground: Ground = "light") -> None:
    """Write a chart as .html (its scripts inside the file), .svg, .png, or as its specification .json; on paper of its ground.

    The chart must have a width of its own. The file appears under its name only when it is whole.

    Raises
    ------
    FileError
        for an ending that is not written, a folder that is not there, or a disk that does not take it.
    """
    check_chart_path(path)
    ending = Path(path).suffix.lower()
    chart = drawable(chart.configure(**{**chart.config.to_dict(), "background": PAPER[ground]}))
    with whole_file(path) as part:
        if ending == ".html":
            part.write_text(_page(chart), encoding="utf-8")
        else:
            chart.save(str(part), format=ending[1:], **({"scale_factor": 2} if ending == ".png" else {}))


def svg_of(drawing: Drawing, *, font: str | None = None) -> str:
    """A drawing as the text of an SVG, without a ground of its own; `font` takes the place of the system's fonts.

    The drawing must have a width of its own.
    """
    import altair as alt
    import vl_convert

    whole = drawing.whole()
    if font is not None:
        whole["config"] = {**whole["config"], "font": font}
    return str(vl_convert.vegalite_to_svg(_cleaned(whole), vl_version="_".join(alt.SCHEMA_VERSION.split(".")[:2])))


def drawable(chart: Any) -> Any:
    """The chart with a � for every sign in its texts that an SVG cannot hold: the converter would end the whole process at one of them.

    >>> import altair as alt, pandas as pd
    >>> chart = alt.Chart(pd.DataFrame({"name": ["lot\x07 7"]})).mark_text().encode(text="name")
    >>> [rows[0]["name"] for rows in drawable(chart).to_dict()["datasets"].values()]
    ['lot� 7']
    """
    specification = chart.to_dict()
    cleaned = _cleaned(specification)
    return chart if cleaned == specification else type(chart).from_dict(cleaned)


def _cleaned(value: Any) -> Any:
    if isinstance(value, str):
        return _UNDRAWABLE.sub("�", value)
    if isinstance(value, dict):
        return {_cleaned(k): _cleaned(v) for k, v in value.items()}
    return [_cleaned(v) for v in value] if isinstance(value, list) else value


def _page(chart: Any) -> str:
    """The chart as a page by itself. A name in it stays a name: of "<", which could end the script, only the escaped form is written."""
    import vl_convert

    specification = json.dumps(chart.to_dict()).replace("<", "\\u003c")
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n<title>lenscalc</title>\n<script>\n'
        + vl_convert.javascript_bundle()  # type: ignore[call-arg]  # without a snippet the bundle sets vegaEmbed itself
        + '\n</script>\n</head>\n<body>\n<div id="vis"></div>\n<script>\nvegaEmbed("#vis", '
        + specification
        + ', {"mode": "vega-lite"});\n</script>\n</body>\n</html>\n'
    )
