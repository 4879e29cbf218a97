"""`lenscalc recut`: the radii that give a wanted power with this index."""

from __future__ import annotations

from typing import Any

import click
import numpy as np

from lenscalc.cli.options import json_option, quantity_option, quantity_options
from lenscalc.cli.show import heading, line, paragraph, show_end, show_json, value_line
from lenscalc.lens import RecutEstimates, ladder, recut_estimates, retool, volume_mm3
from lenscalc.lens import recut as radii_for
from lenscalc.uncertainty import Source, estimate
from lenscalc.uncertainty.rounding import fixed

HELD = (
    "center_thickness_mm", "wanted_edge_thickness_mm", "optic_diameter_mm", "front_radius_mm", "back_radius_mm", "shape_factor", "curvature_ratio",
    "front_conic", "back_conic",
)  # fmt: skip
SHOWN = ("front_radius_mm", "back_radius_mm", "center_thickness_mm", "edge_thickness_mm", "volume_mm3", "power_D")


@click.command()
@quantity_option("n_lens", required=True)
@quantity_option("power_D")
@quantity_option("n_medium", default=1.336)
@quantity_options("n_medium_behind", *HELD, "radius_increment_mm", "to_power_D", "step_D", "n_lens_before", "u_n_lens")
@json_option
def recut(as_json: bool, **given: Any) -> None:
    """Radii, and from a wanted edge the centre thickness, of a lens that has a wanted power with this index.

    Equi-convex unless one radius, the shape factor or the ratio of curvatures is held. Give --center-thickness-mm, or --wanted-edge-thickness-mm
    with --optic-diameter-mm. With --radius-increment-mm the radii are rounded to the shop's tools too. With --to-power-D a ladder of powers.
    With --u-n-lens it is told how uncertain the power of each re-cut lens stays, because the index is.
    With --n-lens-before, and both radii of existing tools, the correction to them for a lot whose index has moved.

    \b
    Example:
      lenscalc recut --power-D 20 --n-lens 1.49 --center-thickness-mm 0.9
      lenscalc recut --power-D 20 --n-lens 1.49 --wanted-edge-thickness-mm 0.3 --optic-diameter-mm 6 --radius-increment-mm 0.01
      lenscalc recut --power-D 20 --n-lens 1.49 --u-n-lens 0.0005 --center-thickness-mm 0.9
      lenscalc recut --power-D 5 --to-power-D 34 --step-D 0.5 --n-lens 1.49 --center-thickness-mm 0.9 --radius-increment-mm 0.01 --json
      lenscalc recut --n-lens-before 1.49 --n-lens 1.4915 --front-radius-mm 15 --back-radius-mm -15 --center-thickness-mm 0.9
    """
    held = {name: given[name] for name in HELD if given[name] is not None}
    media = {"n_medium": given["n_medium"], "n_medium_behind": given["n_medium_behind"]}
    if given["u_n_lens"] is not None and given["n_lens_before"] is not None:
        raise click.UsageError("--u-n-lens goes with a re-cut lens or a ladder of them: not with --n-lens-before")
    if given["n_lens_before"] is not None:
        _show_retool(as_json, given, media, held)
        return
    if given["power_D"] is None:
        raise click.UsageError("--power-D is missing: the power that the lens shall have; or --n-lens-before with both radii of existing tools")
    if (given["to_power_D"] is None) != (given["step_D"] is None):
        raise click.UsageError("--to-power-D and --step-D go together: a ladder has an end and a step")
    if given["to_power_D"] is not None:
        _show_ladder(as_json, given, media, held)
        return
    made = radii_for(given["power_D"], given["n_lens"], **media, **held)
    values: dict[str, Any] = {name: getattr(made, name) for name in SHOWN if name in made._fields}
    values |= {name: given[name] for name in ("n_lens", "n_medium", "n_medium_behind") if given[name] is not None}
    lens = (made.front_radius_mm, made.back_radius_mm, made.center_thickness_mm)
    conics = {name: held[name] for name in ("front_conic", "back_conic") if name in held}
    if "optic_diameter_mm" in held:
        values["volume_mm3"] = volume_mm3(*lens, held["optic_diameter_mm"], **conics)
    else:
        del values["edge_thickness_mm"]
    tools: dict[str, Any] = {}
    if given["radius_increment_mm"] is not None:
        one = ladder(
            given["n_lens"], from_power_D=given["power_D"], to_power_D=given["power_D"], step_D=1.0,
            radius_increment_mm=given["radius_increment_mm"], **media, **held,
        )  # fmt: skip
        tools = {name: float(getattr(one, name)[0, 0]) for name in ("front_tool_mm", "back_tool_mm", "rounding_cost_D")}
    known: RecutEstimates | None = None
    if given["u_n_lens"] is not None:
        index = estimate(given["n_lens"], given["u_n_lens"], Source("index of the lens", scope="lot"))
        known = recut_estimates(given["power_D"], index, **media, **held)
    if as_json:
        told = {} if known is None else {f"u_{name}": float(x.u) for name, x in known._asdict().items()}
        show_json({**values, **tools, **told}, [])
        return
    heading(f"Re-cut: {given['power_D']:g} D with n = {given['n_lens']:g}")
    for name in SHOWN:
        if name in values:
            value_line(name, values[name]) if np.isfinite(values[name]) else line(name.removesuffix("_mm").replace("_", " "), "plano")
    if tools:
        heading(f"With tools in steps of {given['radius_increment_mm']:g} mm")
        line("front and back tool", f"{_text(tools['front_tool_mm'])} and {_text(tools['back_tool_mm'])} mm")
        line("the rounding costs", f"{fixed(tools['rounding_cost_D'], 4, '+')} D")
    if known is not None:
        _show_known(given["u_n_lens"], known)
    show_end([])


