"""A block through the chain: its own columns, followed by the computed ones."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np

from lenscalc.batch.block import Block
from lenscalc.batch.columns import Heading, heading_of
from lenscalc.chain import evaluate
from lenscalc.decision import ToleranceTable
from lenscalc.errors import InputError

# a table of labelled powers is no place for what the refraction would do: only where it is asked for by name
REFRACTION = ("refraction_shift_D", "u_refraction_shift_D")


def evaluate_block(
    block: Block,
    *,
    compute: Sequence[str] = (),
    constants: Mapping[str, Any] | None = None,
    tolerance_table: ToleranceTable | None = None,
    total_rows: int | None = None,
) -> dict[str, Any]:
    """The block's own columns, followed by the computed ones, `problem` and `warning`.

    Quantities stand in their own units; every other column is untouched, and takes no part.
    """
    heading = heading_of(tuple(block.columns), tuple(constants or ()))
    table = heading.table(block)
    result = evaluate(heading.known(table), compute=compute, constants=constants, tolerance_table=tolerance_table, total_rows=total_rows)
    computed = {n: c for n, c in result.columns.items() if n not in REFRACTION or n in compute}
    _complain_of_clashes(heading, computed)
    problems, warnings = result.problems, result.warnings
    given = {n: np.full(block.size, v, dtype=object) for n, v in (constants or {}).items()}  # a verdict must not lose its label
    out = {**table, **given, **{n: c for n, c in computed.items() if n not in table}}
    for name in ("n_lens", "u_n_lens"):  # rows with a raw reading leave these cells empty: the index in use fills them
        if name in table and name in result.columns:
            empty = np.array([x is None or x != x or str(x).strip() == "" for x in table[name]], dtype=bool)
            out[name] = np.where(empty, result.columns[name].astype(object), table[name])
    for row, sentence in block.warnings.items():
        if not problems[row]:
            warnings[row] = f"{warnings[row]}; {sentence}" if warnings[row] else sentence
    for row, sentence in block.problems.items():
        problems[row], warnings[row] = sentence, ""
        for name in computed:
            if name not in table:
                out[name] = out[name].copy()
                out[name][row] = "" if out[name].dtype == object else np.nan
    return {**out, "problem": problems, "warning": warnings}


def _complain_of_clashes(heading: Heading, computed: Mapping[str, Any]) -> None:
    for name in heading.own:
        if name in computed:
            raise InputError(f"column {name!r}: the results have a column of this name; let yours begin with note_", quantity=name)


class Evaluated(NamedTuple):
    """A block as it will stand in the result, its rows, how many of them have a problem, and how many the file has in all (0: unknown)."""

    data: Any
    rows: int
    problems: int
    rows_in_all: int


@dataclass(frozen=True, eq=False)
class Evaluating:
    """What is done with a block wherever it is computed: evaluated, and made into what the target takes."""

    compute: Sequence[str]
    constants: Mapping[str, Any]
    tolerance_table: ToleranceTable
    encode: Callable[..., Any]

    def __call__(self, block: Block) -> Evaluated:
        """One block."""
        columns = evaluate_block(
            block, compute=self.compute, constants=self.constants, tolerance_table=self.tolerance_table, total_rows=block.rows_in_all
        )
        wrong = int(np.count_nonzero(columns["problem"] != ""))
        return Evaluated(self.encode(columns, block.types, first=block.first_row == 0), block.size, wrong, block.rows_in_all or 0)
