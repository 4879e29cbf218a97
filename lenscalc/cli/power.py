"""`lenscalc power`: a lens from its dimensions and index."""

from __future__ import annotations

from typing import Any

import click

from lenscalc.chain import evaluate, lens_in_words
from lenscalc.cli.options import json_option, quantity_option, quantity_options
from lenscalc.cli.show import heading, line, paragraph, show_end, show_json, value_line
from lenscalc.errors import InputError
from lenscalc.uncertainty.rounding import fixed

UNCERTAINTIES = (
    "u_n_lens", "u_n_medium", "u_front_radius_mm", "u_back_radius_mm", "u_center_thickness_mm", "u_front_curvature_per_mm",
    "u_back_curvature_per_mm", "u_front_sag_mm", "u_back_sag_mm",
)  # fmt: skip

PRINTED = (
    "power_D", "u_power_D", "front_surface_power_D", "back_surface_power_D", "front_vertex_power_D", "back_vertex_power_D",
    "equivalent_focal_length_mm", "front_focal_length_mm", "back_focal_length_mm", "front_principal_plane_mm", "back_principal_plane_mm",
    "edge_thickness_mm", "volume_mm3", "mass_mg", "d_power_d_n_lens", "d_power_d_n_medium", "d_power_d_n_medium_behind", "d_power_d_front_radius_mm",
    "d_power_d_back_radius_mm", "d_power_d_front_curvature_per_mm", "d_power_d_back_curvature_per_mm", "d_power_d_center_thickness_mm",
)  # fmt: skip


@click.command()
@quantity_options("front_radius_mm", "back_radius_mm", "center_thickness_mm", "n_lens", required=True)
@quantity_option("n_medium", default=1.336)
@quantity_options("n_medium_behind", "optic_diameter_mm", "front_conic", "back_conic", "density_kg_per_m3", *UNCERTAINTIES)
@json_option
def power(as_json: bool, **given: Any) -> None:
    """Power, vertex powers, focal lengths, principal planes and sensitivities of a thick lens.

    A radius is positive when its centre of curvature lies behind the surface: a biconvex lens has a positive front and a negative back radius.
    A flat surface is `plano`. Indices are relative to air. With any --u-… the uncertainty of the power is printed too;
    with --optic-diameter-mm the edge and the volume of the optic, with --density-kg-per-m3 its mass.

    \b
    Example:
      lenscalc power --front-radius-mm 15 --back-radius-mm -15 --center-thickness-mm 0.9 --n-lens 1.49
      lenscalc power --front-radius-mm 12 --back-radius-mm plano --center-thickness-mm 0.8 --n-lens 1.46 --u-n-lens 0.0003 --json
    """
    table = {name: [value] for name, value in given.items() if value is not None}
    result = evaluate(table)
    if result.problems[0]:
        raise InputError(result.problems[0])
    warnings = result.warnings_of()
    with_any_u = any(name.startswith("u_") for name in table)
    values = {name: result.columns[name][0] for name in PRINTED if name in result.columns and (with_any_u or name != "u_power_D")}
    if as_json:
        show_json({**{n: v[0] for n, v in table.items()}, **values}, warnings)
        return
    heading(f"Lens: {lens_in_words({n: v[0] for n, v in table.items()})}")
    u = float(values["u_power_D"]) if with_any_u else None
    value_line("power_D", values["power_D"], u)
    for name in PRINTED[2:14]:
        if name in values:
            value_line(name, values[name])
    heading("How the power answers")
    line("0.001 more index of the lens", f"{fixed(values['d_power_d_n_lens'] / 1000, 4, '+')} D")
    line("0.001 more index of the medium", f"{fixed(values['d_power_d_n_medium'] / 1000, 4, '+')} D")
    for side in ("front", "back"):
        if table[f"{side}_radius_mm"][0] == float("inf"):
            line(f"0.001 /mm of {side} curvature", f"{fixed(values[f'd_power_d_{side}_curvature_per_mm'] / 1000, 4, '+')} D")
            continue
        line(f"0.1 mm more {side} radius", f"{fixed(values[f'd_power_d_{side}_radius_mm'] / 10, 4, '+')} D")
    line("0.1 mm more centre thickness", f"{fixed(values['d_power_d_center_thickness_mm'] / 10, 4, '+')} D")
    if u is None:
        paragraph("All inputs were taken as exact; give --u-n-lens, --u-front-radius-mm and the like for an uncertainty.")
    show_end(warnings)
