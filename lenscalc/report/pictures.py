"""The pictures of a determination: the charts of the pages, as SVG."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from lenscalc.chain import Followed
from lenscalc.report.tree import printable
from lenscalc.uncertainty import BudgetLine, budget

if TYPE_CHECKING:
    from lenscalc.charts.drawing import Drawing

WIDTH_px = 620  # as wide as the text of an A4 page at 96 px an inch


ALT: Final = {  # what stands for a picture where it cannot be seen
    "index_budget": "Bars of the shares in u² of the index.",
    "power_budget": "Bars of the shares in u² of the power.",
    "lens": "Cross-section of the lens.",
    "power_against_index": "The power against the index as a line, this lens on it with its uncertainty, and the tolerance as a band.",
}


def pictures_of(followed: Followed, *, font: str | None = None) -> dict[str, str]:
    """Name of each picture and its SVG, drawn for a light ground; `font` takes the place of the system's fonts."""
    from lenscalc.charts.save import svg_of  # altair is heavy, and the tree alone does not need it

    return {name: svg_of(drawing, font=font) for name, drawing in _drawings(followed).items()}


def _drawings(followed: Followed) -> dict[str, Drawing]:
    from lenscalc.charts import budget_bars, lens_drawing, power_against_index

    def of_size(drawing: Drawing, **px: int) -> Drawing:
        return replace(drawing, top={**drawing.top, **px})

    drawings = {}
    of_index = budget(followed.index.n)
    if of_index:
        drawings["index_budget"] = of_size(budget_bars.drawing(_printable(of_index)), width=WIDTH_px)
    if followed.sheet.lens is None:
        return drawings
    only, row = followed.evaluation.only, followed.row
    lens = row["front_radius_mm"], row["back_radius_mm"], row["center_thickness_mm"]
    drawings["lens"] = lens_drawing.drawing(
        *lens, row["optic_diameter_mm"],
        front_principal_plane_mm=only("front_principal_plane_mm"), back_principal_plane_mm=only("back_principal_plane_mm"),
    )  # fmt: skip
    of_power = budget(followed.evaluation.estimates["power_D"])
    if of_power:
        drawings["power_budget"] = of_size(budget_bars.drawing(_printable(of_power)), width=WIDTH_px)
    index = power_against_index.drawing(
        *lens, float(followed.index.n.value[0]), u_n_lens=float(followed.index.n.u[0]), u_power_D=only("u_power_D"),
        labelled_power_D=row.get("labelled_power_D"), lower_limit_D=only("lower_limit_D"), upper_limit_D=only("upper_limit_D"),
    )  # fmt: skip
    return drawings | {"power_against_index": of_size(index, width=WIDTH_px - 60, height=240)}


def _printable(lines: list[BudgetLine]) -> list[BudgetLine]:
    return [line._replace(source=printable(line.source)) for line in lines]
