"""Under a result: how it was computed, what it stands on, and the command and the Python lines that give the same."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

import streamlit as st

from lenscalc.verify import covering

MOST_SOURCES = 6  # that are named, the richest first
OPEN = "how this was computed"  # key of the panel: whether it stands open


def how_computed(
    *, words: str, equations: Sequence[str] = (), functions: Sequence[str], command: str, python: str, file: tuple[str, str] | None = None
) -> None:
    """A closed panel with the way to a result; shut, it costs nothing: its formulas took a third of the time of a move, and nobody saw them.

    Parameters
    ----------
    words : str
        the way in a sentence or two, for who does not read formulas.
    equations : sequence of str
        lines of LaTeX: the formula, then the formula with this page's numbers put in.
    functions : sequence of str
        the functions that did it, as the reference cases name them: their cases and sources are listed.
    command, python : str
        what to type for the same numbers.
    file : (str, str), optional
        name and text of the file that the command takes.
    """
    panel = st.expander("How this was computed", key=OPEN, on_change="rerun")
    if not panel.open:
        return
    with panel:
        st.markdown(words)
        for line in equations:
            st.latex(line)
        _stands_on(tuple(functions))
        st.markdown("The same by command:")
        st.code(command, language="bash", wrap_lines=True)
        st.markdown("and in Python:")
        st.code(python, language="python", wrap_lines=True)
        if file is not None:
            name, text = file
            st.download_button(f"Save {name}", data=text, file_name=name, on_click="ignore", key=f"save {name}")


def _stands_on(functions: tuple[str, ...]) -> None:
    found = _covering(functions)
    cases = sum(number for _, number in found)
    st.markdown(f"**{cases} reference cases** of {len(found)} sources cover it; *How do we know?* computes them afresh.")
    lines = [f"- {source} ({number})" for source, number in found[:MOST_SOURCES]]
    rest = found[MOST_SOURCES:]
    if rest:
        lines.append(f"- and {len(rest)} more ({sum(number for _, number in rest)})")
    st.markdown("\n".join(lines))


@cache
def _covering(functions: tuple[str, ...]) -> list[tuple[str, int]]:
    return covering(functions)
