"""The list of pages in a narrow window, which lies over the page: shut by a choice, and its sections named; its titles, as of all links, whole."""

from __future__ import annotations

from functools import cache
from importlib.resources import files

import streamlit as st

# the framework cuts a title where its list, or the column of a link, ends
_WHOLE = (
    "<style>[data-testid=stSidebarNavLink], [data-testid=stPageLink-NavLink] { height: auto } "
    ":is([data-testid=stSidebarNavLink], [data-testid=stPageLink-NavLink]) :is(span:not([data-testid=stIconMaterial]), div, p) "
    "{ white-space: normal; overflow: visible; text-overflow: clip }</style>"
)


def mend_narrow_menu() -> None:
    """Once a page."""
    st.html(f"{_WHOLE}<script>{_script()}</script>", unsafe_allow_javascript=True)


@cache
def _script() -> str:
    return (files("lenscalc.web.shown") / "narrow_menu.js").read_text(encoding="utf-8")
