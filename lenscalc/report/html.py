"""A determination as one HTML file: nothing outside it is needed, no script runs in it, and it prints."""

from __future__ import annotations

import re
from importlib.resources import files

from lenscalc.conditions import CAUTION
from lenscalc.decision import ToleranceTable
from lenscalc.report.determination import Determined, Origin, determine
from lenscalc.report.markup import Markup, joined, tag
from lenscalc.report.pictures import ALT, pictures_of
from lenscalc.report.tree import Determination, Figure, Group, Picture, Section, Table

LONG_TITLE = 120
_NOTHING_FROM_OUTSIDE = "default-src 'none'; style-src 'unsafe-inline'"


def report_html(
    sheet_text: str, *, name: str = "sheet", tolerance_table: ToleranceTable | None = None, origin: Origin | None = None
) -> str:
    """The determination of a sheet as the text of an HTML file; the same text for the same sheet and version.

    Raises
    ------
    SheetError
        naming table and key, for a sheet that cannot be followed.

    >>> from lenscalc.demo import demo_text
    >>> report_html(demo_text("copolymer_c.toml"))[:15]
    '<!DOCTYPE html>'
    """
    return html_of(determine(sheet_text, name=name, tolerance_table=tolerance_table, origin=origin))


def html_of(determined: Determined) -> str:
    """A determination that was made already, as HTML."""
    tree = determined.tree
    drawn = {picture: _inline(svg, picture) for picture, svg in pictures_of(determined.followed).items()}
    head = tag(
        "head", Markup('<meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">'),
        Markup(f'<meta http-equiv="Content-Security-Policy" content="{_NOTHING_FROM_OUTSIDE}">'),
        tag("title", tree.title), tag("style", Markup(_style())),
    )  # fmt: skip
    body = tag("body", tag("main", _opening(tree), [_section(s, drawn) for s in tree.sections], _closing(tree)))
    return f"<!DOCTYPE html>\n{tag('html', head, body, lang='en')}\n"


def _style() -> str:
    """The style sheet, with the charts' neutral colours exchanged on a dark ground."""
    from lenscalc.charts.style import neutral_colours  # altair is heavy, and the tree alone does not need it

    sheet = (files("lenscalc.report") / "determination.css").read_text(encoding="utf-8")
    dark = "".join(f'svg [{what}="{light}"] {{ {what}: {on_dark}; }}\n' for light, on_dark in neutral_colours() for what in ("fill", "stroke"))
    return f"{sheet}@media screen and (prefers-color-scheme: dark) {{\n{dark}}}\n"


def _inline(svg: str, name: str) -> Markup:
    """An SVG for the inside of a page: the names within it made its own, the declarations of a file of its own left out."""
    svg = re.sub(r' xmlns(:\w+)?="[^"]*"', "", svg)
    svg = re.sub(r'\bid="', f'id="{name}-', svg)
    return Markup(re.sub(r"""(url\(#|href="#)""", rf"\g<1>{name}-", svg))


def _opening(tree: Determination) -> Markup:
    record = f" · record {tree.record_in_short}" if tree.record_in_short else None
    return joined(
        tag("p", tree.kind, f" · {tree.day}" if tree.day else None, record, f" · sheet {tree.checksum_in_short}", class_="quiet"),
        tag("h1", tree.title, **({"class_": "long"} if len(tree.title) > LONG_TITLE else {})),
        tag("p", f"Where the numbers come from: {tree.provenance}", class_="quiet"),
        tag("div", _figures(tree.short), class_="short"),
        _caution(tree.caution),
    )


def _caution(text: str) -> Markup:
    return tag("p", tag("strong", "Caution."), f" {text}", class_="caution")


def _figures(figures: tuple[Figure, ...]) -> Markup:
    return tag("dl", [joined(tag("dt", f.label), tag("dd", f.text, data_quantity=f.quantity)) for f in figures])


def _group(group: Group) -> Markup:
    return tag("div", tag("h3", group.heading) if group.heading else None, _figures(group.figures))


def _section(section: Section, drawn: dict[str, Markup]) -> Markup:
    return tag(
        "section", tag("h2", section.question),
        [tag("p", sentence, **({"class_": "verdict"} if section.is_decision else {})) for sentence in section.says],
        _caution(CAUTION) if section.is_decision else None,
        tag("div", [_group(g) for g in section.groups], class_="groups"),
        [_picture(p, drawn[p.name]) for p in section.pictures], [_table(t) for t in section.tables],
        [tag("p", sentence, class_="note") for sentence in section.notes],
    )  # fmt: skip


def _picture(picture: Picture, drawn: Markup) -> Markup:
    return tag("figure", tag("div", drawn, role="img", aria_label=ALT[picture.name]), tag("figcaption", picture.message))


def _table(table: Table) -> Markup:
    kinds = ["number" if c.is_number else "words" for c in table.columns]
    head = tag("tr", [tag("th", c.label, scope="col", class_=kind) for c, kind in zip(table.columns, kinds, strict=True)])
    rows = [
        tag("tr", [tag("td", cell, class_=kind, data_quantity=c.quantity) for cell, c, kind in zip(row, table.columns, kinds, strict=True)])
        for row in table.rows
    ]
    inner = tag("table", tag("thead", head), tag("tbody", rows))
    return joined(tag("h3", table.caption), tag("div", inner, class_="table", role="region", aria_label=table.caption, tabindex="0"))


def _closing(tree: Determination) -> Markup:
    mind = tag("section", tag("h2", "Mind"), tag("ul", [tag("li", sentence) for sentence in tree.warnings])) if tree.warnings else None
    lines = [tag("div", who, [tag("div", what) for what in ("name", "signature", "date")]) for who in tree.signatures]
    return joined(
        mind,
        tag("section", tag("h2", "Where the formulas come from"), tag("ul", [tag("li", s) for s in tree.sources], class_="sources")),
        tag("section", tag("h2", "What this stands on"), _figures(tree.stands_on)),
        tag("section", tag("h2", "Signatures"), tag("div", lines, class_="signatures")),
        tag("section", tag("h2", "The sheet as it was given"), tag("pre", tree.sheet)),
    )
