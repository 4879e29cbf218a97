"""What to improve first?"""

from __future__ import annotations

import streamlit as st

from lenscalc.chain import Followed
from lenscalc.decision import REQUIRED_PROBABILITY, replicates_worth, work_on_first
from lenscalc.errors import InputError
from lenscalc.uncertainty import budget, probability_text
from lenscalc.uncertainty.rounding import percent
from lenscalc.web.shown.as_text import as_text
from lenscalc.web.shown.figures import first, u_in_words

SMALL = 0.05  # a share of u² below which nobody need work


def improve_first(followed: Followed) -> None:
    """The contribution that is worth work first, what halving it brings, the next two, and whether more readings would help."""
    st.header("What to improve first?")
    only, row = followed.evaluation.only, followed.row
    p = only("conformance_probability")
    lines = budget(followed.evaluation.estimates["power_D"])
    if p is None or not lines:
        st.markdown("Nothing is decided here, so nothing can be said to bring a decision nearer.")
        return
    lower, upper, power = only("lower_limit_D"), only("upper_limit_D"), only("power_D")
    required = row.get("required_probability", REQUIRED_PROBABILITY)
    best, *others = work_on_first(followed.evaluation.estimates["power_D"], lower, upper)
    u = only("u_power_D")
    now, then = probability_text(p), probability_text(best.probability_halved)
    sentences = ["For this label nothing needs work: the lens would conform as it is known now. What would sharpen it most:"] if p >= required else []
    sentences.append(
        f"**{as_text(best.source[0].upper() + best.source[1:])}**, which holds {percent(best.share)} of u². Halving it brings u of the power from "
        f"{u_in_words(u)} to {u_in_words(best.u_halved_D, 'D')}"
        + (f", and the probability that the lens conforms from **{now}** to **{then}**." if now != then else ".")
    )
    if not lower <= power <= upper:
        sentences.append("The power itself lies outside the limits: better measuring makes that surer, it does not mend it. Other radii would.")
    elif p < required and only("largest_u_n_lens") == 0:
        sentences.append("No better index alone would decide: the other uncertainties are too large by themselves.")
    st.markdown(" ".join(sentences))
    after = [c for c in others[:2] if c.share >= SMALL]
    if after:
        told = (f"{as_text(c.source)} ({percent(c.share)}, halved: u {u_in_words(c.u_halved_D, 'D')})" for c in after)
        st.markdown(f"After it: {'; '.join(told)}.")
    st.markdown(_more_readings(followed))


def _more_readings(followed: Followed) -> str:
    """Whether further mountings would help, by the share that the spread of the readings has in u² of the index."""
    lines = [line for line in budget(followed.index.n) if line.source.startswith("replicates at")]
    share = sum(line.share for line in lines)
    if not lines:
        return "The spread of the readings stands in the budget by its history: further readings shrink the index's u only where that part is large."
    if share < SMALL:
        return f"More readings of the specimen would bring next to nothing: their spread holds {percent(share)} of u² of the index."
    u_n, one = first(followed.index.n.u), lines[0]
    count = max(len(r.n) for r in followed.sheet.readings)
    try:
        worth = replicates_worth(abs(one.part) * count**0.5, (u_n * u_n - one.part * one.part) ** 0.5)
    except InputError as error:
        return f"More readings: {error}."
    if worth.enough <= count:
        return f"{count} readings are enough: their spread holds {percent(share)} of u² of the index."
    return f"The spread of the readings holds {percent(share)} of u² of the index; by {worth.enough} mountings in place of {count} it would be small."
