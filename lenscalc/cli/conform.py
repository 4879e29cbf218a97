"""`lenscalc conform`: a power against its label."""

from __future__ import annotations

from typing import Any

import click
import numpy as np

from lenscalc.chain import evaluate
from lenscalc.cli.options import json_option, quantity_option, quantity_options
from lenscalc.cli.show import heading, known_well_enough_text, line, paragraph, show_end, show_json, value_line
from lenscalc.conditions import N_MEDIUM_IN_USE
from lenscalc.decision import REQUIRED_PROBABILITY, RULE, TOLERANCE_EDITION, decide, largest_u, power_tolerance_D
from lenscalc.errors import InputError
from lenscalc.uncertainty import probability_text

DIMENSIONS = ("front_radius_mm", "back_radius_mm", "center_thickness_mm")
PRINTED = ("power_D", "u_power_D", "lower_limit_D", "upper_limit_D", "acceptance_lower_D", "acceptance_upper_D", "conformance_probability",
           "lot_off_probability", "largest_u_n_lens", "verdict")  # fmt: skip


@click.command()
@quantity_option("labelled_power_D", required=True)
@quantity_options("power_D", "u_power_D", "tolerance_D")
@quantity_option("required_probability", default=REQUIRED_PROBABILITY)
@quantity_options(*DIMENSIONS, "n_lens", "u_n_lens", "u_front_radius_mm", "u_back_radius_mm", "u_center_thickness_mm", "optic_diameter_mm")
@json_option
def conform(as_json: bool, **given: Any) -> None:
    """Would a lens conform to its label, with what probability, and how well must the index be known?

    Either give a power with its uncertainty, or a lens: its dimensions and index, each with its uncertainty. The label must come from elsewhere
    than the reading. The medium is 1.336 by convention.

    \b
    Example:
      lenscalc conform --labelled-power-D 20.5 --power-D 20.42 --u-power-D 0.06
      lenscalc conform --labelled-power-D 20.5 --front-radius-mm 15 --u-front-radius-mm 0.02 --back-radius-mm -15 \\
          --u-back-radius-mm 0.02 --center-thickness-mm 0.9 --u-center-thickness-mm 0.01 --n-lens 1.49 --u-n-lens 0.0004
    """
    table = {name: value for name, value in given.items() if value is not None}
    dimensioned = [name for name in DIMENSIONS if name in table]
    if ("power_D" in table) == bool(dimensioned):
        raise click.UsageError("give either --power-D with --u-power-D, or the dimensions and index of a lens")
    values, warnings = _of_lens(table) if dimensioned else _of_power(table)
    values["tolerance_D"] = table.get("tolerance_D", power_tolerance_D(table["labelled_power_D"]))
    values |= {"labelled_power_D": table["labelled_power_D"], "required_probability": table["required_probability"]}
    edition = "given by the user" if "tolerance_D" in table else TOLERANCE_EDITION
    if as_json:
        show_json({**values, "tolerance_edition": edition, "rule": RULE}, warnings)
        return
    heading(f"Label {table['labelled_power_D']:g} D, tolerance ±{values['tolerance_D']:g} D")
    value_line("power_D", values["power_D"], values["u_power_D"])
    line("limits", f"{values['lower_limit_D']:g} to {values['upper_limit_D']:g} D")
    if not np.isnan(values["conformance_probability"]):
        line("conformance probability", probability_text(values["conformance_probability"]))
        if np.isnan(values["acceptance_lower_D"]):
            line("guarded acceptance limits", "none: the uncertainty leaves no zone between them")
        else:
            line("guarded acceptance limits", f"{values['acceptance_lower_D']:.3f} to {values['acceptance_upper_D']:.3f} D")
        line("verdict", values["verdict"])
    for name, what in (("largest_u_n_lens", "index"), ("largest_u_power_D", "power")):
        if name in values:
            text = known_well_enough_text(values[name], values["power_D"], values["lower_limit_D"], values["upper_limit_D"])
            line(f"the {what} must be known to", text)
    paragraph(f"Tolerance: {edition}. Rule: {RULE}.")
    show_end(warnings)


def _of_lens(table: dict[str, Any]) -> tuple[dict[str, Any], list[str]]:
    if "u_power_D" in table:
        raise click.UsageError("--u-power-D goes with --power-D; a lens's uncertainty comes from its index and dimensions")
    result = evaluate({n: [v] for n, v in table.items()}, compute=("*", "largest_u_n_lens"))
    if result.problems[0]:
        raise InputError(result.problems[0])
    return {n: result.columns[n][0] for n in PRINTED}, result.warnings_of()


def _of_power(table: dict[str, Any]) -> tuple[dict[str, Any], list[str]]:
    extra = sorted(set(table) & {"u_n_lens", "u_front_radius_mm", "u_back_radius_mm", "u_center_thickness_mm", "optic_diameter_mm"})
    if extra:
        raise click.UsageError(f"--{extra[0].replace('_', '-')} goes with the dimensions of a lens, not with --power-D")
    if "u_power_D" not in table:
        raise click.UsageError("--u-power-D is missing beside --power-D: without an uncertainty there is no probability")
    power, u, label = (np.array([table[n]]) for n in ("power_D", "u_power_D", "labelled_power_D"))
    tolerance = np.array([table.get("tolerance_D", power_tolerance_D(table["labelled_power_D"]))])
    required = table["required_probability"]
    many = np.array([np.inf])
    d = decide(power, u, many, u, many, label, tolerance, required)
    values: dict[str, Any] = {"power_D": table["power_D"], "u_power_D": table["u_power_D"], **{n: v[0] for n, v in d._asdict().items()}}
    del values["lot_off_probability"]  # nobody said which part of u the lot shares
    values["largest_u_power_D"] = float(largest_u(power, d.lower_limit_D, d.upper_limit_D, required)[0])
    if "n_lens" in table and table["power_D"] != 0:
        # thin lens: ∂F/∂n = F/(n − m); with the dimensions it would be exact
        slope = abs(table["power_D"] / (table["n_lens"] - N_MEDIUM_IN_USE)) if table["n_lens"] != N_MEDIUM_IN_USE else np.inf
        values["largest_u_n_lens"] = values["largest_u_power_D"] / slope
        return values, ["largest_u_n_lens is a thin-lens estimate with exact dimensions; give the dimensions and their u for the exact one"]
    return values, []
