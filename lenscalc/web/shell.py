"""What stands around every page: its name, the list of pages by what a reader came for."""

from __future__ import annotations

from pathlib import Path

import streamlit as st

Page = tuple[str, str, str]  # file in views/, title, path in the address

SECTIONS: dict[str, tuple[Page, ...]] = {
    "A lot to judge": (
        ("one_reading.py", "One reading, all the way", "one_reading"),
        ("moved.py", "Has the instrument or the material moved?", "moved"),
    ),
    "Something to show": (("a_lens.py", "A lens by its dimensions", "a_lens"), ("its_image.py", "How sharp is its image?", "its_image")),
    "Candidates to compare": (
        ("a_file.py", "A table of candidates", "a_file"),
        ("worth_making.py", "Which are worth making?", "worth_making"),
        ("a_sweep.py", "A sweep of designs", "a_sweep"),
    ),
    "An effect in the eye": (("an_eye.py", "What would the eye notice?", "an_eye"),),
    "The ground it stands on": (("how_we_know.py", "How do we know?", "how_we_know"),),
}
PAGES: tuple[Page, ...] = tuple(page for pages in SECTIONS.values() for page in pages)


def show() -> None:
    """Show the page that the address names; the first one where it names none."""
    st.set_page_config(page_title="lenscalc", layout="wide")
    # not "pages": a folder of that name beside the entry is found by itself, and stands in place of this list on a direct visit
    folder = Path(__file__).parent / "views"
    sections = {
        section: [st.Page(folder / file, title=title, url_path=path, default=file == PAGES[0][0]) for file, title, path in pages]
        for section, pages in SECTIONS.items()
    }
    st.navigation(sections, position="top").run()
