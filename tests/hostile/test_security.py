"""What the README says under Security, asked of a running server."""

import json
import os
import socket
import subprocess
import sys
import time
import tomllib
import urllib.error
import urllib.request
from contextlib import suppress
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from free_port import free_port

from lenscalc.charts import rank_bars, save_chart
from lenscalc.cli.app import app
from lenscalc.web.start import configuration

ROOT = Path(__file__).parents[2]


@pytest.mark.parametrize("read", [configuration, lambda: _flat(tomllib.loads((ROOT / ".streamlit" / "config.toml").read_text(encoding="utf-8")))])
def test_both_ways_to_start_the_pages_keep_them_shut(read):
    of = read()
    assert of["server.address"] == "localhost"
    assert of["server.enableXsrfProtection"] is True
    assert of["server.enableCORS"] is True  # the library's word for asking where a request comes from
    assert of["server.maxUploadSize"] <= 50
    assert of["browser.gatherUsageStats"] is False
    assert set(of["server.allowedHosts"]) == {"localhost", "127.0.0.1", "::1"}
    assert of["server.enableAgentApi"] is False
    assert "server.corsAllowedOrigins" not in of
    assert not of.get("server.enableStaticServing")


def _flat(table, prefix=""):
    flat = {}
    for name, value in table.items():
        flat |= _flat(value, f"{prefix}{name}.") if isinstance(value, dict) else {f"{prefix}{name}": value}
    return flat


def test_the_pages_for_others_answer_under_the_named_address_alone():
    of = configuration(8600, "192.168.1.20")
    assert of["server.address"] == "192.168.1.20"
    assert of["server.allowedHosts"] == ["192.168.1.20"]
    assert of["server.enableXsrfProtection"] is True
    assert of["server.enableCORS"] is True


@pytest.mark.parametrize(("given", "said"), [
    ("0.0.0.0", "every address of this machine at once: give the one that others use"),
    ("::", "every address of this machine at once"),
    ("", "is no IP address: give one of this machine"),
    ("lab-pc", "is no IP address"),
    ("192.168.1.20:8600", "is no IP address"),
])  # fmt: skip
def test_an_address_that_cannot_be_served(given, said):
    done = CliRunner().invoke(app, ["--address", given])
    assert done.exit_code == 2
    assert said in " ".join(done.output.split())


@pytest.mark.parametrize(
    ("given", "host"), [(None, None), ("127.0.0.1", None), ("::1", None), ("192.168.1.20", "192.168.1.20"), ("fd00::5", "fd00::5")]
)
def test_who_opens_the_pages_is_told_to_whom(monkeypatch, given, host):
    started = []
    monkeypatch.setattr("lenscalc.web.start.run", lambda port, address: started.append((port, address)))
    done = CliRunner().invoke(app, ["--port", "8600", *(["--address", given] if given else [])])
    assert done.exit_code == 0
    assert started == [(8600, host)]
    assert ("no users and no passwords" in done.stderr) is (host is not None)


def test_an_address_that_this_machine_has_not():
    run = [sys.executable, "-c", "from lenscalc.cli.main import main; main()", "app", "--address", "192.0.2.99"]  # kept for texts: RFC 5737
    done = subprocess.run(run, capture_output=True, text=True, timeout=300)
    assert done.returncode == 2
    assert "the pages cannot be served at 192.0.2.99" in done.stderr
    assert "--address takes one that this machine has" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_port_that_is_taken():
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        run = [sys.executable, "-c", "from lenscalc.cli.main import main; main()", "app", "--port", str(port)]
        done = subprocess.run(run, capture_output=True, text=True, timeout=300)
    assert done.returncode == 2
    assert done.stderr.strip().splitlines()[-1].startswith(f"lenscalc: port {port} is taken: are the pages open already? --port takes another")
    assert "Traceback" not in done.stderr


@pytest.fixture(scope="module")
def beyond():
    """Where a request to the world outside would arrive: the pages are told that it is their proxy."""
    with socket.create_server(("127.0.0.1", 0)) as outside:
        yield outside


@pytest.fixture(scope="module")
def served(beyond):
    """The pages, started by somebody whose environment says to listen everywhere; and their port."""
    port = free_port()
    run = [sys.executable, "-c", "from lenscalc.cli.main import main; main()", "app", "--port", str(port)]
    outside = {name: f"http://127.0.0.1:{beyond.getsockname()[1]}" for name in ("http_proxy", "https_proxy")}
    environment = os.environ | outside | {"STREAMLIT_SERVER_ADDRESS": "0.0.0.0", "STREAMLIT_SERVER_ALLOWED_HOSTS": "*"}
    process = subprocess.Popen(run, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env=environment)
    try:
        end = time.monotonic() + 300
        while time.monotonic() < end:
            with suppress(OSError), urllib.request.urlopen(f"http://localhost:{port}/_stcore/health", timeout=10):
                break
            assert process.poll() is None
            time.sleep(0.1)
        else:
            pytest.fail("the pages did not start")
        yield port
    finally:
        process.terminate()
        process.wait(timeout=300)


