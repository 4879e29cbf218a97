"""`lenscalc day`: the readings of many specimens, a line a specimen."""

from __future__ import annotations

import csv
import io
from pathlib import Path
from typing import Any

import click

from lenscalc.batch.write import refuse_a_table
from lenscalc.chain import follow, follow_index
from lenscalc.cli.options import json_option
from lenscalc.cli.show import heading, line, paragraph, show_end, show_json
from lenscalc.errors import FileError, InputError, SheetError
from lenscalc.own_file import read_text, refuse_other_ending, tables_in, write_whole
from lenscalc.refractometer.day import DaySpecimen, read_day
from lenscalc.uncertainty import with_u

RESULTS = ("n_lens", "u_n_lens", "dof_n_lens", "power_D", "u_power_D", "conformance_probability", "verdict")


@click.command()
@click.argument("readings")
@click.argument("out", required=False)
@click.option("--shared", required=True, help="TOML of what all specimens share: the tables of a reading sheet.")
@json_option
def day(readings: str, out: str | None, shared: str, as_json: bool) -> None:
    """A day's readings of many specimens: CSV with a line a reading, beside a TOML of what all of them share.

    Columns: specimen and n, then what differs between lines: wavelength_nm, temperature_degC, mounting, session, operator,
    minutes_after_mounting, direction, basis, u_temperature_degC, u_wavelength_nm, u_repeatability, dof_repeatability, u_session, dof_session; and
    between specimens: material, lot, state, preparation, u_specimen_to_lens, labelled_power_D; abbe_d, dn_dt_per_K, hydration_shift,
    water_mass_fraction_wet and dry_density_kg_per_m3, each with its u_; mass_wet_g, mass_dry_g and u_mass_g. The TOML is a reading sheet without
    readings: its [reading], in single brackets, holds what all lines have in common. With a [lens] in it the power follows too. OUT is a CSV.
    READINGS may be parted by semicolons or tabs instead, then also with decimal commas.

    \b
    Example:
      lenscalc demo trial
      lenscalc day trial/day.csv --shared trial/day.toml results.csv
    """
    if out and any(Path(out).resolve() == Path(given).resolve() for given in (readings, shared)):
        raise FileError(f"{out}: would overwrite what is read; name another file")
    if out:
        refuse_other_ending(out, ".csv")
        refuse_a_table(out)
    rows: list[dict[str, Any]] = []
    told: dict[str, list[str]] = {}
    for specimen in read_day(readings, _shared(shared)):
        row, sentences = _row(specimen)
        rows.append(row)
        for sentence in sentences:
            told.setdefault(sentence, []).append(specimen.name)
    warnings = [f"{_whose(names, len(rows))}: {sentence}" for sentence, names in told.items()]
    if out:
        _write(out, rows)
    if as_json:
        show_json({"specimens": rows}, warnings)
        return
    heading("Which index will each have in the eye?")
    for row in rows:
        if row["problem"]:
            line(row["specimen"], "not computed")
            paragraph(row["problem"])
            continue
        power = f"   {with_u(row['power_D'], row['u_power_D'], 'D')}" if row["power_D"] is not None else ""
        line(row["specimen"], f"{with_u(row['n_lens'], row['u_n_lens'])}{power}")
    show_end(warnings)


def _whose(names: list[str], count: int) -> str:
    """Who a sentence is told of: a day of many specimens says it once."""
    if 1 < len(names) == count:
        return f"all {count} specimens"
    more = f" and {len(names) - 5} more" if len(names) > 5 else ""
    return ", ".join(names[:5]) + more


def _shared(path: str) -> dict[str, Any]:
    return tables_in(read_text(path), path, error=SheetError)


def _row(specimen: DaySpecimen) -> tuple[dict[str, Any], list[str]]:
    row: dict[str, Any] = {"specimen": specimen.name, **dict.fromkeys(RESULTS), "problem": specimen.problem}
    if specimen.sheet is None:
        return row, []
    try:
        followed = follow(specimen.sheet) if specimen.sheet.lens else follow_index(specimen.sheet)
    except InputError as error:
        return {**row, "problem": str(error)}, []
    n = followed.index.n
    row |= {"n_lens": float(n.value[0]), "u_n_lens": float(n.u[0]), "dof_n_lens": float(n.dof[0])}
    if specimen.sheet.lens:
        row |= {name: None if (value := followed.evaluation.only(name)) == "" else value for name in RESULTS[3:]}
    return row, followed.warnings


def _write(path: str, rows: list[dict[str, Any]]) -> None:
    table = io.StringIO()
    writer = csv.DictWriter(table, ["specimen", *RESULTS, "problem"], lineterminator="\n")
    writer.writeheader()
    writer.writerows({k: "" if v is None else v for k, v in row.items()} for row in rows)
    write_whole(path, table.getvalue())
