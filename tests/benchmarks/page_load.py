"""Many sessions at once: `python tests/benchmarks/page_load.py [SESSIONS] [SECONDS]`, on a server of its own.

Each session is a websocket client that speaks the framework's own messages: it opens a page, then moves one number field (or slider) every two
seconds and waits until the script has finished. A move is due two seconds after the last one was, and its time counts from then: else whoever had to
wait would come later and later, until all moved at once. The sessions are spread over the pages of `MOVED`. Every ten seconds one of them drops its
socket in the middle of a move, as a killed tab does, and another comes in its place. Printed are the times from a move to its last message, and every
minute the memory of the server and the sessions it holds; at the end the processor time of a move, of which that of the openings, each page opened
twice beforehand by itself, is taken off.
"""

import asyncio
import gc
import itertools
import os
import statistics
import sys
import time
from pathlib import Path

import websockets
from server import served
from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg

EVERY_s, DROPPED_EVERY_s, REPORTED_EVERY_s = 2.0, 10.0, 60.0
CHANGE = "Change of the index (− lower, + higher)"
MOVED = (  # page, the field that is moved, by how much
    ("a_lens", "Index of the lens", 0.001), ("its_image", "Index of the lens", 0.001), ("an_eye", CHANGE, 0.0005),
    ("in_three_media", "Index of the lens", 0.001), ("index_change", CHANGE, 0.0001), ("the_border", "Index of the specimen", 0.001),
    ("coloured_focus", "Power in the eye, in green light, D", 0.5), ("best_shape", "Shape factor", 0.05), ("a_worksheet", CHANGE, 0.0001),
    ("one_reading", "Front radius, mm", 0.01),
)  # fmt: skip
STEPS = 8  # there, and back again: the field stays within its limits


def connected(address):
    """A socket to the server, to be awaited."""
    return websockets.connect(f"{address.replace('http', 'ws')}/_stcore/stream", subprotocols=["streamlit"], max_size=None, ping_timeout=None)


class Session:
    """One visitor: what the page has drawn for it, and the values of its fields."""

    def __init__(self, socket, label):
        self.socket, self.label, self.states, self.field, self.shown, self.page = socket, label, {}, None, set(), ""

    async def ask(self, path=""):
        """Ask for a run of the page with the values held."""
        message = BackMsg()
        asked = message.rerun_script
        if path:
            asked.page_name = path
        asked.page_script_hash = self.page
        for field, (kind, value) in self.states.items():
            state = asked.widget_states.widgets.add(id=field)
            if kind == "slider":
                state.double_array_value.data.append(value)
            else:
                state.double_value = value
        self.shown = set()
        await self.socket.send(message.SerializeToString())

    async def run(self, path=""):
        """Ask for a run, wait for its end and give the time it took, in seconds."""
        start = time.perf_counter()
        await self.ask(path)
        async for data in self.socket:
            if self._took(ForwardMsg.FromString(data)):
                return time.perf_counter() - start
        raise ConnectionError("the server closed the session")

    def _took(self, message):
        kind = message.WhichOneof("type")
        if kind == "navigation":
            self.page = message.navigation.page_script_hash
        elif kind == "delta" and message.delta.WhichOneof("type") == "new_element":
            element = message.delta.new_element
            which = element.WhichOneof("type")
            assert which != "exception", element.exception.message
            if which in ("number_input", "slider") and getattr(element, which).label == self.label:
                self.field = which, getattr(element, which)
            elif which in ("heading", "markdown", "iframe", "bidi_component"):
                self.shown.add(getattr(element, which).SerializeToString())
        return kind == "script_finished"


