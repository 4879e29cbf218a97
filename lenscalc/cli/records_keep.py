"""`lenscalc records`: the commands that keep a store safe."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from lenscalc.cli.options import json_option
from lenscalc.cli.records import opened, store_option
from lenscalc.cli.show import heading, line, paragraph, show_end, show_json
from lenscalc.own_file import refuse_other_ending
from lenscalc.quantities import counted

if TYPE_CHECKING:
    from lenscalc.records import Gathered, Store

_MANY = 40  # differences printed one by one


@click.command("check")
@click.option("--head", metavar="HASH", help="A head that was printed earlier: the store must still hold what it held then.")
@store_option
@json_option
def check_(head: str | None, store: str | None, as_json: bool) -> int:
    """Check every record against its hash, every link between records, and the locks. Exit code 1 if something is no longer as it was added.

    The last records of a store can be cut off without a trace inside it: compare with a head that was printed earlier.

    \b
    Example:
      lenscalc records check
      lenscalc records check --head 4be1f0a2...
    """
    with opened(store) as keeper:
        found = keeper.check(head=head)
    code = 1 if found.problems else 0
    if as_json:
        show_json({"records": found.records, "head": found.head, "problems": list(found.problems)}, found.remarks)
        return code
    heading(f"{counted(found.records, 'record')} in {keeper.place}")
    line("head", found.head)
    for sentence in (*found.problems, *found.remarks):
        paragraph(f"- {sentence}")
    paragraph("Something is no longer as it was added." if found.problems else "Every record gives its hash, and every link holds.")
    return code


@click.command("again")
@click.argument("record", metavar="ID")
@store_option
@json_option
def again_(record: str, store: str | None, as_json: bool) -> int:
    """Compute a record again from its sheet and its settings, and compare every value. Exit code 1 if it does not come out as it must.

    The same version with the same libraries on the same kind of processor gives the same bits; another processor or library stays within 1e-13 of
    each value, or of 1 where the value is smaller. What another version does otherwise is shown.

    \b
    Example:
      lenscalc records again 3f2a91c04d77
    """
    with opened(store) as keeper:
        kept = keeper.record(record)
        found = keeper.again(kept)
    code = 0 if found.holds else 1
    if as_json:
        differences = [{"field": d.field, "then": d.then, "now": d.now} for d in found.differences]
        values = {"id": kept.id, "outcome": found.outcome, "holds": found.holds, "differences": differences}
        show_json({**values, "then": dict(found.then), "now": dict(found.now)}, [found.refusal] if found.refusal else [])
        return code
    heading(f"Record {kept.id}, computed again: {found.outcome}")
    for name, then in found.then.items():
        now = found.now[name]
        line(name, then if then == now else f"{then} then, {now} now")
    if found.refusal:
        paragraph(f"This version does not take the sheet: {found.refusal}")
    for d in found.differences[:_MANY]:
        line(f"  {d.field}", f"{_text(d.then)} then, {_text(d.now)} now")
    if len(found.differences) > _MANY:
        line("", f"and {len(found.differences) - _MANY} more")
    if found.is_same_maker and not found.holds:
        paragraph("The same version on the same kind of machine owes the same bits: was the store changed? `lenscalc records check` looks.")
    show_end([])
    return code


@click.command("export")
@click.argument("target", metavar="FILE.zip")
@store_option
@json_option
def export_(target: str, store: str | None, as_json: bool) -> None:
    """Write everything to one zip file: records as JSON, tables as CSV to read elsewhere, the sheets as they were given.

    \b
    Example:
      lenscalc records export lab-2026.zip
    """
    refuse_other_ending(target, ".zip")
    with opened(store) as keeper:
        count, head = keeper.export(target), keeper.head()
    if as_json:
        show_json({"records": count, "head": head, "file": target}, [])
        return
    click.echo(f"{counted(count, 'record')} in {target}; head {head}")


@click.command("import")
@click.argument("source", metavar="FILE.zip")
@store_option
@json_option
def import_(source: str, store: str | None, as_json: bool) -> None:
    """Take in an exported file: what is here already is passed over. A file that was changed, or is none, is refused as a whole.

    What is new is computed again from its sheets; a record that does not come out again is taken in and told.

    \b
    Example:
      lenscalc records import lab-2026.zip --store second.db
    """
    from lenscalc.cli.progress import progress_line  # brings the room of tables, which no other of these commands needs

    show, end = progress_line("records")
    with opened(store, create=True) as keeper:
        found = keeper.import_file(source, on_progress=show)
        end()
        _show_gathered(found, keeper, as_json)


@click.command("merge")
@click.argument("other", metavar="PATH|URL")
@store_option
@json_option
def merge_(other: str, store: str | None, as_json: bool) -> None:
    """Take in everything of another computer's store; that one stays as it is. Merging twice adds nothing.

    What is new is computed again from its sheets; a record that does not come out again is taken in and told.

    \b
    Example:
      lenscalc records merge laptop.db
    """
    from lenscalc.cli.progress import progress_line
    from lenscalc.records import open_copy

    show, end = progress_line("records")
    with open_copy(other) as theirs, opened(store, create=True) as keeper:
        found = keeper.merge(theirs, on_progress=show)
        end()
        _show_gathered(found, keeper, as_json)


@click.command("backup")
@click.argument("target", metavar="FILE")
@store_option
@json_option
def backup_(target: str, store: str | None, as_json: bool) -> None:
    """A whole copy of the store, taken while others go on adding; of a PostgreSQL database, its export.

    To go on with a copy, take the original away: where both are added to, the chain forks.

    \b
    Example:
      lenscalc records backup records-2026-11-20.db
    """
    with opened(store) as keeper:
        keeper.backup(target)
        what = "a store" if keeper.database.is_file else "an export, to be imported"
    if as_json:
        show_json({"file": target, "is": what}, [])
        return
    click.echo(f"{target}: {what}")


def _show_gathered(found: Gathered, keeper: Store, as_json: bool) -> None:
    head = keeper.head()
    if as_json:
        counts = {"added": found.added, "already_here": found.already_here, "not_the_same": len(found.not_the_same)}
        show_json({**counts, "head": head}, [*found.forks, *found.not_the_same])
        return
    click.echo(f"{counted(found.added, 'record')} taken in, {found.already_here} were here already; head {head}")
    for sentence in (*found.forks, *found.not_the_same[:_MANY]):
        paragraph(f"- {sentence}")
    if len(found.not_the_same) > _MANY:
        paragraph(f"- and {counted(len(found.not_the_same) - _MANY, 'record')} more that did not come out again; --json names them all")


def _text(value: object) -> str:
    return "nothing" if value is None else repr(value) if isinstance(value, float) else str(value)
