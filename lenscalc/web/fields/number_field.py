"""One input field for one quantity of the registry."""

from __future__ import annotations

from math import inf, isfinite

import streamlit as st

from lenscalc.quantities import Quantity, complaint, not_a_number, plain, quantity
from lenscalc.web.fields import from_address
from lenscalc.web.fields.beside import place_below, say_below
from lenscalc.web.fields.page_words import label_without_unit
from lenscalc.web.shown.as_text import as_text


def number_field(
    of: str | Quantity, *, key: str | None = None, label: str | None = None, value: float | None = None, in_address: bool = False,
    while_empty: str | None = None,
) -> float | None:  # fmt: skip
    """A field for a quantity: label with unit, step, format, and in its help the meaning and the limits. None while it is empty.

    What is impossible about its value is said right below it. The value is given back all the same, so that whoever asked can hand it on and
    nothing plausible is put in its place. What the address says and is no number is told there too, until the field is changed.

    Parameters
    ----------
    of : str or Quantity
        a name of the registry, or a quantity.
    key : str, optional
        key of the field in the session; the name of the quantity where it is not given.
    label : str, optional
        in place of the registry's label; the unit is added.
    value : float, optional
        what stands in it at first, unless the session has it already.
    in_address : bool
        whether the address carries the value.
    while_empty : str, optional
        what stands in it in grey while it is empty: a value that acts then.
    """
    q = quantity(of) if isinstance(of, str) else of
    key = key or q.name
    if in_address:
        _look_at_address(q, key)
    held = st.session_state.get(key, value)
    given = st.number_input(
        as_text(label_of(q, label)), value=value, step=q.step or 10.0**-q.decimals, format=f"%.{decimals_of(q, held)}f",
        help=as_text(help_of(q)), key=key, bind="query-params" if in_address else None, persist_state="session", placeholder=while_empty,
    )  # fmt: skip
    place_below(q.name, key, label_without_unit(q, label))
    wrong = complaint(q, given) if given is not None else None
    sentence = wrong or from_address.still_refused(key, given, "nothing" if given is None else plain(given))
    if sentence:
        say_below(q.name, sentence, cannot_be=wrong is not None)
    return given


def _look_at_address(q: Quantity, key: str) -> None:
    text = from_address.in_address(key)
    if not text:
        return
    try:
        is_number = isfinite(float(text))
    except ValueError:
        is_number = False
    if not is_number:
        from_address.refuse(key, not_a_number(q, text[:40]))


def label_of(q: Quantity, label: str | None = None) -> str:
    """The label with its unit; a standard uncertainty is called u.

    >>> label_of(quantity("front_radius_mm")), label_of(quantity("u_front_radius_mm")), label_of(quantity("abbe_d"))
    ('Front radius, mm', 'u of the front radius, mm', 'Abbe number')
    """
    text = label_without_unit(q, label)
    return f"{text}, {q.unit}" if q.unit else text


def help_of(q: Quantity) -> str:
    """What the quantity is and its limits."""
    unit = f" {q.unit}" if q.unit else ""
    limits = f"{q.lower:g} or more{unit}" if q.name.startswith("u_") else q.limits_text.replace(", or inf (plano)", "")
    usual = f" Usual: {q.usual_lower:g} to {q.usual_upper:g}{unit}." if q.usual_upper < inf else ""
    meaning = q.meaning.removesuffix("; inf for plano")  # a field holds no inf: a plano surface is ticked
    return f"{meaning[0].upper()}{meaning[1:]}. Possible: {limits}.{usual}"


def decimals_of(q: Quantity, value: float | None) -> int:
    """The registry's decimals, or as many more as this value needs to be shown whole.

    >>> decimals_of(quantity("center_thickness_mm"), 0.9), decimals_of(quantity("center_thickness_mm"), 1.09125)
    (3, 5)
    """
    if value is None:
        return q.decimals
    written = f"{value:.10f}".rstrip("0").partition(".")[2]
    return max(q.decimals, len(written))
