"""The answer of a sheet in two sentences: whether it would conform, and why or why not."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import shorten

import streamlit as st

from lenscalc.chain import Followed
from lenscalc.decision.decide import in_few_words
from lenscalc.quantities import counted
from lenscalc.refractometer import ReadingSheet
from lenscalc.uncertainty import budget, probability_text
from lenscalc.uncertainty.rounding import distance
from lenscalc.web.questions.would_it_conform import with_sign
from lenscalc.web.reading.sheet_sections import SPECIMEN
from lenscalc.web.reading.sheet_told import sheet_told
from lenscalc.web.shown.as_text import as_text
from lenscalc.web.shown.caution import NOT_A_DEVICE
from lenscalc.web.shown.figures import figure, first, signed

MOST_LETTERS = 110  # of what is refused, in the line at the bottom of the window


def in_short(followed: Followed, *, borrowed: str) -> None:
    """The verdict with the power, and why; `borrowed`: what of reading and radii is the demo's still, where somebody has typed numbers of his own."""
    sheet, result = followed.sheet, followed.evaluation
    index = f"**{figure(first(followed.index.n.value), first(followed.index.n.u))}**"
    begin = f"In short, **with {borrowed} of the demo**" if borrowed else "In short"
    if sheet.lens is None:
        st.markdown(f"{begin}: index in the eye {index}.")
    else:
        power = f"power **{figure(first(result.columns['power_D']), first(result.columns['u_power_D']), 'D')}**"
        verdict = with_sign(str(result.columns["verdict"][0])) if "verdict" in result.columns else "no label, so no decision"
        st.markdown(f"{begin}: **{verdict}**: {power}{why(followed)}. Index in the eye: {index}.")


def remarks(followed: Followed) -> None:
    """What is possible but unusual."""
    for sentence in followed.warnings:
        st.info(_as_a_sentence(sheet_told(sentence)), icon=":material/info:")


def _as_a_sentence(remark: str) -> str:
    """A remark is one of several in a list by command; here it stands alone."""
    return f"{remark[:1].upper()}{remark[1:]}{'' if remark[-1:] in '.?!' else '.'}"


def whose(sheet: ReadingSheet, *, changed: bool, begun_from: str, unsaid: bool, still: str) -> str:
    """Where the numbers come from; of a sheet of the demo that has been changed, what it was is no longer true of all of them.

    `begun_from`: the title of that sheet of the demo, else empty; `unsaid`: whether nobody has said yet whose numbers they are now; `still`: which
    are the demo's still.
    """
    if changed and begun_from:
        now = "" if unsaid else f" Where the numbers come from now: *{as_text(sheet.provenance)}*."
        return f"Begun from the demo's sheet *{as_text(begun_from)}*{f'; still as there: {still}' if still else ''}.{now}"
    told = f" **Changed here since it was loaded:** whose numbers they are now can be said under *{SPECIMEN}*." if changed and unsaid else ""
    said = as_text(sheet.provenance)
    if "invented" in said.lower():
        return f"**{as_text(sheet.title)}**. *{said[:1].upper()}{said[1:]}*: these numbers show the way, and are nobody's lens.{told}"
    return f"**{as_text(sheet.title)}** — where the numbers come from: *{said}*.{told}"


def in_view(followed: Followed | None, *, refused: Sequence[tuple[str, str]] = (), borrowed: str = "") -> None:
    """The verdict in one line at the bottom of the window, for whoever types where the answer is out of sight; or what is refused, and where."""
    with st.bottom:
        if followed is None:
            section, sentence = refused[0] if refused else ("", "something in the sheet is refused")
            shown = shorten(sentence, MOST_LETTERS, placeholder=" …").replace("[", "(").replace("]", ")")  # a bracket would end the small print
            st.markdown(f":small[– no answer yet: {f'*{section}*: ' if section else ''}{shown}]")
            return
        only = followed.evaluation.only
        of = f", with {borrowed} of the demo" if borrowed else ""
        told = f"index in the eye{of}: {figure(first(followed.index.n.value), first(followed.index.n.u))}"
        if followed.sheet.lens is not None:
            verdict = in_few_words(str(only("verdict") or ""))
            decided = with_sign(verdict) if verdict else "no decision"
            told = f"**{decided}{of}**: {figure(only('power_D'), only('u_power_D'), 'D')}{_how_far(followed)}"
        if followed.warnings:
            told += f"; mind {counted(len(followed.warnings), 'remark')} above"
        st.markdown(f":small[{told}. {NOT_A_DEVICE}]")


def why(followed: Followed) -> str:
    """How far the power lies from the nearer limit, how probable it is that it conforms; where most of its u comes from, if that decides."""
    only = followed.evaluation.only
    p = only("conformance_probability")
    if p is None:
        return ""
    lines = budget(followed.evaluation.estimates["power_D"])
    most = f"; the largest part of its u² comes from {as_text(lines[0].source)}" if lines and str(only("verdict")).startswith("not decided") else ""
    return f"{_how_far(followed)}; the probability that it conforms is {probability_text(p)}{most}"


def _how_far(followed: Followed) -> str:
    """How far the power lies from the nearer limit; empty where there is none."""
    only = followed.evaluation.only
    power, lower, upper = only("power_D"), only("lower_limit_D"), only("upper_limit_D")
    if lower is None or upper is None:
        return ""
    name, limit = ("lower", lower) if power - lower < upper - power else ("upper", upper)
    inside = min(power - lower, upper - power)
    return f", {distance(abs(inside))} D {'inside' if inside >= 0 else 'beyond'} the {name} limit of {signed(limit, 2)} D"
