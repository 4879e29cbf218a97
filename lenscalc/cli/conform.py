"""`lenscalc conform`: a power against its label."""

from __future__ import annotations

from typing import Any

import click
import numpy as np

from lenscalc.chain import evaluate
from lenscalc.chain.table import DIMENSIONS
from lenscalc.cli.conform_show import show_answer, show_decimals
from lenscalc.cli.options import json_option, quantity_option, quantity_options
from lenscalc.cli.show import show_json
from lenscalc.conditions import N_MEDIUM_IN_USE
from lenscalc.decision import (
    REFERENCE_LINES,
    REQUIRED_PROBABILITY,
    RULE,
    ToleranceTable,
    by_rules,
    decide,
    decimals_table,
    instrument_adequacy,
    largest_u,
    lot_forecast,
    power_tolerance_D,
    read_tolerance_table,
    remeasured,
    replicates_worth,
    shipped_tolerance_table,
    slips,
    work_on_first,
)
from lenscalc.decision.instrument import POWERS_D
from lenscalc.decision.lot import LENSES, WANTED_YIELD
from lenscalc.errors import InputError
from lenscalc.uncertainty import Estimate, coverage_factor, global_risks, measurement_capability, uncertainty_ratio

PRINTED = ("power_D", "u_power_D", "interval_lower_D", "interval_upper_D", "lower_limit_D", "upper_limit_D", "acceptance_lower_D",
           "acceptance_upper_D", "conformance_probability", "lot_off_probability", "expected_yield", "largest_u_n_lens", "verdict")  # fmt: skip
OF_A_LENS = ("u_n_lens", "u_front_radius_mm", "u_back_radius_mm", "u_center_thickness_mm", "optic_diameter_mm", "u_n_lens_then")
INSTRUMENT = ("instrument_resolution", "instrument_u_calibration")
ASKED = (*INSTRUMENT, "s_reading", "u_n_lens_then", "process_mean_D", "process_sd_D", "wanted_yield", "lenses_in_lot")


@click.command()
@quantity_options("labelled_power_D", "power_D", "u_power_D", "tolerance_D")
@click.option("--tolerance-table", metavar="FILE", help="A TOML file of the tolerances in force, with its edition, in place of the quoted table.")
@quantity_option("required_probability", default=REQUIRED_PROBABILITY)
@quantity_options(*DIMENSIONS, "n_lens", "u_n_lens", "u_front_radius_mm", "u_back_radius_mm", "u_center_thickness_mm", "optic_diameter_mm")
@quantity_options(*INSTRUMENT, "s_reading", "u_n_lens_then", "process_mean_D", "process_sd_D")
@quantity_option("wanted_yield", default=WANTED_YIELD)
@quantity_option("lenses_in_lot", default=float(LENSES))
@click.option("--decimals-table", is_flag=True, help="Print how many decimals of index which power and material need, and stop.")
@json_option
def conform(as_json: bool, tolerance_table: str | None, decimals_table: bool, **given: Any) -> None:
    """Would a lens conform to its label, with what probability, and how well must the index be known?

    Either give a power with its uncertainty, or a lens: its dimensions and index, each with its uncertainty. The label must come from elsewhere
    than the reading. The medium is 1.336 by convention. A lens is answered as one and as a lot whose lenses share the error of the index.

    Beside it, where it is asked: whether a refractometer is good enough (--instrument-resolution, --instrument-u-calibration), how many
    replicates are worth taking (--s-reading), what measuring the index again would save (--u-n-lens-then), what inspection lets through
    (--process-sd-D).

    \b
    Example:
      lenscalc conform --labelled-power-D 20.5 --power-D 20.42 --u-power-D 0.06
      lenscalc conform --labelled-power-D 20.5 --front-radius-mm 15 --u-front-radius-mm 0.02 --back-radius-mm -15 \\
          --u-back-radius-mm 0.02 --center-thickness-mm 0.9 --u-center-thickness-mm 0.01 --n-lens 1.49 --u-n-lens 0.0004 \\
          --instrument-resolution 0.0001 --s-reading 0.0002
      lenscalc conform --decimals-table
    """
    table = {name: value for name, value in given.items() if value is not None}
    tolerances = read_tolerance_table(tolerance_table) if tolerance_table else shipped_tolerance_table()
    if decimals_table:
        _answer_decimals(tolerances, table["required_probability"], as_json)
        return
    if "labelled_power_D" not in table:
        raise click.UsageError("Missing option '--labelled-power-D'.")
    if tolerance_table and "tolerance_D" in table:
        raise click.UsageError("give either --tolerance-D or --tolerance-table, not both")
    edition = "given by the user" if "tolerance_D" in table else tolerances.edition
    asked = {name: table.pop(name) for name in ASKED if name in table}
    dimensioned = [name for name in DIMENSIONS if name in table]
    if ("power_D" in table) == bool(dimensioned):
        raise click.UsageError("give either --power-D with --u-power-D, or the dimensions and index of a lens")
    table.setdefault("tolerance_D", power_tolerance_D(table["labelled_power_D"], table=tolerances))
    values, warnings = _of_lens(table, asked) if dimensioned else _of_power(table, asked)
    values |= {name: table[name] for name in ("tolerance_D", "labelled_power_D", "required_probability")}
    values |= _in_general(values, table, asked)
    if as_json:
        show_json({**{n: v for n, v in values.items() if n not in ("u_other_D", "dof_power")}, "tolerance_edition": edition, "rule": RULE}, warnings)
        return
    show_answer(values, edition, warnings)


