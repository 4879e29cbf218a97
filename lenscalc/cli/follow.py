"""`lenscalc follow`: the main job."""

from __future__ import annotations

from typing import Any

import click

from lenscalc.chain import Followed, back_focus_in_words, improve_first, lens_in_words
from lenscalc.chain import follow as follow_sheet
from lenscalc.cli.index import index_values, show_index
from lenscalc.cli.options import json_option
from lenscalc.cli.sheet import sheet_argument, wanted_sheet
from lenscalc.cli.show import heading, line, paragraph, show_end, show_json, value_line
from lenscalc.decision import REQUIRED_PROBABILITY, RULE, lot_forecast, read_tolerance_table
from lenscalc.decision.adequacy import known_well_enough_text
from lenscalc.eye import TEACHING_EYE, in_words
from lenscalc.uncertainty import budget, probability_text
from lenscalc.uncertainty.rounding import between, fixed


@click.command()
@sheet_argument
@click.option("--tolerance-table", metavar="FILE", help="A TOML file of the tolerances in force, with its edition, in place of the quoted table.")
@json_option
def follow(sheet: str | None, demo: bool, tolerance_table: str | None, as_json: bool) -> None:
    """Follow one reading sheet all the way: reading, index in use, power, decision, refraction.

    The sheet is a TOML file; `lenscalc demo` copies some out to start from.

    \b
    Example:
      lenscalc follow --demo
      lenscalc follow my-specimen.toml --json
    """
    table = read_tolerance_table(tolerance_table) if tolerance_table else None
    followed = follow_sheet(wanted_sheet(sheet, demo), tolerance_table=table)
    if as_json:
        show_json(_values(followed), followed.warnings)
        return
    show_index(followed)
    _show_power(followed)
    _show_decision(followed)
    show_end(followed.warnings)


def _values(followed: Followed) -> dict[str, Any]:
    columns = {name: column[0] for name, column in followed.evaluation.columns.items()}
    return {
        **index_values(followed),
        **{name: value for name, value in followed.row.items() if name not in ("index_state", "index_basis")},
        **{name: value for name, value in columns.items() if name not in ("n_lens", "u_n_lens", "verdict")},
        "verdict": columns.get("verdict") or None,
        "tolerance_edition": followed.tolerance_from,
        "rule": RULE,
        "eye": in_words(TEACHING_EYE),
        "power_budget": [b._asdict() for b in budget(followed.evaluation.estimates["power_D"])],
    }


def _show_power(followed: Followed) -> None:
    only = followed.evaluation.only
    heading("How strong is a lens of it?")
    line("lens", lens_in_words(followed.row))
    value_line("power_D", only("power_D"), only("u_power_D"))
    if only("interval_lower_D") is not None:
        line("95 % interval of the power", between(only("interval_lower_D"), only("interval_upper_D"), only("u_power_D"), "D"))
    line("  of which common to the lot", f"u {only('u_power_common_D'):.2g} D")
    line("  of which each lens's own", f"u {only('u_power_individual_D'):.2g} D")
    line("back focal length", back_focus_in_words(followed))
    line("0.001 more index", f"{fixed(only('d_power_d_n_lens') / 1000, 3, '+')} D")
    for b in budget(followed.evaluation.estimates["power_D"])[:4]:
        line(f"  {b.source}", f"{fixed(b.part, 3, '+')} D  ({b.share:.0%} of u²)")
    if "n_measured_medium" in followed.row:
        value_line("power_in_measured_medium_D", only("power_in_measured_medium_D"), only("u_power_in_measured_medium_D"))
        paragraph("The power in the measured medium is a quantity of its own and is never decided on.")


def _show_decision(followed: Followed) -> None:
    only = followed.evaluation.only
    heading("Would it conform?")
    if "labelled_power_D" not in followed.row:
        line("no label, no probability", f"nearest half dioptre {only('proposed_label_D'):g} D, a proposal only")
        return
    label, lower, upper = followed.row["labelled_power_D"], only("lower_limit_D"), only("upper_limit_D")
    line("label and limits", f"{label:g} D, {lower:g} to {upper:g} D")
    if only("conformance_probability") is None:
        line("decision", "none: see below")
    else:
        required = followed.row.get("required_probability", REQUIRED_PROBABILITY)
        line("conformance probability", probability_text(only("conformance_probability"), required=required))
        line("probability that the lot is off", probability_text(only("lot_off_probability")))
        common = followed.evaluation.estimates["power_D"].dof_where(lambda source: source.is_common)[0]
        lot = lot_forecast(only("power_D"), only("u_power_common_D"), only("u_power_individual_D"), lower, upper, dof_common=float(common))
        line("yield of the worst lot in twenty", probability_text(float(lot.yield_quantile)))
        if only("acceptance_lower_D") is None:
            line("guarded acceptance limits", "none: the uncertainty leaves no zone between them")
        else:
            line("guarded acceptance limits", between(only("acceptance_lower_D"), only("acceptance_upper_D"), only("u_power_D"), "D"))
        line("verdict", str(only("verdict")))
    line("the index must be known to", known_well_enough_text(only("largest_u_n_lens"), only("power_D"), lower, upper, str(only("verdict"))))
    paragraph(f"Tolerance: {followed.tolerance_from}.")
    first = improve_first(followed)
    if first is not None:
        heading("What to improve first?")
        for sentence in (first.answer, *first.more):
            paragraph(sentence)
    if only("refraction_shift_D") is not None:
        heading("What would the eye notice?")
        value_line("refraction_shift_D", only("refraction_shift_D"), only("u_refraction_shift_D"))
        paragraph(f"Refraction with this power minus with the labelled power; {in_words(TEACHING_EYE)}.")
