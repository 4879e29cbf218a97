"""A print that cannot be made: the page says why, in a sentence, and nothing is saved; once it can be made again, it is."""

import pytest
from at_rest import at_rest

from lenscalc.demo import demo_text
from lenscalc.records import open_store

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")


def test_the_store_goes_away_under_the_page(page, address, go, kept_by_server):
    with open_store(kept_by_server, create=True, wait_s=10.0) as store:
        record = store.add_sheet(demo_text("copolymer_b.toml"), "b.toml")
    go(page, f"{address}/kept?record={record.id}", "What has been kept?")
    aside = kept_by_server.with_suffix(".aside")
    button = page.get_by_role("button", name="Save the determination (PDF)")
    button.wait_for()
    kept_by_server.rename(aside)
    button.click()
    page.get_by_text("Nothing was saved.").wait_for()
    assert page.get_by_text("Traceback").count() == 0
    aside.rename(kept_by_server)
    at_rest(page)
    with page.expect_download() as waiting:
        button.click()
    assert waiting.value.path().read_bytes().startswith(b"%PDF-")
    playwright.expect(page.get_by_text("Nothing was saved.")).to_have_count(0)
    for part in kept_by_server.parent.glob("records.db*"):  # who keeps a record next begins with none
        part.unlink()
