"""The HTML file: it shows the tree, needs nothing from outside, runs nothing, and shuts nobody out."""

import os
import re
import shutil
from html.parser import HTMLParser

import pytest
from sheets import ALL, DEMO

from lenscalc.report import determine, figures_of, html_of
from lenscalc.report.markup import joined, tag

CHROMIUM = shutil.which("chromium")
VOID = {"meta", "br", "img", "link", "input", "hr"}
needs_browser = pytest.mark.skipif(CHROMIUM is None and "REQUIRE_BROWSER" not in os.environ, reason="no chromium on this machine")


class Read(HTMLParser):
    """Figures by their quantity, all text, all elements with their attributes; and that every element is closed."""

    def __init__(self, text):
        super().__init__(convert_charrefs=True)
        self.figures, self.text, self.elements, self.open = [], "", [], []
        self.feed(text)
        self.close()

    def handle_starttag(self, name, attributes):
        self.elements.append((name, dict(attributes)))
        if name not in VOID:
            self.open.append((name, dict(attributes).get("data-quantity"), len(self.text)))

    def handle_endtag(self, name):
        opened, quantity, start = self.open.pop()
        assert opened == name
        if quantity is not None:
            self.figures.append((quantity, self.text[start:]))

    def handle_data(self, data):
        self.text += data


@pytest.fixture(scope="module")
def made():
    kept = {}

    def of(name):
        if name not in kept:
            determined = determine(ALL[name])
            text = html_of(determined)
            kept[name] = determined.tree, text, Read(text)
        return kept[name]

    return of


@pytest.mark.parametrize("name", [*DEMO, "index alone", "hostile", "exact", "water content", "forty readings"])
def test_it_shows_the_figures_of_the_tree_in_their_order(made, name):
    tree, _, read = made(name)
    shown = [(quantity, text) for quantity, text in read.figures if quantity and text]
    assert shown == [*figures_of(tree), *((f.quantity, f.text) for f in tree.stands_on)]
    for sentence in (*tree.warnings, *tree.sources, tree.title, tree.provenance, tree.sheet):
        assert sentence in read.text
    assert read.text.count(tree.caution) == 1 + ("[lens]" in ALL[name])
    assert read.open == []


@pytest.mark.parametrize("name", ["copolymer_b.toml", "hostile", "index alone"])
def test_it_needs_nothing_from_outside_and_runs_nothing(made, name):
    _, text, read = made(name)
    names = {name for name, _ in read.elements}
    assert not names & {"script", "link", "iframe", "object", "embed", "img", "base", "form", "image"}
    for _, attributes in read.elements:
        assert not [key for key in attributes if key.startswith("on")]
        for key in ("src", "href", "xlink:href", "srcset", "action", "poster"):
            assert attributes.get(key, "#").startswith("#")
        in_words = ("aria-label", "content")
        assert not [value for key, value in attributes.items() if key not in in_words and "//" in (value or "")]
    assert "@import" not in text
    assert "url(" not in re.sub(r"url\(#", "", text)
    assert "default-src 'none'" in text


def test_the_names_inside_the_pictures_are_each_their_own(made):
    _, text, read = made("copolymer_b.toml")
    ids = [attributes["id"] for _, attributes in read.elements if "id" in attributes]
    assert len(ids) == len(set(ids))
    for wanted in re.findall(r"url\(#([^)]+)\)", text):
        assert wanted in ids
    assert sum(name == "svg" for name, _ in read.elements) == 4


def test_text_is_escaped_wherever_it_is_put():
    assert tag("p", '<"&\'', title='"><script>') == '<p title="&quot;&gt;&lt;script&gt;">&lt;&quot;&amp;&#x27;</p>'
    assert joined(str(tag("b", "x")) + "") == "&lt;b&gt;x&lt;/b&gt;"  # what was put together by hand is text again


@needs_browser
@pytest.mark.parametrize(("name", "width", "scheme"), [("copolymer_b.toml", 1400, "light"), ("hostile", 600, "dark"), ("index alone", 600, "light")])
def test_in_a_browser_nothing_is_asked_for_nothing_too_wide_and_nobody_shut_out(made, tmp_path, name, width, scheme):
    playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-playwright-python is not installed")
    tree, text, _ = made(name)
    file = tmp_path / "determination.html"
    file.write_text(text, encoding="utf-8")
    with playwright.sync_playwright() as p:
        chromium = p.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        page = chromium.new_context(viewport={"width": width, "height": 1000}, color_scheme=scheme, bypass_csp=True).new_page()
        asked, said = [], []
        page.on("request", lambda request: asked.append(request.url))
        page.on("console", lambda message: said.append(message.text))
        page.goto(file.as_uri())
        assert page.title() == tree.title
        assert asked == [file.as_uri()]
        assert said == []
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        found = axe.Axe().run(page).response["violations"]
        chromium.close()
    assert [(v["id"], [n["html"][:200] for n in v["nodes"][:3]]) for v in found] == []
