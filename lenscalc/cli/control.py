"""`lenscalc control`: a series of dated values on a control chart."""

from __future__ import annotations

from typing import Any

import click

from lenscalc.cli.control_options import chart_and_show, chart_options, wanted
from lenscalc.control import WATCHED, read_series, series_from_text
from lenscalc.demo import WATER_CHECKS, demo_text


@click.command()
@click.argument("series", required=False)
@click.option("--demo", is_flag=True, help="The demo series, invented: water checks of a refractometer that drifts.")
@click.option("--value", "column", default="value", show_default=True, help="Column of the values.")
@click.option("--of", type=click.Choice(WATCHED), default="instrument", show_default=True, help="Whose values they are.")
@chart_options
def control(series: str | None, demo: bool, column: str, of: Any, **options: Any) -> None:
    """Has the instrument or the material moved? SERIES.csv on a control chart.

    Columns: date and value; group for replicates that make one point; baseline (yes or empty), label and id where wanted. What the lab keeps as
    records is charted by `lenscalc records chart`.

    \b
    Example:
      lenscalc control --demo --baseline 25
      lenscalc control checks.csv --baseline 25 --freeze water.toml
      lenscalc control next_month.csv --limits water.toml --save chart.svg
    """
    if demo == (series is not None):
        raise click.UsageError("give one series, or --demo")
    asked = wanted(**options)
    values = series_from_text(demo_text(WATER_CHECKS), value=column) if series is None else read_series(series, value=column)
    chart_and_show(asked, lambda _: values, of=of, name="" if column == "value" else column)
