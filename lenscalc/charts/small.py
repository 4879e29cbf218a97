"""Small pictures without axes, for a page that only leads on: each says one thing by its shape alone."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import altair as alt
import numpy as np
import pandas as pd

from lenscalc.charts.drawing import Charted, Drawing, table
from lenscalc.charts.lens_with_rays import lens_with_rays
from lenscalc.charts.style import BLUE, ORANGE, Ground, ink, quiet, styled
from lenscalc.eye import LightWay
from lenscalc.light import Beam, System
from lenscalc.uncertainty.rounding import signed, with_sign

HIGH_px = 96


@Charted
def rays_alone(system: System, beam: Beam, *, optic_diameter_mm: float, rays: int = 9, ground: Ground = "light") -> Drawing:
    """A lens and its rays to scale, as `lens_with_rays` has them, without axes and words.

    >>> from lenscalc.light import Surface
    >>> lens = System([Surface(9.0), Surface(-9.0)], [1.0, 1.49, 1.0], [1.6])
    >>> rays_alone(lens, Beam(5.0), optic_diameter_mm=6.0).to_dict()["description"]
    'The lens to scale, 6 mm wide, with 9 rays; collimated onto the bare lens, 5 mm wide; all rays arrive.'
    """
    whole = lens_with_rays.drawing(system, beam, optic_diameter_mm=optic_diameter_mm, rays=rays, ground=ground)
    tables = {name: whole.tables[name] for name in ("bodies", "paths")}
    return Drawing(_bare_rays, (ground,), tables, whole.places, description=whole.description)


def _bare_rays(ground: Ground) -> alt.LayerChart:
    x = alt.X("z:Q", scale=alt.Scale(domainMin=alt.ExprRef("@left"), domainMax=alt.ExprRef("@right"), nice=False, zero=False), axis=None)
    y = alt.Y("y:Q", scale=alt.Scale(domainMin=alt.ExprRef("@low"), domainMax=alt.ExprRef("@high"), nice=False, zero=False), axis=None)
    body = alt.Chart(table("bodies")).mark_line(filled=True, fill=BLUE, fillOpacity=0.25, stroke=BLUE, strokeWidth=2)
    return styled(alt.layer(
        body.encode(x=x, y=y, order="order:Q", detail="body:N"),
        alt.Chart(table("paths")).mark_line(color=ORANGE, strokeWidth=1.2).encode(x=x, y=y, order="order:Q", detail="ray:N"),
    ).properties(width="container", height=HIGH_px), ground)  # fmt: skip


@Charted
def power_bell(power_D: float, u_D: float, lower_D: float, upper_D: float, *, ground: Ground = "light") -> Drawing:
    """Where the power may lie (a normal density) and the tolerance as a band.

    >>> power_bell(20.42, 0.06, 20.1, 20.9).to_dict()["description"]
    'The power of a lens, 20.42 D with its uncertainty, within a tolerance of 20.10 to 20.90 D.'
    """
    half = max(0.75 * (upper_D - lower_D), abs(power_D - (lower_D + upper_D) / 2) + 4 * u_D)
    middle = (lower_D + upper_D) / 2
    power = np.linspace(middle - half, middle + half, 121)
    bell = pd.DataFrame({"power": power, "density": np.exp(-0.5 * ((power - power_D) / u_D) ** 2)})
    limits = f"{signed(lower_D, 2)} to {signed(upper_D, 2)} D"
    side = "within" if lower_D < power_D < upper_D else "outside"
    return Drawing(
        _bell, (ground,),
        {"band": pd.DataFrame({"power": [lower_D], "upper": [upper_D]}), "bell": bell, "ends": pd.DataFrame({"power": [lower_D, upper_D]})},
        {"low": float(power[0]), "high": float(power[-1])},
        description=f"The power of a lens, {signed(power_D, 2)} D with its uncertainty, {side} a tolerance of {limits}.",
    )  # fmt: skip


def _bell(ground: Ground) -> alt.LayerChart:
    x = alt.X("power:Q", scale=alt.Scale(domain=["@low", "@high"], nice=False), axis=None)
    y = alt.Y("density:Q", scale=alt.Scale(domain=[0, 1.15]), axis=None)
    return styled(alt.layer(
        alt.Chart(table("band")).mark_rect(color=BLUE, opacity=0.16).encode(x=x, x2="upper:Q"),
        alt.Chart(table("ends")).mark_rule(color=BLUE, strokeDash=[6, 4]).encode(x=x),
        alt.Chart(table("bell")).mark_area(color=ORANGE, opacity=0.35, line={"color": ORANGE, "strokeWidth": 2}).encode(x=x, y=y),
    ).properties(width="container", height=HIGH_px), ground)  # fmt: skip


@Charted
def power_intervals(
    names: Sequence[str], power_D: Any, half_D: Any, lower_D: float, upper_D: float, *, ground: Ground = "light"
) -> Drawing:
    """A row a candidate: its power with ± its half-width, before the tolerance as a band.

    >>> power_intervals(["A", "B"], [20.0, 20.5], [0.1, 0.2], 19.6, 20.4).to_dict()["description"]
    'The powers of 2 candidates with their intervals, before a tolerance of 19.60 to 20.40 D.'
    """
    power, half = np.asarray(power_D, dtype=np.float64), np.asarray(half_D, dtype=np.float64)
    rows = pd.DataFrame({"name": [str(n) for n in names], "power": power, "low": power - half, "high": power + half})
    rows["row"] = np.arange(len(power)) + 0.5
    room = 0.15 * (max(float(rows["high"].max()), upper_D) - min(float(rows["low"].min()), lower_D))
    return Drawing(
        _intervals, (ground,), {"band": pd.DataFrame({"power": [lower_D], "upper": [upper_D]}), "rows": rows},
        {"low": min(float(rows["low"].min()), lower_D) - room, "high": max(float(rows["high"].max()), upper_D) + room, "most": len(rows)},
        description=f"The powers of {len(rows)} candidates with their intervals, before a tolerance of {signed(lower_D, 2)} to "
        f"{signed(upper_D, 2)} D.",
    )  # fmt: skip


def _intervals(ground: Ground) -> alt.LayerChart:
    x = alt.X("power:Q", scale=alt.Scale(domain=["@low", "@high"], nice=False), axis=None)
    y = alt.Y("row:Q", scale=alt.Scale(domain=["@most", 0], nice=False), axis=None)
    rows = alt.Chart(table("rows"))
    return styled(alt.layer(
        alt.Chart(table("band")).mark_rect(color=BLUE, opacity=0.16).encode(x=x, x2="upper:Q"),
        rows.mark_rule(color=ORANGE, strokeWidth=3).encode(x=alt.X("low:Q", axis=None), x2="high:Q", y=y),
        rows.mark_point(color=ORANGE, filled=True, size=60, opacity=1).encode(x=x, y=y),
        rows.mark_text(align="left", dx=4, color=ink(ground)).encode(x=alt.value(0), y=y, text="name:N"),
    ).properties(width="container", height=HIGH_px), ground)  # fmt: skip


@Charted
def two_foci(way: LightWay, *, ground: Ground = "light") -> Drawing:
    """Light from far away through cornea and implant to its focus, and the focus that a change makes of it, dashed.

    >>> from lenscalc.eye import light_way
    >>> two_foci(light_way(20.0, 22.5)).to_dict()["description"]
    'Light through cornea and implant to a focus; a change of the implant moves it by −0.6 mm.'
    """
    left, moved = -5.0, way.focus_mm + way.focus_shift_mm
    places = [left, *(s.place_mm for s in way.steps)]
    heights = [1.0, *(s.height for s in way.steps)]
    beam = pd.DataFrame({"z": [*places, way.focus_mm], "y": [*heights, 0.0], "low": [*(-h for h in heights), 0.0]})
    last = heights[-1]
    other = pd.DataFrame({"z": [places[-1], moved, places[-1], moved], "y": [last, 0.0, -last, 0.0], "ray": [0, 0, 1, 1]})
    planes = pd.DataFrame({"z": places[1:], "y": [1.15] * (len(places) - 1), "y2": [-1.15] * (len(places) - 1)})
    ends = pd.DataFrame({"z": [way.focus_mm, moved], "y": [0.0, 0.0], "kind": ["meant", "moved"]})
    shift = with_sign(way.focus_shift_mm, 1)
    return Drawing(
        _foci, (ground,), {"beam": beam, "other": other, "planes": planes, "ends": ends}, {"left": left, "right": max(way.focus_mm, moved) + 1.0},
        description=f"Light through cornea and implant to a focus; a change of the implant moves it by {shift} mm.",
    )  # fmt: skip


def _foci(ground: Ground) -> alt.LayerChart:
    x = alt.X("z:Q", scale=alt.Scale(domain=["@left", "@right"], nice=False), axis=None)
    y = alt.Y("y:Q", scale=alt.Scale(domain=[-1.3, 1.3], nice=False), axis=None)
    colour = alt.condition("datum.kind == 'moved'", alt.value(ORANGE), alt.value(BLUE))
    return styled(alt.layer(
        alt.Chart(table("beam")).mark_area(color=BLUE, opacity=0.25).encode(x=x, y=y, y2="low:Q"),
        alt.Chart(table("planes")).mark_rule(color=quiet(ground), strokeWidth=1.5).encode(x=x, y=y, y2="y2:Q"),
        alt.Chart(table("other")).mark_line(color=ORANGE, strokeDash=[5, 4], strokeWidth=1.5).encode(x=x, y=y, detail="ray:N"),
        alt.Chart(table("ends")).mark_point(filled=True, size=70, opacity=1).encode(x=x, y=y, color=colour),
    ).properties(width="container", height=HIGH_px), ground)  # fmt: skip