def _answer_decimals(tolerances: ToleranceTable, required_probability: float, as_json: bool) -> None:
    powers = [power for power in POWERS_D if not np.isnan(tolerances.of(power))]
    rows = decimals_table(powers, table=tolerances, required_probability=required_probability)
    if as_json:
        told = {"decimals_table": [row._asdict() for row in rows], "required_probability": required_probability, "reference_lines": REFERENCE_LINES}
        show_json({**told, "tolerance_edition": tolerances.edition}, [])
        return
    show_decimals(rows, tolerances.edition, required_probability)


def _of_lens(table: dict[str, Any], asked: dict[str, Any]) -> tuple[dict[str, Any], list[str]]:
    if "u_power_D" in table:
        raise click.UsageError("--u-power-D goes with --power-D; a lens's uncertainty comes from its index and dimensions")
    result = evaluate({n: [v] for n, v in table.items()}, compute=("*", "largest_u_n_lens"))
    if result.problems[0]:
        raise InputError(result.problems[0])
    columns = {n: c[0] for n, c in result.columns.items()}
    values = {n: columns[n] for n in PRINTED}
    of_n = abs(columns["d_power_d_n_lens"]) * table.get("u_n_lens", 0.0)
    other = float(np.sqrt(max(columns["u_power_D"] ** 2 - of_n * of_n, 0.0)))
    values |= {"d_power_d_n_lens": columns["d_power_d_n_lens"], "u_other_D": other, "dof_power": columns["dof_power"]}
    warnings = result.warnings_of()
    if np.isnan(values["conformance_probability"]):
        if "u_n_lens_then" in asked:
            raise click.UsageError("--u-n-lens-then needs a lens that can be decided: give --u-n-lens and the u of every dimension")
        return values, warnings
    lot = (columns["power_D"], columns["u_power_common_D"], columns["u_power_individual_D"], values["lower_limit_D"], values["upper_limit_D"])
    forecast = lot_forecast(*lot, wanted_yield=asked["wanted_yield"], lenses=asked["lenses_in_lot"])
    values |= {name: values.get(name, x) for name, x in forecast._asdict().items()}
    values |= {"u_power_common_D": lot[1], "u_power_individual_D": lot[2]}
    values |= {"wanted_yield": asked["wanted_yield"], "lenses_in_lot": int(asked["lenses_in_lot"])}
    power: Estimate = result.estimates["power_D"]
    values["contributions"] = [c._asdict() for c in work_on_first(power, values["lower_limit_D"], values["upper_limit_D"])]
    if "u_n_lens_then" in asked:
        r = remeasured(
            *lot, d_power_d_n_lens=columns["d_power_d_n_lens"], u_n_lens=table["u_n_lens"], u_n_lens_then=asked["u_n_lens_then"],
            wanted_yield=asked["wanted_yield"], lenses=asked["lenses_in_lot"],
        )  # fmt: skip
        values["remeasured"] = {"u_n_lens_then": asked["u_n_lens_then"], "u_power_common_D": r.u_common_then_D, **r.then._asdict(),
                                "saved_per_1000": r.saved_per_1000}  # fmt: skip
    return values, warnings


