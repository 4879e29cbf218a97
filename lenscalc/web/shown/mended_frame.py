"""What the framework leaves undone around a page, done by fixed scripts of ours.

In a narrow window the list of pages lies over the page: a choice shuts it, and its sections are named. When the system turns dark, pictures follow.
Another page begins at its top. The tabulator leads from number to number.
"""

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
_SCRIPTS = ("narrow_menu.js", "changed_ground.js", "from_the_top.js", "field_to_field.js")


def mend_frame() -> None:
    """Once a page; all in one element, because every element costs each move a little."""
    st.html(_mended(), unsafe_allow_javascript=True)


@cache
def _mended() -> str:
    return _WHOLE + "".join(f"<script>{(files('lenscalc.web.shown') / name).read_text(encoding='utf-8')}</script>" for name in _SCRIPTS)
