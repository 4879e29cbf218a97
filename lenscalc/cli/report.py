"""`lenscalc report`: the determination of a sheet or of a record, to print and to keep."""

from __future__ import annotations

from pathlib import Path

import click

from lenscalc.cli.options import json_option
from lenscalc.cli.sheet import sheet_text
from lenscalc.cli.show import show_json
from lenscalc.conditions import CAUTION
from lenscalc.decision import read_tolerance_table
from lenscalc.report import Determined, as_plain, check_report_path, determine, determine_record, write_report

LEAST = 4  # digits that name a record


@click.command()
@click.argument("paths", nargs=-1, metavar="SHEET.toml|RECORD_ID OUT.pdf|OUT.html")
@click.option("--demo", is_flag=True, help="Take the demo sheet that comes with the package; only OUT is given.")
@click.option("--tolerance-table", metavar="FILE", help="A TOML file of the tolerances in force, with its edition, in place of the quoted table.")
@click.option("--store", metavar="PATH|URL", help="Where the record is kept, if not in the user's data folder: a file, or a PostgreSQL database.")
@json_option
def report(paths: tuple[str, ...], demo: bool, tolerance_table: str | None, store: str | None, as_json: bool) -> None:
    """Print a determination: what was read, how it became the index in use, budget, lens, power, decision, sources, checksums, signatures.

    OUT.pdf is a tagged PDF, OUT.html one file that needs nothing beside it. The same sheet and version give the same bytes; an older file of
    that name is replaced, and only by a whole one. --json prints what is in it, and then OUT may be left out. A sheet without a lens goes as
    far as the index.

    In place of a sheet a record is named, by the first digits of its hash: it is computed again from its kept sheet by its own tolerances, its name
    and the head of its store stand on the print, and where a figure does not come out as the record holds it, nothing is printed.

    \b
    Example:
      lenscalc report --demo determination.pdf
      lenscalc report my-specimen.toml my-specimen.html
      lenscalc report 3f2a91c04d77 determination.pdf
    """
    sources, out = ([], list(paths)) if demo else (list(paths[:1]), list(paths[1:]))
    if len(out) > 1 or (not demo and not sources):
        raise click.UsageError("give one reading sheet, or a record's id, and one OUT.pdf or OUT.html (with --demo only OUT)")
    if not out and not as_json:
        raise click.UsageError("missing OUT: a name that ends in .pdf or .html")
    if out:
        check_report_path(out[0])
        if sources and _same(sources[0], out[0]):
            raise click.UsageError(f"{out[0]} is the sheet itself; give another name")
    if store is not None and demo:
        raise click.UsageError("--store goes with a record's id, not with --demo")
    if sources and (store is not None or _names_a_record(sources[0])):
        if tolerance_table:
            raise click.UsageError("a record has its own tolerance table, by which it was decided: leave --tolerance-table out")
        determined = _of_record(sources[0], store)
    else:
        text, name = sheet_text(sources[0] if sources else None, demo)
        table = read_tolerance_table(tolerance_table) if tolerance_table else None
        determined = determine(text, name=name, tolerance_table=table)
    if out:
        write_report(determined, out[0])
    if as_json:
        tree = {name: part for name, part in as_plain(determined.tree).items() if name not in ("warnings", "caution")}
        show_json({"file": out[0] if out else None, **tree}, determined.tree.warnings)
        return
    click.echo(f"{out[0]}: {determined.tree.title}")
    for figure in (*determined.tree.short, *(f for f in determined.tree.stands_on if f.quantity in ("record_id", "again"))):
        click.echo(f"  {figure.label:<32} {figure.text}")
    click.echo(CAUTION, err=True)


def _names_a_record(source: str) -> bool:
    """Whether this is a record's id; a file of that name goes first."""
    return len(source) >= LEAST and set(source.lower()) <= set("0123456789abcdef") and not Path(source).exists()


def _of_record(name: str, store: str | None) -> Determined:
    from lenscalc.cli.records import opened

    with opened(store) as keeper:
        return determine_record(keeper, keeper.record(name))


def _same(one: str, other: str) -> bool:
    return Path(other).exists() and Path(one).exists() and Path(one).samefile(other)
