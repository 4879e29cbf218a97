"""A file of results, ranked: only the columns that are asked for are kept while it is read."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from lenscalc.batch.columns import is_ours, not_read_as_u, speaks_of_u
from lenscalc.batch.legend import Explained, how_ranked
from lenscalc.batch.read import read_blocks
from lenscalc.decision import AMONG, TRIALS, Criterion, Limit, Ranking, keeps, rank_candidates
from lenscalc.errors import InputError, UnknownNameError
from lenscalc.quantities import FloatArray, how_to_write, is_quantity
from lenscalc.quantities.check import DECIMAL

NAMES: Final = ("candidate", "name", "id", "material", "lot", "specimen")
_TEXTS: Final = (*NAMES, "provenance", "verdict", "warning")
_DECIDED: Final = ("labelled_power_D", "required_probability", "conformance_probability")  # beside the verdict, where the table has them
_INFINITE: Final = {"plano": np.inf, "inf": np.inf, "-inf": -np.inf}


@dataclass(frozen=True, eq=False)
class Ranked:
    """What `rank_file` found: the candidates as columns in the order of their ranks, the ranking itself, and who was left out and why.

    `rows`: of the file, `outside`: of these outside the limits, `left_out`: reason → how many. `remarks`: what has to be known besides.
    `explained`: what counted and which limits were kept, for the legend of a workbook.
    """

    columns: dict[str, Any]
    names: list[str]
    ranking: Ranking
    rows: int
    outside: int
    left_out: dict[str, int]
    remarks: tuple[str, ...]
    explained: tuple[Explained, ...]


def rank_file(
    source: str,
    criteria: Sequence[Criterion],
    limits: Sequence[Limit] = (),
    *,
    one_instrument: bool = True,
    trials: int = TRIALS,
    among: int = AMONG,
    seed: int = 1,
) -> Ranked:
    """Rank the rows of a table of results (CSV, Parquet or Excel by its ending, `-` for CSV from standard input).

    A row with a problem, without one of the values or of their uncertainties, or outside a limit takes no part. Uncertainties come from the columns
    `u_…` of the criteria (for the power also from its common and individual part), shared errors from `calibration_part_…`, unless the candidates
    were read on several instruments. Memory holds the columns asked for, not the file.

    Raises
    ------
    FileError
        for a file that cannot be read as a table.
    UnknownNameError, InputError
        for a column that is not there, a refraction as criterion, or criteria that cannot be.
    """
    asked = [c.name for c in criteria] + [c.target for c in criteria if isinstance(c.target, str)] + [limit.name for limit in limits]
    for name in asked:
        if "refraction" in name:
            raise InputError(f"{name}: a refraction is an eye's and no quality of a polymer; rank by power_D, near what is wanted", quantity=name)
    table, rows = _read(source, asked, [c.name for c in criteria])
    left_out: dict[str, int] = {}
    good = np.ones(rows, dtype=bool)

    def leave_out(bad: Any, reason: str) -> None:
        count = int(np.count_nonzero(bad & good))
        if count:
            left_out[reason] = left_out.get(reason, 0) + count
        good[bad] = False

    leave_out(table.bad_rows, "the row has a problem of its own")
    for name in dict.fromkeys(asked):
        leave_out(np.isnan(table.numbers[name]), f"{name} is missing or not a number{table.hints.get(name, '')}")
    for c in criteria:
        leave_out(np.isinf(table.numbers[c.name]), f"{c.name} is infinite")
    inside = good.copy()
    for limit in limits:
        inside &= keeps(limit, table.numbers[limit.name])
    outside = int(np.count_nonzero(good & ~inside))
    good &= inside
    u, parts, remarks = {}, {}, []
    for c in criteria:
        found = table.uncertainty_of(c.name)
        if found is None:
            remarks.append(f"{c.name} is taken as exact: the table has no u_{c.name}")
            continue
        part = table.numbers.get(f"calibration_part_{c.name}")
        leave_out(~np.isfinite(found) | (found < 0), f"u_{c.name} is missing or below 0")
        if part is not None and one_instrument:
            leave_out(~(np.abs(part) <= found * (1 + 1e-9)), f"calibration_part_{c.name} is missing or larger than u_{c.name}")
            parts[c.name] = part
        elif one_instrument:
            remarks.append(
                f"the table does not say how much of the u_{c.name} is the calibration's (calibration_part_{c.name} is missing): all of it is taken "
                f"as each candidate's own, and differences in {c.name} may be surer than said here; to have it subtracted, give the table a column "
                f"calibration_part_{c.name}: that part of the u_{c.name}, with the sign in which a higher index moves the value, 0 where it has none"
            )
        u[c.name] = found
    if table.perhaps_u:
        remarks.append(not_read_as_u(table.perhaps_u, "power_D"))
    kept = np.flatnonzero(good)
    columns = {n: table.numbers[n][kept] for n in dict.fromkeys([*asked, *(n for n in _DECIDED if n in table.numbers)])}
    u, parts = ({n: a[kept] for n, a in d.items()} for d in (u, parts))
    ranking = rank_candidates(columns, criteria, u=u, calibration_part=parts, trials=trials, among=among, seed=seed)
    if ranking.trials is not None and len(kept) > among:
        remarks.append(f"ranks by trials are those among the first {among} candidates, as if the others were not there")
    order = kept[ranking.order]
    warned = int(np.count_nonzero(table.labels["warning"][order] != "")) if "warning" in table.labels else 0
    if warned:
        remarks.append(f"{warned} of the ranked rows carry a warning from their evaluation; it stands in the column warning")
    labels = {n: v[order] for n, v in table.labels.items()}
    named = next((n for n in NAMES if n in labels), None)
    names = [str(x) for x in labels[named]] if named else [f"row {i + 1}" for i in order]
    return Ranked(
        _columns(labels, order, {n: a[ranking.order] for n, a in columns.items()}, {n: a[ranking.order] for n, a in u.items()}, ranking),
        names, ranking, rows, outside, left_out, (*ranking.remarks, *remarks),
        tuple(how_ranked(criteria, limits, ranking.weights)),
    )  # fmt: skip


def _columns(labels: Mapping[str, Any], order: Any, values: Mapping[str, Any], u: Mapping[str, Any], ranking: Ranking) -> dict[str, Any]:
    many = len(order)
    out: dict[str, Any] = {"rank": ranking.rank.astype(object)}
    out |= {n: v for n, v in labels.items() if n not in ("verdict", "warning")}
    out["row"] = (order + 1).astype(object)
    for name, column in values.items():
        out[name] = column
        if name in u and f"u_{name}" not in values:
            out[f"u_{name}"] = u[name]
    out |= {f"normalised_{n}": p for n, p in ranking.parts.items()}
    out["score"] = ranking.score
    out["pareto"] = np.array(["yes" if p else "no" for p in ranking.pareto], dtype=object)
    out["better_than_next_probability"] = ranking.better_than_next_probability
    found = ranking.trials
    for name, a in {
        "first_probability": None if found is None else found.probability[:, 0] if many else found.mean_rank,
        "mean_rank": None if found is None else found.mean_rank,
        "rank_lower": None if found is None else found.rank_lower,
        "rank_upper": None if found is None else found.rank_upper,
    }.items():
        column = np.full(many, np.nan)
        if a is not None:
            column[: len(a)] = a
        out[name] = column
    return out | {n: labels[n] for n in ("verdict", "warning") if n in labels}


@dataclass(eq=False)
class _Table:
    numbers: dict[str, FloatArray]
    labels: dict[str, Any]
    bad_rows: Any
    hints: dict[str, str]
    perhaps_u: list[str]

    def uncertainty_of(self, name: str) -> FloatArray | None:
        """The column of u, or the root of the squares of the power's two parts."""
        if f"u_{name}" in self.numbers:
            return self.numbers[f"u_{name}"]
        common, individual = (self.numbers.get(n) for n in _PARTS.get(name, ("", "")))
        return None if common is None or individual is None else np.hypot(common, individual)


