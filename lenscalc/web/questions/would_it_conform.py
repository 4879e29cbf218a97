"""Would it conform?"""

from __future__ import annotations

from collections.abc import Mapping
from math import inf
from typing import Any

import streamlit as st

from lenscalc.chain import Evaluation, Followed
from lenscalc.charts import power_in_tolerance
from lenscalc.decision import REQUIRED_PROBABILITY, RULE, TOLERANCE_EDITION
from lenscalc.uncertainty import probability_text
from lenscalc.uncertainty.rounding import as_stated, between
from lenscalc.web.fields.beside import told
from lenscalc.web.shown.as_text import as_text
from lenscalc.web.shown.figures import first, signed
from lenscalc.web.shown.note import note
from lenscalc.web.shown.picture import ground, picture

SIGNS = {"would conform": "✔", "would not conform": "✘", "not decided": "?"}  # beside the words, for who reads at a glance


def would_it_conform(followed: Followed) -> None:
    """The verdict on a sheet's lens, or the proposed step where it has no label."""
    st.header("Would it conform?")
    if "labelled_power_D" not in followed.row:
        proposed_D = first(followed.evaluation.columns["proposed_label_D"])
        st.markdown(
            f"There is no label to decide on. The nearest half dioptre is **{signed(proposed_D, 1)} D**: a proposed step, nothing more. "
            "A label that is decided on must be given independently of the reading."
        )
        return
    lens = followed.sheet.lens
    limits_and_verdict(followed.row, followed.evaluation, tolerance_from=lens.block.get("tolerance_from") if lens else None)


def limits_and_verdict(row: Mapping[str, Any], result: Evaluation, *, tolerance_from: str | None = None) -> None:
    """The verdict with its probability, its limits, the edition of the tolerance."""
    verdict = str(result.columns["verdict"][0])
    limits = f"{as_stated(first(result.columns['lower_limit_D']))} to {as_stated(first(result.columns['upper_limit_D']))} D"
    with st.container(border=True):
        st.markdown(f"**{with_sign(verdict)}**")
        pictured = _picture(row, result)  # it names the label and the guarded limits
        about = "" if pictured else f" about the label of {as_stated(row['labelled_power_D'])} D"
        if verdict:
            p, off = first(result.columns["conformance_probability"]), first(result.columns["lot_off_probability"])
            required = row.get("required_probability", REQUIRED_PROBABILITY)
            st.markdown(
                f"The probability that its power lies within **{limits}**{about} is "
                f"**{probability_text(p, required=required)}** (required: {required:g}). "
                f"The probability that the lot as a whole is off is {probability_text(off)}.{'' if pictured else _acceptance(result)}"
            )
        else:
            st.markdown(f"The limits about the label would be {limits}. Why there is no decision: {told(str(result.warnings[0]))}.")
    note(f"Tolerance: {as_text(tolerance_from) if tolerance_from else TOLERANCE_EDITION}. Rule: {RULE}.")


def _picture(row: Mapping[str, Any], result: Evaluation) -> bool:
    """Whether there is one: none where all is taken as exact, for there is no interval then."""
    u_D, lower, upper = result.only("u_power_D"), result.only("lower_limit_D"), result.only("upper_limit_D")
    if not u_D or lower is None or upper is None:
        return False
    picture(
        power_in_tolerance.drawing(
            first(result.columns["power_D"]), u_D, lower, upper, labelled_power_D=row["labelled_power_D"],
            acceptance_lower_D=result.only("acceptance_lower_D"), acceptance_upper_D=result.only("acceptance_upper_D"),
            dof=result.only("dof_power") or inf, ground=ground(),
        ),
        "The hill is what is likely of the power, the line below it the 95 % interval; what stands outside the limits has a dashed edge. Disc: the "
        "whole interval lies inside; diamond: it reaches across a limit; cross: all of it lies outside.",
    )  # fmt: skip
    return True


def with_sign(verdict: str) -> str:
    """The chain's own words with a sign before them.

    >>> with_sign("would conform if cut to these dimensions"), with_sign("")
    ('✔ would conform if cut to these dimensions', '– not a decision')
    """
    if not verdict:
        return "– not a decision"
    sign = next((s for words, s in SIGNS.items() if verdict.startswith(words)), "–")
    return f"{sign} {verdict}"


def _acceptance(result: Evaluation) -> str:
    lower, upper = result.only("acceptance_lower_D"), result.only("acceptance_upper_D")
    if lower is None or upper is None:
        return " The uncertainty is so large that guarded acceptance limits leave no room between them."
    limits = between(lower, upper, result.only("u_power_D"), "D").replace("-", "−")
    return f" Guarded acceptance limits, inside the tolerance by U (k for 95 %): {limits}."
