"""`lenscalc records`: what the lab keeps. Opening a store imports a database's library, so every command does it only when it runs."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from lenscalc.cli.misspelt import HelpfulGroup
from lenscalc.cli.options import json_option
from lenscalc.cli.show import heading, line, paragraph, show_end, show_json
from lenscalc.own_file import read_text
from lenscalc.quantities import counted

if TYPE_CHECKING:
    from lenscalc.records import Store

# command: the file that holds command_
_ELSEWHERE = {"chart": "records_chart", **dict.fromkeys(("again", "check", "export", "import", "merge", "backup"), "records_keep")}


class RecordsGroup(HelpfulGroup):
    """The group; commands that lie in another file are imported when they are called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """The commands in the order of the job."""
        return [*self.commands, *_ELSEWHERE]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of this name."""
        if cmd_name in _ELSEWHERE:
            command: click.Command = getattr(import_module(f"lenscalc.cli.{_ELSEWHERE[cmd_name]}"), f"{cmd_name}_")
            return command
        return super().get_command(ctx, cmd_name)


@click.group(cls=RecordsGroup)
def records() -> None:
    """What the lab keeps: every reading sheet with its readings, its settings and what came of it. Records are added, superseded and withdrawn,
    never changed.

    The store is one file in the user's data folder, or where --store (or the environment variable LENSCALC_STORE) says: a path, or
    postgresql://USER@HOST/DATABASE. No field asks for a patient or an eye: leave them out of texts of your own, too.

    \b
    Example:
      lenscalc records add my-specimen.toml
      lenscalc records list --material "copolymer B"
      lenscalc records check
    """


def store_option(f: Callable[..., Any]) -> Callable[..., Any]:
    """`--store`, the same for every command."""
    return click.option("--store", metavar="PATH|URL", help="Another place than the user's data folder: a file, or a PostgreSQL database.")(f)


def opened(store: str | None, *, create: bool = False) -> Store:
    """The store, with a word where opening it has migrated it."""
    from lenscalc.records import open_store

    found = open_store(store, create=create)
    if found.aside is not None:
        click.echo(f"The store was of an older version and has been migrated; as it was, it lies in {found.aside}", err=True)
    return found


@records.command()
@click.argument("sheets", nargs=-1, required=True, metavar="SHEET.toml|DAY.csv...")
@click.option("--shared", metavar="TOML", help="With a DAY.csv: what all its specimens share, as for `lenscalc day`.")
@click.option("--tolerance-table", metavar="FILE", help="A TOML file of the tolerances in force, with its edition; it is kept with the record.")
@click.option("--supersedes", metavar="ID", help="The record in whose place this one comes; that one stays, and is marked.")
@click.option("--because", metavar="TEXT", help="Why it is superseded.")
@store_option
@json_option
def add(
    sheets: tuple[str, ...], shared: str | None, tolerance_table: str | None, supersedes: str | None, because: str | None, store: str | None,
    as_json: bool,
) -> None:  # fmt: skip
    """Compute reading sheets and keep them: all of them, or none. With a [lens] down to the decision, without one down to the index.

    A day's CSV becomes a record a specimen, each with a sheet of its own that is made of its lines and of what all share.

    \b
    Example:
      lenscalc records add monday.toml tuesday.toml
      lenscalc records add day.csv --shared day.toml
      lenscalc records add corrected.toml --supersedes 3f2a91c04d77 --because "lot number was mistyped"
    """
    from lenscalc.cli.records_show import summary, summary_lines
    from lenscalc.decision import read_tolerance_table
    from lenscalc.records.adding import day_in_words

    if twice := next((sheet for sheet in sheets if sheets.count(sheet) > 1), ""):
        raise click.UsageError(f"{twice} is named twice")
    table = read_tolerance_table(tolerance_table) if tolerance_table else None
    texts = [text for sheet in sheets for text in _texts(sheet, shared)]
    with opened(store, create=True) as keeper:
        added = keeper.add_sheets(texts, tolerance_table=table, supersedes=supersedes, because=because)
        head, clock = keeper.head(), keeper.told_of_clock(added[0])
    days = [told for record in added if (told := day_in_words(record))]
    warnings = [*([clock] if clock else []), *days, *(row["sentence"] for record in added for row in record.rows("remarks"))]
    if as_json:
        show_json({"added": [summary(record) for record in added], "head": head}, warnings)
        return
    heading(f"Kept in {keeper.place}")
    summary_lines(added)
    line("head", head)
    show_end(dict.fromkeys(warnings))


def _texts(path: str, shared: str | None) -> list[tuple[str, str]]:
    """The sheets of a file, as text and name: one, or of a day one a specimen."""
    if Path(path).suffix.lower() != ".csv":
        return [(read_text(path), path)]
    if shared is None:
        raise click.UsageError(f"{path}: a day's readings go with what all of them share: give --shared LAB.toml")
    from lenscalc.refractometer.day_sheets import day_sheets

    # the record keeps what stands behind the last stroke of a path
    return [(text, f"{path}, specimen {name.replace('/', '-')}") for name, text in day_sheets(path, shared)]


@records.command()
@click.argument("record", metavar="ID")
@click.option("--because", metavar="TEXT", required=True, help="Why it does not stand.")
@store_option
@json_option
def withdraw(record: str, because: str, store: str | None, as_json: bool) -> None:
    """Say of a record that it does not stand, with nothing in its place: one that was added by mistake. It stays where it is, with the reason.

    It is left out of lists, series and charts; `list --all`, `show` and `history` show it, and what is printed of it says so. With a better sheet
    in its place, use `add --supersedes`. The same sheet may be added again.

    \b
    Example:
      lenscalc records withdraw 3f2a91c04d77 --because "a sheet of the training course"
    """
    with opened(store) as keeper:
        added = keeper.withdraw(record, because=because)
        head, clock = keeper.head(), keeper.told_of_clock(added)
    withdrawn = added.section("record")["supersedes"]
    if as_json:
        show_json({"withdrawn": withdrawn, "because": because, "by": added.hash, "head": head}, [clock] if clock else [])
        return
    heading(f"Record {withdrawn[:12]} is withdrawn; it stays in {keeper.place}")
    line("by record", added.id)
    line("because", because)
    line("head", head)
    if clock:
        paragraph(f"- {clock}")


@records.command("list")
@click.option("--material", help="Only this material.")
@click.option("--lot", help="Only this lot.")
@click.option("--since", metavar="DAY", help="From this day on: 2026-11-20. The day of the readings, or where the sheet has none, of adding.")
@click.option("--until", metavar="DAY", help="Up to this day.")
@click.option("--all", "everything", is_flag=True, help="Superseded and withdrawn records too.")
@store_option
@json_option
def list_(
    material: str | None, lot: str | None, since: str | None, until: str | None, everything: bool, store: str | None, as_json: bool
) -> None:
    """The records, a line each, in the order of their days.

    \b
    Example:
      lenscalc records list --material "copolymer B" --since 2026-01-01
    """
    from lenscalc.cli.records_show import SECTIONS_OF_A_LINE, summary, summary_lines

    with opened(store) as keeper:
        found = keeper.records(material=material, lot=lot, since=since, until=until, superseded=everything, sections=SECTIONS_OF_A_LINE)
        head, materials = keeper.head(), keeper.materials()
        if as_json:
            show_json({"records": [summary(record) for record in found], "head": head}, [])
            return
        heading(f"{counted(len(found), 'record')} in {keeper.place}")
        if not found and materials:
            paragraph(f"None is as asked for, letter by letter; there are records of {', '.join(materials)}.")
        summary_lines(found)
    show_end([])


@records.command()
@click.argument("record", metavar="ID")
@click.option("--sheet", "as_sheet", is_flag=True, help="Print the reading sheet as it was given, and nothing else.")
@store_option
@json_option
def show(record: str, as_sheet: bool, store: str | None, as_json: bool) -> int:
    """One record: who made it, what was read, and what came of it. ID is the beginning of its hash, four digits or more.

    Exit code 1 if it is no longer as it was added.

    \b
    Example:
      lenscalc records show 3f2a91c04d77
      lenscalc records show 3f2a --sheet > again.toml
    """
    from lenscalc.cli.records_show import CHANGED, record_values, show_record

    with opened(store) as keeper:
        found = keeper.record(record)
        if as_sheet:
            click.echo(keeper.text_of(found), nl=False)
            return 0
        changed = [] if found.gives_its_hash else [CHANGED]
        sentences = [*changed, *(row["sentence"] for row in found.rows("remarks"))]
        if as_json:
            show_json(record_values(found), sentences)
        else:
            show_record(found)
            show_end(sentences)
    return len(changed)


@records.command()
@click.argument("lot")
@click.option("--material", help="Only of this material, where two have a lot of this name.")
@store_option
@json_option
def history(lot: str, material: str | None, store: str | None, as_json: bool) -> None:
    """A lot's whole history: every record of it, superseded and withdrawn ones too, in the order in which they were added.

    \b
    Example:
      lenscalc records history B-03
    """
    from lenscalc.cli.records_show import history_lines

    with opened(store) as keeper:
        rows = keeper.history(lot, material=material)
        if as_json:
            show_json({"lot": lot, "history": rows}, [])
            return
        heading(f"Lot {lot}: {counted(len(rows), 'record')}")
        if not rows:
            paragraph("No record of this lot; `lenscalc records list` shows which there are.")
        history_lines(rows)
    show_end([])
