"""`lenscalc rank`: which candidates of a table of results are worth making."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click
import numpy as np

from lenscalc.cli.show import heading, line, paragraph, show_end, show_json
from lenscalc.errors import FileError
from lenscalc.quantities import counted
from lenscalc.uncertainty.rounding import decimals_for, fixed, probability_text

if TYPE_CHECKING:
    from lenscalc.batch import Ranked
    from lenscalc.decision import Criterion, Limit

WIDTH_px = 640
REQUIRED = "required_probability"


@click.command()
@click.argument("results")
@click.option("--best", metavar="NAME:WHAT", multiple=True, required=True,
              help="What is good in a column: NAME:low, NAME:high, NAME:near=NUMBER or NAME:near=COLUMN; may be given several times.")  # fmt: skip
@click.option("--weight", "weights", metavar="NAME=NUMBER", multiple=True, help="Weight of a criterion in the score; 1 where none is given.")
@click.option("--where", metavar="NAME OP NUMBER", multiple=True, help="A limit that a candidate must keep, as in 'power_D>=19'; all of them hold.")
@click.option("--separate-instruments", is_flag=True, help="The candidates were read on an instrument each: no error of a calibration is shared.")
@click.option("--out", metavar="FILE", help="Write all ranked candidates as .csv, .parquet or .xlsx.")
@click.option("--chart", metavar="FILE", help="Draw the distribution of the ranks as .html, .svg, .png or .json.")
@click.option("--dark", is_flag=True, help="The chart on a dark ground.")
@click.option("--show", metavar="N", default=20, show_default=True, type=click.IntRange(1), help="Print so many candidates.")
@click.option("--among", metavar="N", default=50, show_default=True, type=click.IntRange(2, 1000), help="Ranks by trials among so many of the first.")
@click.option("--trials", metavar="N", default=100_000, show_default=True, type=click.IntRange(1, 100_000_000), help="Number of random trials.")
@click.option("--seed", metavar="N", default=1, show_default=True, type=click.IntRange(0), help="Seed of the random numbers.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object.")
def rank(
    results: str, best: tuple[str, ...], weights: tuple[str, ...], where: tuple[str, ...], separate_instruments: bool, out: str | None,
    chart: str | None, dark: bool, show: int, among: int, trials: int, seed: int, as_json: bool,
) -> None:  # fmt: skip
    """Rank the candidates of a table that `lenscalc batch` has written: limits, Pareto set, weighted score, and how sure the order is.

    The probability that a candidate really is better than the next does not count the calibration error that all share as a difference. What is
    ranked is material as it was read and computed; nobody has measured a lens.

    \b
    Example:
      lenscalc demo . && lenscalc batch candidates.csv results.csv
      lenscalc rank results.csv --best power_D:near=labelled_power_D --best abbe_d:high --weight power_D=2
      lenscalc rank results.csv --where "edge_thickness_mm>=0.28" --best u_power_D:low --out ranked.csv --chart ranks.html
    """
    if out and Path(out).resolve() == Path(results).resolve():
        raise FileError(f"{out}: the ranked table would overwrite the results it comes from; give another name")
    from lenscalc.batch import rank_file, write_blocks
    from lenscalc.decision import read_limit

    if chart:
        from lenscalc.charts import save

        save.check_chart_path(chart)
    criteria, limits = _criteria(best, weights), [read_limit(text) for text in where]
    found = rank_file(results, criteria, limits, one_instrument=not separate_instruments, trials=trials, among=among, seed=seed)
    warnings = list(found.remarks)
    if out:
        write_blocks(out, [found.columns], explained=found.explained)
    if chart:
        if found.ranking.trials is None:
            warnings.append(f"{chart} is not written: nothing is uncertain, or nobody is left, so that there is no distribution of ranks")
        else:
            from lenscalc.charts import rank_bars

            ground: Any = "dark" if dark else "light"
            save.save_chart(rank_bars(found.names, found.ranking.trials.probability, width=WIDTH_px, ground=ground), chart, ground=ground)
    if as_json:
        show_json(_answer(found, criteria, where, separate_instruments), warnings)
        return
    _print(found, criteria, limits, separate_instruments, show)
    for what, path in (("all of them in", out), ("the distribution of the ranks in", chart if found.ranking.trials is not None else None)):
        if path and path != "-":
            line(what, path)
    show_end(warnings)


def _criteria(best: tuple[str, ...], weights: tuple[str, ...]) -> list[Criterion]:
    from lenscalc.decision import read_criterion
    from lenscalc.errors import InputError, UnknownNameError

    given: dict[str, float] = {}
    for text in weights:
        name, sign, number = (part.strip() for part in text.partition("="))
        try:
            given[name] = float(number) if sign else float("nan")
        except ValueError:
            given[name] = float("nan")
        if given[name] != given[name]:
            raise InputError(f"weight {text!r}: write NAME=NUMBER, as in power_D=2", value=text)
    criteria = [read_criterion(text, 1.0) for text in best]
    for name in given:
        if name not in [c.name for c in criteria]:
            raise UnknownNameError(name, [c.name for c in criteria], what="criterion with a weight")
    return [read_criterion(text, given.get(c.name, 1.0)) for text, c in zip(best, criteria, strict=True)]


def _in_words(criterion: Criterion) -> str:
    return f"near {criterion.target:g}" if isinstance(criterion.target, float) else (
        f"near its own {criterion.target}" if criterion.target else criterion.direction
    )  # fmt: skip


def _answer(found: Ranked, criteria: list[Criterion], where: tuple[str, ...], separate_instruments: bool) -> dict[str, Any]:
    from lenscalc.batch.ranked_told import has_verdicts, provenance_of, rule_of, who_conforms
    from lenscalc.decision import ASSUMED, ASSUMED_SEPARATE, COMPARED, NORMALISED

    names, columns = list(found.columns), [c.tolist() for c in found.columns.values()]
    rows = [dict(zip(names, row, strict=True)) for row in zip(*columns, strict=True)]
    trials = found.ranking.trials
    for i, row in enumerate(rows):
        row["pareto"] = bool(found.ranking.pareto[i])
        row["rank_probability"] = trials.probability[i].tolist() if trials is not None and i < len(trials.probability) else None
    return {
        "candidates": rows,
        "criteria": [{"name": c.name, "direction": c.direction, "target": c.target, "weight": found.ranking.weights[c.name]} for c in criteria],
        "limits": list(where),
        "rows": found.rows, "ranked": len(rows), "outside_limits": found.outside, "left_out": found.left_out,
        "provenance": provenance_of(found), "who_conforms": who_conforms(found),
        "rule": rule_of(found.columns.get(REQUIRED, ())) if has_verdicts(found) else None,
        "normalised": NORMALISED, "compared": COMPARED, "assumed": ASSUMED_SEPARATE if separate_instruments else ASSUMED,
        "better_than_next_by": "trials" if found.ranking.by_trials else "closed form",
        "trials": None if trials is None else trials.trials, "seed": None if trials is None else trials.seed,
    }  # fmt: skip


def _print(found: Ranked, criteria: list[Criterion], limits: list[Limit], separate_instruments: bool, show: int) -> None:
    from lenscalc.batch.ranked_told import has_verdicts, provenance_of, rule_of, weighed, who_conforms
    from lenscalc.decision import ASSUMED, ASSUMED_SEPARATE, COMPARED, NORMALISED

    heading("Which candidates are worth making?")
    if provenance_of(found):
        line("provenance, by the table", provenance_of(found))
    for c in criteria:
        line(f"good in {c.name}", f"{_in_words(c)}, weight {found.ranking.weights[c.name]:.3g}")
    if weighed(criteria):
        line("the criteria are", weighed(criteria))
    for limit in limits:
        line("limit", f"{limit.name} {limit.comparison} {limit.number:g}")
    line("ranked", f"{len(found.names):,} of {counted(found.rows, 'row', how=',')}")
    if found.outside:
        line("outside the limits", f"{found.outside:,}")
    for reason, count in found.left_out.items():
        line("left out", f"{count:,}: {reason}")
    if not found.names:
        paragraph("No candidate is left to rank.")
        return
    click.echo()
    for text in _table(found, criteria, show):
        click.echo(f"  {text}".rstrip())
    if len(found.names) > show:
        paragraph(f"The first {show} are shown; --show, --out or --json give more.")
    click.echo()
    conform = who_conforms(found)
    paragraph(f"{conform[0].upper()}{conform[1:]}.")
    if has_verdicts(found):
        paragraph(f"Rule: {rule_of(found.columns.get(REQUIRED, ()))}.")
    paragraph(f"Score: {NORMALISED}.")
    paragraph("Pareto: no other candidate is as good in every criterion and better in one, by the values alone.")
    if found.ranking.trials is not None:
        way = "by trials" if found.ranking.by_trials else "in closed form"
        paragraph(f"Better than the next, {way}, and ranks by {found.ranking.trials.trials:,} trials (seed {found.ranking.trials.seed}).")
        paragraph(f"{COMPARED[0].upper()}{COMPARED[1:]}.")
        paragraph(f"Assumed: {ASSUMED_SEPARATE if separate_instruments else ASSUMED}.")
    else:
        paragraph("Nothing of what counts here has an uncertainty in the table: how sure the order is cannot be said.")


def _table(found: Ranked, criteria: list[Criterion], show: int) -> list[str]:
    """The lines of the table, each column as wide as it needs."""
    from lenscalc.batch.ranked_told import conforms_text, has_verdicts, label_text

    columns, trials = found.columns, found.ranking.trials
    labelled, decided = "labelled_power_D" in columns, has_verdicts(found)
    cells: list[list[str]] = [["rank", "candidate", *(["label, D"] if labelled else []), *(c.name for c in criteria), "score", "Pareto"]]
    if decided:
        cells[0].insert(-2, "would conform")
    if trials is not None:
        cells[0] += ["better than the next", "rank, 95 %", "rank 1"]
    for i in range(min(show, len(found.names))):
        row = [str(columns["rank"][i]), found.names[i][:28], *([label_text(columns["labelled_power_D"][i])] if labelled else [])]
        row += [_value(columns[c.name][i], columns.get(f"u_{c.name}", np.full(i + 1, np.nan))[i]) for c in criteria]
        row += [*([conforms_text(found, i)] if decided else []), f"{columns['score'][i]:.3f}", columns["pareto"][i]]
        if trials is not None:
            p, first = columns["better_than_next_probability"][i], columns["first_probability"][i]
            ranks = "" if first != first else f"{columns['rank_lower'][i]:.0f} to {columns['rank_upper'][i]:.0f}"
            row += ["" if p != p else probability_text(float(p)), ranks, "" if first != first else probability_text(float(first))]
        cells.append(row)
    widths = [max(len(row[j]) for row in cells) for j in range(len(cells[0]))]
    return ["  ".join(text.ljust(width) for text, width in zip(row, widths, strict=True)) for row in cells]


def _value(value: float, u: float) -> str:
    if not np.isfinite(u) or u <= 0:
        return f"{value:.5g}"
    d = decimals_for(float(u))
    return f"{fixed(value, d)}, u {u:.{d}f}"
