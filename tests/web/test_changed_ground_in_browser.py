"""When the system turns dark under an open page its pictures follow, and what was put in stays."""

import pytest

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
INK = """() => [getComputedStyle(document.querySelector('[data-testid=stApp]')).backgroundColor,
    document.querySelector('[data-testid=stVegaLiteChart] svg text').getAttribute('fill')]"""


def test_pictures_follow_the_system_without_a_move(page, address, go):
    page.emulate_media(color_scheme="light")
    go(page, f"{address}/index_change?index_change=0.002", "How does power answer to the index?")
    page.locator("[data-testid=stVegaLiteChart] svg text").first.wait_for()
    light = page.evaluate(INK)
    page.emulate_media(color_scheme="dark")
    page.wait_for_function(f"before => {{ const now = ({INK})(); return now[0] !== before[0] && now[1] !== before[1]; }}", arg=light)
    dark = page.evaluate(INK)
    page.emulate_media(color_scheme="light")
    page.wait_for_function(f"wanted => JSON.stringify(({INK})()) === JSON.stringify(wanted)", arg=light)
    assert dark != light
    assert "index_change=0.002" in page.url
    playwright.expect(page.get_by_text("0.002 more index").first).to_be_visible()


def test_a_field_that_is_being_written_in_keeps_what_stands_in_it(page, address, go):
    page.emulate_media(color_scheme="light")
    go(page, f"{address}/a_lens?n_lens=1.5", "A lens by its dimensions")
    page.locator("[data-testid=stVegaLiteChart] svg text").first.wait_for()
    light = page.evaluate(INK)
    field = page.get_by_role("spinbutton", name="Front radius, mm", exact=True)
    field.fill("13.5")
    page.emulate_media(color_scheme="dark")
    page.wait_for_function(f"before => ({INK})()[1] !== before[1]", arg=light)
    playwright.expect(field).to_have_value("13.5")
