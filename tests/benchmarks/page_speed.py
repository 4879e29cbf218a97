"""How long a move takes to show its result, in a browser: `python tests/benchmarks/page_speed.py [PATH ...]`, on a server of its own.

For every number field and slider of every page (or of the pages named): from a step of the field, by click or arrow key, to the last change of any
sentence, table or picture of the page (the field itself left out). And the first visit after the server answers, until the page's heading stands and
nothing runs any more.

On a machine that does other work these are times of waiting for a core. So beside them stands the processor time of a move, that of the page's own
thread in the browser and that of the server, which follow one another: together they are what a move takes where nobody else computes, but for some
10 ms on the way.
"""

import os
import shutil
import statistics
import sys
import time
from pathlib import Path
from typing import NamedTuple

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
    const changes = {subtree: true, childList: true, characterData: true, attributes: true, attributeFilter: ['srcdoc', 'src']};
    window.watching.observe(document.querySelector('[data-testid=stMain]'), changes);
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


class Move(NamedTuple):
    """Milliseconds from a move to the first and to the last change, and of processor that it took in the page's thread and in the server."""

    first: float
    last: float
    thread: float
    server: float


def once(page, clock, pid, move):
    """A move; None where it changes nothing."""
    page.evaluate(WATCH, [FIELDS, RESULTS])
    before = thread_ms(clock), server_ms(pid)
    move()
    waited = time.monotonic()
    while True:  # asked seldom: to be asked takes the page's thread too
        time.sleep(QUIET_ms / 1000.0)
        moved = page.evaluate("() => ({...window.moved, now: performance.now()})")
        if (moved["start"] and moved["now"] - max(moved["start"] + 300, moved["last"]) > QUIET_ms) or time.monotonic() - waited > 20:
            break
    settled(page)
    thread, server = thread_ms(clock) - before[0], server_ms(pid) - before[1]
    page.evaluate("() => { window.watching.disconnect(); window.drawing.disconnect(); }")
    return Move(moved["first"] - moved["start"], moved["last"] - moved["start"], thread, server) if moved["last"] else None


def thread_ms(clock):
    """Processor time of the page's thread so far."""
    return 1000.0 * next(m["value"] for m in clock.send("Performance.getMetrics")["metrics"] if m["name"] == "TaskDuration")


def server_ms(pid):
    """Processor time of the server so far, in steps of 10 ms."""
    return 10.0 * sum(int(n) for n in Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()[11:13])


def fields(page):
    """Names of the fields that can be stepped, and for each a function that steps it there (True) and back (False)."""
    for box in page.get_by_test_id("stNumberInput").all():
        if box.get_by_test_id("stNumberInputStepUp").is_visible() and box.get_by_test_id("stNumberInputStepUp").is_enabled():
            up, down = (box.get_by_test_id(f"stNumberInputStep{way}") for way in ("Up", "Down"))
            yield box.locator("label").inner_text(), lambda there, up=up, down=down: (up if there else down).click()
    for slider in page.get_by_role("slider").all():
        name = slider.get_attribute("aria-label") or "slider"
        yield name, lambda there, slider=slider: slider.press("ArrowRight" if there else "ArrowLeft")


def told(seen):
    """The moves of a field in a line."""
    if not seen:
        return "changes nothing that is shown"
    last, both = [m.last for m in seen], [m.thread + m.server for m in seen]
    over = sum(t > LIMIT_ms for t in last)
    return (
        f"whole result {statistics.median(last):4.0f} ms, worst {max(last):4.0f}{f', {over} of {len(last)} above {LIMIT_ms:.0f}' if over else ''}; "
        f"processor {statistics.median(both):4.0f} ms (page {statistics.median(m.thread for m in seen):.0f}, server "
        f"{statistics.mean(m.server for m in seen):.0f}), worst {max(both):4.0f}"
    )


def measure(address, pid, paths):
    with sync_playwright() as p:
        browser = p.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        opened(browser, address)[0].context.close()  # the very first visit of a server loads what all pages share
        for path in paths:
            page, first = opened(browser, f"{address}/{path}")
            page.wait_for_timeout(1500)
            clock = page.context.new_cdp_session(page)
            clock.send("Performance.enable", {"timeDomain": "threadTicks"})
            print(f"{path or 'the entry'}: first visit {first:.2f} s")
            for name, step in list(fields(page)):
                times = [once(page, clock, pid, lambda step=step, i=i: step((i // 4) % 2 == 0)) for i in range(MOVES)]
                print(f"  {name:<40} {told([t for t in times if t is not None])}", flush=True)
            page.context.close()
        browser.close()


if __name__ == "__main__":
    print("load of the machine before:", *(f"{x:.1f}" for x in os.getloadavg()))
    with served() as (address, server):
        measure(address, server.pid, sys.argv[1:] or [path for _, _, path in PAGES])
    print("and after:", *(f"{x:.1f}" for x in os.getloadavg()))
