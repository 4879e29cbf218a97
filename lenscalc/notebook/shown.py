"""The views: each type's result as a short piece of HTML, with the caution where the numbers are those of a lens."""

from __future__ import annotations

from typing import Any

import numpy as np

from lenscalc.chain import Evaluation, Followed
from lenscalc.conditions import CAUTION
from lenscalc.decision.decide import Decision
from lenscalc.lens import Powers, Sensitivities
from lenscalc.quantities import Quantity, quantity
from lenscalc.refractometer import IndexInUse
from lenscalc.report.determination import in_short
from lenscalc.report.markup import Markup, joined, tag
from lenscalc.report.tree import Column, Table, printable
from lenscalc.report.which_index import budget_table, steps_table
from lenscalc.uncertainty import Estimate, Propagated, as_text, budget, probability_text
from lenscalc.uncertainty.rounding import figure, signed

MOST_ROWS = 10
_CELL = "padding: 0.1em 1em 0.1em 0; vertical-align: top"
_LABEL, _NUMBER = f"text-align: left; {_CELL}", f"text-align: right; white-space: nowrap; {_CELL}"


def followed(result: Followed) -> Markup:
    """Index, power and decision, the steps and both budgets, what is to be minded, the caution."""
    sheet = result.sheet
    rows = [tag("tr", tag("th", f.label, style=_LABEL), tag("td", f.text, style=_LABEL)) for f in in_short(result)]
    power = budget_table(budget(result.evaluation.estimates["power_D"]), "Budget of the power", "power_D", "D") if sheet.lens else ()
    tables = (steps_table(result.index), *budget_table(budget(result.index.n), "Budget of the index in use", "n_lens", ""), *power)
    tolerance = tag("p", f"Tolerance: {printable(result.tolerance_from)}.") if "labelled_power_D" in result.row else None
    return joined(
        tag("p", tag("strong", printable(sheet.title)), f" ({printable(sheet.provenance)})"), tag("table", tag("tbody", rows)), _caution(), tolerance,
        [_table(t) for t in tables], _minded(result.warnings),
    )  # fmt: skip


def evaluation(result: Evaluation) -> Markup:
    """A row a case: power with its u, what was decided, what is wrong; the first ones of many, and the caution."""
    size = len(result.problems)
    bad = int(sum(bool(p) for p in result.problems))
    columns = [Column("", "row", True), *(Column(n, _labelled(quantity(n))) for n in ("n_lens", "power_D") if n in result.columns)]
    if "conformance_probability" in result.columns:
        columns += [Column("conformance_probability", "conformance probability", True), Column("verdict", "verdict")]
    columns += [Column("problem", "problem"), Column("warning", "warning")]
    rows = tuple(tuple(_cell(result, c.quantity, i) for c in columns) for i in range(min(size, MOST_ROWS)))
    counted = f"{size:,} row{'' if size == 1 else 's'}, {bad:,} with a problem" + (f"; the first {MOST_ROWS} of them" if size > MOST_ROWS else "")
    return joined(_table(Table(counted, tuple(columns), rows)), tag("p", "Everything: .frame()."), _caution())


def _cell(result: Evaluation, name: str, row: int) -> str:
    if name == "":
        return str(row + 1)
    if name in ("problem", "warning"):
        return printable(str((result.problems if name == "problem" else result.warnings)[row]))
    value = result.columns[name][row]
    if name == "verdict":
        return str(value)
    if not np.isfinite(value):
        return ""
    if name == "conformance_probability":
        return probability_text(float(value))
    u = result.columns.get(f"u_{name}")
    q = quantity(name)
    if u is not None and np.isfinite(u[row]):
        return figure(float(value), float(u[row]), q.unit)
    return f"{signed(float(value), q.decimals)} {q.unit}".rstrip()


def index_in_use(result: IndexInUse) -> Markup:
    """The steps of the first case with its budget, and the caution."""
    size = int(np.size(result.n.value))
    conditions = f"At {result.wavelength_nm:g} nm and {result.temperature_degC:g} °C, wet, {result.basis}."
    more = f" The first of {size:,} cases." if size > 1 else ""
    tables = (steps_table(result), *budget_table(budget(result.n), "Budget of the index in use", "n_lens", ""))
    return joined(tag("p", conditions + more), [_table(t) for t in tables], _caution())


def estimate(result: Estimate) -> Markup:
    """The value with its u, and where that comes from; of several cases the first ones."""
    values, us = (np.atleast_1d(np.asarray(x, dtype=np.float64)).reshape(-1) for x in (result.value, result.u))
    if values.size == 1:
        tables = budget_table(budget(result), "Where its u comes from", "value", "")
        return joined(tag("p", tag("strong", figure(float(values[0]), float(us[0])))), [_table(t) for t in tables])
    rows = tuple((str(i + 1), figure(float(v), float(u))) for i, (v, u) in enumerate(zip(values[:MOST_ROWS], us[:MOST_ROWS], strict=True)))
    first = f"; the first {MOST_ROWS} of them" if values.size > MOST_ROWS else ""
    return _table(Table(f"{values.size:,} cases{first}", (Column("", "case", True), Column("", "value", True)), rows))


def propagated(result: Propagated) -> Markup:
    """Its budget as it prints itself."""
    return tag("pre", as_text(result))


def quantities(result: Powers | Sensitivities | Decision) -> Markup:
    """A line a quantity; of arrays a column a case, the first ones, and the caution."""
    cells: dict[str, Any] = {name: np.atleast_1d(values).reshape(-1) for name, values in result._asdict().items()}
    size = max(values.size for values in cells.values())
    shown = min(size, MOST_ROWS)
    heads = (Column("", "quantity"), *(Column("", f"{i + 1}" if size > 1 else "value", True) for i in range(shown)))
    rows = tuple((_label(name), *(_value(name, np.broadcast_to(values, size)[i]) for i in range(shown))) for name, values in cells.items())
    return joined(_table(Table(f"{size:,} cases; the first {shown} of them" if size > shown else "", heads, rows)), _caution())


def _label(name: str) -> str:
    return "verdict" if name == "verdict" else _labelled(quantity(name))


def _labelled(q: Quantity) -> str:
    return f"{q.label} ({q.unit})" if q.unit else q.label


def _value(name: str, value: Any) -> str:
    if isinstance(value, str):
        return value
    if np.isnan(value):
        return ""
    if np.isinf(value):
        return "at infinity" if name.endswith("_mm") else "infinite"
    return probability_text(float(value)) if name.endswith("_probability") else signed(float(value), quantity(name).decimals)


def _table(table: Table) -> Markup:
    styles = [_NUMBER if c.is_number else _LABEL for c in table.columns]
    head = tag("tr", [tag("th", c.label, scope="col", style=style) for c, style in zip(table.columns, styles, strict=True)])
    rows = [tag("tr", [tag("td", cell, style=style) for cell, style in zip(row, styles, strict=True)]) for row in table.rows]
    caption = tag("p", tag("strong", table.caption)) if table.caption else None
    return joined(caption, tag("table", tag("thead", head), tag("tbody", rows)))


def _minded(warnings: list[str]) -> Markup | None:
    return joined(tag("p", tag("strong", "Mind")), tag("ul", [tag("li", printable(w)) for w in warnings])) if warnings else None


def _caution() -> Markup:
    return tag("p", tag("strong", "Caution."), f" {CAUTION}", style="border-left: 4px solid #b3560c; padding-left: 0.7em")
