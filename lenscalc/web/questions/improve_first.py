"""What to improve first?"""

from __future__ import annotations

import streamlit as st

from lenscalc.chain import Followed
from lenscalc.chain import improve_first as what_first
from lenscalc.web.questions.which_radii import ANCHOR, QUESTION
from lenscalc.web.shown.as_text import as_text


def improve_first(followed: Followed) -> None:
    """What stands in the way of a decision, as the core says it; where radii are named, a link to what more there is to say of them."""
    st.header("What to improve first?")
    found = what_first(followed)
    if found is None:
        st.markdown("Nothing is decided here, so nothing can be said to bring a decision nearer.")
        return
    st.markdown(f"**{as_text(found.answer)}**")
    link = f" More under [{QUESTION}](#{ANCHOR})" if found.radii is not None else ""
    st.markdown(as_text(" ".join(found.more)) + link)
