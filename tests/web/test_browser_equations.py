"""The equations under a result, in a real browser: an equation wider than its box is something to scroll that no key reaches."""

import pytest
from at_rest import at_rest

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")


@pytest.mark.parametrize(("path", "title"), [("one_reading", "One lot, from reading to verdict"), ("worth_making", "Which are worth making?")])
def test_an_equation_is_no_wider_than_its_box(page, address, go, path, title):
    go(page, f"{address}/{path}", title)
    page.get_by_text("How this was computed").click()
    page.locator(".katex-display").first.wait_for()
    at_rest(page)
    widths = page.evaluate("[...document.querySelectorAll('.katex-display')].map(e => [e.scrollWidth, e.clientWidth])")
    assert widths
    assert [w for w in widths if w[0] > w[1]] == []
