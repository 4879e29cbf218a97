"""Sessions by the framework's own messages: the very first visits of a server, several at once; and tabs that are killed within a computation."""

import asyncio
import re
import subprocess
import sys
import time
import urllib.request

import websockets
from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg

from lenscalc.web.guarded import UNFORESEEN
from lenscalc.web.shell import PAGES

AT_ONCE = [path for _, _, path in PAGES if path not in ("kept", "moved", "how_we_know")]


def connected(address):
    """A session, however long a busy server takes to answer."""
    place = f"{address.replace('http', 'ws')}/_stcore/stream"
    return websockets.connect(place, subprotocols=["streamlit"], max_size=None, open_timeout=None, ping_timeout=None)


def asks_for(path):
    message = BackMsg()
    message.rerun_script.page_name = path
    return message.SerializeToString()


async def alerts_of(address, path):
    """What stands in the boxes of a page after its first run."""
    found = []
    async with connected(address) as connection:
        await connection.send(asks_for(path))
        async for data in connection:
            told = ForwardMsg.FromString(data)
            if told.WhichOneof("type") == "script_finished":
                return found
            found.append(told.delta.new_element.alert.body)
    raise ConnectionError("the server closed the session")


def test_first_visits_at_once_fail_nowhere(address):
    async def everybody():
        return await asyncio.gather(*(alerts_of(address, path) for path in AT_ONCE))

    found = asyncio.run(everybody())
    assert [path for path, alerts in zip(AT_ONCE, found, strict=True) if UNFORESEEN in alerts] == []


def test_what_looks_into_each_other_is_loaded_before_any_page():
    """The race above is won or lost by chance; this is what keeps it from being run."""
    asked = "import sys, lenscalc.web.shell; sys.exit(not {'pandas', 'altair'} <= set(sys.modules))"
    assert subprocess.run([sys.executable, "-W", "ignore", "-c", asked], check=False).returncode == 0


def active(address):
    """How many sessions the server counts, with a tab or without."""
    with urllib.request.urlopen(f"{address}/_stcore/metrics", timeout=300) as answer:
        found = re.search(r"^active_sessions (\d+)", answer.read().decode(), re.MULTILINE)
    return int(found[1])


async def killed_within_a_run(address, path):
    """A tab that asks for a page, sees it begin, and is gone without a word."""
    socket = await connected(address)
    await socket.send(asks_for(path))
    begun = 0
    while begun < 12:
        begun += ForwardMsg.FromString(await socket.recv()).WhichOneof("type") == "delta"
    socket.transport.abort()


def test_a_tab_killed_within_a_computation_frees_its_session_and_harms_nobody(address):
    async def twelve():
        await asyncio.gather(*(killed_within_a_run(address, path) for path in ("one_reading", "a_lens", "worth_making") * 4))

    asyncio.run(twelve())
    end = time.monotonic() + 300
    while active(address) and time.monotonic() < end:
        time.sleep(0.2)
    assert active(address) == 0
    assert UNFORESEEN not in asyncio.run(alerts_of(address, "one_reading"))
