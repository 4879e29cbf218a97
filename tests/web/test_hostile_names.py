"""What somebody wrote into a table or an address stays text on a page: no picture of it is fetched, no markup of it is drawn."""

import pytest
from at_rest import at_rest

pytest.importorskip("playwright.sync_api", reason="playwright is not installed")

NAME = "![x](http://127.0.0.1:9/seen.png) <b>bold</b> $x^2$ **loud**"
TABLE = "candidate,front_radius_mm,back_radius_mm,center_thickness_mm,n_lens,u_n_lens,optic_diameter_mm,labelled_power_D\n" + "".join(
    f"{name},{radius},-15,0.9,{n},0.0003,6,20.5\n" for name, radius, n in ((NAME, 15, 1.49), ("B", 15.1, 1.492), (NAME, 15, NAME))
)


def _quiet(page, address):
    assert [url for url in page.asked if not url.startswith((address, address.replace("http", "ws"), "data:", "blob:"))] == []
    assert page.locator("[data-testid=stMain] img[src*='127.0.0.1:9']").count() == 0


def test_names_in_a_table(page, address, go, tmp_path):
    file = tmp_path / "hostile.csv"
    file.write_text(TABLE, encoding="utf-8")
    go(page, f"{address}/a_file", "A table of candidates")
    page.locator("input[type=file]").first.set_input_files(file)
    page.get_by_text("<b>bold</b>").first.wait_for()
    at_rest(page)
    _quiet(page, address)
    page.get_by_role("link", name="Which are worth making?").first.click()
    page.get_by_role("heading", name="Which are worth making?", level=1).wait_for()
    page.get_by_text("<b>bold</b>").first.wait_for()
    at_rest(page)
    _quiet(page, address)


def test_names_and_values_in_an_address(page, address, go):
    go(page, f"{address}/a_lens?n_lens={NAME}&{NAME}=1", "A lens by its dimensions")
    page.get_by_text("which this page does not ask for").first.wait_for()
    _quiet(page, address)
