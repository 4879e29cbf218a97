"""Starts the pages in a browser, for this machine only unless an address is named."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from importlib.resources import files
from pathlib import Path
from threading import Thread
from typing import Any


def run(port: int | None = None, address: str | None = None) -> None:
    """Serve the pages until stopped; works from any folder.

    Parameters
    ----------
    port : int, optional
        the port to listen on; without it, 8501 or the next that is free.
    address : str, optional
        an address of this machine at which others are answered; without it, this machine alone.
    """
    import streamlit as st  # a second: not on the way of the other commands
    from streamlit import net_util

    # asked by a page from elsewhere, the framework would look up this machine's address outside before it refuses; told one, it asks nobody
    net_util._external_ip = "127.0.0.1"
    Thread(target=_warm_up, daemon=True).start()
    st.App(Path(__file__).parent / "entry.py").run(config=configuration(port, address))


def _warm_up() -> None:
    """What the entry needs, made ready while the browser still loads its own part: a second that the first visitor does not wait for."""
    from lenscalc.web.entry_page import WAYS

    for way in WAYS:
        way.drawn("light").specification()


def configuration(port: int | None = None, address: str | None = None) -> dict[str, Any]:
    """The options the server starts with: the packaged file flattened, its address held to this machine, or to the one that was named.

    It answers under that name only: a name of somebody else's that leads here (DNS rebinding) would pass for the pages' own.

    >>> configuration(8765)["server.port"], configuration()["server.address"], configuration()["browser.gatherUsageStats"]
    (8765, 'localhost', False)
    """
    options = flattened(tomllib.loads(_text()))
    options["server.address"] = address or "localhost"
    if address is not None:
        options["server.allowedHosts"] = [address]
    options["browser.gatherUsageStats"] = False
    if port is not None:
        options["server.port"] = port
    return options


def flattened(table: Mapping[str, Any], prefix: str = "") -> dict[str, Any]:
    """A nested table with dotted names.

    >>> flattened({"theme": {"font": "sans-serif", "dark": {"textColor": "#fff"}}})
    {'theme.font': 'sans-serif', 'theme.dark.textColor': '#fff'}
    """
    flat: dict[str, Any] = {}
    for name, value in table.items():
        flat |= flattened(value, f"{prefix}{name}.") if isinstance(value, Mapping) else {f"{prefix}{name}": value}
    return flat


def _text() -> str:
    packaged = files("lenscalc.web") / "config.toml"
    if packaged.is_file():
        return packaged.read_text(encoding="utf-8")
    return (Path(__file__).parents[2] / ".streamlit" / "config.toml").read_text(encoding="utf-8")  # an editable install
