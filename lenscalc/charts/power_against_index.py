"""How the power follows the index, and where the tolerance ends."""

from __future__ import annotations

import altair as alt
import numpy as np

from lenscalc.charts.columns import Columns, columns, kept, of_rows
from lenscalc.charts.drawing import Charted, Drawing, table
from lenscalc.charts.style import BLUE, ORANGE, Ground, styled
from lenscalc.lens import power_sensitivity, thick_lens
from lenscalc.uncertainty.rounding import as_stated, signed

HEIGHT_px, LINE_px = 330, 20  # of the picture, and of a line of words in it


@Charted
def power_against_index(
    front_radius_mm: float, back_radius_mm: float, center_thickness_mm: float, n_lens: float, *,
    n_medium: float = 1.336, n_medium_behind: float | None = None, u_n_lens: float = 0.0, u_power_D: float = 0.0,
    labelled_power_D: float | None = None, lower_limit_D: float | None = None, upper_limit_D: float | None = None, ground: Ground = "light",
) -> Drawing:  # fmt: skip
    """The power of this lens against its index, about the value: a line, the point with ± u both ways, the tolerance about the label as a band.

    The axis reaches as far as the limits, or to four u of the index, whichever is farther. Everything is named on the chart itself.

    >>> chart = power_against_index(15.0, -15.0, 0.9, 1.49, labelled_power_D=20.5, lower_limit_D=20.1, upper_limit_D=20.9)
    >>> chart.to_dict()["description"]
    'Power against index: 20.47 D at 1.4900; tolerance 20.10 to 20.90 D.'
    """
    lens = (front_radius_mm, back_radius_mm, center_thickness_mm)
    media = {"n_medium": n_medium, "n_medium_behind": n_medium_behind}
    power_D = float(thick_lens(*lens, n_lens, **media).power_D)
    rise = float(power_sensitivity(*lens, n_lens, **media).d_power_d_n_lens)
    slope = abs(rise)
    limits = [("upper limit", upper_limit_D), ("label", labelled_power_D), ("lower limit", lower_limit_D)]
    named = of_rows(["text", "power"], [(f"{name} {as_stated(value)} D", value) for name, value in limits if value is not None])
    farthest = max((abs(value - power_D) for value in named["power"]), default=0.0)
    half = max(1.25 * farthest / slope if slope > 1e-6 else 0.0, 4 * u_n_lens, 0.003)
    n = np.linspace(max(1.0, n_lens - half), min(3.0, n_lens + half), 81)
    curve = columns({"n": n, "power": thick_lens(*lens, n, **media).power_D})
    ends = [*curve["power"], *named["power"], power_D - 2 * u_power_D, power_D + 2 * u_power_D]
    room = 0.06 * (max(ends) - min(ends)) or 0.1
    about = "" if lower_limit_D is None or upper_limit_D is None else f"; tolerance {as_stated(lower_limit_D)} to {as_stated(upper_limit_D)} D"
    banded = bool(about)
    words = _words(named, (max(ends) - min(ends) + 2.0 * room) * LINE_px / HEIGHT_px)
    on_left = (words["power"] > power_D) == (rise >= 0)  # a name stands on the side where the curve is far from it
    here = columns({
        "n": n_lens, "power": power_D, "n_low": n_lens - u_n_lens, "n_high": n_lens + u_n_lens,
        "power_low": power_D - u_power_D, "power_high": power_D + u_power_D, "text": "this lens ± u",
    })  # fmt: skip
    return Drawing(
        _shape, (banded, bool(on_left.any()), bool((~on_left).any()), ground),
        {"curve": curve, "here": here, "limits": named, "left": kept(words, on_left), "right": kept(words, ~on_left),
         "band": of_rows(["power", "upper"], [(lower_limit_D, upper_limit_D)] if banded else []),
         "corners": columns({"n": n[[0, -1]], "power": [min(ends) - room, max(ends) + room]})},
        description=f"Power against index: {signed(power_D, 2)} D at {n_lens:.4f}{about}.",
    )  # fmt: skip


def _words(named: Columns, line_D: float) -> Columns:
    """The names of limits and label; one for all of them where they would cover each other, on a picture in which a line of words takes `line_D`."""
    powers = np.sort(named["power"])
    if len(powers) < 2 or np.min(np.diff(powers)) >= line_D:
        return named
    half = (powers[-1] - powers[0]) / 2.0
    is_middle = len(powers) == 3 and abs(powers[1] - powers[0] - half) < 0.005
    limits = f"limits {as_stated(powers[0])} to {as_stated(powers[-1])} D"
    text = f"label {as_stated(powers[1])} ± {as_stated(half)} D" if is_middle else limits  # short: the curve crosses here
    return of_rows(["text", "power"], [(text, powers[-1])])


def _shape(banded: bool, left: bool, right: bool, ground: Ground) -> alt.LayerChart:
    # the axes go by points at the corners, not by numbers in the shape: while the lens moves the browser keeps the picture and moves what is in it
    to_the_corners = alt.Scale(nice=False, zero=False)
    x = alt.X("n:Q", title="index of the lens in use", scale=to_the_corners, axis=alt.Axis(format=".3f", tickCount=5, grid=False))
    y = alt.Y("power:Q", title="power, D", scale=to_the_corners, axis=alt.Axis(format=".1f", tickCount=6))
    layers = [alt.Chart(table("corners")).mark_point(opacity=0, aria=False).encode(x=x, y=y)]
    if banded:
        layers.append(alt.Chart(table("band")).mark_rect(color=BLUE, opacity=0.16).encode(y=y, y2="upper:Q"))
    if left or right:
        layers.append(alt.Chart(table("limits")).mark_rule(strokeDash=[6, 4], color=BLUE).encode(y=y))
    if left:
        words = alt.Chart(table("left")).mark_text(align="left", baseline="bottom", dx=6, dy=-3)
        layers.append(words.encode(x=alt.value(0), y=y, text="text:N"))
    if right:
        words = alt.Chart(table("right")).mark_text(align="right", baseline="bottom", dx=-6, dy=-3)
        layers.append(words.encode(x=alt.value("width"), y=y, text="text:N"))
    layers.append(alt.Chart(table("curve")).mark_line(color=BLUE, strokeWidth=3).encode(x=x, y=y))
    point = alt.Chart(table("here"))
    layers += [
        point.mark_rule(color=ORANGE, strokeWidth=3).encode(x=alt.X("n_low:Q"), x2="n_high:Q", y=y),
        point.mark_rule(color=ORANGE, strokeWidth=3).encode(x=x, y=alt.Y("power_low:Q"), y2="power_high:Q"),
        point.mark_point(color=ORANGE, filled=True, size=90, opacity=1).encode(x=x, y=y),
        point.mark_text(align="left", baseline="top", dx=10, dy=8).encode(x=x, y=y, text="text:N"),
    ]
    return styled(alt.layer(*layers).properties(width="container", height=HEIGHT_px), ground)
