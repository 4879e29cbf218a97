"""A part of the form that is folded away. What its fields have written stands in the sheet, so they are drawn only when somebody looks."""

from __future__ import annotations

from collections.abc import Callable

import streamlit as st

from lenscalc.web.reading.sheet_state import refused_folds

_PREFIX = "fold: "


def folded(label: str, draw: Callable[[], None], *, unfolded: bool = False) -> None:
    """A panel that `draw` fills while it is open, and while something in it is refused: a refusal is not forgotten by shutting it.

    Parameters
    ----------
    label : str
        what stands on the panel; no two of a page are alike.
    draw : callable
        draws the fields; a refusal that it raises is passed on.
    unfolded : bool
        whether it is open at first.
    """
    refused = refused_folds()
    panel = st.expander(label, expanded=unfolded, key=fold_key(label), on_change="rerun")
    if panel.open or label in refused:
        refused.add(label)
        with panel:
            draw()
        refused.discard(label)


def fold_key(label: str) -> str:
    """The key under which the session knows whether a panel is open.

    >>> fold_key("Its calibration")
    'fold: Its calibration'
    """
    return _PREFIX + label