def _of_power(table: dict[str, Any], asked: dict[str, Any]) -> tuple[dict[str, Any], list[str]]:
    extra = sorted((set(table) | set(asked)) & set(OF_A_LENS))
    if extra:
        raise click.UsageError(f"--{extra[0].replace('_', '-')} goes with the dimensions of a lens, not with --power-D")
    if "u_power_D" not in table:
        raise click.UsageError("--u-power-D is missing beside --power-D: without an uncertainty there is no probability")
    power, u, label, tolerance = (np.array([table[n]]) for n in ("power_D", "u_power_D", "labelled_power_D", "tolerance_D"))
    required = table["required_probability"]
    many = np.array([np.inf])
    d = decide(power, u, many, u, many, label, tolerance, required)
    values: dict[str, Any] = {"power_D": table["power_D"], "u_power_D": table["u_power_D"], **{n: v[0] for n, v in d._asdict().items()}}
    del values["lot_off_probability"]  # nobody said which part of u the lot shares
    U = float(coverage_factor(0.95)) * table["u_power_D"]
    values |= {"interval_lower_D": table["power_D"] - U, "interval_upper_D": table["power_D"] + U, "dof_power": np.inf}
    values["largest_u_power_D"] = float(largest_u(power, d.lower_limit_D, d.upper_limit_D, required)[0])
    told = [sentence for rows, sentence in slips(power, u, label, tolerance) if rows.any()]
    if "n_lens" in table and table["power_D"] != 0:
        # thin lens: ∂F/∂n = F/(n − m); with the dimensions it would be exact
        slope = abs(table["power_D"] / (table["n_lens"] - N_MEDIUM_IN_USE)) if table["n_lens"] != N_MEDIUM_IN_USE else np.inf
        values["largest_u_n_lens"] = values["largest_u_power_D"] / slope
        values |= {"d_power_d_n_lens": slope, "u_other_D": 0.0}
        told.append("largest_u_n_lens is a thin-lens estimate with exact dimensions; give the dimensions and their u for the exact one")
    return values, told


def _in_general(values: dict[str, Any], table: dict[str, Any], asked: dict[str, Any]) -> dict[str, Any]:
    """What is asked of a power and of a lens alike: rules side by side, capability, the process, the instrument, replicates."""
    found: dict[str, Any] = {}
    power, u, lower, upper = (float(values[n]) for n in ("power_D", "u_power_D", "lower_limit_D", "upper_limit_D"))
    tolerance, required = table["tolerance_D"], table["required_probability"]
    decided = not np.isnan(values["conformance_probability"])
    if decided:
        found["rules"] = [o._asdict() for o in by_rules(power, u, values["dof_power"], lower, upper, required)]
        if tolerance > 0:
            found["measurement_capability"] = measurement_capability(lower, upper, u)
            found["uncertainty_ratio"] = uncertainty_ratio(tolerance, 2.0 * u)
    mean, sd = asked.get("process_mean_D", table["labelled_power_D"]), asked.get("process_sd_D")
    if "process_mean_D" in asked and sd is None:
        raise click.UsageError("--process-sd-D is missing beside --process-mean-D: a process has a spread")
    if sd is not None and decided:
        found["global_risks"] = [
            {"rule": o["rule"], **global_risks(mean, sd, u, lower, upper, acceptance_lower=o["acceptance_lower_D"],
                                              acceptance_upper=o["acceptance_upper_D"])._asdict()}
            for o in found["rules"] if o["accepted"] is not None
        ]  # fmt: skip
    if any(name in asked for name in INSTRUMENT):
        found |= _instrument(values, tolerance, required, asked, mean - table["labelled_power_D"])
    if "s_reading" in asked:
        rest = float(np.hypot(asked.get("instrument_resolution", 0.0) / 12**0.5, asked.get("instrument_u_calibration", 0.0)))
        if rest == 0:
            raise click.UsageError("--s-reading needs --instrument-resolution or --instrument-u-calibration: what replicates do not shrink")
        worth = replicates_worth(asked["s_reading"], rest)
        found["replicates"] = {"enough": worth.enough, "u_rest": rest, "rows": [row._asdict() for row in worth.rows]}
    return found


def _instrument(values: dict[str, Any], tolerance: float, required: float, asked: dict[str, Any], offset: float) -> dict[str, Any]:
    if "d_power_d_n_lens" not in values:
        raise click.UsageError("--instrument-resolution and --instrument-u-calibration need --n-lens: how the power answers to the index")
    if np.isinf(values["d_power_d_n_lens"]):
        raise click.UsageError(f"--n-lens {N_MEDIUM_IN_USE:g}: a lens of the medium's own index has no power for an instrument to be good enough for")
    a = instrument_adequacy(
        values["d_power_d_n_lens"], tolerance_D=tolerance, resolution=asked.get("instrument_resolution", 0.0),
        u_calibration=asked.get("instrument_u_calibration", 0.0), u_other_D=values["u_other_D"], required_probability=required,
        process_offset_D=offset, process_sd_D=asked.get("process_sd_D"),
    )  # fmt: skip
    told = {name: asked[name] for name in INSTRUMENT if name in asked}
    told |= {name: bool(x) if name in ("decides", "ten_to_one", "four_to_one") else x for name, x in a._asdict().items()}
    told["two_per_cent"] = None if np.isnan(a.two_per_cent) else bool(a.two_per_cent)
    return {"instrument": told, "reference_lines": dict(REFERENCE_LINES)}
