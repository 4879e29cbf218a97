"""`lenscalc batch`: a file through the chain."""

from __future__ import annotations

from typing import Any

import click

from lenscalc.batch import check_batch, run_batch
from lenscalc.cli.progress import progress_line
from lenscalc.cli.show import show_json
from lenscalc.cli.stopped import end_stopped
from lenscalc.conditions import CAUTION
from lenscalc.decision import ToleranceTable, read_tolerance_table, shipped_tolerance_table

SEPARATORS = {"comma": ",", "semicolon": ";", "tab": "\t", ",": ",", ";": ";", "\t": "\t"}
DECIMALS = {"point": ".", "comma": ",", ".": ".", ",": ","}


@click.command()
@click.argument("source", required=False)
@click.argument("target", required=False)
@click.option("--set", "constants", metavar="NAME=VALUE", multiple=True, help="A value that holds for every row, for example --set n_lens=1.49.")
@click.option("--compute", metavar="NAME", multiple=True,
              help="Only this result (may be given several times); all by default, `*` for all beside one that must be named.")  # fmt: skip
@click.option("--tolerance-table", metavar="FILE", help="A TOML file of the tolerances in force, with its edition, in place of the quoted table.")
@click.option("--resume", is_flag=True, help="Go on where an interrupted run of the same input and settings stopped; keep finished blocks for that.")
@click.option("--strict", is_flag=True, help="End with exit code 1 when rows have problems; the results are written all the same.")
@click.option("--check", is_flag=True, help="Look through SOURCE without computing: what is wrong with which row.")
@click.option("--workers", metavar="N", help="Compute in N processes of this machine; as many as cores by default, where that pays.")
@click.option("--cluster", metavar="ADDRESS", help="Compute on a cluster, by the address of its Dask scheduler, as tcp://10.0.0.5:8786.")
@click.option("--separator", type=click.Choice(list(SEPARATORS)), metavar="SIGN", help="What parts the columns of a CSV: comma, semicolon, tab.")
@click.option("--decimal", type=click.Choice(list(DECIMALS)), metavar="SIGN", help="The decimal sign of a CSV file: point or comma.")
@click.option("--describe", "--columns", is_flag=True, help="List the columns that a table may have and that come out, and stop.")
@click.option("--template", metavar="FILE", help="Write a table to fill in (.csv or .xlsx), and stop.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object with the counts.")
def batch(
    source: str | None,
    target: str | None,
    constants: tuple[str, ...],
    compute: tuple[str, ...],
    tolerance_table: str | None,
    resume: bool,
    strict: bool,
    check: bool,
    workers: str | None,
    cluster: str | None,
    separator: str | None,
    decimal: str | None,
    describe: bool,
    template: str | None,
    as_json: bool,
) -> int:
    """Evaluate a table of lenses: CSV (also .gz, .zst), Parquet or Excel in and out by their endings, `-` for a pipe of CSV.

    SOURCE may be a folder of Parquet parts, or a sweep in TOML; TARGET with a / at its end becomes a folder of parts. The first line names the
    columns: front_radius_mm, back_radius_mm, center_thickness_mm, and n_lens or a raw reading with its conditions; u_ before a name for its
    uncertainty; labelled_power_D for a decision. Another unit stands in brackets or at the end of the name ("center_thickness [µm]"). Columns of your
    own are carried along. A bad row keeps its place and says in `problem` what is wrong with it. The file of results appears only when it is whole.

    A sweep: [fixed] values, [combine] lists or ranges {from, to, step}, [latin_hypercube] points, seed and ranges {from, to}.

    \b
    Example:
      lenscalc demo . && lenscalc batch candidates.csv results.csv
      lenscalc batch lenses.csv - --set n_lens=1.49 --compute power_D < /dev/null
      lenscalc batch lenses.csv images.csv --set beam=model-eye --set pupil_diameter_mm=3 --compute '*' --compute zernike_4_0_um
      lenscalc batch sweep.toml results/ --resume --workers 2
      lenscalc batch --describe
    """
    if describe:
        _describe(as_json)
        return 0
    if template:
        from lenscalc.batch.describe import write_template

        write_template(template)
        click.echo(f"{template}: a lens a row, its index as n_lens or as a reading; lenscalc batch --describe says what each column means.")
        return 0
    if source is None:
        raise click.UsageError("missing SOURCE: the table to evaluate (--describe lists its columns, --template writes one to fill in)")
    given = {}
    for text in constants:
        name, sign, value = text.partition("=")
        if not sign:
            raise click.UsageError(f"--set {text}: write NAME=VALUE")
        given[name.strip()] = value.strip()
    tolerances = read_tolerance_table(tolerance_table) if tolerance_table else shipped_tolerance_table()
    signs: dict[str, Any] = {"separator": SEPARATORS[separator] if separator else None, "decimal": DECIMALS[decimal] if decimal else None}
    where: dict[str, Any] = {"workers": _number_of(workers) if workers else 0 if cluster else None, "cluster": cluster}
    if check:
        return _check(source, given, tolerances, signs | where, strict, as_json)
    if target is None:
        raise click.UsageError("missing TARGET: where the results go (--check looks through the table without writing)")
    show, end = progress_line()
    try:
        done = run_batch(
            source, target, compute=compute, constants=given, tolerance_table=tolerances, resume=resume, on_progress=show, **signs, **where
        )
    except KeyboardInterrupt as error:
        end()
        end_stopped(error, f"{target} is as it was, or done. What was finished goes on with --resume, where it could be kept")
    end()
    for note in done.notes:
        click.echo(note, err=True)
    code = 1 if strict and done.problems else 0
    if as_json and target != "-":
        counts = {"rows": done.rows, "problems": done.problems, "resumed_rows": done.resumed, "file": target}
        show_json({**counts, "tolerance_edition": tolerances.edition}, done.notes)
        return code
    at_once = f" ({done.resumed:,} were there already)" if done.resumed else ""
    told = " (the column problem says which)" if done.problems else ""
    where_to = "" if target == "-" else f"; results in {target}"
    click.echo(f"{_rows(done.rows)}{at_once}, {done.problems:,} with a problem{told}{where_to}", err=True)
    click.echo(f"Tolerance of a label without a tolerance_D: {tolerances.edition}.", err=True)
    click.echo(CAUTION, err=True)
    return code


