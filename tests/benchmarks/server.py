"""The pages, served for a benchmark from a process of their own."""

import contextlib
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request


@contextlib.contextmanager
def served():
    """Address and process of a server that has answered its health address."""
    with socket.socket() as free:
        free.bind(("localhost", 0))
        port = free.getsockname()[1]
    command = [sys.executable, "-c", f"from lenscalc.web.start import run; run({port})"]
    with tempfile.TemporaryDirectory() as folder, subprocess.Popen(command, cwd=folder, stdout=subprocess.DEVNULL) as server:
        try:
            for _ in range(300):
                with contextlib.suppress(OSError), urllib.request.urlopen(f"http://localhost:{port}/_stcore/health", timeout=2):
                    break
                time.sleep(0.1)
            yield f"http://localhost:{port}", server
        finally:
            server.terminate()
            server.wait(20)
