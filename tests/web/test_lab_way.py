"""The lab's way in a browser: its own sheet, readings pasted from a spreadsheet, another decision, the sheet saved, the same figures by command."""

import json
import subprocess
import sys
import tomllib

import pytest
from at_rest import at_rest, run_again

from lenscalc.demo import demo_text
from lenscalc.uncertainty import probability_text, with_u
from lenscalc.web.reading.reading_computed import COMMAND
from lenscalc.web.shell import PAGES

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")

TITLE = "One lot, from reading to verdict"
HEAD_px, ROW_px = 36, 35  # of the table as it is drawn
ELSEWHERE = 0.5, 0  # a cell that nothing is pasted into: column as a part of the width, and row


@pytest.fixture
def lab(page, address, go):
    """The page, at its own address unless it is the first one; every complaint of the browser is noted."""
    page.complaints = []
    page.on("console", lambda message: page.complaints.append((message.text, message.location["url"])) if message.type == "error" else None)
    page.context.grant_permissions(["clipboard-read", "clipboard-write"])
    go(page, address if PAGES[0][0] == "one_reading.py" else f"{address}/one_reading", TITLE)
    return page


def complaints(page):
    """What the console said, but for the two files that the framework looks for below the page's own path on a direct visit."""
    return [(text, url) for text, url in page.complaints if "/one_reading/_stcore/" not in url]


def paste_into(page, column, row, text):
    """As from a spreadsheet: into the cell that is chosen, and on to the right and below. The row under the last one opens when it is clicked."""
    table = page.get_by_test_id("stDataFrame").first
    at_rest(page)
    table.scroll_into_view_if_needed()
    at_rest(page)  # what comes into sight is drawn
    box = table.bounding_box()
    page.evaluate("text => navigator.clipboard.writeText(text)", text)
    click(page, box, *ELSEWHERE)  # a click on the cell that is chosen already would open it
    click(page, box, column, row)
    opened = page.locator("[id=portal] textarea")
    chosen = table.locator(f"[data-testid^=glide-cell-][data-testid$='-{row}'][aria-selected=true]")
    opened.or_(chosen).first.wait_for(state="attached")
    at_rest(page)
    with run_again(page):
        page.keyboard.press("Control+V")
        if opened.count():  # what was pasted is being typed
            playwright.expect(opened).to_have_value(text)
            page.keyboard.press("Enter")


def click(page, box, column, row):
    page.mouse.click(box["x"] + box["width"] * column, box["y"] + HEAD_px + ROW_px * (row + 0.5))


@pytest.mark.parametrize(("width", "scheme"), [(1600, "light"), (600, "dark")])
def test_from_a_sheet_to_a_decision_and_back_to_a_file(lab, tmp_path, width, scheme):
    lab.emulate_media(color_scheme=scheme)
    lab.set_viewport_size({"width": width, "height": 1000})
    mine = tmp_path / "mine.toml"
    mine.write_text(demo_text("copolymer_e.toml"), encoding="utf-8")
    lab.get_by_text("20.419 D, u 0.060 D").first.wait_for()
    lab.locator("input[type=file]").set_input_files(mine)
    lab.get_by_text("21.43 D, u 0.23 D").first.wait_for()
    assert lab.get_by_text("not decided: the power lies too near a limit").first.is_visible()
    lab.get_by_text("A smaller u would decide which, and does not move the power in; other radii do.").wait_for()
    lab.get_by_text("after the radii comes what is uncertain, first of all shift on hydration").wait_for()

    paste_into(lab, 0.85, 0, "1,5213\n1,5211\n1,5215\n1,5212\n1,5214")  # one more row than there were
    lab.get_by_text("would not conform if cut to these dimensions").first.wait_for()
    playwright.expect(lab.get_by_text("21.43 D, u 0.23 D")).to_have_count(0)  # the redraw may still be on its way
    lab.get_by_text("Decimal commas are read as decimal points.").wait_for()
    lab.get_by_text("Changed here since it was loaded").wait_for()

    at_rest(lab)
    with lab.expect_download() as download:
        lab.get_by_role("button", name="Save this sheet").click()
    saved = tmp_path / download.value.suggested_filename
    download.value.save_as(saved)
    wanted = tomllib.loads(demo_text("copolymer_e.toml"))
    wanted["reading"][0]["n"] = [1.5213, 1.5211, 1.5215, 1.5212, 1.5214]
    assert tomllib.loads(saved.read_text(encoding="utf-8")) == wanted
    command = [sys.executable, "-c", "from lenscalc.cli.main import main; main()", *COMMAND.split()[1:], "--json"]
    answer = json.loads(subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, check=True).stdout)
    for figure in (with_u(answer["n_lens"], answer["u_n_lens"]), with_u(answer["power_D"], answer["u_power_D"], "D")):
        assert lab.get_by_text(figure).first.is_visible()
    assert lab.get_by_text(probability_text(answer["conformance_probability"])).first.is_visible()
    assert answer["verdict"] == "would not conform if cut to these dimensions"
    assert complaints(lab) == []


