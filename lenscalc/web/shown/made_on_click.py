"""A file that is made when somebody clicks, because it takes a second; where it cannot be made, a sentence below the button says why."""

from __future__ import annotations

import logging
from collections.abc import Callable
from contextlib import suppress
from queue import Empty, Queue

import streamlit as st

from lenscalc.errors import LenscalcError
from lenscalc.web.guarded import UNFORESEEN
from lenscalc.web.shown.as_text import as_text

_LOG = logging.getLogger("lenscalc.web")
_LONGEST_S = 60.0


@st.fragment
def made_on_click(label: str, make: Callable[[], bytes], name: str, mime: str) -> None:
    """A button for such a file. The framework makes it beside the page and says of a failure only that there was one; so it is handed over here."""
    came_of_it: Queue[str] = st.session_state.setdefault(f"what came of {label} {name}", Queue())

    def made() -> bytes:
        try:
            data = make()
        except LenscalcError as error:
            came_of_it.put(f"{str(error)[:1].upper()}{str(error)[1:]}. Nothing was saved.")
            raise
        except Exception:
            _LOG.exception("a file could not be made")
            came_of_it.put(UNFORESEEN)
            raise
        came_of_it.put("")
        return data

    if st.download_button(label, made, name, mime=mime, key=f"make {label} {name}"):
        with suppress(Empty):
            if told := came_of_it.get(timeout=_LONGEST_S):
                st.error(as_text(told), icon=":material/error:")
