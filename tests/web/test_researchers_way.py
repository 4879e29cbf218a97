"""The researcher's way in a real browser: a table of a spreadsheet goes in, is computed, looked at, ranked, and is taken away."""

import csv
import io

import openpyxl
import pyarrow.parquet as pq
import pytest
from at_rest import at_rest, run_again

from lenscalc.batch import run_batch
from lenscalc.demo import demo_text

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")

# on a direct visit the framework looks for its server below the page's own address first, and does not find it there
_LOOKED_FOR = ("/_stcore/health", "/_stcore/host-config")


@pytest.fixture
def quiet(page):
    """A page on which every error of the console is noted."""
    page.told = []
    page.on("console", lambda m: page.told.append(f"{m.text} {m.location['url']}") if m.type == "error" else None)
    page.on("pageerror", lambda error: page.told.append(str(error)))
    return page


@pytest.fixture
def table(tmp_path):
    """The demo as a spreadsheet saves it where the comma is the decimal sign."""
    rows = csv.reader(io.StringIO(demo_text("candidates.csv")))
    path = tmp_path / "mine.csv"
    path.write_text("".join(";".join(c.replace(".", ",") if i else c for i, c in enumerate(row)) + "\n" for row in rows), encoding="utf-8")
    return path


def saved(page, name, folder):
    at_rest(page)  # a button that is drawn anew under the pointer is not pressed
    with page.expect_download() as coming:
        page.get_by_role("button", name=name, exact=True).click()
    coming.value.save_as(folder / coming.value.suggested_filename)
    return folder / coming.value.suggested_filename


def in_menu(page, section, title):
    page.get_by_role("button", name=section).click()
    page.locator("a", has_text=title).first.click()
    page.get_by_role("heading", name=title, level=1).wait_for()
    at_rest(page)


def test_from_a_table_to_the_files_taken_away(quiet, address, go, table, tmp_path):
    page, taken = quiet, tmp_path / "taken"
    taken.mkdir()
    go(page, f"{address}/a_file", "A table of candidates")
    page.get_by_text("invented for the demo").first.wait_for()
    page.locator("input[type=file]").set_input_files(table)
    page.get_by_text("In use: mine.csv").wait_for()
    playwright.expect(page.get_by_text("invented for the demo")).to_have_count(0)

    page.get_by_role("combobox", name="and besides").click()
    with run_again(page):
        page.get_by_role("option", name="Coloured focus (needs the Abbe number)").click()
        page.keyboard.press("Escape")
    page.wait_for_url("**besides=*")
    playwright.expect(page.get_by_text("All 6 rows could be computed")).to_be_visible()

    picture = page.locator("[data-testid=stVegaLiteChart]").nth(1)
    picture.scroll_into_view_if_needed()
    at_rest(page)
    box = picture.bounding_box()
    page.mouse.move(box["x"] + 0.5 * box["width"], box["y"] + 0.2 * box["height"])
    page.mouse.down()
    page.mouse.move(box["x"] + 0.8 * box["width"], box["y"] + 0.5 * box["height"], steps=6)
    page.mouse.move(box["x"] + 0.97 * box["width"], box["y"] + 0.85 * box["height"], steps=6)
    page.mouse.up()
    page.get_by_text("rows lie in the rectangle").wait_for()
    at_rest(page)
    chosen = page.get_by_test_id("stTable").locator("tbody tr").all_inner_texts()
    assert {row.split()[0] for row in chosen} <= {"C", "D", "F"}  # the three highest indices: 1.490, 1.519, 1.548 as read
    assert chosen

    run_batch(str(table), str(tmp_path / "theirs.csv"), compute=("*", "chromatic_difference_D"))
    run_batch(str(table), str(tmp_path / "theirs.parquet"), compute=("*", "chromatic_difference_D"))
    assert saved(page, "Save as CSV", taken).read_bytes() == (tmp_path / "theirs.csv").read_bytes()
    assert saved(page, "Save as Parquet", taken).read_bytes() == (tmp_path / "theirs.parquet").read_bytes()
    sheet = openpyxl.load_workbook(saved(page, "Save as Excel", taken)).worksheets[0]
    assert sheet.max_row == 7
    assert [c.value for c in sheet[1]] == pq.read_schema(tmp_path / "theirs.parquet").names

    in_menu(page, "Candidates to compare", "Which are worth making?")
    page.get_by_text("C comes first").wait_for()
    ranked = saved(page, "Save the ranking as CSV", taken).read_text(encoding="utf-8")
    assert next(csv.DictReader(io.StringIO(ranked)))["candidate"] == "C"
    assert openpyxl.load_workbook(saved(page, "Save the ranking as Excel", taken)).worksheets[0].max_row == 7
    assert pq.read_table(saved(page, "Save the ranking as Parquet", taken)).num_rows == 6

    in_menu(page, "Candidates to compare", "A table of candidates")
    page.get_by_text("In use: mine.csv").wait_for()
    assert page.get_by_text("Traceback").count() == 0
    assert [t for t in page.told if not any(where in t for where in _LOOKED_FOR)] == []
    assert [url for url in page.asked if not url.startswith((address, address.replace("http", "ws"), "data:", "blob:"))] == []