@pytest.mark.skipif(not Path("/proc/net/tcp").exists(), reason="listening sockets are read from /proc")
def test_the_server_listens_on_this_machine_alone(served):
    listening = [line.split()[1] for table in ("tcp", "tcp6") for line in Path(f"/proc/net/{table}").read_text(encoding="utf-8").splitlines()[1:]
                 if line.split()[3] == "0A"]  # fmt: skip
    ours = {address.split(":")[0] for address in listening if int(address.split(":")[1], 16) == served}
    assert ours
    assert ours <= {"0100007F", "00000000000000000000000001000000"}


def test_a_page_of_another_origin_may_not_read_the_answers(served):
    asked = urllib.request.Request(f"http://localhost:{served}/_stcore/health", headers={"Origin": "http://elsewhere.example"})
    with urllib.request.urlopen(asked, timeout=300) as answer:
        assert answer.headers.get("Access-Control-Allow-Origin") in (None, f"http://localhost:{served}")


@pytest.mark.parametrize(("host", "origin", "answer"), [
    ("localhost:{port}", "http://localhost:{port}", b"101"),
    ("localhost:{port}", "http://elsewhere.example", b"403"),
    ("elsewhere.example:{port}", "http://elsewhere.example:{port}", b"403"),  # its own name, made to lead here
])  # fmt: skip
def test_a_page_of_another_origin_may_not_open_a_session(served, beyond, host, origin, answer):
    """The first line of a web socket: refused when it comes from elsewhere, taken from the pages themselves, and nobody outside is asked."""
    asked = (
        f"GET /_stcore/stream HTTP/1.1\r\nHost: {host.format(port=served)}\r\nUpgrade: websocket\r\nConnection: Upgrade\r\n"
        f"Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\nSec-WebSocket-Version: 13\r\nOrigin: {origin.format(port=served)}\r\n\r\n"
    )
    with socket.create_connection(("localhost", served), timeout=300) as s:
        s.sendall(asked.encode())
        assert s.recv(64).split()[1] == answer
    beyond.settimeout(0.5)
    with pytest.raises(TimeoutError):
        beyond.accept()


def test_the_proxy_sees_a_request_to_the_world_outside(beyond):
    """What never arrives above does arrive: the same library, the same variable."""
    code = "import requests\ntry:\n    requests.get('http://example.invalid', timeout=1)\nexcept OSError:\n    pass\n"
    proxy = f"http://127.0.0.1:{beyond.getsockname()[1]}"
    with subprocess.Popen([sys.executable, "-c", code], env=os.environ | {"http_proxy": proxy}):
        beyond.settimeout(300)
        beyond.accept()[0].close()


def test_an_upload_without_the_token_is_refused(served):
    asked = urllib.request.Request(f"http://localhost:{served}/_stcore/upload_file/a/b", data=b"x", method="PUT")
    with pytest.raises(urllib.error.HTTPError) as refused:
        urllib.request.urlopen(asked, timeout=300)
    assert refused.value.code == 403
    refused.value.close()


NAMES = ("</script><script>document.title='taken'</script>", "<img src=x onerror=document.title='taken'>", "<!--", "&lt;b&gt;")


@pytest.mark.parametrize("name", NAMES)
def test_a_name_in_a_saved_chart_ends_no_script(tmp_path, name):
    """In the page that is written a name is data: no tag of its own begins, and the name reads back as it was."""
    chart = rank_bars([name, "B"], np.array([[0.6, 0.4], [0.4, 0.6]]), width=300, ground="light")
    save_chart(chart, str(tmp_path / "ranks.html"))
    page = (tmp_path / "ranks.html").read_text(encoding="utf-8")
    last = page[page.index('<div id="vis">'):]
    assert last.count("<script") == last.count("</script") == 1
    specification = last[last.index('"#vis", ') + 8 : last.rindex(', {"mode"')]
    assert "<" not in specification
    assert name in [value for rows in json.loads(specification)["datasets"].values() for row in rows for value in row.values()]
    save_chart(chart, str(tmp_path / "ranks.svg"))
    assert "<script" not in (tmp_path / "ranks.svg").read_text(encoding="utf-8").replace("&lt;", "")
