"""A field for several materials at once, kept in the address."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import streamlit as st

from lenscalc.web import from_address
from lenscalc.web.beside import place_below, say_below
from lenscalc.web.show_materials import Shown


def materials_field(known: Mapping[str, Shown], first: Sequence[str], *, most: int, key: str) -> list[Shown]:
    """Some of the known materials; a name in the address that is none of them is told below the field."""
    names = {m.name: m for m in known.values()}
    in_address = st.query_params.get_all(key)
    if strange := [text for text in in_address if text not in names]:
        from_address.refuse(key, f"{key} = {strange[0][:60]!r} is none of the materials")
    chosen = st.multiselect(
        "Materials", list(names), default=[known[k].name for k in first], max_selections=most, key=key, bind="query-params", persist_state="session"
    )
    place_below(key, key)
    if sentence := from_address.still_refused(key, chosen, f"{len(chosen)} others"):
        say_below(key, sentence)
    return [names[name] for name in chosen]
