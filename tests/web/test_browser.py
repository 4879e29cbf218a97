"""The pages in a real browser, started from another folder: what a user does on them. What holds for all of them: test_browser_pages.py."""

import contextlib
import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from importlib.resources import files

import pytest

from lenscalc.demo import demo_text
from lenscalc.web.shell import PAGES

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-playwright-python is not installed")

CHROMIUM = shutil.which("chromium")
WANTED = "REQUIRE_BROWSER" in os.environ  # where a browser was promised, its absence is a failure
pytestmark = pytest.mark.skipif(CHROMIUM is None and not WANTED, reason="no chromium on this machine")


@pytest.fixture(scope="module")
def address(tmp_path_factory):
    """The installed pages, served from a folder that has nothing to do with them."""
    with socket.socket() as free:
        free.bind(("localhost", 0))
        port = free.getsockname()[1]
    folder = tmp_path_factory.mktemp("elsewhere")
    log = (folder / "log.txt").open("w")
    command = [sys.executable, "-c", f"from lenscalc.web.start import run; run({port})"]
    with subprocess.Popen(command, cwd=folder, stdout=log, stderr=subprocess.STDOUT) as server:
        try:
            yield _when_healthy(f"http://localhost:{port}", server)
        finally:
            server.terminate()
            server.wait(20)
            log.close()


def _when_healthy(url, server):
    for _ in range(150):
        assert server.poll() is None, "the server ended before it answered"
        with contextlib.suppress(OSError), urllib.request.urlopen(f"{url}/_stcore/health", timeout=2) as answer:
            if answer.status == 200:
                return url
        time.sleep(0.2)
    raise AssertionError("no answer from the health address within 30 s")


@pytest.fixture(scope="module")
def browser():
    with playwright.sync_playwright() as p:
        chromium = p.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield chromium
        chromium.close()


@pytest.fixture
def page(browser):
    """A fresh page that notes every request it makes."""
    context = browser.new_context(viewport={"width": 1400, "height": 1000})
    page = context.new_page()
    page.set_default_timeout(30_000)
    page.asked = []
    page.on("request", lambda request: page.asked.append(request.url))
    page.on("websocket", lambda socket: page.asked.append(socket.url))
    yield page
    context.close()


def go(page, url, title):
    page.goto(url)
    page.get_by_role("heading", name=title, level=1).wait_for()
    page.wait_for_function("document.querySelector('[data-testid=stApp]').getAttribute('data-test-script-state') === 'notRunning'")


def test_a_sheet_is_loaded_and_a_reading_changed(page, address, tmp_path):
    sheet = tmp_path / "mine.toml"
    sheet.write_text(demo_text("copolymer_e.toml"), encoding="utf-8")
    go(page, f"{address}/one_reading", "One reading, all the way")
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


def test_the_lens_in_the_address(page, address):
    """20.469666 D: computed with mpmath from Gullstrand's equation."""
    go(page, f"{address}/a_lens?front_radius_mm=15&back_radius_mm=-15&center_thickness_mm=0.9&n_lens=1.49", "A lens by its dimensions")
    page.get_by_text("20.470 D").first.wait_for()
    index = page.get_by_role("spinbutton", name="Index of the lens", exact=True)
    index.fill("1.5")
    index.press("Enter")
    page.wait_for_url("**n_lens=1.5*")
    page.get_by_text("20.470 D").first.wait_for(state="detached")


def test_a_first_visit_to_any_page_finds_our_own_list_of_pages(page, address):
    page.set_viewport_size({"width": 600, "height": 900})  # where the list stands open in its own margin
    go(page, f"{address}/{PAGES[-1][2]}", PAGES[-1][1])
    for _, title, _ in PAGES:
        page.get_by_role("link", name=title).first.wait_for(state="attached")
    assert page.get_by_role("link", name="entry").count() == 0


def test_the_packaged_pages_are_all_there():
    assert {f.name for f in (files("lenscalc.web") / "views").iterdir() if f.name.endswith(".py")} == {file for file, _, _ in PAGES}
