"""No traceback reaches a page: what lenscalc refuses is told in its own words, what nobody foresaw in one plain sentence."""

from __future__ import annotations

import logging
from collections.abc import Callable
from difflib import get_close_matches

import streamlit as st

from lenscalc.errors import LenscalcError
from lenscalc.web.fields.beside import keys_drawn, new_run, tell
from lenscalc.web.shown.as_text import as_text

_LOG = logging.getLogger("lenscalc.web")
UNFORESEEN = (
    "Something failed here that should not have. It is written down in the window in which the pages were started; the other pages, and other "
    "inputs, still work."
)


def guarded(run: Callable[[], None]) -> None:
    """Run a page. The exceptions by which the framework stops or restarts a page are no `Exception` and pass."""
    new_run()
    told = st.container()
    try:
        run()
    except LenscalcError as error:
        tell(error)
    except Exception:
        _LOG.exception("a page failed")
        st.error(UNFORESEEN, icon=":material/error:")
        return
    with told:
        _unknown_in_address()


def _unknown_in_address() -> None:
    """A name in the address that no field of the page has: said, with the nearest that one has."""
    drawn = keys_drawn()
    for name in (n for n in st.query_params if n not in drawn):
        near = get_close_matches(name, drawn, n=1, cutoff=0.6)
        hint = f"; did you mean {near[0]}?" if near else ""
        st.warning(f"The address names {as_text(repr(name[:60]))}, which this page does not ask for{hint}", icon=":material/link:")