def test_a_wrong_paste_is_told_beside_the_table_and_mended_in_it(lab):
    paste_into(lab, 0.85, 1, "1.49o4")
    told = lab.get_by_test_id("stAlertContentError").get_by_text("What was read: row 2 of the readings: index = '1.49o4' is not a number")
    told.wait_for()
    playwright.expect(lab.get_by_text("20.419 D, u 0.060 D")).to_have_count(0)
    assert lab.get_by_text("No answer as the sheet stands.").is_visible()
    table = lab.get_by_test_id("stDataFrame").first.bounding_box()
    assert abs(told.bounding_box()["y"] - table["y"]) < 400
    assert lab.get_by_text("Traceback").count() == 0
    paste_into(lab, 0.85, 1, "1.4904")
    lab.get_by_text("20.419 D, u 0.060 D").first.wait_for()
    assert complaints(lab) == []


def test_a_column_copied_with_its_last_line_break_adds_its_rows_and_no_more(lab, tmp_path):
    mine = tmp_path / "mine.toml"
    mine.write_text(demo_text("copolymer_c.toml"), encoding="utf-8")
    with run_again(lab):
        lab.locator("input[type=file]").set_input_files(mine)
    rows = lab.get_by_test_id("stDataFrame").first.locator("[role=grid]")
    before = int(rows.get_attribute("aria-rowcount"))
    paste_into(lab, 0.85, 3, "1.4902\r\n1.4903\r\n1.4904\r\n")
    lab.get_by_text("on the mean of 6 readings").wait_for()
    playwright.expect(rows).to_have_attribute("aria-rowcount", str(before + 1))
    paste_into(lab, 0.85, 0, "1.4903\n1.4905\n")
    lab.get_by_text("on the mean of 6 readings, 1.49020 to 1.49050").wait_for()
    assert complaints(lab) == []


def test_the_index_is_in_sight_on_a_phone(lab):
    lab.set_viewport_size({"width": 390, "height": 900})
    table = lab.get_by_test_id("stDataFrame").first
    table.scroll_into_view_if_needed()
    at_rest(lab)
    whole, seen = table.locator(".dvn-scroller").evaluate("e => [e.scrollWidth, e.clientWidth]")
    assert whole <= seen + 1


def test_rows_pasted_whole_bring_their_line_and_temperature(lab):
    """Three columns at once, and a second line, which takes the place of the Abbe number."""
    lab.get_by_text("From the bench to the eye").click()
    for name in ("Abbe number", "u of the Abbe number"):
        field = lab.get_by_role("spinbutton", name=name, exact=True)
        with run_again(lab):
            field.fill("")
            field.press("Enter")
    lab.get_by_text("“Abbe number” is missing: read away from 546.07 nm, give it with “u of the Abbe number”, or a second reading").first.wait_for()
    paste_into(lab, 0.2, 5, "486,13\t20\t1,4974\n486,13\t20\t1,4975")
    lab.get_by_text("reading at 589.29 nm, 20 °C").first.wait_for(state="attached")
    lab.get_by_text("the probability that it conforms is").wait_for()
    assert complaints(lab) == []
