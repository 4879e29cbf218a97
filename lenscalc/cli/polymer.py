"""`lenscalc polymer`: published polymers, each with its paper."""

from __future__ import annotations

from itertools import groupby
from typing import Any

import click

from lenscalc.cli.options import json_option
from lenscalc.cli.show import heading, line, paragraph, show_end, show_json
from lenscalc.conditions import LINES_NM
from lenscalc.material.polymer_form import FORMS
from lenscalc.material.polymer_library import polymer as polymer_of
from lenscalc.material.polymer_library import polymers
from lenscalc.material.polymer_record import Polymer
from lenscalc.uncertainty.rounding import with_u

NOT_THE_LOT = (
    "a published value is not the lot in hand: between papers PMMA differs by 0.002 and PDMS by 0.03 in index; it shows what to expect, "
    "and never replaces a reading"
)
ABBE = "an Abbe number of a fit to values measured to 0.001 may be off by a sixth: the entry says what it was fitted to"
LINES = ("d", "e", "F", "C")


@click.command()
@click.argument("name", required=False)
@click.option("--wavelength-nm", type=float, multiple=True, metavar="nm", help="Index here instead of at the lines d, e, F, C; may be repeated.")
@click.option("--file", metavar="FILE.toml", help="A file of your own materials beside the published ones and those of ~/.lenscalc/polymers.")
@json_option
def polymer(name: str | None, wavelength_nm: tuple[float, ...], file: str | None, as_json: bool) -> None:
    """Published dispersions of polymers: all of them in a list, or one with its paper, form, range and indices.

    Your own materials go into .toml files in ~/.lenscalc/polymers, or into one named with --file: a [source] with measured_by, measured_on and
    method, and for each material a table [polymer.KEY] with material, form, coefficients, range_nm, basis and u_n.

    \b
    Example:
      lenscalc polymer
      lenscalc polymer pmma_beadie_2015 --wavelength-nm 546.07
    """
    if name is not None:
        show_one(polymer_of(name, file=file), wavelength_nm, as_json)
    elif wavelength_nm:
        raise click.UsageError("--wavelength-nm needs the name of a polymer; `lenscalc polymer` lists them")
    else:
        show_all(polymers(file=file), as_json)


def show_all(found: tuple[Polymer, ...], as_json: bool) -> None:
    """The list, by material."""
    rows = [{**_head(p), "n_e": float(p.n(LINES_NM["e"])) if p.covers(LINES_NM["e"]) else None, "abbe_d": p.abbe_d, "paper": p.paper} for p in found]
    rows.sort(key=lambda row: (row["material"].lower(), row["key"]))
    if as_json:
        show_json({"polymers": rows}, [NOT_THE_LOT, ABBE])
        return
    for material, of_it in groupby(rows, key=lambda row: str(row["material"])):
        heading(material)
        for row in of_it:
            n_e, abbe_d, at = row["n_e"], row["abbe_d"], row["temperature_degC"]
            index, abbe = f"{n_e:.4f}" if n_e else "-", f"{abbe_d:.1f}" if abbe_d else "-"
            within, warmth = "{:g}-{:g} nm".format(*row["range_nm"]), f"{at:g} °C" if at is not None else "-"
            line(row["key"], f"n_e {index:<7} V_d {abbe:<5} {within:<14} {warmth:<8} {row['paper']}")
    show_end([NOT_THE_LOT, ABBE])


def show_one(p: Polymer, wavelength_nm: tuple[float, ...], as_json: bool) -> None:
    """One polymer, with its indices and what to mind."""
    wanted = {f"{w:g} nm": w for w in wavelength_nm} or {x: LINES_NM[x] for x in LINES if p.covers(LINES_NM[x])}
    n = {at: float(p.n(w)) for at, w in wanted.items()}
    if as_json:
        values = {"form": p.form, "formula": FORMS[p.form].formula, "coefficients": dict(p.coefficients), "u_n": p.u_n, "u_n_from": p.u_n_from}
        indices = [{"at": at, "wavelength_nm": w, "n": n[at]} for at, w in wanted.items()]
        show_json({**_head(p), **values, "indices": indices, "abbe_d": p.abbe_d, "source": vars(p.source)}, _mind(p))
        return
    heading(f"{p.material} ({p.key})")
    paragraph(p.source.in_words)
    line("form", FORMS[p.form].formula)
    for name, numbers in p.coefficients.items():
        line(f"  {name}", "  ".join(f"{x:g}" if x == float(f"{x:g}") else repr(x) for x in numbers))
    line("range", f"{p.range_nm[0]:g} to {p.range_nm[1]:g} nm")
    line("temperature", f"{p.temperature_degC:g} °C" if p.temperature_degC is not None else "not stated")
    line("basis", "unknown: relative to air or to vacuum is not stated" if p.basis == "unknown" else f"relative to {p.basis}")
    line("u of the index", f"{p.u_n:.1e}{f' ({p.u_n_from})' if p.u_n_from else ''}" if p.u_n is not None else "not stated")
    heading("Index")
    for at, w in wanted.items():
        line(at if wavelength_nm else f"{at} ({w:.2f} nm)", with_u(n[at], p.u_n) if p.u_n is not None else f"{n[at]:.4f}")
    if not wanted:
        line("none of the lines d, e, F, C", "lies in the range; ask with --wavelength-nm")
    if p.abbe_d is not None:
        line("Abbe number V_d", f"{p.abbe_d:.1f}")
    show_end(_mind(p))


def _head(p: Polymer) -> dict[str, Any]:
    return {"key": p.key, "material": p.material, "range_nm": list(p.range_nm), "temperature_degC": p.temperature_degC, "basis": p.basis}


def _mind(p: Polymer) -> list[str]:
    found = [NOT_THE_LOT if not p.own else f"an own entry, {p.paper}: not the lot in hand unless it was measured on it"]
    if p.basis == "unknown":
        found.append("the basis is unknown: relative to air and to vacuum differ by 0.0004, about 0.05 D on a 20 D lens")
    if p.source.seen == "quoted":
        found.append("the coefficients are quoted: they were not read in the paper itself")
    return [*found, p.note] if p.note else found
