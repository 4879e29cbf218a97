"""What if the index is off?"""

from __future__ import annotations

import streamlit as st

from lenscalc.chain import Followed
from lenscalc.charts import power_against_index
from lenscalc.decision.decide import SIDE_OPEN, UNDECIDED
from lenscalc.web.shown.figures import first, signed
from lenscalc.web.shown.picture import ground, picture


def index_off(followed: Followed) -> None:
    """How the power follows the index, and how well the index must be known."""
    row, result = followed.row, followed.evaluation
    slope = first(result.columns["d_power_d_n_lens"])
    u_n = first(followed.index.n.u)
    st.header("What if the index is off?")
    st.markdown(f"**{in_words(slope)}** Its u of {u_n:.2g} is worth {abs(slope) * u_n:.3f} D.{_enough(followed, u_n)}")
    lower, upper = result.only("lower_limit_D"), result.only("upper_limit_D")
    picture(
        power_against_index.drawing(
            row["front_radius_mm"], row["back_radius_mm"], row["center_thickness_mm"], first(followed.index.n.value),
            u_n_lens=u_n, u_power_D=first(result.columns["u_power_D"]), labelled_power_D=row.get("labelled_power_D"),
            lower_limit_D=lower, upper_limit_D=upper, ground=ground(),
        ),
        "The line is this lens with other indices. "
        + ("Where it leaves the band, it would be off its label." if lower is not None else "Without a label there are no limits."),
    )  # fmt: skip


def in_words(slope_D: float) -> str:
    """What 0.001 in index does to the power.

    >>> in_words(132.5492), in_words(-88.1)
    ('0.001 more in index makes the power 0.13 D more.', '0.001 more in index makes the power 0.088 D less.')
    """
    step_D = slope_D / 1000.0
    if step_D == 0:
        return "The index does not change the power."
    return f"0.001 more in index makes the power {signed(abs(step_D), 2 if abs(step_D) >= 0.1 else 3)} D {'more' if step_D > 0 else 'less'}."


def _enough(followed: Followed, u_n: float) -> str:
    if "labelled_power_D" not in followed.row:
        return ""
    largest = followed.evaluation.only("largest_u_n_lens")
    if largest is None:
        result = followed.evaluation
        inside = first(result.columns["lower_limit_D"]) < first(result.columns["power_D"]) < first(result.columns["upper_limit_D"])
        if not inside and result.only("verdict") == UNDECIDED:
            return f" How well the index must be known cannot be said: the best value lies outside, {SIDE_OPEN}; a smaller u would decide which."
        why = "the dimensions are taken as exact, and so nothing is decided" if inside else "the power itself lies outside the limits"
        return f" How well the index must be known cannot be said: {why}."
    if largest == 0:
        return " No u of the index, however small, would decide: the other uncertainties are too large by themselves."
    known = "so it is known well enough" if u_n <= largest else "so it is not known well enough"
    return f" The largest u of the index that still decides is {largest:.2g}, {known}."