def test_rows_pasted_with_decimal_commas_are_computed(quiet, address, go):
    """The decimal comma of a spreadsheet survives the grid, whose columns of numbers would read 1,4755 as 14755."""
    page = quiet
    page.context.grant_permissions(["clipboard-read", "clipboard-write"])
    go(page, f"{address}/a_file", "A table of candidates")
    page.get_by_text("The table: write in it").click()
    grid = page.get_by_test_id("stDataFrame").first
    grid.scroll_into_view_if_needed()
    at_rest(page)
    box = grid.bounding_box()
    page.evaluate("navigator.clipboard.writeText('Y\\tpasted\\t12,5\\t0,02\\t-12,5\\nZ\\tpasted\\t14,8\\t0,02\\t-14,8')")
    page.mouse.click(box["x"] + 90, box["y"] + 52)  # the first cell of the first row
    with run_again(page):
        page.keyboard.press("Control+v")
    table = page.get_by_test_id("stTable")
    table.get_by_text("Z", exact=True).wait_for()
    rows = [row.split("\t") for row in table.locator("tbody tr").all_inner_texts()]
    assert [row[0].strip() for row in rows] == ["Y", "Z", "C", "D", "E", "F"]
    # the radii are those of A and B, which stood there with a point
    assert [row[2].strip().replace("\u00a0", " ") for row in rows[:2]] == ["20.481 D, u 0.065 D", "21.929 D, u 0.026 D"]
    assert [t for t in page.told if not any(where in t for where in _LOOKED_FOR)] == []


def test_a_design_is_changed_and_taken_away(quiet, address, go, tmp_path):
    page = quiet
    go(page, f"{address}/a_sweep", "A sweep of designs")
    page.get_by_text("68 rows").first.wait_for()
    values = page.get_by_role("textbox", name="values").first
    values.fill("1,47; 1,51")
    values.press("Enter")
    page.get_by_text("34 rows").first.wait_for()
    page.wait_for_url("**values_n_lens=*")
    at_rest(page)
    design = saved(page, "Save this design (TOML)", tmp_path)
    run_batch(str(design), str(tmp_path / "theirs.csv"))
    ours = saved(page, "Save as CSV", tmp_path)
    assert ours.read_bytes() == (tmp_path / "theirs.csv").read_bytes()
    again = page.context.new_page()
    again.goto(page.url)
    again.get_by_text("34 rows").first.wait_for()
    assert [t for t in page.told if not any(where in t for where in _LOOKED_FOR)] == []


def test_a_design_that_was_loaded_is_in_the_address(page, address, go, tmp_path):
    design = tmp_path / "mine.toml"
    design.write_text(
        "[fixed]\nback_radius_mm = -15\ncenter_thickness_mm = 0.9\n[combine]\nn_lens = [1.47, 1.5]\n"
        "[latin_hypercube]\npoints = 30\nseed = 3\nfront_radius_mm = { from = 12, to = 14 }\n",
        encoding="utf-8",
    )
    go(page, f"{address}/a_sweep", "A sweep of designs")
    page.get_by_text("68 rows").first.wait_for()
    page.locator("input[type=file]").set_input_files(design)
    page.get_by_text("60 rows").first.wait_for()
    page.wait_for_url("**sweep_points=30*")
    at_rest(page)
    told = page.get_by_text("runs from").inner_text()
    again = page.context.new_page()
    again.goto(page.url)
    again.get_by_text("60 rows").first.wait_for()
    assert again.get_by_text("runs from").inner_text() == told
