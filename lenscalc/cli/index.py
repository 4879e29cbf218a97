"""`lenscalc index`: the first part of the main job."""

from __future__ import annotations

from typing import Any

import click

from lenscalc.chain import Followed, follow_index
from lenscalc.cli.options import json_option
from lenscalc.cli.sheet import sheet_argument, wanted_sheet
from lenscalc.cli.show import heading, line, show_end, show_json
from lenscalc.uncertainty import budget, coverage_factor, with_u


@click.command()
@sheet_argument
@json_option
def index(sheet: str | None, demo: bool, as_json: bool) -> None:
    """The index that the polymer has in the eye: 546.07 nm, 35 °C, wet, relative to air, step by step with its budget.

    \b
    Example:
      lenscalc index --demo
      lenscalc index my-specimen.toml --json
    """
    followed = follow_index(wanted_sheet(sheet, demo))
    if as_json:
        show_json(index_values(followed), followed.warnings)
        return
    show_index(followed)
    heading("Where its uncertainty comes from")
    for b in budget(followed.index.n):
        dof = "" if b.dof == float("inf") else f", {b.dof:g} degrees of freedom"
        line(b.source, f"{b.part:+.1e}  {b.share:4.0%}  ({b.scope}'s, {b.distribution}{dof})")
    show_end(followed.warnings)


def index_values(followed: Followed) -> dict[str, Any]:
    """What JSON says of the index in use."""
    use = followed.index
    n, u, dof = float(use.n.value[0]), float(use.n.u[0]), float(use.n.dof[0])
    k = float(coverage_factor(0.95, dof))
    return {
        "n_lens": n,
        "u_n_lens": u,
        "dof_n_lens": dof,
        "coverage_factor": k,
        "expanded_u_n_lens": k * u,
        "wavelength_nm": use.wavelength_nm,
        "temperature_degC": use.temperature_degC,
        "basis": use.basis,
        "provenance": followed.sheet.provenance,
        "steps": [{"step": s.name, "n": float(s.n.value[0]), "u": float(s.n.u[0])} for s in use.steps],
        "budget": [b._asdict() for b in budget(use.n)],
    }


def show_index(followed: Followed) -> None:
    """The steps from the reading to the index in use."""
    sheet = followed.sheet
    heading(f"{sheet.title} ({sheet.provenance})")
    first = sheet.readings[0]
    line("read", f"{first.wavelength_nm:g} nm, {first.temperature_degC:g} °C, {sheet.specimen['state']}, {len(first.n)} replicate(s)")
    heading("Which index will the lens have in the eye?")
    for s in followed.index.steps:
        line(s.name, with_u(float(s.n.value[0]), float(s.n.u[0])))
