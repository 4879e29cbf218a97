"""`lenscalc verify`: the reference cases."""

from __future__ import annotations

import sys

import click

from lenscalc.cli.options import json_option
from lenscalc.cli.show import show_json
from lenscalc.verify import run, worst_by_source


@click.command()
@click.option("--every", is_flag=True, help="Print every value, not only the least good of each source.")
@json_option
def verify(every: bool, as_json: bool) -> None:
    """Recompute every reference case and print it with its source: keep the output as the check of an installation.

    Exit code 1 if a value does not agree.

    \b
    Example:
      lenscalc verify
      lenscalc verify --every > installation-check.txt
    """
    lines = run()
    wrong = [x for x in lines if not x.agrees]
    if as_json:
        show_json({"values": len(lines), "agree": len(lines) - len(wrong), "lines": [x._asdict() for x in lines]}, [])
    else:
        if every:
            for x in lines:
                click.echo(f"{'agrees' if x.agrees else 'DIFFERS'}  {x.case}.{x.quantity} = {x.computed:.12g}, printed {x.expected}  [{x.source}]")
        for worst in worst_by_source(lines):
            click.echo(f"{worst.agree:>3} of {worst.values:<3} agree, worst at {worst.worst:5.2f} of its tolerance  {worst.source}")
        click.echo(f"{len(lines) - len(wrong)} of {len(lines)} values agree")
    if wrong:
        sys.exit(1)
