"""How long a move takes to show its result, in a browser: `python tests/benchmarks/page_speed.py [PATH ...]`, on a server of its own.

For every number field and slider of every page (or of the pages named): from a step of the field, by click or arrow key, to the last change of any
sentence, table or picture of the page (the field itself left out). And the first visit after the server answers, until the page's heading stands and
nothing runs any more.
"""

import os
import shutil
import statistics
import sys
import time

from playwright.sync_api import sync_playwright
from server import served

from lenscalc.web.shell import PAGES

MOVES, LIMIT_ms = 16, 200.0
QUIET_ms = 250  # without a change: then the result stands
FIELDS = ", ".join(f"[data-testid=st{name}]" for name in ("NumberInput", "Slider", "StatusWidget", "TooltipIcon"))
SHOWN = ("Markdown", "Heading", "Table", "VegaLiteChart", "Alert", "BidiComponentRegular", "IFrame")
RESULTS = ", ".join(f"[data-testid=st{name}]" for name in SHOWN)
WATCH = """([fields, results]) => {
    const shows = node => {
        const e = node.nodeType === 1 ? node : node.parentElement;
        return e && !e.closest(fields) && e.closest(results);
    };
    const m = window.moved = {start: 0, first: 0, last: 0};
    const seen = list => {
        if (list.some(change => shows(change.target))) { m.last = performance.now(); m.first = m.first || m.last; }
    };
    window.watching = new MutationObserver(seen);
    window.watching.observe(document.querySelector('[data-testid=stMain]'), {subtree: true, childList: true, characterData: true});
    window.drawing = new MutationObserver(seen);
    for (const chart of document.querySelectorAll('[data-testid=stVegaLiteChart]'))
        window.drawing.observe(chart, {subtree: true, childList: true, attributes: true});
    for (const kind of ['click', 'keydown'])
        window.addEventListener(kind, () => { m.start = m.start || performance.now(); }, {once: true, capture: true});
}"""


def settled(page):
    page.wait_for_function("document.querySelector('[data-testid=stApp]').getAttribute('data-test-script-state') === 'notRunning'")


def opened(browser, address):
    """A page in a fresh context, and how long it took until its heading stands and nothing runs any more."""
    page = browser.new_context(viewport={"width": 1400, "height": 1000}).new_page()
    page.set_default_timeout(60_000)
    start = time.perf_counter()
    page.goto(address)
    page.get_by_role("heading", level=1).wait_for()
    settled(page)
    return page, time.perf_counter() - start


def once(page, move):
    """Milliseconds from a move to the first and to the last change; None where nothing changes."""
    page.evaluate(WATCH, [FIELDS, RESULTS])
    move()
    page.wait_for_function(f"window.moved.start && performance.now() - Math.max(window.moved.start + 350, window.moved.last) > {QUIET_ms}")
    settled(page)
    moved = page.evaluate("() => { window.watching.disconnect(); window.drawing.disconnect(); return window.moved; }")
    return (moved["first"] - moved["start"], moved["last"] - moved["start"]) if moved["last"] else None


def fields(page):
    """Names of the fields that can be stepped, and for each a function that steps it there (True) and back (False)."""
    for box in page.get_by_test_id("stNumberInput").all():
        if box.get_by_test_id("stNumberInputStepUp").is_visible() and box.get_by_test_id("stNumberInputStepUp").is_enabled():
            up, down = (box.get_by_test_id(f"stNumberInputStep{way}") for way in ("Up", "Down"))
            yield box.locator("label").inner_text(), lambda there, up=up, down=down: (up if there else down).click()
    for slider in page.get_by_role("slider").all():
        name = slider.get_attribute("aria-label") or "slider"
        yield name, lambda there, slider=slider: slider.press("ArrowRight" if there else "ArrowLeft")


def measure(address, paths):
    with sync_playwright() as p:
        browser = p.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        opened(browser, address)[0].context.close()  # the very first visit of a server loads what all pages share
        for path in paths:
            page, first = opened(browser, f"{address}/{path}")
            page.wait_for_timeout(1500)
            print(f"{path or 'the entry'}: first visit {first:.2f} s")
            for name, step in list(fields(page)):
                times = [once(page, lambda step=step, i=i: step((i // 4) % 2 == 0)) for i in range(MOVES)]
                seen = [t for t in times if t is not None]
                if not seen:
                    print(f"  {name:<44} changes nothing that is shown")
                    continue
                last = [t[1] for t in seen]
                over = sum(t > LIMIT_ms for t in last)
                print(
                    f"  {name:<44} first change {statistics.median(t[0] for t in seen):4.0f} ms, whole result {statistics.median(last):4.0f} ms in "
                    f"the median, worst {max(last):4.0f} ms{f', {over} of {len(last)} above {LIMIT_ms:.0f}' if over else ''}",
                    flush=True,
                )
            page.context.close()
        browser.close()


if __name__ == "__main__":
    print("load of the machine before:", *(f"{x:.1f}" for x in os.getloadavg()))
    with served() as (address, _):
        measure(address, sys.argv[1:] or [path for _, _, path in PAGES])
    print("and after:", *(f"{x:.1f}" for x in os.getloadavg()))
