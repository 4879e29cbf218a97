"""The lens to scale with its rays, from in front of it to behind its focus."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import altair as alt
import numpy as np
import pandas as pd

from lenscalc.charts.drawing import Charted, Drawing, table
from lenscalc.charts.style import BLUE, ORANGE, Ground, ink, quiet, styled, titled
from lenscalc.errors import InputError
from lenscalc.lens.geometry import why_not
from lenscalc.light import Beam, Fate, System, paraxial_image, trace
from lenscalc.quantities import whole_number

WIDE_px = 1000.0  # a window in which the picture fills its height
LOWEST_px, HIGHEST_px = 110.0, 300.0
AROUND_px = 90.0  # what title and axis take of the height
HEIGHTS = 61  # of a surface's outline
BEYOND = "meet a surface beyond the edge of the optic"
ENDS = {
    Fate.ARRIVED: "",
    Fate.MISSED: "miss a surface",
    Fate.REFLECTED: "are totally reflected",
    Fate.NOT_FOUND: "find no point on a surface",
}


@Charted
def lens_with_rays(
    system: System, beam: Beam, *, optic_diameter_mm: float, rays: int = 11, focus_mm: float | None = None, plane_mm: float | None = None,
    ground: Ground = "light",
) -> Drawing:  # fmt: skip
    """One centred lens in cross-section and rays traced exactly through it, light going to the right (+z), one scale on both axes [mm].

    A ray that is lost ends where it was last seen, with a cross, and the picture says why. The window's width decides how large a millimetre is;
    it is the same along the axis and across it.

    Parameters
    ----------
    system, beam : System, Beam
        one lens, one beam.
    optic_diameter_mm : float [mm]
        over which the surfaces are cut.
    rays : int
        2 to 41, evenly across the pupil.
    focus_mm : float [mm], optional
        a plane behind the last vertex that is marked as the best focus.
    plane_mm : float [mm], optional
        how far behind the last vertex the rays are followed; left out, a little beyond the focus, or three diameters where there is none.
    ground : "light" or "dark"

    Raises
    ------
    InputError
        for arrays of lenses, surfaces out of their place, or dimensions that no lens can have.

    Examples
    --------
    >>> from lenscalc.light import Surface
    >>> lens = System([Surface(15.0), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9])
    >>> lens_with_rays(lens, Beam(3.0), optic_diameter_mm=6.0).to_dict()["description"]
    'The lens to scale, 6 mm wide, with 11 rays; collimated onto the bare lens, 3 mm wide; all rays arrive.'
    """
    _one_centred_lens(system, beam)
    rays = whole_number("rays", rays, 2, 41)
    half, vertices = optic_diameter_mm / 2, np.cumsum([0.0, *(float(d) for d in system.distances_mm)])
    bodies = _bodies(system, vertices, optic_diameter_mm)
    image = float(paraxial_image(system, vergence_D=beam.vergence_D).image_distance_mm)
    real = np.isfinite(image) and image > 0
    end = vertices[-1] + (plane_mm if plane_mm is not None else 1.08 * image if real else 3 * optic_diameter_mm)
    left = min(float(bodies["z"].min()), 0.0) - max(0.75 * half, 0.05 * (end - vertices[-1]))
    paths, lost = _paths(system, beam, vertices, rays, half, left, float(end))

    tall, long = 3.2 * half, float(end) - left
    height = min(HIGHEST_px, max(LOWEST_px, WIDE_px * tall / long))
    tables = {
        "axis": pd.DataFrame({"z": [left], "y": [0.0], "z2": [float(end)]}),
        "bodies": bodies,
        "paths": paths,
        "arrow": pd.DataFrame({"z": [left], "y": [1.35 * half], "text": ["light →"]}),
    }
    focused = focus_mm is not None and left < vertices[-1] + focus_mm < end
    if focus_mm is not None and focused:
        tables["focus"] = pd.DataFrame({"z": [vertices[-1] + focus_mm], "y": [-half], "y2": [half], "text": ["best focus"]})
    told = "all rays arrive"
    if len(lost):
        tables["lost"] = lost
        told = "; ".join(f"{many} of {rays} rays {why} and end there (×)" for why, many in lost["why"].value_counts().items())
    left -= vertices[-1]
    for drawn in tables.values():  # places along the axis count from the last vertex, as distances of foci do
        for name in drawn.columns.intersection(["z", "z2"]):
            drawn[name] -= vertices[-1]
    mm_per_px = f"max({long}/width, {tall}/height)"
    return Drawing(
        _shape, (bool(focused), len(lost) > 0, ground), tables,
        {"left": f"{left}", "right": f"{left} + {mm_per_px}*width", "low": f"-{mm_per_px}*height/2", "high": f"{mm_per_px}*height/2"},
        {"height": height + AROUND_px, "title": titled(f"Beam: {beam.in_words()}.", *([f"{told}."] if len(lost) else [])).to_dict()},
        f"The lens to scale, {optic_diameter_mm:g} mm wide, with {rays} rays; {beam.in_words()}; {told}.",
    )  # fmt: skip


def _shape(focused: bool, with_lost: bool, ground: Ground) -> alt.LayerChart:
    across = alt.Scale(domainMin=alt.ExprRef("@left"), domainMax=alt.ExprRef("@right"), nice=False, zero=False)
    high = alt.Scale(domainMin=alt.ExprRef("@low"), domainMax=alt.ExprRef("@high"), nice=False, zero=False)
    x = alt.X("z:Q", title="behind the back of the lens, mm", scale=across, axis=alt.Axis(tickCount=8, grid=False))
    y = alt.Y("y:Q", title="height, mm", scale=high, axis=alt.Axis(tickCount=5, grid=False))
    layers = [
        alt.Chart(table("axis")).mark_rule(color=quiet(ground), strokeWidth=1).encode(x=x, x2="z2:Q", y=y),
        alt.Chart(table("bodies")).mark_line(filled=True, fill=BLUE, fillOpacity=0.25, stroke=BLUE, strokeWidth=2).encode(
            x=x, y=y, order="order:Q", detail="body:N"
        ),
        alt.Chart(table("paths")).mark_line(color=ORANGE, strokeWidth=1.2).encode(x=x, y=y, order="order:Q", detail="ray:N"),
        alt.Chart(table("arrow")).mark_text(align="left", dx=4).encode(x=x, y=y, text="text:N"),
    ]
    if focused:
        plane = alt.Chart(table("focus"))
        layers += [
            plane.mark_rule(color=quiet(ground), strokeDash=[5, 4]).encode(x=x, y=y, y2="y2:Q"),
            plane.mark_text(align="right", baseline="bottom", dy=-4, color=ink(ground)).encode(x=x, y=alt.Y("y2:Q"), text="text:N"),
        ]
    if with_lost:
        layers.append(
            alt.Chart(table("lost")).mark_point(shape="cross", angle=45, size=70, filled=True, color=ink(ground), opacity=1).encode(x=x, y=y)
        )
    return styled(alt.layer(*layers).properties(width="container"), ground)


def _one_centred_lens(system: System, beam: Beam) -> None:
    if system.row().shape != () or np.ndim(beam.vergence_D) or np.ndim(beam.pupil_diameter_mm):
        raise InputError("lens_with_rays draws one lens in one beam: this system or beam holds arrays", quantity="surfaces")
    if any(s.is_moved for s in system.surfaces):
        raise InputError("lens_with_rays draws a centred lens: a surface is shifted or tilted", quantity="surfaces")


def _bodies(system: System, vertices: Any, optic_diameter_mm: float) -> pd.DataFrame:
    """The outline of what lies between each two surfaces."""
    y = np.linspace(-optic_diameter_mm / 2, optic_diameter_mm / 2, HEIGHTS)
    bodies = []
    for i, (front, back) in enumerate(pairwise(system.surfaces)):
        sentence = why_not(
            float(front.radius_mm), float(back.radius_mm), float(vertices[i + 1] - vertices[i]), optic_diameter_mm, front_conic=float(front.conic),
            back_conic=float(back.conic), front_aspheric=front.aspheric, back_aspheric=back.aspheric,
        )  # fmt: skip
        if sentence:
            raise InputError(sentence, quantity="optic_diameter_mm", value=optic_diameter_mm)
        sides = [np.broadcast_to(vertices[i + k] + s.sag_mm(y), y.shape) for k, s in enumerate((front, back))]
        bodies.append(pd.DataFrame({"z": np.concatenate([sides[0], sides[1][::-1], sides[0][:1]]), "y": np.concatenate([y, y[::-1], y[:1]])}))
        bodies[-1]["order"], bodies[-1]["body"] = range(2 * HEIGHTS + 1), i
    if not bodies:
        raise InputError("lens_with_rays draws a lens: one surface alone has no body", quantity="surfaces")
    return pd.concat(bodies, ignore_index=True)


def _paths(system: System, beam: Beam, vertices: Any, rays: int, half: float, left: float, end: float) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Each ray's corners, and where and why rays end before the plane."""
    y0 = np.linspace(-1.0, 1.0, rays) * float(beam.pupil_diameter_mm) / 2
    slope = -y0 * float(beam.vergence_D) / (1000.0 * float(system.indices[0]))
    corners = [(np.full(rays, left), y0 + left * slope)]
    why = np.full(rays, "", dtype=object)
    ended_z, ended_y = np.full(rays, np.nan), np.full(rays, np.nan)
    for s in range(len(system.surfaces)):
        row = system.surfaces[: s + 1], system.distances_mm[:s]
        # with one medium on both sides the last surface bends nothing, and also a ray that it reflects has its place on it
        met = trace(System(row[0], [*system.indices[: s + 1], system.indices[s]], row[1]), x_mm=0.0, y_mm=y0, vergence_D=beam.vergence_D)
        bent = trace(System(row[0], system.indices[: s + 2], row[1]), x_mm=0.0, y_mm=y0, vergence_D=beam.vergence_D)
        z, y = np.asarray(met.z_mm) + vertices[s], np.asarray(met.y_mm)
        on = (why == "") & np.isfinite(y)
        gone = (why == "") & ~np.isfinite(y)
        outside, refused = np.abs(y) > half * (1 + 1e-9), np.asarray(bent.fate) != Fate.ARRIVED
        last_z, last_y = corners[-1] if s else (np.zeros(rays), y0)
        for which, at_z, at_y, reasons in (
            (gone, last_z, last_y, _in_words(met.fate)),
            (on & outside, z, y, BEYOND),
            (on & ~outside & refused, z, y, _in_words(bent.fate)),
        ):
            ended_z, ended_y, why = np.where(which, at_z, ended_z), np.where(which, at_y, ended_y), np.where(which, reasons, why)
        corners.append((np.where(why == "", z, ended_z), np.where(why == "", y, ended_y)))
    if np.any(why == ""):
        out = trace(system, x_mm=0.0, y_mm=y0, vergence_D=beam.vergence_D, plane_mm=end - vertices[-1])
        corners.append((np.where(why == "", end, ended_z), np.where(why == "", np.asarray(out.y_mm), ended_y)))
    z, y = np.array([c[0] for c in corners]), np.array([c[1] for c in corners])
    order, ray = np.mgrid[: len(corners), :rays]
    paths = pd.DataFrame({"ray": ray.ravel(), "order": order.ravel(), "z": z.ravel(), "y": y.ravel()})
    ends = why != ""
    return paths, pd.DataFrame({"z": ended_z[ends], "y": ended_y[ends], "why": why[ends]})


def _in_words(fates: Any) -> Any:
    return np.array([ENDS[Fate(int(fate))] for fate in fates], dtype=object)
