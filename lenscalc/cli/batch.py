"""`lenscalc batch`: a file through the chain."""

from __future__ import annotations

import sys

import click

from lenscalc.batch import run_batch
from lenscalc.chain import INPUT_COLUMNS
from lenscalc.chain.table import CHOICES
from lenscalc.cli.show import show_json
from lenscalc.conditions import CAUTION
from lenscalc.decision import read_tolerance_table, shipped_tolerance_table


@click.command()
@click.argument("source")
@click.argument("target")
@click.option("--set", "constants", metavar="NAME=VALUE", multiple=True, help="A value that holds for every row, for example --set n_lens=1.49.")
@click.option("--compute", metavar="NAME", multiple=True,
              help="Only this result (may be given several times); all by default, `*` for all beside one that must be named.")  # fmt: skip
@click.option("--tolerance-table", metavar="FILE", help="A TOML file of the tolerances in force, with its edition, in place of the quoted table.")
@click.option("--columns", is_flag=True, is_eager=True, expose_value=False, help="List the columns that a table may have, and stop.",
              callback=lambda ctx, param, value: _list_columns(ctx) if value else None)  # fmt: skip
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object with the counts.")
def batch(source: str, target: str, constants: tuple[str, ...], compute: tuple[str, ...], tolerance_table: str | None, as_json: bool) -> None:
    """Evaluate a table of lenses: CSV, Parquet or Excel in and out by their endings, `-` for a pipe of CSV.

    The first line names the columns: front_radius_mm, back_radius_mm, center_thickness_mm, and n_lens or a raw reading with its conditions; u_ before
    a name for its uncertainty; labelled_power_D for a decision. A column of your own is carried along if its name starts with note_. A bad row keeps
    its place and says in `problem` what is wrong with it. The file of results appears only when it is whole.

    \b
    Example:
      lenscalc demo . && lenscalc batch candidates.csv results.csv
      lenscalc batch lenses.csv - --set n_lens=1.49 --compute power_D < /dev/null
      lenscalc batch lenses.csv images.csv --set beam=model-eye --set pupil_diameter_mm=3 --compute '*' --compute zernike_4_0_um
      lenscalc batch --columns
    """
    given = {}
    for text in constants:
        name, sign, value = text.partition("=")
        if not sign:
            raise click.UsageError(f"--set {text}: write NAME=VALUE")
        given[name.strip()] = value.strip()

    def progress(done: int, _: int) -> None:
        if sys.stderr.isatty():
            click.echo(f"\r{done:,} rows", nl=False, err=True)

    tolerances = read_tolerance_table(tolerance_table) if tolerance_table else shipped_tolerance_table()
    done = run_batch(source, target, compute=compute, constants=given, tolerance_table=tolerances, on_progress=progress)
    if sys.stderr.isatty():
        click.echo("\r", nl=False, err=True)
    if as_json and target != "-":
        show_json({"rows": done.rows, "problems": done.problems, "file": target, "tolerance_edition": tolerances.edition}, [])
        return
    click.echo(f"{done.rows:,} rows, {done.problems:,} with a problem{'' if target == '-' else f'; results in {target}'}", err=True)
    click.echo(f"Tolerance of a label without a tolerance_D: {tolerances.edition}.", err=True)
    click.echo(CAUTION, err=True)


def _list_columns(ctx: click.Context) -> None:
    from lenscalc.quantities import is_quantity, quantity

    for name in INPUT_COLUMNS:
        text = f"{quantity(name).meaning} [{quantity(name).limits_text}]" if is_quantity(name) else ", ".join(CHOICES[name])
        click.echo(f"{name:<28} {text}")
    ctx.exit(0)
