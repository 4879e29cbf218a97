"""The PDF: its text is read back and compared with the tree, it is tagged, and two processes write the same bytes."""

import ctypes
import os
import re
import subprocess
import sys

import pypdfium2 as pdfium
import pypdfium2.raw as raw
import pytest
from sheets import ALL, DEMO

from lenscalc.report import determine, figures_of, pdf_of, report_pdf


@pytest.fixture(scope="module")
def made():
    """Every sheet's tree and document, made when it is asked for."""
    kept = {}

    def of(name):
        if name not in kept:
            determined = determine(ALL[name])
            kept[name] = determined.tree, pdfium.PdfDocument(pdf_of(determined))
        return kept[name]

    return of


def squeezed(text):
    """Without spaces, line ends and the marks where a long word may break."""
    return re.sub(r"[\s\u200b\u0002\ufffe]", "", text)


def text_of(document):
    """The text of all pages, without what stands at the head and the foot of each."""
    pages = []
    for page in document:
        text = page.get_textpage().get_text_range()
        pages.append(text)
    return squeezed("\n".join(pages))


@pytest.mark.parametrize("name", [*DEMO, "index alone", "exact", "plano"])
def test_every_figure_sentence_and_warning_is_in_the_text(made, name):
    tree, document = made(name)
    text = text_of(document)
    for section in tree.sections:
        assert squeezed(section.question) in text
        for group in section.groups:
            for f in group.figures:
                assert squeezed(f.label + f.text) in text, f
        for table in section.tables:
            assert squeezed("".join(c.label for c in table.columns)) in text
            for row in table.rows:
                for cell in row:
                    assert squeezed(cell) in text, (table.caption, cell)
        for sentence in (*section.says, *section.notes, *(p.message for p in section.pictures)):
            assert squeezed(sentence) in text, sentence
    for sentence in (*tree.warnings, *tree.sources, tree.title, tree.provenance):
        assert squeezed(sentence) in text, sentence
    for f in (*tree.short, *tree.stands_on):
        assert squeezed(f.label + f.text) in text, f
    assert text.count(squeezed(tree.caution)) == 1 + ("[lens]" in ALL[name])


@pytest.mark.parametrize("name", ["copolymer_b.toml", "index alone"])
def test_the_rows_of_a_table_keep_their_order(made, name):
    tree, document = made(name)
    text = text_of(document)
    for table in (t for s in tree.sections for t in s.tables if t.caption.startswith(("How the reading", "u of the power"))):
        at = text.index(squeezed(table.caption))
        for row in table.rows:
            at = text.index(squeezed("".join(row)), at)


@pytest.mark.parametrize("name", ["copolymer_c.toml", "a temperature a table"])
def test_every_page_says_its_number_the_title_and_the_sum(made, name):
    tree, document = made(name)
    assert len(document) > 3
    for i, page in enumerate(document, 1):
        text = squeezed(page.get_textpage().get_text_range())
        assert f"page{i}of{len(document)}" in text
        assert squeezed(f"{tree.title}sheet {tree.checksum_in_short}") in text
        assert "Notamedicaldevice" in text
        assert (round(page.get_width()), round(page.get_height())) == (595, 842)  # A4


def test_a_sheet_without_a_lens_is_shorter(made):
    assert len(made("index alone")[1]) < len(made("copolymer_c.toml")[1])


@pytest.mark.parametrize("name", ["copolymer_b.toml", "hostile"])
def test_it_is_tagged_and_has_a_title_and_a_language(made, name):
    tree, document = made(name)
    assert raw.FPDFCatalog_IsTagged(document.raw)
    assert document.get_metadata_dict()["Title"] == tree.title
    size = raw.FPDFCatalog_GetLanguage(document.raw, None, 0)
    buffer = ctypes.create_string_buffer(size)
    raw.FPDFCatalog_GetLanguage(document.raw, ctypes.cast(buffer, ctypes.POINTER(ctypes.c_ushort)), size)
    assert buffer.raw.decode("utf-16-le").rstrip("\x00") == "en"


def test_the_date_is_the_sheet_s_own_or_none(made):
    assert made("copolymer_b.toml")[1].get_metadata_dict()["CreationDate"].startswith("D:20261120")
    assert made("copolymer_c.toml")[1].get_metadata_dict().get("CreationDate", "") == ""


@pytest.mark.parametrize("name", ["hostile", "another script", "long"])
def test_no_name_breaks_out_or_is_lost(made, name):
    tree, document = made(name)
    text = text_of(document)
    if name == "hostile":
        assert squeezed("#panic() *b* $x$ @ref `r` // c <script>alert(1)</script> &amp; ]]>") in text
        assert text.count("<imgsrc=xonerror=y>") >= 4  # title, material, gauge, and the sheet itself
        assert squeezed("‹U+0007› ‹U+202E›abc‹U+2066› ‹U+200B›") in text
    if name == "long":
        assert text.count("A" * 20) >= 2 * 2000 / 20 - 8  # the material and the sheet, over the ends of pages
        for page in document:  # nothing runs over the edge of the paper
            objects = [o.get_bounds() for o in page.get_objects(filter=[raw.FPDF_PAGEOBJ_TEXT])]
            assert min(left for left, *_ in objects) > 40
            assert max(right for _, _, right, _ in objects) < 595 - 40
    if name == "another script":
        assert ("共聚物" in text) or ("‹U+5171›‹U+805A›‹U+7269›" in text)  # by a font of this machine, or by number
    for f in tree.short:
        assert squeezed(f.label + f.text) in text


def test_only_fonts_that_come_with_typst_are_inside(made):
    fonts = set()
    for page in made("copolymer_c.toml")[1]:
        for o in page.get_objects(filter=[raw.FPDF_PAGEOBJ_TEXT], max_depth=10):
            fonts.add(o.get_font().get_base_name().split("+")[-1].split("-")[0])
    assert fonts == {"LibertinusSerif", "DejaVuSansMono"}


def test_the_charts_are_lines_and_letters_not_pixels(made):
    document = made("copolymer_c.toml")[1]
    assert not any(o for page in document for o in page.get_objects(filter=[raw.FPDF_PAGEOBJ_IMAGE], max_depth=10))
    text = text_of(document)
    assert "thislens±u" in text
    assert "alongtheaxis,mm" in text
    assert "changeofindexwithtemperature(thelot's):57%" in text


WRITE = """
from pathlib import Path
from lenscalc.demo import demo_text
from lenscalc.report import determine, write_report
determined = determine(demo_text("copolymer_c.toml"))
write_report(determined, "d.pdf")
write_report(determined, "d.html")
"""


def test_two_processes_write_the_same_bytes(tmp_path):
    written = []
    for folder, zone, seed in (("one", "UTC", "1"), ("two", "Pacific/Auckland", "2")):
        (tmp_path / folder).mkdir()
        environment = {**os.environ, "TZ": zone, "PYTHONHASHSEED": seed, "LANG": "C"}
        subprocess.run([sys.executable, "-c", WRITE], cwd=tmp_path / folder, env=environment, check=True, capture_output=True)
        written.append([(tmp_path / folder / out).read_bytes() for out in ("d.pdf", "d.html")])
    assert written[0] == written[1]
    assert written[0][0] == report_pdf(DEMO["copolymer_c.toml"])
    assert report_pdf(DEMO["copolymer_e.toml"]) != written[0][0]


def test_there_is_something_to_compare():
    assert len(list(figures_of(determine(DEMO["copolymer_b.toml"]).tree))) > 150
