"""A determination as PDF: tagged, with the fonts inside, the same bytes for the same sheet and versions."""

from __future__ import annotations

import json
import re
from datetime import UTC, datetime
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any, Final

from lenscalc.decision import ToleranceTable
from lenscalc.report.determination import Determined, Origin, determine
from lenscalc.report.pictures import ALT, pictures_of
from lenscalc.report.tree import as_plain

if TYPE_CHECKING:
    import typst

FONT = "Libertinus Serif"  # embedded in typst, the same on every machine
STANDARD: Final = "ua-1"
_NO_DAY = datetime(2000, 1, 1, tzinfo=UTC)  # a sheet without a date: a fixed one, never that of today


def report_pdf(
    sheet_text: str, *, name: str = "sheet", tolerance_table: ToleranceTable | None = None, origin: Origin | None = None
) -> bytes:
    """The determination of a sheet as the bytes of a PDF file (PDF/UA-1, A4).

    The same text and versions (ours, typst's and those of the charts) give the same bytes, unless a name is written with signs that the embedded
    fonts lack (Latin, Greek and Cyrillic they have): then the machine's own fonts are taken beside them, and a sign that no font has is written
    out by its number.

    Raises
    ------
    SheetError
        naming table and key, for a sheet that cannot be followed.

    >>> from lenscalc.demo import demo_text
    >>> report_pdf(demo_text("copolymer_c.toml"))[:5]
    b'%PDF-'
    """
    return pdf_of(determine(sheet_text, name=name, tolerance_table=tolerance_table, origin=origin))


def pdf_of(determined: Determined) -> bytes:
    """A determination that was made already, as PDF."""
    import typst

    content = as_plain(determined.tree), _drawn(pictures_of(determined.followed, font=FONT))
    fonts, (tree, pictures) = _in_fonts(*(json.dumps(part, ensure_ascii=False) for part in content))
    inputs = {"determination": tree, "pictures": pictures, "font": FONT}
    day = determined.followed.sheet.date
    written: bytes = typst.compile(
        (files("lenscalc.report") / "determination.typ").read_bytes(), format="pdf", sys_inputs=inputs, font_paths=fonts, pdf_standards=STANDARD,
        timestamp=datetime(day.year, day.month, day.day, tzinfo=UTC) if day else _NO_DAY,
    )  # fmt: skip
    return written


def _drawn(pictures: dict[str, str]) -> dict[str, Any]:
    """Each picture with its width [px] and the words that stand for it where it cannot be seen."""
    return {name: {"svg": svg, "width": _width_px(svg), "alt": ALT[name]} for name, svg in pictures.items()}


def _width_px(svg: str) -> float:
    found = re.search(r'<svg[^>]* width="([\d.]+)', svg)
    assert found is not None  # vl-convert always writes it
    return float(found.group(1))


def _in_fonts(*texts: str) -> tuple[typst.Fonts, tuple[str, ...]]:
    """The fonts that texts need, and the texts with what none of them has written out."""
    rare = "".join(sorted({c for text in texts for c in text if ord(c) > 0x7F}))
    fonts = _fonts(of_machine=False)
    if _has(fonts, rare):
        return fonts, texts
    fonts = _fonts(of_machine=True)
    lacking = [] if _has(fonts, rare) else [c for c in rare if not _has(fonts, c)]
    written_out = {ord(c): f"‹U+{ord(c):04X}›" for c in lacking}
    return fonts, tuple(text.translate(written_out) for text in texts)


@cache
def _fonts(*, of_machine: bool) -> typst.Fonts:
    import typst

    return typst.Fonts(include_system_fonts=of_machine)


def _has(fonts: typst.Fonts, signs: str) -> bool:
    """Whether these fonts have every one of the signs: the standard of the print refuses a sign that it cannot show."""
    import typst

    source = b'#set document(title: "signs")\n#set text(font: sys.inputs.font, lang: "en")\n#sys.inputs.signs'
    try:
        typst.compile(source, format="pdf", sys_inputs={"signs": signs, "font": FONT}, font_paths=fonts, pdf_standards=STANDARD, timestamp=0)
    except typst.TypstError as error:
        if "could not be displayed" not in str(error):
            raise
        return False
    return True
