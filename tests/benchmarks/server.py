"""The pages, served for a benchmark from a process of their own, with a store of records of its own."""

import contextlib
import os
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from pathlib import Path


@contextlib.contextmanager
def served(records=0):
    """Address and process of a server that has answered its health address; so many records lie in its store."""
    with socket.socket() as free:  # nothing else runs beside a benchmark
        free.bind(("localhost", 0))
        port = free.getsockname()[1]
    command = [sys.executable, "-c", f"from lenscalc.web.start import run; run({port})"]
    with tempfile.TemporaryDirectory() as folder:
        own = os.environ | {"LENSCALC_STORE": str(Path(folder) / "records.db")}
        if records:
            _keep(own["LENSCALC_STORE"], records)
        with subprocess.Popen(command, cwd=folder, env=own, stdout=subprocess.DEVNULL) as server:
            try:
                for _ in range(300):
                    with contextlib.suppress(OSError), urllib.request.urlopen(f"http://localhost:{port}/_stcore/health", timeout=2):
                        break
                    time.sleep(0.1)
                yield f"http://localhost:{port}", server
            finally:
                server.terminate()
                server.wait(20)


def _keep(store, records):
    """So many records of one lot, each of a reading of its own."""
    from lenscalc.demo import demo_text
    from lenscalc.records import open_store

    sheet = demo_text("copolymer_c.toml")
    with open_store(store) as opened:
        for i in range(records):
            opened.add_sheet(sheet.replace("n = [1.4902,", f"n = [{1.4902 + i / 1e6:.6f},", 1))
