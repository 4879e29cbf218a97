"""`lenscalc index`: the first part of the main job."""

from __future__ import annotations

from typing import Any

import click

from lenscalc.chain import Followed, follow_index
from lenscalc.cli.options import json_option
from lenscalc.cli.sheet import sheet_argument, wanted_sheet
from lenscalc.cli.show import heading, line, show_end, show_json
from lenscalc.quantities import counted
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
        dof = f", {counted(b.dof, 'degree of freedom', 'degrees of freedom', '.3g')}" if b.dof < 1000 else ""
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
        **_dispersion_values(followed),
        "steps": [
            {"step": s.name, "n": float(s.n.value[0]), "u": float(s.n.u[0]), "share": share, "note": s.note}
            for s, share in zip(use.steps, use.shares(), strict=True)
        ],
        "budget": [b._asdict() for b in budget(use.n)],
    }


def _dispersion_values(followed: Followed) -> dict[str, Any]:
    d = followed.read.dispersion
    if d is None or len({r.wavelength_nm for r in followed.sheet.readings}) < 2:  # one line: the Abbe number is the one that was stated
        return {}
    return {"abbe_d": d.abbe_d, "u_abbe_d": d.u_abbe_d, "abbe_e": d.abbe_e, "u_abbe_e": d.u_abbe_e}


def show_index(followed: Followed) -> None:
    """The steps from the reading to the index in use: value, u, and the share of the final u² that entered with each."""
    sheet = followed.sheet
    heading(f"{sheet.title} ({sheet.provenance})")
    for r in sheet.readings:
        line("read", f"{r.wavelength_nm:g} nm, {r.temperature_degC:g} °C, {sheet.specimen['state']}, {counted(len(r.n), 'replicate')}")
    heading("Which index will the lens have in the eye?")
    use = followed.index
    for s, share in zip(use.steps, use.shares(), strict=True):
        note = f"  {s.note}" if s.note else ""
        line(s.name, f"{with_u(float(s.n.value[0]), float(s.n.u[0])):<22} {share:4.0%} of u²{note}")
    values = _dispersion_values(followed)
    if values and values["u_abbe_d"]:
        line("Abbe number V_d", with_u(values["abbe_d"], values["u_abbe_d"]))
