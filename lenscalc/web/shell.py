"""What stands around every page: its name, the list of pages by what a reader came for."""

from __future__ import annotations

import gc
import itertools
from pathlib import Path
from typing import Any

# whole before any page runs: altair looks whether pandas is there, and on first visits of several at once it found it half loaded, and failed
import altair  # noqa: F401
import pandas  # noqa: F401
import streamlit as st

from lenscalc.web.fields.written_numbers import take_written_numbers
from lenscalc.web.guarded import guarded
from lenscalc.web.shown.mended_frame import mend_frame

Page = tuple[str, str, str]  # file in views/, title, path in the address

SECTIONS: dict[str, tuple[Page, ...]] = {
    "": (("what_for.py", "What did you come for?", ""),),
    "A lot to judge": (
        ("one_reading.py", "One lot, from reading to verdict", "one_reading"),
        ("moved.py", "Has the instrument or the material moved?", "moved"),
        ("what_is_kept.py", "What has been kept?", "kept"),
    ),
    "Something to show": (
        ("index_change.py", "How does power answer to the index?", "index_change"),
        ("a_lens.py", "A lens by its dimensions", "a_lens"),
        ("its_image.py", "How sharp is its image?", "its_image"),
        ("in_three_media.py", "In air, in water, in the eye", "in_three_media"),
        ("the_border.py", "The border in a refractometer", "the_border"),
        ("coloured_focus.py", "Why is the focus coloured?", "coloured_focus"),
        ("best_shape.py", "Which shape blurs least?", "best_shape"),
        ("a_worksheet.py", "A worksheet to print", "a_worksheet"),
    ),
    "Candidates to compare": (
        ("a_file.py", "A table of candidates", "a_file"),
        ("worth_making.py", "Which are worth making?", "worth_making"),
        ("a_sweep.py", "A sweep of designs", "a_sweep"),
    ),
    "An effect in the eye": (("an_eye.py", "What would the eye notice?", "an_eye"),),
    "The ground it stands on": (("how_we_know.py", "How do we know?", "how_we_know"),),
}
_SETTLED: set[str] = set()
_RUNS = itertools.count(1)
SETTLED_EVERY = 200  # runs
PAGES: tuple[Page, ...] = tuple(page for pages in SECTIONS.values() for page in pages)

# words chosen from a list: the framework writes them white on the theme's blue, which is too pale for that on a dark page (2.3 : 1)
_CHOSEN = "<style>[data-tag], [data-tag] * { background: none; color: inherit } [data-tag] { border: 1px solid }</style>"

# an equation is up to 2 px wider than its own box (italic letters lean out), which makes of it something to scroll that no key reaches
_EQUATION = "<style>.katex-display { padding: 4px 4px }</style>"

# two fields beside each other in a window of 1100 px: the framework's padding would cut the last digits off, and its word on how to apply them lie
# over them
_NUMBER = (
    "<style>[data-testid=stNumberInput] input { padding-left: 8px; padding-right: 0 } "
    "[data-testid=stNumberInput] [data-testid=InputInstructions] { bottom: -1.2rem; pointer-events: none } "
    ".lenscalc-refused { border-left: 4px solid #d55e00; padding: 2px 0 2px 8px; margin-top: 4px }</style>"
)

# one line of words at the bottom of the window, where the framework leaves room for a box to type into
_BOTTOM = "<style>[data-testid=stBottomBlockContainer] { padding-top: 8px; padding-bottom: 0; border-top: 1px solid }</style>"

# where the keyboard stands: the framework's own grey is too faint to find
_FOCUS = "<style>[data-testid=stPageLink-NavLink]:focus-visible, [data-testid=stTopNavLink]:focus-visible { outline: 2px solid }</style>"

# what has nothing to show, a script, would still be given a line's distance
_SCRIPT = "<style>[data-testid=stElementContainer]:has(> [data-testid=stHtml] > script) { display: none }</style>"


def show() -> None:
    """Show the page that the address names; the entry where it names none."""
    st.set_page_config(page_title="lenscalc", layout="wide")
    st.html(_CHOSEN + _EQUATION + _NUMBER + _BOTTOM + _FOCUS + _SCRIPT)
    page = st.navigation({section: [as_page(page) for page in pages] for section, pages in SECTIONS.items()}, position="top")
    take_written_numbers()
    mend_frame()
    guarded(page.run)
    _settle(page.url_path)


def _settle(path: str) -> None:
    """Leave what lives long out of the collections of garbage: after a page's first visit, and again after so many runs of any page.

    The framework collects after every run of a page, that is after every move of a slider. To walk through all that the libraries have loaded
    took 75 ms of it, four times what the page itself took; through what 30 sessions hold, 6 ms. What becomes garbage meanwhile goes at the next
    turn.
    """
    if next(_RUNS) % SETTLED_EVERY and path in _SETTLED:
        return
    _SETTLED.add(path)
    gc.unfreeze()
    gc.collect()
    gc.freeze()


def lead_to(path: str, label: str) -> None:
    """A link to the page of this path in the address."""
    st.page_link(as_page(next(page for page in PAGES if page[2] == path)), label=label, icon=":material/arrow_forward:")


def as_page(page: Page) -> Any:
    """A page of the list as the framework takes it, to go to or to link to."""
    file, title, path = page
    # not "pages": a folder of that name beside the entry is found by itself, and stands in place of this list on a direct visit
    return st.Page(Path(__file__).parent / "views" / file, title=title, url_path=path or None, default=not path)
