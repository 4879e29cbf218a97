"""Fields for a choice, kept in the address; a choice that the address names and that is not offered is told below the field."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Literal

import streamlit as st

from lenscalc.web.fields import from_address
from lenscalc.web.fields.beside import place_below, say_below
from lenscalc.web.shown.as_text import as_text

_FLAGS = ("true", "false")
_NAMED = 12  # of what is offered; all columns of a table would fill the page


def choice_field(
    label: str, options: Sequence[str], *, key: str, among: Literal["radio", "list"] = "radio", horizontal: bool = False,
    shown: Callable[[str], str] = str, first: str | None = None,
) -> str:  # fmt: skip
    """One of several words; at first the first of them, or `first`. What it held and is no longer offered gives way without a word."""
    start = 0 if first is None else options.index(first)
    if st.session_state.get(key) not in (None, *options):
        st.session_state[key] = options[start]
    else:
        _look_at_address(key, [shown(x) for x in options])
    words = as_text(label)
    if among == "radio":
        chosen = st.radio(words, options, start, key=key, horizontal=horizontal, format_func=shown, bind="query-params", persist_state="session")
    else:
        chosen = st.selectbox(words, options, start, key=key, format_func=shown, bind="query-params", persist_state="session")
    chosen = options[start] if chosen is None else chosen
    _say_refused(key, label, chosen, shown(chosen))
    return str(chosen)


def several_field(
    label: str, options: Sequence[str], *, key: str, first: Sequence[str] = (), shown: Callable[[str], str] = str, placeholder: str | None = None,
) -> list[str]:  # fmt: skip
    """Any of several words, in the order in which they were chosen. What it held and is no longer offered is left out without a word."""
    held = st.session_state.get(key) or []
    if not set(held) <= set(options):
        st.session_state[key] = [x for x in held if x in options]
    else:
        _look_at_address(key, [shown(x) for x in options])
    chosen = st.multiselect(
        as_text(label), options, default=list(first), format_func=shown, key=key, placeholder=placeholder, bind="query-params",
        persist_state="session",
    )  # fmt: skip
    _say_refused(key, label, chosen, ", ".join(shown(x) for x in chosen) or "nothing")
    return [str(x) for x in chosen]


def switch_field(label: str, *, key: str, first: bool = False) -> bool:
    """Yes or no."""
    _look_at_address(key, _FLAGS, as_flag=True)
    on = bool(st.checkbox(as_text(label), first, key=key, bind="query-params", persist_state="session"))
    _say_refused(key, label, on, "yes" if on else "no")
    return on


def _look_at_address(key: str, offered: Sequence[str], *, as_flag: bool = False) -> None:
    strange = next((t for t in st.query_params.get_all(key) if (t.lower() if as_flag else t) not in offered), None)
    if strange is None:
        return
    may_be = ", ".join(offered[:_NAMED]) + (f" and {len(offered) - _NAMED} more" if len(offered) > _NAMED else "")
    from_address.refuse(key, f"{key} = {strange[:40]!r} is not offered: it may be {may_be}")


def _say_refused(key: str, label: str, chosen: object, in_words: str) -> None:
    place_below(key, key, label)
    if sentence := from_address.still_refused(key, chosen, f"“{in_words}”"):
        say_below(key, sentence)
