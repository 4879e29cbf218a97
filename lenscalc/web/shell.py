"""What stands around every page: its name, the list of pages."""

from __future__ import annotations

from pathlib import Path

import streamlit as st

PAGES: tuple[tuple[str, str, str], ...] = (
    ("one_reading.py", "One reading, all the way", "one_reading"),
    ("a_lens.py", "A lens by its dimensions", "a_lens"),
    ("its_image.py", "How sharp is its image?", "its_image"),
    ("a_file.py", "A table of candidates", "a_file"),
    ("an_eye.py", "What would the eye notice?", "an_eye"),
    ("moved.py", "Has the instrument or the material moved?", "moved"),
    ("how_we_know.py", "How do we know?", "how_we_know"),
)


def show() -> None:
    """Show the page that the address names; the first one where it names none."""
    st.set_page_config(page_title="lenscalc", layout="wide")
    # not "pages": a folder of that name beside the entry is found by itself, and stands in place of this list on a direct visit
    folder = Path(__file__).parent / "views"
    pages = [st.Page(folder / file, title=title, url_path=path, default=i == 0) for i, (file, title, path) in enumerate(PAGES)]
    st.navigation(pages, position="top").run()
