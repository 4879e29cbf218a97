"""A determination: one sheet followed as far as it goes, and all that is to be said of it, as a tree of texts."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, NamedTuple

import lenscalc
from lenscalc.chain import Followed, follow, follow_index
from lenscalc.conditions import CAUTION
from lenscalc.decision import ToleranceTable
from lenscalc.errors import SheetError
from lenscalc.refractometer import sheet_from_text
from lenscalc.report.as_written import tables_as_written
from lenscalc.report.how_strong import how_strong, index_off
from lenscalc.report.sources import sources_used
from lenscalc.report.tree import Determination, Figure, Section, printable, printable_lines, sum_of_figures, sum_of_text
from lenscalc.report.what_was_read import what_was_read
from lenscalc.report.which_index import which_index
from lenscalc.report.would_conform import eye_notices, what_improves, would_conform
from lenscalc.uncertainty.rounding import figure

KIND_OF_INDEX = "Determination of an index in use"
KIND_OF_LENS = "Determination of an index in use, followed to a lens"
SIGNATURES = ("measured by", "reviewed by")
SHORT_SUM = 12


class Origin(NamedTuple):
    """Where a determination comes from, when it is made from a record: the record's name, and the hash at the head of its store.

    `in_short` stands at the head of every page, `status` beside the kind of the print; `figures` say what else is known of the record, `remarks` what
    there is to mind about it.
    """

    record_id: str
    store_head: str
    in_short: str = ""
    status: str = ""
    figures: tuple[Figure, ...] = ()
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class Determined:
    """A sheet that was followed, and what is said of it."""

    followed: Followed
    tree: Determination


def determine(
    sheet_text: str, *, name: str = "sheet", tolerance_table: ToleranceTable | None = None, origin: Origin | None = None
) -> Determined:
    """Follow the sheet in a TOML text as far as it goes, with a lens to the decision, and lay out what is to be printed.

    The same text and version give the same tree on any day: no date but the sheet's own is in it. `name` stands in the messages only.

    Raises
    ------
    SheetError
        naming table and key, for a sheet that cannot be followed.
    """
    sheet = sheet_from_text(sheet_text, name)
    try:
        followed = follow(sheet, tolerance_table=tolerance_table) if sheet.lens else follow_index(sheet)
    except SheetError as error:
        raise SheetError(f"{name}: {error}", quantity=error.quantity) from None
    return Determined(followed, _tree(followed, sheet_text, origin))


def _tree(followed: Followed, sheet_text: str, origin: Origin | None) -> Determination:
    sheet, data = followed.sheet, tables_as_written(sheet_text)
    sum_of_sheet = sum_of_text(sheet_text)
    bare = Determination(
        title=printable(sheet.title),
        kind=KIND_OF_LENS if sheet.lens else KIND_OF_INDEX,
        provenance=printable(sheet.provenance),
        day=sheet.date.isoformat() if sheet.date else "",
        short=in_short(followed),
        caution=CAUTION,
        sections=_sections(followed, data),
        warnings=tuple(printable(sentence) for sentence in followed.warnings),
        sources=sources_used(followed),
        stands_on=(),
        signatures=SIGNATURES,
        checksum_in_short=sum_of_sheet[:SHORT_SUM],
        sheet=printable_lines(sheet_text),
    )
    stands_on = [
        Figure("lenscalc", "computed with", f"lenscalc {lenscalc.__version__}"),
        Figure("sha256_sheet", "SHA-256 of the sheet", sum_of_sheet),
        Figure("sha256_results", "SHA-256 of the figures above", sum_of_figures(bare)),
    ]
    if origin is not None:
        stands_on += [
            Figure("record_id", "record", printable(origin.record_id)),
            Figure("store_head", "head of its store", printable(origin.store_head)),
            *origin.figures,
        ]
        bare = bare._replace(
            kind=f"{bare.kind}, {printable(origin.status)}" if origin.status else bare.kind, record_in_short=printable(origin.in_short),
            warnings=(*origin.remarks, *bare.warnings),
        )  # fmt: skip
    return bare._replace(stands_on=tuple(stands_on))


def in_short(followed: Followed) -> tuple[Figure, ...]:
    """Index, power and decision: what is read first."""
    use, only = followed.index, followed.evaluation.only
    short = [Figure("n_lens", "index in the eye", figure(float(use.n.value[0]), float(use.n.u[0])))]
    if followed.sheet.lens is None:
        return tuple(short)
    short.append(Figure("power_D", "power of a lens of it", figure(only("power_D"), only("u_power_D"), "D")))
    verdict = (only("verdict") or "no decision: see below") if "labelled_power_D" in followed.row else "no label, so no decision"
    return (*short, Figure("verdict", "decision", str(verdict)))


def _sections(followed: Followed, data: dict[str, Any]) -> tuple[Section, ...]:
    sections = [what_was_read(data), which_index(followed)]
    if followed.sheet.lens is not None:
        sections += [how_strong(followed, data), index_off(followed), would_conform(followed)]
    later = (what_improves(followed), eye_notices(followed))
    return (*sections, *(section for section in later if section is not None))
