"""Another page begins at its top, also where the machine is slow: the framework alone would leave it scrolled as far as the page before."""

import pytest
from at_rest import at_rest

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")

SLOWER = 8
TOP = "document.querySelector('[data-testid=stMain]').scrollTop"


def test_a_link_at_the_end_of_a_page_leads_to_the_top_of_the_next(page, address, go):
    page.set_viewport_size({"width": 390, "height": 844})
    go(page, address, "What did you come for?")
    link = page.get_by_test_id("stPageLink-NavLink").get_by_text("What would the eye notice?").last
    link.scroll_into_view_if_needed()
    assert page.evaluate(TOP) > 100
    page.context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    link.click()
    page.get_by_role("heading", name="What would the eye notice?", level=1).wait_for()
    page.get_by_test_id("stVegaLiteChart").first.wait_for()
    at_rest(page)
    assert page.evaluate(TOP) == 0
