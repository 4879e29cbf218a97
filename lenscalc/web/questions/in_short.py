"""The answer of a sheet in two sentences: whether it would conform, and why or why not."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import shorten

import streamlit as st

from lenscalc.chain import Followed
from lenscalc.conditions import CAUTION
from lenscalc.decision.decide import in_few_words
from lenscalc.quantities import counted
from lenscalc.refractometer import ReadingSheet
from lenscalc.uncertainty import budget, probability_text
from lenscalc.uncertainty.rounding import distance
from lenscalc.web.questions.would_it_conform import with_sign
from lenscalc.web.reading.sheet_sections import SPECIMEN
from lenscalc.web.reading.sheet_told import sheet_told
from lenscalc.web.shown.as_text import as_text
from lenscalc.web.shown.figures import figure, first, signed

NOT_A_DEVICE = f"{CAUTION.split('. ')[1]}."  # what its sentence says in one line, wherever on the page somebody reads
MOST_LETTERS = 110  # of what is refused, in the line at the bottom of the window


def in_short(followed: Followed, *, changed: bool, begun_from: str = "", unsaid: bool = True) -> None:
    """The verdict with the power, and why; whose numbers (see `_whose`); then what is possible but unusual."""
    sheet, result = followed.sheet, followed.evaluation
    index = f"**{figure(first(followed.index.n.value), first(followed.index.n.u))}**"
    if sheet.lens is None:
        st.markdown(f"In short: index in the eye {index}.")
    else:
        power = f"power **{figure(first(result.columns['power_D']), first(result.columns['u_power_D']), 'D')}**"
        verdict = with_sign(str(result.columns["verdict"][0])) if "verdict" in result.columns else "no label, so no decision"
        st.markdown(f"In short: **{verdict}**: {power}{why(followed)}. Index in the eye: {index}.")
    st.markdown(_whose(sheet, changed=changed, begun_from=begun_from, unsaid=unsaid))
    for sentence in followed.warnings:
        st.info(_as_a_sentence(sheet_told(sentence)), icon=":material/info:")


def _as_a_sentence(remark: str) -> str:
    """A remark is one of several in a list by command; here it stands alone."""
    return f"{remark[:1].upper()}{remark[1:]}{'' if remark[-1:] in '.?!' else '.'}"


def _whose(sheet: ReadingSheet, *, changed: bool, begun_from: str, unsaid: bool) -> str:
    """Where the numbers come from; of a sheet of the demo that has been changed, what it was is no longer true of all of them.

    `begun_from`: the title of that sheet of the demo, else empty; `unsaid`: whether nobody has said yet whose numbers they are now.
    """
    told = f" **Changed here since it was loaded:** whose numbers they are now can be said under *{SPECIMEN}*." if changed and unsaid else ""
    if changed and begun_from:
        now = "" if unsaid else f" Changed here since it was loaded. Where the numbers come from now: *{as_text(sheet.provenance)}*."
        return f"Begun from the demo's sheet *{as_text(begun_from)}*.{told}{now}"
    said = as_text(sheet.provenance)
    if "invented" in said.lower():
        return f"**{as_text(sheet.title)}**. *{said[:1].upper()}{said[1:]}*: these numbers show the way, and are nobody's lens.{told}"
    return f"**{as_text(sheet.title)}** — where the numbers come from: *{said}*.{told}"


def in_view(followed: Followed | None, *, refused: Sequence[tuple[str, str]] = ()) -> None:
    """The verdict in one line at the bottom of the window, for whoever types where the answer is out of sight; or what is refused, and where."""
    with st.bottom:
        if followed is None:
            section, sentence = refused[0] if refused else ("", "something in the sheet is refused")
            shown = shorten(sentence, MOST_LETTERS, placeholder=" …").replace("[", "(").replace("]", ")")  # a bracket would end the small print
            st.markdown(f":small[– no answer yet: {f'*{section}*: ' if section else ''}{shown}]")
            return
        only = followed.evaluation.only
        told = f"index in the eye {figure(first(followed.index.n.value), first(followed.index.n.u))}"
        if followed.sheet.lens is not None:
            verdict = in_few_words(str(only("verdict") or ""))
            decided = with_sign(verdict) if verdict else "no decision"
            told = f"**{decided}**: {figure(only('power_D'), only('u_power_D'), 'D')}"
            if only("lower_limit_D") is not None:
                told += f", limits {signed(only('lower_limit_D'), 2)} to {signed(only('upper_limit_D'), 2)} D"
        if followed.warnings:
            told += f"; {counted(len(followed.warnings), 'remark')} at the top of the page"
        st.markdown(f":small[{told}. {NOT_A_DEVICE}]")


def why(followed: Followed) -> str:
    """How far the power lies from the nearer limit, how probable it is that it conforms; where most of its u comes from, if that decides."""
    only = followed.evaluation.only
    lower, upper, p = only("lower_limit_D"), only("upper_limit_D"), only("conformance_probability")
    if lower is None or upper is None or p is None:
        return ""
    power = only("power_D")
    name, limit = ("lower", lower) if power - lower < upper - power else ("upper", upper)
    inside = min(power - lower, upper - power)
    side = "inside" if inside >= 0 else "beyond"
    lines = budget(followed.evaluation.estimates["power_D"])
    most = f"; the largest part of its u² comes from {as_text(lines[0].source)}" if lines and str(only("verdict")).startswith("not decided") else ""
    return (
        f", {distance(abs(inside))} D {side} the {name} limit of {signed(limit, 2)} D; "
        f"the probability that it conforms is {probability_text(p)}{most}"
    )
