"""A reading kept in the records in a real browser, found on their page, printed, and charted; what the filled pages look like to a screen reader."""

import io
import re

import pytest
from at_rest import at_rest

from lenscalc.records import open_store

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-playwright-python is not installed")
pdfium = pytest.importorskip("pypdfium2")


def saved(page, label):
    at_rest(page)  # a button that is drawn anew under the pointer is not pressed
    with page.expect_download() as waiting:
        page.get_by_role("button", name=label).click()
    return waiting.value.path().read_bytes()


def test_kept_found_printed_and_charted(page, address, go, kept_by_server):
    go(page, f"{address}/one_reading", "One lot, from reading to verdict")
    page.get_by_role("button", name="Keep this in the records").click()
    page.get_by_text("Kept as record").wait_for()
    with open_store(kept_by_server) as store:
        (line,) = store.lines()
        head = store.head()
    assert saved(page, "Save the determination (PDF)").startswith(b"%PDF-")
    page.get_by_role("link", name="Look at the record").click()
    page.get_by_role("heading", name=f"What does record {line.id} hold?").wait_for()
    assert page.url.endswith(f"/kept?record={line.id}")
    page.get_by_role("button", name="Compute it again").click()
    page.get_by_text("Every value came out to the same bits").wait_for()
    printed = pdfium.PdfDocument(io.BytesIO(saved(page, "Save the determination (PDF)")))
    text = re.sub(r"[\s\u200b\u0002\ufffe]", "", "".join(p.get_textpage().get_text_range() for p in printed))  # a long word may break
    assert line.hash in text
    assert head in text
    assert saved(page, "Save everything (zip of CSV and JSON)").startswith(b"PK")
    at_rest(page)
    found = axe.Axe().run(page).response["violations"]
    assert [(v["id"], v["nodes"][0]["html"][:200]) for v in found if v["impact"] in ("serious", "critical")] == []
    page.set_viewport_size({"width": 600, "height": 1000})
    at_rest(page)
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth + 1")
    go(page, f"{address}/moved", "Has the instrument or the material moved?")
    page.get_by_text("the records", exact=True).click()
    page.get_by_text("1 value from the records").wait_for()
    assert [url for url in page.asked if not url.startswith((address, address.replace("http", "ws"), "data:", "blob:"))] == []
