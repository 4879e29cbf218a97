"""What `lenscalc conform` prints for a person: the decision first, then the questions that were asked."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import click
import numpy as np

from lenscalc.cli.show import heading, line, paragraph, show_end, value_line
from lenscalc.decision import REFERENCE_LINES, RULE
from lenscalc.decision.adequacy import known_well_enough_text
from lenscalc.decision.decide import SIDE_OPEN, UNDECIDED, outside_text
from lenscalc.decision.instrument import DecimalsNeeded
from lenscalc.decision.replicates import MOST_MOUNTINGS, TOO_MANY
from lenscalc.uncertainty import probability_text
from lenscalc.uncertainty.rounding import at_most, between


def show_answer(values: dict[str, Any], edition: str, warnings: Sequence[str]) -> None:
    """The whole answer, the caution last."""
    _show_decision(values)
    paragraph(f"Tolerance: {edition}. Rule: {RULE}.")
    if "rules" in values:
        _show_rules(values)
    if "yield_quantile" in values:
        _show_lot(values)
    if "contributions" in values:
        _show_contributions(values)
    if "global_risks" in values:
        _show_process(values)
    if "instrument" in values:
        _show_instrument(values)
    if "replicates" in values:
        _show_replicates(values["replicates"])
    show_end(warnings)


def _show_decision(values: dict[str, Any]) -> None:
    heading(f"Label {values['labelled_power_D']:g} D, tolerance ±{values['tolerance_D']:g} D")
    value_line("power_D", values["power_D"], values["u_power_D"])
    if not np.isnan(values["interval_lower_D"]) and values["u_power_D"] > 0:
        line("  with 95 %", between(values["interval_lower_D"], values["interval_upper_D"], values["u_power_D"], "D"))
    line("limits", f"{values['lower_limit_D']:g} to {values['upper_limit_D']:g} D")
    if not np.isnan(values["conformance_probability"]):
        line("conformance probability", probability_text(values["conformance_probability"], required=values["required_probability"]))
        if np.isnan(values["acceptance_lower_D"]):
            line("guarded acceptance limits", "none: the uncertainty leaves no zone between them")
        else:
            line("guarded acceptance limits", between(values["acceptance_lower_D"], values["acceptance_upper_D"], values["u_power_D"], "D"))
        line("verdict", values["verdict"])
    for name, what in (("largest_u_n_lens", "index"), ("largest_u_power_D", "power")):
        if name in values:
            limits = values["lower_limit_D"], values["upper_limit_D"]
            text = known_well_enough_text(values[name], values["power_D"], *limits, str(values["verdict"]))
            line(f"the {what} must be known to", text)


def _show_rules(values: dict[str, Any]) -> None:
    heading("What would other rules say?")
    for o in values["rules"]:
        if o["accepted"] is None:
            line(o["rule"], "no acceptance zone: the guard bands fill the tolerance")
            continue
        said = "accepted, wrongly" if o["accepted"] else "rejected, wrongly"
        limits = between(o["acceptance_lower_D"], o["acceptance_upper_D"], values["u_power_D"], "D")
        line(o["rule"], f"{limits}: {said} with probability {probability_text(o['risk'])}")
    if "measurement_capability" in values:
        line("measurement capability index C_m", _ratio(values["measurement_capability"]))
        line("tolerance over U (k = 2)", _ratio(values["uncertainty_ratio"]))
    paragraph(f"Guard bands are multiples of U = k·u, k = {values['rules'][0]['k']:.2f} for 95 %. The rule is to be agreed before it is measured.")


def _show_lot(values: dict[str, Any]) -> None:
    heading("And the whole lot?")
    line("u(power) that its lenses share", f"{values['u_power_common_D']:.2g} D")
    line("u(power) that each has for itself", f"{values['u_power_individual_D']:.2g} D")
    line("expected yield", probability_text(values["expected_yield"]))
    line("one lot in twenty yields less than", probability_text(values["yield_quantile"]))
    line(f"probability of a yield below {values['wanted_yield']:g}", probability_text(values["yield_below_probability"]))
    line("probability that the lot's mean is off", probability_text(values["lot_off_probability"]))
    line(f"probability that all {values['lenses_in_lot']:,} are off", probability_text(values["all_off_probability"]))
    if "remeasured" in values:
        r = values["remeasured"]
        line(f"index measured again, to u {r['u_n_lens_then']:g}", f"expected yield {probability_text(r['expected_yield'])}")
        line("  lenses saved of a thousand", f"{r['saved_per_1000'] + 0.0:.0f}, if they are cut for the new value")
    paragraph("An error of the index moves all lenses of a lot together: it does not average out over them.")


def _show_contributions(values: dict[str, Any]) -> None:
    heading("What to work on first?")
    if not values["contributions"]:
        line("nothing", "no input has an uncertainty")
    if not values["lower_limit_D"] <= values["power_D"] <= values["upper_limit_D"]:
        line("the power itself lies outside", "lenscalc recut gives the radii that bring it to its label")
        near = f"It lies {SIDE_OPEN}. " if values["verdict"] == UNDECIDED else ""
        paragraph(f"{near}{outside_text(str(values['verdict']))}")
    for c in values["contributions"][:5]:
        line(c["source"], f"{c['share']:.0%} of u²; halved, u {c['u_halved_D']:.2g} D and p {probability_text(c['probability_halved'])}")


def _show_process(values: dict[str, Any]) -> None:
    heading("What would inspection let through?")
    for r in values["global_risks"]:
        text = f"wrongly accepted {_per_thousand(r['consumers_risk'])}, wrongly rejected {_per_thousand(r['producers_risk'])} of 1000 made"
        line(r["rule"], text)
    paragraph("If every lens of this process were judged by a power of this u. Without inspection it would be as the process makes them.")


def _show_instrument(values: dict[str, Any]) -> None:
    a = values["instrument"]
    heading("Is the refractometer good enough for this lens?")
    rest = f", with the other contributions {a['u_whole_D']:.2g} D" if a["u_whole_D"] > a["u_power_D"] else ""
    line("its part of u(power)", f"{a['u_power_D']:.2g} D{rest}")
    line("one step of its display", f"{a['step_power_D']:.2g} D")
    line("a lens on its label", "can be decided" if a["decides"] else "cannot be decided at the required probability")
    line("tolerance over U (k = 2)", _ratio(a["uncertainty_ratio"]))
    if a["two_per_cent"] is not None:
        line("false acceptance", f"{_per_thousand(a['false_accept'])} of 1000 made")
    for name, key in (("ten to one", "ten_to_one"), ("four to one", "four_to_one"), ("two per cent", "two_per_cent")):
        met = "not asked: give --process-sd-D" if a[key] is None else "met" if a[key] else "not met"
        line(f"reference line, {name}", met)
    for name, text in REFERENCE_LINES.items():
        paragraph(f"{name[0].upper()}{name[1:]}: {text}.")


def _show_replicates(replicates: dict[str, Any]) -> None:
    heading("How many replicates are worth taking?")
    line("enough", f"{replicates['enough']}, the scatter is then a third of the rest (u {replicates['u_rest']:.2g})")
    for row in replicates["rows"]:
        gained = "" if np.isnan(row["last_one_gained"]) else f", the last one gained {row['last_one_gained']:.1%} of U"
        line(f"  {row['replicates']}", f"u {row['u']:.2g}, U {row['expanded']:.2g} for 95 %{gained}")
    if replicates["enough"] > MOST_MOUNTINGS:
        paragraph(TOO_MANY)
    paragraph("Replicates are new mountings of the specimen; reading one mounting again does not count.")


def show_decimals(rows: Sequence[DecimalsNeeded], edition: str, required_probability: float) -> None:
    """The table of decimals, a line a power and a column an index."""
    indices = sorted({r.n_lens for r in rows})
    heading("How many decimals of the index?")
    click.echo(f"  {'label':>6} {'tolerance':>10} " + "".join(f"{f'n {n:g}':>15}" for n in indices))
    for power in sorted({r.power_D for r in rows}):
        of = {r.n_lens: r for r in rows if r.power_D == power}
        click.echo(f"  {f'{power:g} D':>6} {f'±{of[indices[0]].tolerance_D:g} D':>10} {''.join(f'{_cell(of[n]):>15}' for n in indices)}")
    paragraph(
        f"First the largest u of the index with which a lens on its label can be decided at {required_probability:g}, nothing else being uncertain; "
        "then the fewest decimals whose rounding alone stays below it, a lower bound. In brackets by the rule of ten to one: one step of the last "
        "decimal moves the power by no more than a tenth of the tolerance (common practice, no source)."
    )
    paragraph(f"Tolerance: {edition}.")
    show_end([])


def _cell(r: DecimalsNeeded) -> str:
    return "none" if np.isnan(r.decimals) else f"{at_most(r.largest_u_n_lens)} {r.decimals:.0f} ({_count(r.decimals_ten_to_one)})"


def _count(decimals: float) -> str:
    return "-" if np.isnan(decimals) else f"{decimals:.0f}"


def _ratio(x: float) -> str:
    return "infinite: u is 0" if np.isinf(x) else f"{x:.1f}"


def _per_thousand(p: float) -> str:
    return "fewer than 0.1" if p < 1e-4 else f"{1000 * p:.1f}"