class Load:
    """What was measured: seconds of every move and opening, by page, and how many sockets were dropped."""

    def __init__(self, address, seconds):
        self.address, self.end, self.times, self.opened, self.dropped, self.to_drop = address, time.perf_counter() + seconds, {}, [], 0, 0

    async def visitor(self, path, label, step, delay):
        """Visit after visit of this page: a visit ends with the time, or by dropping the socket within a move."""
        await asyncio.sleep(delay)
        while time.perf_counter() < self.end:
            socket = await connected(self.address)
            await self._visit(Session(socket, label), path, step)
            if time.perf_counter() < self.end:
                socket.transport.abort()  # without a word, as a killed tab
            else:
                await socket.close()

    async def _visit(self, session, path, step):
        self.opened.append(await session.run(path))
        assert session.field is not None, f"the page {path} has no field {session.label!r}"
        kind, field = session.field
        start = field.default[0] if kind == "slider" else field.value if field.set_value else field.default
        due = time.perf_counter()
        for i in itertools.count(1):
            if time.perf_counter() > self.end:
                return
            before = session.shown
            session.states[field.id] = kind, start + step * (STEPS - abs(i % (2 * STEPS) - STEPS))
            if self.to_drop > 0:
                self.to_drop, self.dropped = self.to_drop - 1, self.dropped + 1
                await session.ask()
                await asyncio.sleep(0.01)
                return
            await session.run()
            self.times.setdefault(path, []).append(time.perf_counter() - due)
            assert session.shown != before, f"a move changed nothing on {path}"
            due += EVERY_s
            await asyncio.sleep(max(0.0, due - time.perf_counter()))

    async def dropping(self):
        """Have a socket dropped, again and again."""
        while time.perf_counter() + 2 * DROPPED_EVERY_s < self.end:
            await asyncio.sleep(DROPPED_EVERY_s)
            self.to_drop += 1

    async def reporting(self, pid):
        """Every minute: memory, sockets, and the moves of that minute."""
        counted, minute = {}, 0
        while time.perf_counter() < self.end:
            await asyncio.sleep(min(REPORTED_EVERY_s, max(0.1, self.end - time.perf_counter())))
            minute, new = minute + 1, [t for path, times in self.times.items() for t in times[counted.get(path, 0) :]]
            counted = {path: len(times) for path, times in self.times.items()}
            print(
                f"minute {minute:2d}: server {memory_MB(pid):4.0f} MB, {sockets(pid)} sockets, {self.dropped} dropped so far; {told(new)}; "
                f"load of the machine {os.getloadavg()[0]:.1f}",
                flush=True,
            )


def told(times):
    """Median, 95th percentile and worst of some times."""
    if not times:
        return "no moves"
    ordered = sorted(times)
    return (
        f"{len(times)} moves: median {1000 * statistics.median(ordered):.0f} ms, 95th percentile {1000 * ordered[int(0.95 * len(ordered))]:.0f} ms, "
        f"worst {1000 * ordered[-1]:.0f} ms"
    )


def memory_MB(pid):
    """Resident memory of a process."""
    return next(int(line.split()[1]) for line in Path(f"/proc/{pid}/status").read_text().splitlines() if line.startswith("VmRSS")) / 1024


def sockets(pid):
    """Open sockets of a process: those of the sessions and a few of its own."""
    return sum("socket:" in str(file.readlink()) for file in Path(f"/proc/{pid}/fd").iterdir() if file.is_symlink())


def processor_s(pid):
    """What a process has computed so far, in seconds."""
    return sum(int(n) for n in Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()[11:13]) / os.sysconf("SC_CLK_TCK")


async def opening_s(address, pid):
    """Seconds of the processor for one opening, in the mean of all pages: each is opened once before, and then is counted."""
    for _ in range(2):
        began = processor_s(pid)
        for path, label, _ in MOVED:
            async with connected(address) as socket:
                await Session(socket, label).run(path)
        spent = processor_s(pid) - began
    return spent / len(MOVED)


async def load(address, pid, sessions, seconds):
    each_s = await opening_s(address, pid)
    of, began_s = Load(address, seconds), processor_s(pid)
    visitors = [of.visitor(*page, delay=i * 5.0 / sessions) for i, page in zip(range(sessions), itertools.cycle(MOVED), strict=False)]
    await asyncio.gather(*visitors, of.dropping(), of.reporting(pid))
    for path, times in of.times.items():
        print(f"  {path:<16} {told(times)}")
    print(f"{sessions} sessions, {seconds:g} s: {told([t for times in of.times.values() for t in times])}; opening {max(of.opened):.1f} s at worst")
    spent_s, moves = processor_s(pid) - began_s, sum(map(len, of.times.values())) + of.dropped
    gc.collect()
    await asyncio.sleep(5)
    print(f"afterwards: {memory_MB(pid):.0f} MB, {sockets(pid)} sockets; {of.dropped} sockets were dropped")
    print(
        f"processor: {spent_s:.0f} s for {moves} moves and {len(of.opened)} openings; an opening {1000 * each_s:.0f} ms, "
        f"a move {1000 * (spent_s - len(of.opened) * each_s) / moves:.1f} ms ({1000 * spent_s / moves:.1f} with the openings)"
    )


if __name__ == "__main__":
    given = dict(enumerate(sys.argv[1:]))
    with served() as (address, server):
        asyncio.run(load(address, server.pid, int(given.get(0, 30)), float(given.get(1, 60))))
