"""The page of how power answers to the index, for several materials at once, and why a low index pays more for the same error."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
import streamlit as st

from lenscalc.charts.cost_of_index import cost_of_index, cost_of_index_data
from lenscalc.charts.lenses_side_by_side import lenses_side_by_side, lenses_side_by_side_data
from lenscalc.charts.power_by_index_change import FURTHEST, power_by_index_change, power_by_index_change_data
from lenscalc.conditions import N_MEDIUM_IN_USE, WAVELENGTH_IN_USE_NM
from lenscalc.errors import InputError
from lenscalc.lens import Recut, power_sensitivity, recut, thick_lens
from lenscalc.quantities import Quantity, plain
from lenscalc.uncertainty.rounding import fixed
from lenscalc.web.fields.beside import tell
from lenscalc.web.fields.kept_inputs import keep_inputs
from lenscalc.web.fields.materials_field import materials_field, not_too_many
from lenscalc.web.fields.slider_field import slider_field
from lenscalc.web.lecture.show_materials import Shown, show_materials
from lenscalc.web.shown.answers_and_inputs import answers_and_inputs
from lenscalc.web.shown.caution import caution
from lenscalc.web.shown.computed import how_computed
from lenscalc.web.shown.figures import signed, with_sign
from lenscalc.web.shown.live_picture import live_picture
from lenscalc.web.shown.note import note
from lenscalc.web.shown.save_numbers import save_numbers

EDGE_mm, OPTIC_mm = 0.3, 6.0
FIRST = ("pdms_a_schneider_2009", "copolymer_A", "pmma_beadie_2015", "copolymer_D", "polystyrene_sultanova_2009")
MOST = 7
CHANGE = Quantity(
    "index_change", "Δn", "", "change of the index (− lower, + higher)", "the index of a lens minus what it was cut for", -0.1, 0.1, -FURTHEST,
    FURTHEST, 4, "lot",
)  # fmt: skip


class Lenses(NamedTuple):
    """One lens a material, all of one power as meant, with how their power answers and what the change makes of it."""

    materials: list[Shown]
    n_lens: Any
    cut: Recut
    power_D: float
    index_change: float
    slope_D: Any
    moved_D: Any

    def place(self, which: int) -> Shown:
        """The material that pays most (0) or least (-1)."""
        return self.materials[int(np.argsort(-np.abs(self.slope_D), kind="stable")[which])]

    def at(self, m: Shown, of: Any) -> float:
        """The entry of one material in a column."""
        return float(np.asarray(of)[self.materials.index(m)])


def index_change_page() -> None:
    """Draw the page."""
    st.title("How does power answer to the index?", anchor=False)
    answers, form = answers_and_inputs()
    with form:
        chosen, power_D = _form()
    with answers:
        top = st.container()
        change = slider_field(CHANGE, lower=-FURTHEST, upper=FURTHEST, value=0.001, step=0.0001, key="index_change")
        if not chosen:
            st.info("Choose a material to see its lens.", icon=":material/info:")
            caution()
            return
        try:
            not_too_many(chosen, MOST, "materials")
            lenses = _cut(chosen, power_D, change)
        except InputError as error:
            tell(error)
            caution()
            return
        top.markdown(_in_short(lenses))
        _how_far(lenses)
        caution()
        _why(lenses)
        _steepness(lenses)
        _table(lenses)
        _computed(lenses)


def _form() -> tuple[list[Shown], float]:
    power_D = slider_field("power_D", lower=5.0, upper=30.0, value=20.0, step=0.5, key="show_power_D", label="power as meant, in the eye")
    chosen = materials_field(show_materials(), FIRST, key="materials")
    note(
        f"Published polymers: dry, at {WAVELENGTH_IN_USE_NM:g} nm, as their papers have them; not the lot in hand. Copolymers: invented. All lenses "
        f"equi-convex, {OPTIC_mm:g} mm wide, their edge {EDGE_mm:g} mm thick, and exact but for the index."
    )
    return chosen, power_D


def _cut(materials: list[Shown], power_D: float, change: float) -> Lenses:
    n = np.array([m.n_lens for m in materials])
    cut = recut(power_D, n, wanted_edge_thickness_mm=EDGE_mm, optic_diameter_mm=OPTIC_mm)
    dimensions = (cut.front_radius_mm, cut.back_radius_mm, cut.center_thickness_mm)
    moved = np.asarray(thick_lens(*dimensions, n + change).power_D) - power_D
    return Lenses(materials, n, cut, power_D, change, np.asarray(power_sensitivity(*dimensions, n).d_power_d_n_lens), moved)


def _in_short(lenses: Lenses) -> str:
    most, least = lenses.place(0), lenses.place(-1)
    change = f"{abs(lenses.index_change):g} {'less' if lenses.index_change < 0 else 'more'} index"
    if lenses.index_change == 0:
        return f"In short: with the index that was meant, every lens has its **{lenses.power_D:g} D**. Move the index."
    told = f"In short: {change} makes a {lenses.power_D:g} D lens of {_with_index(most)} **{_change(lenses.at(most, lenses.moved_D))}**"
    if most is least:
        return f"{told}."
    if least.n_lens <= most.n_lens:
        return f"{told}, one of {_with_index(least)} **{_change(lenses.at(least, lenses.moved_D))}**."
    low, high = (f"{m.n_lens - N_MEDIUM_IN_USE:.3f}" for m in (most, least))
    return (
        f"{told}, one of {_with_index(least)} only **{_change(lenses.at(least, lenses.moved_D))}**. Why: what bends the light is the step of the "
        f"index from the eye's medium, {low} and {high}; the same change is a larger part of the smaller step."
    )


def _with_index(m: Shown) -> str:
    return f"{m.short} (index {m.n_lens:.3f})"


def _change(D: float) -> str:
    return f"{signed(abs(D), 2 if abs(D) >= 0.1 else 3)} D {'weaker' if D < 0 else 'stronger'}"


def _how_far(lenses: Lenses) -> None:
    st.header("How far does each power move?", anchor=False)
    data = power_by_index_change_data(lenses.cut, lenses.n_lens, [m.short for m in lenses.materials], index_change=lenses.index_change)
    live_picture(
        power_by_index_change, data,
        "Each line is the power of a lens with another index; the dashed line is the change chosen, and beside each name stands what it does. "
        "Orange: the lens that moves most. Each lens is cut from its own polymer.",
        moving=f"Every lens has {lenses.power_D:g} D where its index is as meant.",
    )  # fmt: skip


def _why(lenses: Lenses) -> None:
    most, least = lenses.place(0), lenses.place(-1)
    st.header("Why does the same error cost more in a low index?", anchor=False)
    steps = [(m, m.n_lens - N_MEDIUM_IN_USE) for m in (most, least)]
    error = abs(lenses.index_change) or 0.001
    told = [f"{100 * error / step:.2f} % of it in {m.short}, where the step is {step:.4f}" for m, step in steps]
    parts = ", and ".join(dict.fromkeys(told))
    st.markdown(
        f"The power comes from the step between the lens and the eye's medium, n − {N_MEDIUM_IN_USE:g}. An error of {error:g} is {parts}. The power "
        "changes by the same part: **ΔF ≈ F·Δn/(n − m)**. A low index stands nearer to the medium: its step is small."
    )
    signed_error = lenses.index_change or error
    moved = lenses.moved_D if lenses.index_change else lenses.slope_D * error
    data = cost_of_index_data(lenses.power_D, lenses.n_lens, moved, [m.short for m in lenses.materials], index_change=signed_error)
    live_picture(
        cost_of_index, data,
        f"The curve is the rule F·Δn/(n − {N_MEDIUM_IN_USE:g}) of a thin lens, without its sign; the points are the lenses themselves, by the thick "
        "lens's equation.",
        moving=f"What {error:g} of index does to lenses of {lenses.power_D:g} D.",
    )  # fmt: skip


def _steepness(lenses: Lenses) -> None:
    most, least = lenses.place(0), lenses.place(-1)
    if most is least:
        return
    st.header("What does the lens itself show of it?", anchor=False)
    R = [abs(lenses.at(m, lenses.cut.front_radius_mm)) for m in (most, least)]
    which = [lenses.materials.index(m) for m in (most, least)]
    two = Recut(*(np.asarray(column)[which] for column in lenses.cut))
    st.markdown(
        f"For {lenses.power_D:g} D the surfaces of {most.short} must be **{R[1] / R[0]:.1f} times as steep** as those of {least.short}. Steep "
        "surfaces multiply whatever the index does."
    )
    data = lenses_side_by_side_data(two, [most.short, least.short], optic_diameter_mm=OPTIC_mm)
    live_picture(
        lenses_side_by_side, data, "The two lenses in cross-section. One scale for both.", moving=f"Both have {lenses.power_D:g} D in the eye.",
        lenses=2, optic_diameter_mm=OPTIC_mm,
    )  # fmt: skip


def _table(lenses: Lenses) -> None:
    columns = zip(lenses.materials, lenses.cut.front_radius_mm, lenses.moved_D, strict=True)
    by_rule = [lenses.power_D * lenses.index_change / (m.n_lens - N_MEDIUM_IN_USE) for m in lenses.materials]
    rows = [
        (m.name, f"{m.n_lens:.4f}", f"{R:.2f} mm", with_sign(moved, 3) + " D", with_sign(rule, 3) + " D")
        for (m, R, moved), rule in zip(columns, by_rule, strict=True)
    ]
    names = ("material", "index", "radius", f"for {with_sign(lenses.index_change, 4)}", "by the rule")
    st.table({name: [row[i] for row in rows] for i, name in enumerate(names)})
    save_numbers(
        {
            "material": [m.name for m in lenses.materials], "n_lens": [m.n_lens for m in lenses.materials],
            "front_radius_mm": lenses.cut.front_radius_mm, "back_radius_mm": lenses.cut.back_radius_mm,
            "center_thickness_mm": lenses.cut.center_thickness_mm, "d_power_d_n_lens": lenses.slope_D,
            "index_change": [lenses.index_change] * len(lenses.materials), "power_change_D": lenses.moved_D,
        },
        "power_and_index.csv",
    )  # fmt: skip
    keep_inputs(*_rows(lenses), name="changed_index.csv")
    note("Between papers PMMA differs by 0.002 and PDMS by 0.03 in index: the last digits of a published index are those of its paper.")


def _rows(lenses: Lenses) -> list[dict[str, Any]]:
    """Every lens with the index that it has got."""
    cut = lenses.cut
    columns = zip(lenses.materials, cut.front_radius_mm, cut.back_radius_mm, cut.center_thickness_mm, lenses.n_lens, strict=True)
    return [
        {
            "material": m.name, "front_radius_mm": float(R1), "back_radius_mm": float(R2), "center_thickness_mm": float(t),
            "optic_diameter_mm": OPTIC_mm, "n_lens": float(n + lenses.index_change), "note_index_meant": float(n),
        }
        for m, R1, R2, t, n in columns
    ]  # fmt: skip


def _computed(lenses: Lenses) -> None:
    most = lenses.place(0)
    R1, R2, t = (lenses.at(most, column) for column in lenses.cut[:3])
    n = ", ".join(plain(m.n_lens) for m in lenses.materials)
    options = f"--front-radius-mm {R1!r} --back-radius-mm {R2!r} --center-thickness-mm {t!r} --n-lens {plain(most.n_lens + lenses.index_change)}"
    how_computed(
        words="Each lens is cut by the thick lens's equation solved for its radii, with the edge held; then its power is taken with the other index. "
        f"The commands are for {most.short}, the Python lines for all.",
        equations=(
            r"F = F_1 + F_2 - \frac{t}{n}F_1F_2",
            r"\Delta F \approx \frac{\partial F}{\partial n}\Delta n \approx \frac{F}{n-m}\Delta n",
            rf"\frac{{{lenses.power_D:g}}}{{{most.n_lens:.4f}-{N_MEDIUM_IN_USE:g}}}\cdot 0.001 "
            rf"= {fixed(lenses.power_D / 1000 / (most.n_lens - N_MEDIUM_IN_USE), 3)}\ \mathrm{{D}}",
        ),
        functions=("thick_lens", "power_sensitivity", "recut", "polymer"),
        command=f"lenscalc recut --power-D {lenses.power_D:g} --n-lens {plain(most.n_lens)} --wanted-edge-thickness-mm {EDGE_mm:g} "
        f"--optic-diameter-mm {OPTIC_mm:g}\nlenscalc power {options}",
        python=f"from lenscalc import recut, thick_lens\n\nn = [{n}]\n"
        f"lens = recut({lenses.power_D:g}, n, wanted_edge_thickness_mm={EDGE_mm:g}, optic_diameter_mm={OPTIC_mm:g})\n"
        f"moved = [x + ({lenses.index_change:g}) for x in n]\n"
        f"thick_lens(lens.front_radius_mm, lens.back_radius_mm, lens.center_thickness_mm, moved).power_D - {lenses.power_D:g}",
    )