def _show_known(u_n_lens: float, known: RecutEstimates) -> None:
    heading(f"What u(n) = {u_n_lens:g} leaves uncertain")
    line("u of the power, the index's part", f"{float(known.power_D.u):.2g} D")
    for side, radius in (("front", known.front_radius_mm), ("back", known.back_radius_mm)):
        if float(radius.u) > 0.0:
            line(f"u of the {side} radius to ask for", f"{float(radius.u):.2g} mm")
    paragraph(
        "To re-cut does not make the index better known. What tools and thickness add is not in it: lenscalc power with their --u-… tells the whole."
    )


def _show_retool(as_json: bool, given: dict[str, Any], media: dict[str, Any], held: dict[str, Any]) -> None:
    tools = {name: held.pop(name, None) for name in ("front_radius_mm", "back_radius_mm", "center_thickness_mm")}
    missing = [f"--{name.replace('_', '-')}" for name, value in tools.items() if value is None]
    if missing:
        verb = "is" if len(missing) == 1 else "are"
        raise click.UsageError(f"beside --n-lens-before {' and '.join(missing)} {verb} missing: the tools as they are")
    if held or given["power_D"] is not None or given["to_power_D"] is not None:
        raise click.UsageError("beside --n-lens-before the power is that of the old lens, and the ratio of its curvatures is held: give nothing else")
    new = retool(**tools, n_lens_before=given["n_lens_before"], n_lens=given["n_lens"], **media)
    values = {name: float(x) for name, x in new._asdict().items()}
    if as_json:
        show_json({**values, "n_lens_before": given["n_lens_before"], "n_lens": given["n_lens"], **media}, [])
        return
    heading(f"Tools made for n = {given['n_lens_before']:g}, a lot of n = {given['n_lens']:g}")
    line("power they were made for", f"{fixed(new.power_D, 4)} D")
    line("power with the old tools now", f"{fixed(new.power_with_old_tools_D, 4)} D ({fixed(new.power_with_old_tools_D - new.power_D, 4, '+')})")
    for side, radius, change in (("front", new.front_radius_mm, new.front_radius_change_mm), ("back", new.back_radius_mm, new.back_radius_change_mm)):
        line(f"{side} radius that restores it", "plano, as it was" if np.isinf(radius) else f"{radius:.4f} mm ({fixed(change, 4, '+')})")
    show_end([])


def _show_ladder(as_json: bool, given: dict[str, Any], media: dict[str, Any], held: dict[str, Any]) -> None:
    steps = ladder(
        given["n_lens"], from_power_D=given["power_D"], to_power_D=given["to_power_D"], step_D=given["step_D"],
        radius_increment_mm=given["radius_increment_mm"], u_n_lens=given["u_n_lens"], **media, **held,
    )  # fmt: skip
    warnings = [f"{power:g} D: {problem}" for power, problem in zip(steps.wanted_power_D, steps.problem[0], strict=True) if problem]
    if as_json:
        unasked = ("wanted_power_D", "problem") if given["u_n_lens"] is not None else ("wanted_power_D", "problem", "u_power_D")
        columns = {name: values[0].tolist() for name, values in steps._asdict().items() if name not in unasked}
        first = {"n_lens": given["n_lens"], **media, "power_D": steps.wanted_power_D.tolist()}
        show_json({**first, **columns, "problem": steps.problem[0].tolist()}, warnings)
        return
    heading(f"A ladder with n = {given['n_lens']:g}")
    with_tools = given["radius_increment_mm"] is not None
    tools_heading = f"{'front tool':>12}{'back tool':>12}{'costs D':>10}" if with_tools else ""
    u_heading = f"{'u D':>9}" if given["u_n_lens"] is not None else ""
    click.echo(f"  {'power D':>8}{'front mm':>12}{'back mm':>12}{'centre mm':>11}{tools_heading}{u_heading}")
    for i, power in enumerate(steps.wanted_power_D):
        if steps.problem[0, i]:
            click.echo(f"  {power:>8g}  cannot be made, see below")
            continue
        text = f"  {power:>8g}{_text(steps.front_radius_mm[0, i]):>12}{_text(steps.back_radius_mm[0, i]):>12}{steps.center_thickness_mm[0, i]:>11.4f}"
        if with_tools:
            cost = steps.rounding_cost_D[0, i] + 0.0
            text += f"{_text(steps.front_tool_mm[0, i]):>12}{_text(steps.back_tool_mm[0, i]):>12}{cost:>+10.4f}"
        click.echo(text + (f"{steps.u_power_D[0, i]:>9.2g}" if u_heading else ""))
    if with_tools:
        paragraph("costs D: power of the lens from the rounded tools less the wanted power; the centre thickness stays.")
    if u_heading:
        paragraph(f"u D: what u(n) = {given['u_n_lens']:g} leaves in the power of the exact lens; tools and thickness add theirs.")
    show_end(warnings)


def _text(radius_mm: float) -> str:
    return "plano" if np.isinf(radius_mm) else f"{radius_mm:.4f}"
