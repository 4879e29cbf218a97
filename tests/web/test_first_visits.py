"""The very first visits of a server, several at once: every page loads its libraries while others load theirs."""

import asyncio
import subprocess
import sys

import websockets
from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg

from lenscalc.web.guarded import UNFORESEEN
from lenscalc.web.shell import PAGES

AT_ONCE = [path for _, _, path in PAGES if path not in ("kept", "moved", "how_we_know")]


async def alerts_of(address, path):
    """What stands in the boxes of a page after its first run."""
    found = []
    socket = websockets.connect(f"{address.replace('http', 'ws')}/_stcore/stream", subprotocols=["streamlit"], max_size=None, ping_timeout=None)
    async with socket as connection:
        message = BackMsg()
        message.rerun_script.page_name = path
        await connection.send(message.SerializeToString())
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
