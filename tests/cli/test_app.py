"""`lenscalc app`: the address that it names is the one that it serves at."""

import json
import socket
from contextlib import suppress

from lenscalc.cli.app import app
from lenscalc.web import start


def test_the_address_named_is_that_of_the_port_taken(monkeypatch, capsys):
    served = []
    monkeypatch.setattr(start, "run", lambda port, host: served.append((port, host)))
    with suppress(OSError), socket.create_server(("localhost", 8501)):  # or somebody else's pages are there
        app.main(["--json"], standalone_mode=False)
    if not served:
        app.main(["--json"], standalone_mode=False)
    ((port, host),) = served
    assert (port > 8501, host) == (True, None)
    assert json.loads(capsys.readouterr().out)["address"] == f"http://localhost:{port}"


def test_a_port_that_is_named_is_served_at(monkeypatch, capsys):
    served = []
    monkeypatch.setattr(start, "run", lambda port, host: served.append((port, host)))
    app.main(["--json", "--port", "8600", "--address", "::1"], standalone_mode=False)
    app.main(["--json", "--port", "8600", "--address", "192.0.2.99"], standalone_mode=False)  # kept for texts: RFC 5737
    assert served == [(8600, None), (8600, "192.0.2.99")]
    assert '"http://192.0.2.99:8600"' in capsys.readouterr().out
