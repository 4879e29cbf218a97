"""One slider for one quantity: what moves while it is looked at."""

from __future__ import annotations

import streamlit as st

from lenscalc.quantities import Quantity, quantity
from lenscalc.web.number_field import help_of, label_of


def slider_field(of: str | Quantity, *, lower: float, upper: float, value: float, step: float, key: str, label: str | None = None) -> float:
    """A slider for a quantity within what can be shown of it; the address carries its value, and drops one that lies outside.

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
    decimals = len(f"{step:g}".partition(".")[2])
    return st.slider(
        label_of(q, label), lower, upper, value, step, f"%.{decimals}f", key=key, help=help_of(q), bind="query-params", persist_state="session"
    )
