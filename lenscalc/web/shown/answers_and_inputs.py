"""The two sides of a page: answers to the left, inputs to the right; where there is room for one alone, a link leads from each to the other."""

from __future__ import annotations

from typing import Any

import streamlit as st

_NARROW_px = 640  # below it the framework sets columns below each other
# an answer that grows or shrinks above the window's upper edge would move the field that is being typed into
_STYLE = (
    "<style>[data-testid=stColumn]:has(+ [data-testid=stColumn] #inputs) { overflow-anchor: none } "
    f"@media (min-width: {_NARROW_px + 1}px) {{ [data-testid=stElementContainer]:has(.lenscalc-leap) {{ display: none }} }} "
    ".lenscalc-leap { display: inline-block; padding: 0.3rem 0; color: inherit; scroll-margin-top: 4rem }</style>"
)


def answers_and_inputs(*, widths: tuple[int, int] = (8, 4)) -> tuple[Any, Any]:
    """The two columns, answers first: whoever opens a page on a phone reads the answer, and finds the inputs by a link."""
    st.html(f'{_STYLE}<a class="lenscalc-leap" id="answers" href="#inputs">↓ To the inputs</a>')
    answers, form = st.columns(widths, gap="large")
    with form:
        st.html('<a class="lenscalc-leap" id="inputs" href="#answers">↑ To the answer</a>')
    return answers, form
