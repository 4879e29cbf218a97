"""The pages served, and a browser to see them with, for every test that goes a reader's way."""

import contextlib
import os
import shutil
import subprocess
import sys
import time
import urllib.request

import pytest
from at_rest import WAIT_s, at_rest, watched
from free_port import free_port

CHROMIUM = shutil.which("chromium")
WANTED = "REQUIRE_BROWSER" in os.environ  # where a browser was promised, its absence is a failure


@pytest.fixture(scope="module", autouse=True)
def kept(tmp_path_factory):
    """Where pages that run without a server keep records, a store for each file of tests: never the user's own."""
    place = tmp_path_factory.mktemp("kept") / "records.db"
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("LENSCALC_STORE", str(place))
        yield place


@pytest.fixture(scope="session")
def kept_by_server(tmp_path_factory):
    """Where the served pages keep records."""
    return tmp_path_factory.mktemp("kept_by_server") / "records.db"


@pytest.fixture(scope="session")
def address(tmp_path_factory, kept_by_server):
    """The installed pages, served from a folder that has nothing to do with them; once for all that look at them in a browser."""
    port = free_port()
    folder = tmp_path_factory.mktemp("elsewhere")
    log = (folder / "log.txt").open("w")
    command = [sys.executable, "-c", f"from lenscalc.web.start import run; run({port})"]
    own = os.environ | {"LENSCALC_STORE": str(kept_by_server)}
    with subprocess.Popen(command, cwd=folder, env=own, stdout=log, stderr=subprocess.STDOUT) as server:
        try:
            yield _when_healthy(f"http://localhost:{port}", server)
        finally:
            server.terminate()
            server.wait(WAIT_s)
            log.close()


def _when_healthy(url, server):
    end = time.monotonic() + WAIT_s
    while time.monotonic() < end:
        assert server.poll() is None, "the server ended before it answered"
        with contextlib.suppress(OSError), urllib.request.urlopen(f"{url}/_stcore/health", timeout=10) as answer:
            if answer.status == 200:
                return url
        time.sleep(0.1)
    raise AssertionError(f"no answer from the health address within {WAIT_s:g} s")


@pytest.fixture(scope="module")
def browser():
    """One a file of tests: as long as it is there its loop runs in this thread, and others' asyncio would refuse to begin."""
    playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    if CHROMIUM is None and not WANTED:
        pytest.skip("no chromium on this machine")
    playwright.expect.set_options(timeout=1000.0 * WAIT_s)
    with playwright.sync_playwright() as p:
        chromium = p.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield chromium
        chromium.close()


@pytest.fixture(scope="module")
def window(browser):
    """What the pages of a file of tests share is what a browser has fetched and read in, a second for each of them."""
    context = browser.new_context()
    context.set_default_timeout(1000.0 * WAIT_s)
    yield context
    context.close()


@pytest.fixture
def page(window):
    """A fresh page, of somebody who was never here, that notes every request it makes."""
    page = watched(window.new_page())
    page.set_viewport_size({"width": 1400, "height": 1000})
    page.asked = []
    page.on("request", lambda request: page.asked.append(request.url))
    page.on("websocket", lambda socket: page.asked.append(socket.url))
    yield page
    page.evaluate("localStorage.clear()")
    for left in window.pages:
        left.close()
    window.clear_cookies()
    window.clear_permissions()


@pytest.fixture
def go():
    """Go to an address and wait until its page, of this title, is at rest."""

    def went(page, url, title):
        page.goto(url)
        page.get_by_role("heading", name=title, level=1).wait_for()
        at_rest(page)

    return went
