"""How long a move takes to show its result, in a browser: `python tests/benchmarks/page_speed.py [PATH ...]`, on a server of its own.

For every number field and slider of every page (or of the pages named), also those that are only there where something is chosen: from a step of
the field, by click or arrow key, to the last change of any sentence, table or picture of the page (the field itself left out). On the pages that have
hardly a number, for every choice too: from its key to the same, a step being the next of what is offered. And the first visit after the server
answers, until the page's heading stands and nothing runs any more.

On a machine that does other work these are times of waiting for a core. So beside them stands the processor time of a move, that of the page's own
thread in the browser and that of the server, which follow one another: together they are what a move takes where nobody else computes, but for some
10 ms on the way.
"""

import os
import shutil
import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

from playwright.sync_api import sync_playwright
from server import served

from lenscalc.web.shell import PAGES

MOVES, LIMIT_ms = 16, 200.0
RECORDS = 45  # five pages of a list of ten
FURTHER = {  # what has to be chosen on a page before its other fields are there
    "a_file": ("besides=Sharpness+%28MTF%29&candidates_upwards=MTF",),
    "moved": ("kind_of_chart=Weighted+average+%28EWMA%29", "kind_of_chart=Cumulative+sum+%28CUSUM%29", "series_from=the+records"),
    "worth_making": ("rank_limits=Abbe+number",),
}
BY_CHOICE = ("a_file", "moved", "kept")  # pages that are moved by what is chosen
QUIET_ms = 250  # without a change: then the result stands
OWN = ("NumberInput", "Slider", "Radio", "Checkbox", "Selectbox", "StatusWidget", "TooltipIcon")
FIELDS = ", ".join(f"[data-testid=st{name}]" for name in OWN)
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


STILL = "document.querySelector('[data-testid=stApp]').getAttribute('data-test-script-state') === 'notRunning'"


def settled(page):
    page.wait_for_function(STILL)


def opened(browser, address):
    """A page in a fresh context, and how long it took until its heading stands and nothing runs any more."""
    page = browser.new_context(viewport={"width": 1400, "height": 1000}).new_page()
    page.set_default_timeout(60_000)
    start = time.perf_counter()
    page.goto(address)
    page.get_by_role("heading", level=1).wait_for()
    settled(page)
    return page, time.perf_counter() - start


class Field(NamedTuple):
    """A field: its name, what has to be done before a move, and the move, there (True) and back (False)."""

    name: str
    prepare: Callable[[bool], None]
    step: Callable[[bool], None]


class Move(NamedTuple):
    """Milliseconds from a move to the first and to the last change, and of processor that it took in the page's thread and in the server."""

    first: float
    last: float
    thread: float
    server: float


def once(page, clock, pid, field, there):
    """A move; None where it changes nothing."""
    field.prepare(there)
    page.evaluate(WATCH, [FIELDS, RESULTS])
    before = thread_ms(clock), server_ms(pid)
    field.step(there)
    waited = time.monotonic()
    while True:  # asked seldom: to be asked takes the page's thread too
        time.sleep(QUIET_ms / 1000.0)
        moved = page.evaluate(f"() => ({{...window.moved, now: performance.now(), still: {STILL}}})")
        quiet = moved["start"] and moved["still"] and moved["now"] - max(moved["start"] + 300, moved["last"]) > QUIET_ms
        if quiet or time.monotonic() - waited > 20:
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


def numbers(page):
    """The fields of numbers that can be stepped, and the sliders."""
    for box in page.get_by_test_id("stNumberInput").all():
        if box.get_by_test_id("stNumberInputStepUp").is_visible() and box.get_by_test_id("stNumberInputStepUp").is_enabled():
            up, down = (box.get_by_test_id(f"stNumberInputStep{way}") for way in ("Up", "Down"))
            yield Field(box.locator("label").inner_text(), nothing, lambda there, up=up, down=down: (up if there else down).click())
    for slider in page.get_by_role("slider").all():
        name = slider.get_attribute("aria-label") or "slider"
        yield Field(name, nothing, lambda there, slider=slider: slider.press("ArrowRight" if there else "ArrowLeft"))


def choices(page):
    """The fields of words: of a few that all stand there, of a list, and yes or no. A step is the next of what is offered."""
    for group in page.get_by_role("radiogroup").all():
        name = group.get_attribute("aria-label") or "choice"
        yield Field(name, nothing, lambda there, group=group: group.get_by_role("radio", checked=True).press("ArrowDown" if there else "ArrowUp"))
    lists = page.get_by_test_id("stSelectbox").get_by_role("combobox").all()  # those in what is folded have no role
    for name in [field.get_attribute("aria-label") for field in lists]:
        field = page.get_by_role("combobox", name=name, exact=True)  # as long as one is unfolded the others have none either

        def unfold(there, field=field):
            field.click()
            field.press("ArrowDown" if there else "ArrowUp")

        yield Field(name, unfold, lambda _, field=field: field.press("Enter"))
    for box in page.get_by_test_id("stCheckbox").all():
        yield Field(box.inner_text(), nothing, lambda _, box=box: box.get_by_role("checkbox").press("Space"))


def nothing(_):
    """Nothing has to be done before."""

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
            page.wait_for_function("!document.querySelector('[data-testid=stSkeleton]')")  # what is not drawn yet has no field
            clock = page.context.new_cdp_session(page)
            clock.send("Performance.enable", {"timeDomain": "threadTicks"})
            print(f"{path or 'the entry'}: first visit {first:.2f} s")
            for field in [*numbers(page), *(choices(page) if path in BY_CHOICE else ())]:
                times = [once(page, clock, pid, field, (i // 4) % 2 == 0) for i in range(MOVES)]
                print(f"  {field.name:<40} {told([t for t in times if t is not None])}", flush=True)
            page.context.close()
        browser.close()


if __name__ == "__main__":
    print("load of the machine before:", *(f"{x:.1f}" for x in os.getloadavg()))
    with served(RECORDS) as (address, server):
        everywhere = [asked for _, _, path in PAGES for asked in (path, *(f"{path}?{more}" for more in FURTHER.get(path, ())))]
        measure(address, server.pid, sys.argv[1:] or everywhere)
    print("and after:", *(f"{x:.1f}" for x in os.getloadavg()))
