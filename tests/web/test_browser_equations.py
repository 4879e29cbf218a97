"""The equations under a result, in a real browser: an equation wider than its box is something to scroll that no key reaches."""

import pytest

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")


@pytest.mark.parametrize(("path", "title"), [("one_reading", "One reading, all the way"), ("worth_making", "Which are worth making?")])
def test_an_equation_is_no_wider_than_its_box(browser, address, go, path, title):
    page = browser.new_page(viewport={"width": 1400, "height": 1000})
    page.set_default_timeout(60_000)
    try:
        go(page, f"{address}/{path}", title)
        page.get_by_text("How this was computed").click()
        page.locator(".katex-display").first.wait_for()
        page.wait_for_timeout(500)
        widths = page.evaluate("[...document.querySelectorAll('.katex-display')].map(e => [e.scrollWidth, e.clientWidth])")
        assert widths
        assert [w for w in widths if w[0] > w[1]] == []
    finally:
        page.close()
