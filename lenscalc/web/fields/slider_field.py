"""One slider for one quantity: what moves while it is looked at."""

from __future__ import annotations

from math import isfinite

import streamlit as st

from lenscalc.quantities import Quantity, not_a_number, plain, quantity
from lenscalc.web.fields import from_address
from lenscalc.web.fields.beside import place_below, say_below
from lenscalc.web.fields.number_field import help_of, label_of
from lenscalc.web.fields.page_words import label_without_unit
from lenscalc.web.shown.as_text import as_text


def slider_field(of: str | Quantity, *, lower: float, upper: float, value: float, step: float, key: str, label: str | None = None) -> float:
    """A slider for a quantity within what can be shown of it; what the address says and the slider cannot show is told below it.

    Parameters
    ----------
    of : str or Quantity
        a name of the registry, or a quantity.
    lower, upper, value, step : float
        ends, first value and step.
    key : str
        of the slider in the session and in the address.
    label : str, optional
        in place of the registry's label; the unit is added.
    """
    q = quantity(of) if isinstance(of, str) else of
    _look_at_address(q, key, lower, upper)
    decimals = len(f"{step:g}".partition(".")[2])
    given: float = st.slider(
        as_text(label_of(q, label)), lower, upper, value, step, f"%.{decimals}f", key=key, help=as_text(help_of(q)), bind="query-params",
        persist_state="session",
    )  # fmt: skip
    place_below(q.name, key, label_without_unit(q, label))
    if sentence := from_address.still_refused(key, given, plain(given)):
        say_below(q.name, sentence)
    return given


def _look_at_address(q: Quantity, key: str, lower: float, upper: float) -> None:
    text = from_address.in_address(key)
    if not text or from_address.is_named_twice(key):
        return
    try:
        number = float(text)
    except ValueError:
        number = float("nan")
    if not isfinite(number):
        from_address.refuse(key, not_a_number(q, text[:40]))
    elif not lower <= number <= upper:
        from_address.refuse(key, f"{key} = {plain(number)}: the slider goes from {plain(lower)} to {plain(upper)}")
