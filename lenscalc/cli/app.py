"""`lenscalc app`: the pages."""

from __future__ import annotations

import ipaddress
import socket
from contextlib import suppress

import click

_FIRST_PORT = 8501
OPEN = (
    "Everybody who reaches {address} can now open these pages, read the store of records and add to it: there are no users and no passwords, "
    "and nothing is encrypted on the way."
)


@click.command()
@click.option("--port", type=click.IntRange(1024, 65535), help="Port on this machine; the first free one from 8501 by default.")
@click.option("--address", help="An address of this machine to serve others at; by default nobody but this machine is answered.")
@click.option("--json", "as_json", is_flag=True, help="Print the address as JSON before starting.")
def app(port: int | None, address: str | None, as_json: bool) -> None:
    """The pages in a browser, on this machine only unless told otherwise; nothing is sent anywhere. Stop with Ctrl-C.

    \b
    Example:
      lenscalc app --port 8600
      lenscalc app --address 192.168.1.20      # a class, or the lab's other computers
    """
    from lenscalc.web.start import run

    host = _one_address(address)
    if host is not None:
        click.echo(OPEN.format(address=host), err=True)
    if as_json:
        from lenscalc.cli.show import show_json

        port = port or _first_free(host or "localhost")
        shown = f"[{host}]" if host and ":" in host else host or "localhost"
        show_json({"address": f"http://{shown}:{port}"}, [])
    try:
        run(port, host)
    except SystemExit as stopped:
        if port is None or stopped.code != 1:  # the framework's own end where a named port is taken
            raise
        raise click.ClickException(f"port {port} is taken: are the pages open already? --port takes another, without it the first free is") from None
    except OSError as error:
        wrong = f"the pages cannot be served at {host or 'localhost'}: {error.strerror}"
        raise click.ClickException(f"{wrong}; --address takes one that this machine has" if host else wrong) from None


def _first_free(host: str) -> int:
    """The port that the framework would come to by itself, known before it begins; where none can be had, it says why."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    for port in range(_FIRST_PORT, _FIRST_PORT + 100):
        with suppress(OSError), socket.create_server((host, port), family=family):
            return port
    return _FIRST_PORT


def _one_address(address: str | None) -> str | None:
    """The pages answer to the name they are asked by, so it must be one: an IP address, and not all of them."""
    if address is None:
        return None
    try:
        host = ipaddress.ip_address(address.strip())
    except ValueError:
        raise click.BadParameter(f"{address!r} is no IP address: give one of this machine, as 192.168.1.20", param_hint="--address") from None
    if host.is_unspecified:
        raise click.BadParameter(f"{host} is every address of this machine at once: give the one that others use", param_hint="--address")
    return None if host.is_loopback else str(host)
