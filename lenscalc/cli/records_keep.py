"""`lenscalc records`: the commands that keep a store safe."""

from __future__ import annotations

import click

from lenscalc.cli.options import json_option
from lenscalc.cli.records import opened, store_option
from lenscalc.cli.show import heading, line, paragraph, show_json


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
      lenscalc records check --head 4be1...
    """
    with opened(store) as keeper:
        found = keeper.check(head=head)
    code = 1 if found.problems else 0
    if as_json:
        show_json({"records": found.records, "head": found.head, "problems": list(found.problems)}, found.remarks)
        return code
    heading(f"{found.records} record(s) in {keeper.place}")
    line("head", found.head)
    for sentence in (*found.problems, *found.remarks):
        paragraph(f"- {sentence}")
    paragraph("Something is no longer as it was added." if found.problems else "Every record gives its hash, and every link holds.")
    return code
