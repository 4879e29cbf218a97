"""On a phone the tables of the pages are read as wholes: nothing of one lies beyond its frame."""

import pytest

pytest.importorskip("playwright.sync_api", reason="playwright is not installed")

BEYOND = """() => [...document.querySelectorAll('[data-testid=stTable]')].map(frame => {
    const table = frame.querySelector('table');
    return Math.round(table.getBoundingClientRect().right - frame.getBoundingClientRect().right);
})"""


@pytest.mark.parametrize(
    ("path", "title", "tables"),
    [
        ("worth_making", "Which are worth making?", 1),
        ("a_file", "A table of candidates", 1),
        ("moved", "Has the instrument or the material moved?", 3),
    ],
)
def test_no_table_is_cut_off(page, address, go, path, title, tables):
    page.set_viewport_size({"width": 600, "height": 5000})  # what is out of sight is not drawn
    go(page, f"{address}/{path}", title)
    page.locator("[data-testid=stTable] table").nth(tables - 1).wait_for()
    beyond = page.evaluate(BEYOND)
    assert len(beyond) == tables
    assert max(beyond) <= 1
