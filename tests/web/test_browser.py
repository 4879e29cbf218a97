"""The pages in a real browser: started from another folder, nothing leaves the machine, no serious barrier for readers with aids."""

import json
from importlib.resources import files

import pytest

from lenscalc.demo import demo_text
from lenscalc.web.shell import PAGES

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-playwright-python is not installed")


def test_a_sheet_is_loaded_and_a_reading_changed(page, address, go, tmp_path):
    sheet = tmp_path / "mine.toml"
    sheet.write_text(demo_text("copolymer_e.toml"), encoding="utf-8")
    go(page, address, "One reading, all the way")
    page.get_by_text("20.419 D, u 0.060 D").first.wait_for()
    page.locator("input[type=file]").set_input_files(sheet)
    page.get_by_text("21.43 D, u 0.23 D").first.wait_for()
    assert page.get_by_text("not decided: the power lies too near a limit").first.is_visible()
    readings = page.get_by_role("textbox", name="Readings of the index, one a line")
    readings.fill("1.5213\n1.5211\n1.5215\n1.5212")
    readings.press("Control+Enter")
    page.get_by_text("would not conform if cut to these dimensions").first.wait_for()
    playwright.expect(page.get_by_text("21.43 D, u 0.23 D")).to_have_count(0)  # the redraw may still be on its way
    readings.fill("1,5213")
    readings.press("Control+Enter")
    page.get_by_text("write the decimals with a point").first.wait_for()
    assert page.get_by_text("Traceback").count() == 0


def test_the_lens_in_the_address(page, address, go):
    """20.469666 D: computed with mpmath from Gullstrand's equation."""
    go(page, f"{address}/a_lens?front_radius_mm=15&back_radius_mm=-15&center_thickness_mm=0.9&n_lens=1.49", "A lens by its dimensions")
    page.get_by_text("20.470 D").first.wait_for()
    index = page.get_by_role("spinbutton", name="Index of the lens", exact=True)
    index.fill("1.5")
    index.press("Enter")
    page.wait_for_url("**n_lens=1.5*")
    page.get_by_text("20.470 D").first.wait_for(state="detached")


def test_a_first_visit_to_any_page_finds_our_own_list_of_pages(page, address, go):
    go(page, f"{address}/{PAGES[-1][2]}", PAGES[-1][1])
    for _, title, _ in PAGES:
        assert page.get_by_role("link", name=title).first.is_visible()
    assert page.get_by_role("link", name="entry").count() == 0


@pytest.mark.parametrize(("file", "title", "path"), PAGES)
def test_nothing_leaves_the_machine_and_nobody_is_shut_out(page, address, go, file, title, path):
    go(page, f"{address}/{'' if file == PAGES[0][0] else path}", title)
    page.wait_for_timeout(1500)
    elsewhere = [url for url in page.asked if not url.startswith((address, address.replace("http", "ws"), "data:", "blob:"))]
    assert page.asked
    assert elsewhere == []
    found = axe.Axe().run(page).response["violations"]
    grave = [v for v in found if v["impact"] in ("serious", "critical")]
    told = [(v["id"], [f"{n['html'][:200]} | {n.get('failureSummary', '')}" for n in v["nodes"][:3]]) for v in grave]
    assert grave == [], json.dumps(told, indent=1)


@pytest.mark.parametrize("path", ["", "a_lens", "its_image", "a_file", "an_eye", "moved", "how_we_know"])
def test_nothing_is_wider_than_a_narrow_window(page, address, go, path):
    page.set_viewport_size({"width": 600, "height": 900})
    go(page, f"{address}/{path}", next(title for file, title, p in PAGES if p == (path or "one_reading")))
    page.wait_for_timeout(1500)
    assert page.evaluate("document.documentElement.scrollWidth") <= 600


def test_the_packaged_pages_are_all_there():
    assert {f.name for f in (files("lenscalc.web") / "views").iterdir() if f.name.endswith(".py")} == {file for file, _, _ in PAGES}
