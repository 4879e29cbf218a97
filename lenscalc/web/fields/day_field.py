"""One input field for a day, kept in the address."""

from __future__ import annotations

from datetime import date

import streamlit as st

from lenscalc.web.fields import from_address
from lenscalc.web.fields.beside import place_below, say_below

FIRST, LAST = date(1900, 1, 1), date(2199, 12, 31)


def day_field(label: str, *, key: str) -> date | None:
    """A day, or none; what the address says and is no day is told below the field."""
    _look_at_address(key)
    given = st.date_input(
        label, value=None, format="YYYY-MM-DD", key=key, min_value=FIRST, max_value=LAST, bind="query-params", persist_state="session"
    )
    place_below(key, key, label)
    day = given if isinstance(given, date) else None
    if sentence := from_address.still_refused(key, day, "no day" if day is None else day.isoformat()):
        say_below(key, sentence)
    return day


def _look_at_address(key: str) -> None:
    text = from_address.in_address(key)
    if not text:
        return
    try:
        day = date.fromisoformat(text)
        possible = FIRST <= day <= LAST and day.isoformat() == text  # Python reads 20260331 and weeks too, the framework does not
    except ValueError:
        possible = False
    if not possible:
        from_address.refuse(key, f"{key} = {text[:40]!r} is no day: write it as 2026-03-31, {FIRST} to {LAST}")