_PARTS: Final = {"power_D": ("u_power_common_D", "u_power_individual_D")}


def _read(source: str, asked: Sequence[str], criteria: Sequence[str]) -> tuple[_Table, int]:
    beside = [f"{before}{name}" for name in criteria for before in ("u_", "calibration_part_")]
    beside += [n for name in criteria for n in _PARTS.get(name, ())]
    numbers: dict[str, list[FloatArray]] = {}
    labels: dict[str, list[Any]] = {}
    bad: list[Any] = []
    hints: dict[str, str] = {}
    perhaps_u: list[str] = []
    for block in read_blocks(source):
        if not bad:
            for name in asked:
                if name not in block.columns:
                    unknown = UnknownNameError(name, block.columns, what="column")
                    first = "a table of candidates goes through lenscalc batch first: " if is_quantity(name) else ""
                    raise InputError(f"{first}{unknown}", quantity=name)
            read = {*asked, *beside, *(f"u_{n}" for n in block.columns)}  # u of what is no criterion counts as little as that
            perhaps_u = [n for n in block.columns if speaks_of_u(n) and not (n in read or is_ours(n) or is_quantity(n))]
            numbers = {n: [] for n in dict.fromkeys([*asked, *beside, *_DECIDED]) if n in block.columns}
            labels = {n: [] for n in _TEXTS if n in block.columns and n not in numbers}
        for name, found in numbers.items():
            cells = block.columns[name]
            found.append(_numbers(cells))
            told = (how_to_write(str(cells[row])) for row in np.flatnonzero(np.isnan(found[-1])) if not _empty(cells[row]))
            if name not in hints and (hint := next(filter(None, told), "")):
                hints[name] = hint
        for name, texts in labels.items():
            texts.append(np.array(["" if x is None else str(x) for x in block.columns[name]], dtype=object))
        problem = block.columns.get("problem")
        refused = np.zeros(block.size, dtype=bool) if problem is None else np.array([not _empty(x) for x in problem], dtype=bool)
        refused[list(block.problems)] = True
        bad.append(refused)
    bad_rows = np.concatenate(bad)
    found_numbers, found_labels = ({n: np.concatenate(a) for n, a in columns.items()} for columns in (numbers, labels))
    return _Table(found_numbers, found_labels, bad_rows, hints, perhaps_u), len(bad_rows)


def _empty(cell: Any) -> bool:
    return cell is None or cell != cell or str(cell).strip() in ("", "nan")


def _numbers(cells: Any) -> FloatArray:
    """Numbers as they stand there; nan for anything else. `plano` is infinite."""
    if cells.dtype.kind == "f":
        return np.asarray(cells, dtype=np.float64)
    return np.array([_number(x) for x in cells], dtype=np.float64)


def _number(cell: Any) -> float:
    if isinstance(cell, bool | np.bool_):
        return np.nan
    if isinstance(cell, int | float):
        return float(cell)
    text = "" if cell is None else str(cell).strip()
    return float(text) if DECIMAL.fullmatch(text) else _INFINITE.get(text.lower(), np.nan)
