"""On a phone the inputs stand below the answers: a link leads to them and one leads back; where both have room there is none.
The list of pages, which lies over the page, has whole titles and is shut by a choice.
"""

import pytest
from at_rest import at_rest

from lenscalc.web.shell import PAGES, SECTIONS

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")


# titles of which a part is not seen
CUT = """links => links.filter(a => [a, ...a.querySelectorAll('*')].some(e => e.clientWidth && e.scrollWidth > e.clientWidth + 1))
    .map(a => a.innerText)"""


def in_sight(page, locator):
    box = locator.bounding_box()
    return 0 <= box["y"] < page.viewport_size["height"]


def test_to_the_inputs_and_back(page, address, go):
    page.set_viewport_size({"width": 600, "height": 900})
    go(page, f"{address}/a_lens?n_lens=1.5", "A lens by its dimensions")
    field = page.get_by_role("spinbutton", name="Front radius, mm", exact=True)
    assert not in_sight(page, field)
    page.get_by_role("link", name="To the inputs").click()
    playwright.expect(field).to_be_in_viewport()
    field.fill("14")
    field.press("Enter")
    page.get_by_role("link", name="To the answer").click()
    playwright.expect(page.get_by_role("heading", level=2).first).to_be_in_viewport()
    page.wait_for_url("**front_radius_mm=14*")  # the address still carries the lens
    assert "n_lens=1.5" in page.url
    page.set_viewport_size({"width": 1400, "height": 900})
    playwright.expect(page.get_by_role("link", name="To the inputs")).to_be_hidden()


@pytest.mark.parametrize(
    ("path", "title", "answer", "asked"),
    [
        ("a_file", "A table of candidates", "In short:", "What to compute"),
        ("worth_making", "Which are worth making?", "In short:", "Which results?"),
        ("a_sweep", "A sweep of designs", "This design makes", "Load a design (TOML)"),
    ],
)
def test_a_table_too_has_its_answer_first_and_its_inputs_by_a_link(page, address, go, path, title, answer, asked):
    page.set_viewport_size({"width": 600, "height": 900})
    go(page, f"{address}/{path}", title)
    answer, asked = page.get_by_text(answer).first, page.get_by_text(asked).first
    playwright.expect(answer).to_be_in_viewport()
    assert not in_sight(page, asked)
    page.get_by_role("link", name="To the inputs").click()
    playwright.expect(asked).to_be_in_viewport()
    page.get_by_role("link", name="To the answer").click()
    playwright.expect(answer).to_be_in_viewport()


@pytest.mark.parametrize(
    ("path", "title", "head"), [("a_file", "A table of candidates", "verdict"), ("worth_making", "Which are worth making?", "would conform")]
)
def test_on_a_phone_the_verdict_of_every_candidate_is_seen_whole(page, address, go, path, title, head):
    page.set_viewport_size({"width": 390, "height": 844})
    go(page, f"{address}/{path}", title)
    table = page.get_by_test_id("stTable").first
    table.get_by_text("A", exact=True).wait_for()
    heads = table.locator("thead th").all_inner_texts()
    place = [text.strip() for text in heads].index(head)
    for row in table.locator("tr").all():
        box = row.locator("th, td").nth(place).bounding_box()
        assert box["x"] >= 0
        assert box["x"] + box["width"] <= 390
    # what does not fit is reached by scrolling the table, not the page
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    table.locator("tr").first.locator("th, td").last.scroll_into_view_if_needed()
    last = table.locator("tr").nth(1).locator("th, td").last.bounding_box()
    assert last["x"] + last["width"] <= 391


def test_on_the_page_of_a_reading_too(page, address, go):
    page.set_viewport_size({"width": 600, "height": 900})
    go(page, f"{address}/one_reading", "One lot, from reading to verdict")
    table = page.get_by_test_id("stDataFrame").first
    table.wait_for(state="attached")
    assert not in_sight(page, table)
    page.get_by_role("link", name="To the inputs").click()
    playwright.expect(table).to_be_in_viewport()
    page.get_by_role("link", name="To the answer").click()
    playwright.expect(page.get_by_text("would conform if cut to these dimensions").first).to_be_in_viewport()
    assert page.url.partition("#")[0].endswith("/one_reading")
    page.set_viewport_size({"width": 1400, "height": 1000})
    playwright.expect(page.get_by_role("link", name="To the inputs")).to_be_hidden()
    playwright.expect(table).to_be_in_viewport()
    for name in ("Labelled power, D", "Centre thickness, mm", "Front radius, mm", "Back radius, mm"):  # without scrolling
        assert in_sight(page, page.get_by_role("spinbutton", name=name, exact=True))


@pytest.mark.parametrize("width", [390, 600])
def test_the_list_of_pages_has_whole_titles_and_is_shut_by_a_choice(page, address, go, width):
    page.set_viewport_size({"width": width, "height": 844})
    go(page, address, "What did you come for?")
    menu, opened = page.get_by_test_id("stSidebar"), page.get_by_test_id("stExpandSidebarButton")
    for by_key in (False, True):
        opened.click()
        page.wait_for_function("document.querySelector('[data-testid=stSidebar]').getBoundingClientRect().width > 290")  # it slides
        links = menu.get_by_test_id("stSidebarNavLink")
        assert links.all_inner_texts() == [title for _, title, _ in PAGES]
        assert links.evaluate_all(CUT) == []
        wanted = menu.get_by_role("link", name="In air, in water, in the eye" if by_key else "How does power answer to the index?")
        wanted.focus() if by_key else wanted.click()
        if by_key:
            page.keyboard.press("Enter")
        page.get_by_role("heading", name="In air, in water, in the eye" if by_key else "How does power answer to the index?", level=1).wait_for()
        playwright.expect(menu).to_have_attribute("data-collapsed", "true")
        playwright.expect(page.get_by_role("heading", level=1)).to_be_in_viewport()
        page.wait_for_function("document.elementFromPoint(40, 400).closest('[data-testid=stSidebar]') === null")  # nothing lies over the page
        at_rest(page)
        playwright.expect(menu).to_have_attribute("data-collapsed", "true")


def test_a_link_to_a_page_has_its_whole_title(page, address, go):
    page.set_viewport_size({"width": 390, "height": 844})
    go(page, address, "What did you come for?")
    links = page.get_by_test_id("stPageLink-NavLink")
    playwright.expect(links).to_have_count(len(PAGES) - 1)  # all but the entry itself and the ground; one is linked to twice
    assert links.evaluate_all(CUT) == []


def test_the_list_of_pages_is_heard_as_groups_of_links(page, address, go):
    page.set_viewport_size({"width": 390, "height": 844})
    go(page, address, "What did you come for?")
    page.get_by_test_id("stExpandSidebarButton").click()
    for section, pages in SECTIONS.items():
        if section:
            group = page.get_by_role("group", name=section, exact=True)
            playwright.expect(group.get_by_role("link")).to_have_count(len(pages))
    page.set_viewport_size({"width": 1400, "height": 844})  # there it is another list
    playwright.expect(page.get_by_test_id("stSidebarNavItems")).to_have_count(0)
    page.set_viewport_size({"width": 390, "height": 844})  # and here it is made anew
    playwright.expect(page.get_by_role("group", name="An effect in the eye").get_by_role("link")).to_have_count(1)
