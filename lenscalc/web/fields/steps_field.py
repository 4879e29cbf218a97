"""One slider over the values that a table has, kept in the address."""

from __future__ import annotations

from collections.abc import Sequence

import streamlit as st

from lenscalc.web.fields import from_address
from lenscalc.web.fields.beside import place_below, say_below
from lenscalc.web.shown.as_text import as_text

_NAMED = 12


def steps_field(label: str, values: Sequence[float], *, key: str) -> float:
    """One of these values, at first the first; what it held and is no longer offered gives way without a word."""
    offered = [_text(v) for v in values]
    if st.session_state.get(key) not in (None, *values):
        st.session_state[key] = values[0]
    elif not from_address.is_named_twice(key) and (strange := [t for t in st.query_params.get_all(key) if t not in offered]):
        more = f" and {len(offered) - _NAMED} more" if len(offered) > _NAMED else ""
        from_address.refuse(key, f"{key} = {strange[0][:40]!r} is not offered: it may be {', '.join(offered[:_NAMED])}{more}")
    chosen: float = st.select_slider(as_text(label), values, values[0], format_func=_text, key=key, bind="query-params", persist_state="session")
    place_below(key, key, label)
    if sentence := from_address.still_refused(key, chosen, _text(chosen)):
        say_below(key, sentence)
    return chosen


def _text(value: float) -> str:
    return f"{value:.6g}"
