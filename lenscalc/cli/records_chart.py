"""`lenscalc records chart`: what the lab keeps, on a control chart."""

from __future__ import annotations

from typing import Any

import click

from lenscalc.cli.control_options import chart_and_show, chart_options, wanted
from lenscalc.cli.options import reader_of
from lenscalc.cli.records import opened, store_option


@click.command("chart")
@click.option("--material", metavar="NAME", help="The index in use of this material, record by record.")
@click.option("--lot", metavar="NAME", help="Only of this lot of it.")
@click.option("--instrument", metavar="NAME", help="Alone: the water checks of this instrument. With --material: only what was read with it.")
@click.option("--wavelength-nm", type=reader_of("wavelength_nm"), metavar="nm", help="The line of the water checks, where there are several.")
@chart_options
@store_option
def chart_(
    material: str | None, lot: str | None, instrument: str | None, wavelength_nm: float | None, store: str | None, **options: Any
) -> None:
    """Has a material, or an instrument, moved? The store's own series on a control chart; what signals is named with day, lot and record.

    Superseded records are left out. A chart of group means takes a record's single readings.

    \b
    Example:
      lenscalc records chart --material "copolymer B" --baseline 25
      lenscalc records chart --instrument "bench two" --kind ewma --freeze water.toml
      lenscalc records chart --instrument "bench two" --limits water.toml --save chart.svg
    """
    from lenscalc.records.to_chart import material_series, water_series

    if material is None and instrument is None:
        raise click.UsageError("give --material for its index, or --instrument for its water checks")
    if material is None and lot is not None:
        raise click.UsageError("--lot narrows a material: give --material too")
    if material is not None and wavelength_nm is not None:
        raise click.UsageError("--wavelength-nm chooses among water checks; the index in use is at 546.07 nm for every record")
    asked = wanted(**options)
    with opened(store) as keeper:
        if material is not None:
            chart_and_show(
                asked, lambda grouped: material_series(keeper, material, lot=lot, instrument=instrument, replicates=grouped), of="material",
                name=f"index in use of {material}",
            )  # fmt: skip
            return
        chart_and_show(
            asked, lambda grouped: water_series(keeper, str(instrument), wavelength_nm=wavelength_nm, replicates=grouped), of="instrument",
            name="shown minus true on water",
        )  # fmt: skip
