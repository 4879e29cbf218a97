"""The pages in a real browser, started from another folder: what a user does on them. What holds for all of them: test_browser_pages.py."""

from importlib.resources import files

from lenscalc.web.shell import PAGES


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
    page.set_viewport_size({"width": 600, "height": 900})  # where the list stands open in its own margin
    go(page, f"{address}/{PAGES[-1][2]}", PAGES[-1][1])
    for _, title, _ in PAGES:
        page.get_by_role("link", name=title).first.wait_for(state="attached")
    assert page.get_by_role("link", name="entry").count() == 0


def test_the_packaged_pages_are_all_there():
    assert {f.name for f in (files("lenscalc.web") / "views").iterdir() if f.name.endswith(".py")} == {file for file, _, _ in PAGES}
