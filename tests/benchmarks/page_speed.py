"""How long a page takes, in a browser: `python tests/benchmarks/page_speed.py [ADDRESS]`, without an address on a server of its own.

For each page: from a click on the step of a field to the changed text (the answer), and to the last change of its picture; and the first visit after
the server answers, until the page's heading stands and nothing runs any more.
"""

import shutil
import statistics
import sys
import time

from playwright.sync_api import sync_playwright
from server import served

MOVES = 12
PAGES = (  # path, label of a number field or slider, beginning of the text that answers
    ("a_lens", "Index of the lens", "h2"),
    ("its_image", "Index of the lens", "p:has-text('In short')"),
    ("an_eye", "Change of the index (− lower, + higher)", "h2"),
)
WATCH = """([answer, selector]) => {
    const read = () => (document.querySelector(selector) || {}).innerText;
    const was = read();
    window.moved = {start: 0, text: 0, picture: 0};
    window.watching = [
        new MutationObserver(() => { if (!window.moved.text && read() !== was) window.moved.text = performance.now(); }),
        new MutationObserver(() => { window.moved.picture = performance.now(); }),
    ];
    window.watching[0].observe(document.body, {subtree: true, childList: true, characterData: true});
    for (const chart of document.querySelectorAll('[data-testid=stVegaLiteChart]'))
        window.watching[1].observe(chart, {subtree: true, childList: true, attributes: true});
    window.addEventListener('click', () => { window.moved.start = performance.now(); }, {once: true, capture: true});
}"""


def settled(page):
    page.wait_for_function("document.querySelector('[data-testid=stApp]').getAttribute('data-test-script-state') === 'notRunning'")


def opened(browser, address):
    """A page in a fresh context, and how long it took until its heading stands and nothing runs any more."""
    page = browser.new_context(viewport={"width": 1400, "height": 1000}).new_page()
    start = time.perf_counter()
    page.goto(address)
    page.get_by_role("heading", level=1).wait_for()
    settled(page)
    return page, time.perf_counter() - start


def measure(address):
    with sync_playwright() as p:
        browser = p.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        page, first = opened(browser, address)
        print(f"the entry    first visit {first:.2f} s, the very first of this server")
        page.context.close()
        for path, label, answer in PAGES:
            page, first = opened(browser, f"{address}/{path}")
            page.wait_for_timeout(1000)
            selector = "[data-testid=stMarkdown] p" if answer.startswith("p") else "[data-testid=stHeading] h2"
            if answer.startswith("p"):
                page.get_by_text("In short").first.evaluate("e => { e.closest('[data-testid=stMarkdown]').id = 'answer'; }")
                selector = "#answer"
            step = page.get_by_role("spinbutton", name=label, exact=True).locator("xpath=ancestor::*[@data-testid='stNumberInput']")
            up = step.get_by_test_id("stNumberInputStepUp")
            texts, pictures = [], []
            for _ in range(MOVES):
                page.evaluate(WATCH, [answer, selector])
                up.click()
                page.wait_for_function("window.moved.text > 0", timeout=10_000)
                page.wait_for_timeout(500)
                moved = page.evaluate("() => { window.watching.forEach(w => w.disconnect()); return window.moved; }")
                texts.append(moved["text"] - moved["start"])
                pictures.append(max(0.0, moved["picture"] - moved["start"]))
            print(
                f"{path:<12} first visit {first:.2f} s; a move: text {statistics.median(texts):.0f} ms (worst {max(texts):.0f}), "
                f"picture {statistics.median(pictures):.0f} ms (worst {max(pictures):.0f})"
            )
            page.context.close()
        browser.close()


if __name__ == "__main__":
    if sys.argv[1:]:
        measure(sys.argv[1].rstrip("/"))
    else:
        with served() as (address, _):
            measure(address)
