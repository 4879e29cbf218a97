"""Fields for a choice, kept in the address; a choice that the address names and that is not offered is told beside the field."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Literal

import streamlit as st

from lenscalc.web import from_address
from lenscalc.web.beside import place_below, say_below

_FLAGS = ("true", "false")


def choice_field(
    label: str, options: Sequence[str], *, key: str, among: Literal["radio", "list"] = "radio", horizontal: bool = False,
    shown: Callable[[str], str] = str,
) -> str:  # fmt: skip
    """One of several words."""
    _look_at_address(key, [shown(x) for x in options])
    if among == "radio":
        chosen = st.radio(label, options, key=key, horizontal=horizontal, format_func=shown, bind="query-params", persist_state="session")
    else:
        chosen = st.selectbox(label, options, key=key, format_func=shown, bind="query-params", persist_state="session")
    chosen = options[0] if chosen is None else chosen
    _say_refused(key, chosen, shown(chosen))
    return str(chosen)


def switch_field(label: str, *, key: str) -> bool:
    """Yes or no."""
    _look_at_address(key, _FLAGS, as_flag=True)
    on = bool(st.checkbox(label, key=key, bind="query-params", persist_state="session"))
    _say_refused(key, on, "yes" if on else "no")
    return on


def _look_at_address(key: str, offered: Sequence[str], *, as_flag: bool = False) -> None:
    text = from_address.in_address(key)
    if text is not None and (text.lower() if as_flag else text) not in offered:
        from_address.refuse(key, f"{key} = {text[:40]!r} is not offered: it may be {', '.join(offered)}")


def _say_refused(key: str, chosen: object, in_words: str) -> None:
    place_below(key, key)
    if sentence := from_address.still_refused(key, chosen, f"“{in_words}”"):
        say_below(key, sentence)
