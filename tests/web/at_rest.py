"""When a page in a browser has come to rest: told by the messages between it and its server and by what it draws, not by a clock.

A busy machine takes any time to run a page again and to draw it. So a test that changes a field says `with run_again(page):` and goes on when the run
that this asked for has ended, whatever stands on the page meanwhile; and `at_rest` waits until all of it is drawn.
"""

import time
from contextlib import contextmanager

from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg

WAIT_s = 300.0  # for what comes in a moment, on a machine that has much else to do
FRAMES = 8  # so many pictures of the screen one after another with everything in its place

DRAWN = """frames => new Promise(done => {
    let before = '', same = 0;
    const still = () => {
        const app = document.querySelector('[data-testid=stApp]');
        const pictures = [...document.querySelectorAll('[data-testid=stVegaLiteChart]')];
        const named = '[role=graphics-document][aria-label]';
        const moving = document.getAnimations().some(a => a.playState === 'running' && a.effect.getComputedTiming().endTime !== Infinity);
        if (app?.getAttribute('data-test-script-state') !== 'notRunning' || document.querySelector('[data-testid=stMain] [data-testid=stSkeleton]')
            || document.fonts.status !== 'loaded' || moving || !pictures.every(p => p.matches(named) || p.querySelector(named))) return '';
        return [...document.querySelectorAll('[data-testid=stMain], [data-testid=stElementContainer]')].map(e => {
            const box = e.getBoundingClientRect();
            return `${box.x} ${box.y} ${box.width} ${box.height}`;
        }).join();
    };
    const look = () => {
        const now = still();
        same = now && now === before ? same + 1 : 0;
        before = now;
        same < frames ? requestAnimationFrame(look) : done(true);
    };
    look();
})"""


def watched(page):
    """Count, on a fresh page, what it asks its server to run and what it was told has ended."""
    page.asked_to_run = page.runs_ended = 0
    page.runs = False

    def sent(data):
        if isinstance(data, bytes) and BackMsg.FromString(data).WhichOneof("type") == "rerun_script":
            page.asked_to_run += 1

    def received(data):
        told = ForwardMsg.FromString(data).WhichOneof("type") if isinstance(data, bytes) else None
        if told == "new_session":
            page.runs = True
        elif told == "script_finished":
            page.runs, page.runs_ended = False, page.runs_ended + 1

    def opened(socket):
        socket.on("framesent", sent)
        socket.on("framereceived", received)

    page.on("websocket", opened)
    page.set_default_timeout(1000.0 * WAIT_s)
    return page


@contextmanager
def run_again(page):
    """What is done within asks for a run of the page; go on when that has ended."""
    asked, ended = page.asked_to_run, page.runs_ended
    yield
    _until(page, lambda: page.asked_to_run > asked and page.runs_ended > ended and not page.runs)
    at_rest(page)


def at_rest(page):
    """Nothing runs, and everything is drawn, in its place and in its letters."""
    _until(page, lambda: not page.runs)
    page.evaluate(DRAWN, FRAMES)


def _until(page, holds):
    end = time.monotonic() + WAIT_s
    while not holds():
        assert time.monotonic() < end, f"asked to run {page.asked_to_run} times, ended {page.runs_ended} times"
        page.wait_for_timeout(10)  # in which the browser's messages are heard
