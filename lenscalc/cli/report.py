"""`lenscalc report`: the determination of a sheet, to print and to keep."""

from __future__ import annotations

from pathlib import Path

import click

from lenscalc.cli.options import json_option
from lenscalc.cli.sheet import sheet_text
from lenscalc.cli.show import show_json
from lenscalc.conditions import CAUTION
from lenscalc.decision import read_tolerance_table
from lenscalc.report import as_plain, check_report_path, determine, write_report


@click.command()
@click.argument("paths", nargs=-1, metavar="SHEET.toml OUT.pdf|OUT.html")
@click.option("--demo", is_flag=True, help="Take the demo sheet that comes with the package; only OUT is given.")
@click.option("--tolerance-table", metavar="FILE", help="A TOML file of the tolerances in force, with its edition, in place of the quoted table.")
@json_option
def report(paths: tuple[str, ...], demo: bool, tolerance_table: str | None, as_json: bool) -> None:
    """Print a determination: what was read, how it became the index in use, budget, lens, power, decision, sources, checksums, signatures.

    OUT.pdf is a tagged PDF, OUT.html one file that needs nothing beside it. The same sheet and version give the same bytes; an older file of
    that name is replaced, and only by a whole one. --json prints what is in it, and then OUT may be left out. A sheet without a lens goes as
    far as the index.

    \b
    Example:
      lenscalc report --demo determination.pdf
      lenscalc report my-specimen.toml my-specimen.html
    """
    sheets, out = ([], list(paths)) if demo else (list(paths[:1]), list(paths[1:]))
    if len(out) > 1 or (not demo and not sheets):
        raise click.UsageError("give one reading sheet and one OUT.pdf or OUT.html (with --demo only OUT)")
    if not out and not as_json:
        raise click.UsageError("missing OUT: a name that ends in .pdf or .html")
    if out:
        check_report_path(out[0])
        if sheets and _same(sheets[0], out[0]):
            raise click.UsageError(f"{out[0]} is the sheet itself; give another name")
    text, name = sheet_text(sheets[0] if sheets else None, demo)
    table = read_tolerance_table(tolerance_table) if tolerance_table else None
    determined = determine(text, name=name, tolerance_table=table)
    if out:
        write_report(determined, out[0])
    if as_json:
        tree = {name: part for name, part in as_plain(determined.tree).items() if name not in ("warnings", "caution")}
        show_json({"file": out[0] if out else None, **tree}, determined.tree.warnings)
        return
    click.echo(f"{out[0]}: {determined.tree.title}")
    for figure in determined.tree.short:
        click.echo(f"  {figure.label:<24} {figure.text}")
    click.echo(CAUTION, err=True)


def _same(one: str, other: str) -> bool:
    return Path(other).exists() and Path(one).exists() and Path(one).samefile(other)
