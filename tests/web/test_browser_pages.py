"""Every page in a real browser, at two widths, light and dark: quiet console, nothing from elsewhere, open to all, no wider than its window."""

import json

import pytest
from at_rest import at_rest, run_again, watched

from lenscalc.web.shell import PAGES

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-playwright-python is not installed")
NARROW, WIDE = 600, 1600


@pytest.fixture
def visitor(browser):
    """A function that opens a page in a browser of its own."""
    contexts = []

    def fresh(width=NARROW):
        contexts.append(browser.new_context(viewport={"width": width, "height": 1000}))
        return watched(contexts[-1].new_page())

    yield fresh
    for context in contexts:
        context.close()


@pytest.fixture
def heard(page):
    """A page that notes what its console says."""
    return listening(page)


def listening(page):
    page.said = []
    page.on("console", lambda message: page.said.append((message.text, message.location["url"])) if message.type == "error" else None)
    page.on("pageerror", lambda error: page.said.append((str(error), "")))
    return page


def errors(page, address, path):
    """What the console said. On a direct visit the framework cannot know whether /a_lens is a page or the folder that it is served from, and asks
    below it first; answered there, it would take it for the folder. So these two 404 have to be, and no others.
    """
    foreseen = {f"{address}/{path}/_stcore/health", f"{address}/{path}/_stcore/host-config"} if path else set()
    return [(text, url) for text, url in page.said if url not in foreseen]


def barriers(page):
    """What axe finds serious.

    But for the rectangle that a pointer draws in a picture, its border and its ground: marks of their own, which the charts' language lets nobody
    name. They are empty until somebody draws; the picture has its name, and limits can be typed on the page of the ranking.
    """
    found = axe.Axe().run(page, context={"exclude": [[".chosen_brush"], [".chosen_brush_bg"]]}).response["violations"]
    nodes = [(v["id"], node) for v in found if v["impact"] in ("serious", "critical") for node in v["nodes"]]
    return json.dumps([(name, node["html"][:200], node.get("failureSummary", "")) for name, node in nodes[:5]], indent=1)


def too_wide(page):
    """What reaches beyond the window, unless something around it scrolls by itself."""
    return page.evaluate("""() => [...document.querySelectorAll('[data-testid=stMain] *')].filter(e => {
        if (e.getBoundingClientRect().right <= window.innerWidth + 1) return false;
        for (let up = e; up; up = up.parentElement) {
            const how = getComputedStyle(up).overflowX;
            if (how === 'auto' || how === 'scroll' || how === 'hidden' || how === 'clip') return up.dataset.testid === 'stMain';
        }
        return true;
    }).map(e => e.outerHTML.slice(0, 120))""")


@pytest.mark.parametrize(("place", "title", "path"), [(i, title, path) for i, (_, title, path) in enumerate(PAGES)],
                         ids=[path or "entry" for _, _, path in PAGES])  # fmt: skip
def test_a_page_is_quiet_private_open_to_all_and_fits(heard, address, go, place, title, path):
    """Every second page is opened light and turns dark, the others the other way round: at both widths in both."""
    page, schemes = heard, ("light", "dark") if place % 2 else ("dark", "light")
    page.emulate_media(color_scheme=schemes[0])
    page.set_viewport_size({"width": NARROW, "height": 1000})
    go(page, f"{address}/{path}", title)
    grounds = set()
    for scheme, widths in zip(schemes, ((NARROW, WIDE), (WIDE, NARROW)), strict=True):
        if scheme == schemes[1]:
            with run_again(page):  # its pictures are drawn anew
                page.emulate_media(color_scheme=scheme)
        for width in widths:
            page.set_viewport_size({"width": width, "height": 1000})
            at_rest(page)
            assert too_wide(page) == []
            assert page.evaluate("document.documentElement.scrollWidth") <= width
            if width == (NARROW if scheme == "light" else WIDE):
                assert barriers(page) == "[]"
        grounds.add(page.evaluate("getComputedStyle(document.querySelector('[data-testid=stApp]')).backgroundColor"))
    assert len(grounds) == 2
    assert [url for url in page.asked if not url.startswith((address, address.replace("http", "ws"), "data:", "blob:"))] == []
    assert errors(page, address, path) == []


def test_the_keyboard_reaches_every_page(visitor, address, go):
    page = visitor(width=NARROW)
    go(page, address, PAGES[0][1])
    reached = set()
    for _ in range(len(PAGES) + 2):
        page.keyboard.press("Tab")
        reached.add(page.evaluate("document.activeElement.innerText"))
    assert {title for _, title, _ in PAGES} <= reached
    page = visitor(width=WIDE)
    go(page, address, PAGES[0][1])
    for _ in range(4):
        page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.innerText").startswith("Something to show")
    page.keyboard.press("Enter")
    page.get_by_role("menuitem", name="A lens by its dimensions").wait_for()


def test_an_address_reproduces_its_page_and_moving_about_keeps_the_inputs(visitor, address, go):
    page = visitor(width=WIDE)
    go(page, f"{address}/a_lens", "A lens by its dimensions")
    radius = page.get_by_role("spinbutton", name="Front radius, mm", exact=True)
    radius.fill("13.5")
    radius.press("Enter")
    page.get_by_text("The back is plano").click()
    page.wait_for_url("**back_plano=true*")
    page.wait_for_url("**front_radius_mm=13.5*")
    page.get_by_text("11.407 D").first.wait_for()  # (1.49 − 1.336)/0.0135 m, by hand
    link = page.url
    page.get_by_role("button", name="Something to show").click()
    page.get_by_role("menuitem", name="How sharp is its image?").click()
    page.get_by_role("heading", name="How sharp is its image?", level=1).wait_for()
    playwright.expect(page.get_by_role("spinbutton", name="Front radius, mm", exact=True)).to_have_value("13.500")
    page.wait_for_url("**/its_image?*front_radius_mm=13.5*")
    again = visitor(width=WIDE)
    go(again, link, "A lens by its dimensions")
    again.get_by_text("11.407 D").first.wait_for()
    playwright.expect(again.get_by_role("spinbutton", name="Front radius, mm", exact=True)).to_have_value("13.500")
    playwright.expect(again.get_by_role("checkbox", name="The back is plano")).to_be_checked()


def test_a_wrong_value_in_the_address_is_told_beside_its_field(visitor, address, go):
    page = visitor(width=WIDE)
    go(page, f"{address}/a_lens?n_lens=1,5", "A lens by its dimensions")
    page.get_by_text("write the decimals with a point").wait_for()
    index = page.get_by_role("spinbutton", name="Index of the lens", exact=True)
    told = page.get_by_text("write the decimals with a point")
    below = "([one, other]) => other.getBoundingClientRect().y - one.getBoundingClientRect().y"  # at one moment: what stands above may still grow
    assert 0 < page.evaluate(below, [index.element_handle(), told.element_handle()]) < 150
    index.fill("14.9")
    index.press("Enter")
    page.get_by_text("is the decimal point one place off?").first.wait_for()
    told.wait_for(state="detached")
    index.fill("1.5")
    index.press("Enter")
    page.get_by_text("is the decimal point one place off?").first.wait_for(state="detached")
    assert page.get_by_text("Traceback").count() == 0
