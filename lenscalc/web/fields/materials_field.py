"""A field for several materials at once, kept in the address."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import streamlit as st

from lenscalc.errors import InputError
from lenscalc.web.fields import from_address
from lenscalc.web.fields.beside import place_below, say_below
from lenscalc.web.lecture.show_materials import Shown


def materials_field(known: Mapping[str, Shown], first: Sequence[str], *, key: str) -> list[Shown]:
    """Some of the known materials, by their short names; a name in the address that is none of them is told below the field."""
    names = {m.short: m for m in known.values()}
    if strange := [text for text in st.query_params.get_all(key) if text not in names]:
        from_address.refuse(key, f"{key} = {strange[0][:60]!r} is none of the materials")
    chosen = st.pills(
        "Materials", list(names), selection_mode="multi", default=[known[k].short for k in first], key=key, wrap=True,
        bind="query-params", persist_state="session",
    )  # fmt: skip
    place_below(key, key, "Materials")
    if sentence := from_address.still_refused(key, chosen, ", ".join(chosen)):
        say_below(key, sentence)
    return [names[name] for name in chosen]


def not_too_many(chosen: Sequence[Shown], most: int, key: str) -> None:
    """Refuses more materials than a picture holds.

    Raises
    ------
    InputError
        with how many there are and may be.
    """
    if len(chosen) > most:
        raise InputError(f"{key}: {len(chosen)} are chosen; {most} fit the picture, take {len(chosen) - most} away", quantity=key, value=len(chosen))
