"""Which radii would give the label?"""

from __future__ import annotations

import numpy as np
import pandas as pd
import streamlit as st

from lenscalc.chain import Followed, RadiiForLabel, radii_for_label
from lenscalc.chain import radius_in_words as _radius
from lenscalc.errors import InputError
from lenscalc.web.fields.beside import told
from lenscalc.web.shown.figures import first, signed, with_sign
from lenscalc.web.shown.note import note

QUESTION, ANCHOR = "Which radii would give the label?", "radii-for-the-label"


def which_radii(followed: Followed) -> None:
    """The radii that give the labelled power with this index, by what is held, in the state in which the sheet measures them."""
    st.header(QUESTION, anchor=ANCHOR)
    if "labelled_power_D" not in followed.row:
        st.markdown("Without a label there is no power to cut for.")
        return
    try:
        ways = radii_for_label(followed)
    except InputError as error:
        st.markdown(f"None can be said: {told(str(error))}.")
        return
    dry = followed.sheet.lens is not None and any(d["state"] == "dry" for d in followed.sheet.lens.dimensions.values())
    label = followed.row["labelled_power_D"]
    found = [way for way in ways if not way.problem]
    if found:
        best = found[0]
        st.markdown(
            f"For exactly {signed(label, 2)} D with this index: **front {_radius(best.front_radius_mm)}, back {_radius(best.back_radius_mm)}**, with "
            f"{best.held} held{', measured as in the sheet, before it swells' if dry else ''}{_steeper(best)}. The centre thickness stays."
        )
        rows = [_row(way) for way in found]
        st.table(pd.DataFrame(rows, columns=["held", "front", "by", "back", "by "]).set_index("held"))
    for way in ways:
        if way.problem:
            st.markdown(f"With {way.held} held there is no such lens: {told(way.problem)}.")
    slope, u_n = abs(first(followed.evaluation.columns["d_power_d_n_lens"])), first(followed.index.n.u)
    note(f"Other radii do not make the index better known: its u alone leaves {slope * u_n:.2g} D of u in the power. Tools add their own.")


def _steeper(way: RadiiForLabel) -> str:
    """What the change is, in words."""
    moved = []
    for side, radius_mm, change_mm in (("front", way.front_radius_mm, way.front_change_mm), ("back", way.back_radius_mm, way.back_change_mm)):
        if np.isfinite(radius_mm) and abs(change_mm) >= 5e-4:
            moved.append((side, "steeper" if abs(radius_mm) < abs(radius_mm - change_mm) else "flatter"))
    if not moved:
        return ""
    if len(moved) == 2 and moved[0][1] == moved[1][1]:
        return f": both sides {moved[0][1]}"
    return ": " + ", ".join(f"the {side} {how}" for side, how in moved)


def _row(way: RadiiForLabel) -> tuple[str, str, str, str, str]:
    return way.held, _radius(way.front_radius_mm), _change(way.front_change_mm), _radius(way.back_radius_mm), _change(way.back_change_mm)


def _change(change_mm: float) -> str:
    return "stays" if abs(change_mm) < 5e-4 else f"{with_sign(change_mm, 3)} mm"