def _rows(n: int) -> str:
    return f"{n:,} row{'' if n == 1 else 's'}"


def _number_of(workers: str) -> int:
    if not workers.isdecimal() or int(workers) < 1:
        raise click.UsageError(f"--workers {workers}: must be a whole number, at least 1")
    return int(workers)


def _check(source: str, given: dict[str, str], tolerances: ToleranceTable, options: dict[str, Any], strict: bool, as_json: bool) -> int:
    show, end = progress_line()
    found = check_batch(source, constants=given, tolerance_table=tolerances, on_progress=show, **options)
    end()
    code = 1 if strict and found.problems else 0
    if as_json:
        first = [{"row": row, "problem": sentence} for row, sentence in found.first]
        show_json({"rows": found.rows, "problems": found.problems, "first_problems": first}, found.notes)
        return code
    for row, sentence in found.first:
        click.echo(f"row {row:,}: {sentence}")
    if found.problems > len(found.first):
        click.echo(f"and {_rows(found.problems - len(found.first))} more")
    for note in found.notes:
        click.echo(note, err=True)
    where = "row 1 stands below the line of names"
    click.echo(f"{_rows(found.rows)}, {found.problems:,} with a problem ({where}); nothing was computed or written")
    return code


def _describe(as_json: bool) -> None:
    from lenscalc.batch.describe import input_columns, result_columns, results_on_demand

    if as_json:
        told = {"input_columns": input_columns(), "result_columns": result_columns(), "results_on_demand": results_on_demand()}
        show_json({key: [c._asdict() for c in columns] for key, columns in told.items()}, [])
        return
    click.echo("What a table may have\n")
    for c in input_columns():
        allowed = f" [{c.allowed}{f'; {c.missing}' if c.missing else ''}]"
        click.echo(f"{c.name:<28} {c.meaning}{allowed}")
    click.echo("\nWhat comes out\n")
    for c in result_columns():
        click.echo(f"{c.name:<28} {c.meaning}{f' [{c.unit}]' if c.unit else ''}")
    click.echo("\nWhat comes out besides, where --compute names it\n")
    for c in results_on_demand():
        click.echo(f"{c.name:<36} {c.meaning} [{f'{c.unit}; ' if c.unit else ''}{c.missing}]")
