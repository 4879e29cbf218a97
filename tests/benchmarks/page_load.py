"""Many sessions at once: `python tests/benchmarks/page_load.py [SESSIONS] [SECONDS] [PATH] [LABEL]`, on a server of its own.

Each session is a websocket client that speaks the framework's own messages: it opens the page, then moves one number field (or slider) every two
seconds and waits until the script has finished. Printed are the times from a move to its last message, and the memory of the server. The field is
found by its label, a number field or a slider; it is moved by a thousandth of an index, or by a step.
"""

import asyncio
import random
import statistics
import sys
import time
from pathlib import Path

import websockets
from server import served
from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg

EVERY_s = 2.0


class Session:
    """One visitor: what the page has drawn for it, and the values of its fields."""

    def __init__(self, socket, label):
        self.socket, self.label, self.states, self.field, self.texts, self.page = socket, label, {}, None, set(), ""

    async def run(self, path=""):
        """Ask for a run of the page with the values held; wait for its end and give the time it took, in seconds."""
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
        self.texts = set()
        start = time.perf_counter()
        await self.socket.send(message.SerializeToString())
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
            elif which == "heading":
                self.texts.add(element.heading.body)
            elif which == "markdown":
                self.texts.add(element.markdown.body)
        return kind == "script_finished"


async def visitor(address, path, label, seconds, times, opened):
    """Open the page, then move the field until the time is over."""
    async with websockets.connect(f"{address.replace('http', 'ws')}/_stcore/stream", subprotocols=["streamlit"], max_size=None) as socket:
        session = Session(socket, label)
        opened.append(await session.run(path))
        assert session.field is not None, f"the page {path} has no field {label!r}"
        kind, field = session.field
        value = field.default[0] if kind == "slider" else field.default
        await asyncio.sleep(random.uniform(0.0, EVERY_s))
        end = time.perf_counter() + seconds
        while time.perf_counter() < end:
            began, before = time.perf_counter(), session.texts
            value += field.step if kind == "slider" else 0.001 if value < 1.6 else -0.1
            session.states[field.id] = kind, value
            times.append(await session.run())
            assert session.texts != before, "a move changed no text"
            await asyncio.sleep(max(0.0, EVERY_s - (time.perf_counter() - began)))


def memory_MB(pid):
    """Resident memory of a process."""
    return next(int(line.split()[1]) for line in Path(f"/proc/{pid}/status").read_text().splitlines() if line.startswith("VmRSS")) / 1024


async def load(address, pid, sessions, seconds, path, label):
    times, opened = [], []
    await asyncio.gather(*(visitor(address, path, label, seconds, times, opened) for _ in range(sessions)))
    ordered = sorted(times)
    cpu = sum(int(n) for n in Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()[11:13]) / 100
    print(
        f"{sessions} sessions on {path}, {len(times)} moves in {seconds:g} s: median {1000 * statistics.median(times):.0f} ms, "
        f"95th percentile {1000 * ordered[int(0.95 * len(ordered))]:.0f} ms, worst {1000 * ordered[-1]:.0f} ms; "
        f"opening {max(opened):.1f} s at worst, all at once; server {memory_MB(pid):.0f} MB, {cpu:.1f} s of processor in all"
    )


if __name__ == "__main__":
    given = dict(enumerate(sys.argv[1:]))
    with served() as (address, server):
        asyncio.run(load(
            address, server.pid, int(given.get(0, 30)), float(given.get(1, 30)), given.get(2, "a_lens"), given.get(3, "Index of the lens")
        ))  # fmt: skip
