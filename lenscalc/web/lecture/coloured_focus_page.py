"""The page of colour: how the index changes with it, and where each colour meets behind a lens."""

from __future__ import annotations

from typing import Any

import numpy as np
import streamlit as st

from lenscalc.charts.coloured_foci import coloured_foci, coloured_foci_data
from lenscalc.charts.dispersion_curves import dispersion_curves, dispersion_curves_data
from lenscalc.conditions import LINES_NM, WAVELENGTH_IN_USE_NM
from lenscalc.errors import InputError
from lenscalc.lens import ChromaticFocus, Recut, chromatic_focus, recut
from lenscalc.quantities import plain
from lenscalc.web.fields.beside import tell
from lenscalc.web.fields.kept_inputs import keep_inputs
from lenscalc.web.fields.materials_field import materials_field, not_too_many
from lenscalc.web.fields.slider_field import slider_field
from lenscalc.web.lecture.index_change_page import EDGE_mm, OPTIC_mm
from lenscalc.web.lecture.show_materials import Shown, covers_visible, show_materials
from lenscalc.web.shown.answers_and_inputs import answers_and_inputs
from lenscalc.web.shown.caution import caution
from lenscalc.web.shown.computed import how_computed
from lenscalc.web.shown.figures import signed
from lenscalc.web.shown.live_picture import live_picture
from lenscalc.web.shown.note import note
from lenscalc.web.shown.save_numbers import save_numbers

FIRST = ("pmma_szczurowski_2013", "pdms_a_schneider_2009", "copolymer_F", "polystyrene_sultanova_2009")
MOST = 6
LINES = ("F", "e", "C")
Lens = tuple[Shown, ChromaticFocus]


def coloured_focus_page() -> None:
    """Draw the page."""
    st.title("Why is the focus coloured?", anchor=False)
    answers, form = answers_and_inputs()
    with form:
        chosen = _form()
    with answers:
        st.markdown("A polymer bends blue light more than red. Lenses of one power, each from its own polymer: how far apart do their colours meet?")
        power_D = slider_field("power_D", lower=5.0, upper=30.0, value=20.0, step=0.5, key="show_power_D", label="power in the eye, in green light")
        if not chosen:
            st.info("Choose a material to see its colours.", icon=":material/info:")
            caution()
            return
        try:
            not_too_many(chosen, MOST, "colour_materials")
            cut = recut(power_D, np.array([m.n_lens for m in chosen]), wanted_edge_thickness_mm=EDGE_mm, optic_diameter_mm=OPTIC_mm)
            found = [(m, _foci(m, cut, i)) for i, m in enumerate(chosen)]
        except InputError as error:
            tell(error)
            caution()
            return
        st.markdown(_in_short(found))
        _where(found, power_D)
        caution()
        _why(found)
        _table(found)
        keep_inputs(*_rows(found, cut), name="colours.csv")
        _computed(found, cut)


def _form() -> list[Shown]:
    known = {key: m for key, m in show_materials().items() if covers_visible(m)}
    chosen = materials_field(known, FIRST, key="colour_materials")
    note(
        f"Published polymers as their papers have them, dry; copolymers invented. All equi-convex, {OPTIC_mm:g} mm wide, edge {EDGE_mm:g} mm. "
        "Light comes from far away, in an aqueous that disperses too. The lens alone: the eye's own colours are not in it."
    )
    return chosen


def _foci(m: Shown, cut: Recut, i: int) -> ChromaticFocus:
    return chromatic_focus(*_dimensions(cut, i), dispersion=m.dispersion, lines=LINES)


def _dimensions(cut: Recut, i: int) -> tuple[float, float, float]:
    return float(cut.front_radius_mm[i]), float(cut.back_radius_mm[i]), float(cut.center_thickness_mm[i])


def between_D(c: ChromaticFocus) -> float:
    """Power in blue (F) less that in red (C)."""
    return float(c.power_D[0] - c.power_D[2])


def _in_short(found: list[Lens]) -> str:
    least, most = (of(found, key=lambda lens: abs(between_D(lens[1]))) for of in (min, max))
    told = f"In short: blue and red meet farthest apart behind the lens of {most[0].short}, **{signed(abs(between_D(most[1])), 2)} D**"
    if least is most:
        return f"{told.replace(' farthest', '')}. Blue meets nearer to the lens."
    return f"{told}, and least behind that of {least[0].short}, **{signed(abs(between_D(least[1])), 2)} D**. Blue meets nearer to the lens."


def _where(found: list[Lens], power_D: float) -> None:
    st.header("Where does each colour meet?", anchor=False)
    F, e, C = (f"{LINES_NM[x]:.0f} nm" for x in LINES)
    live_picture(
        coloured_foci, coloured_foci_data([(m.short, c) for m, c in found]),
        f"Along the axis, from the focus of green light ({e}): blue ({F}) to the left, nearer to the lens, red ({C}) to the right.",
        moving=f"Every lens has {power_D:g} D at {WAVELENGTH_IN_USE_NM:g} nm.", materials=len(found),
    )  # fmt: skip


def _why(found: list[Lens]) -> None:
    st.header("Why do materials differ?", anchor=False)
    m, c = max(found, key=lambda lens: abs(between_D(lens[1])))
    n, medium = np.asarray(c.n_lens), np.asarray(c.n_medium)
    st.markdown(
        f"The index falls from blue to red, and not alike in all materials. From F to C that of {m.short} falls by {n[0] - n[2]:.4f}. The aqueous "
        f"falls by {medium[0] - medium[2]:.4f} and takes that much away: the step between them, which makes the power, changes by "
        f"{100 * ((n[0] - medium[0]) - (n[2] - medium[2])) / (n[1] - medium[1]):.1f} % of itself."
    )
    materials = [(shown.short, shown.dispersion, shown.range_nm) for shown, _ in found]
    live_picture(
        dispersion_curves, dispersion_curves_data(materials),
        "Each curve is an index less its own at 546 nm; the steeper, the more colour. Dashed: the aqueous. A material that ran along it would make a "
        "lens with the same power in all colours.",
    )  # fmt: skip


def _table(found: list[Lens]) -> None:
    st.table({
        "material": [m.name for m, _ in found],
        "Abbe number": [f"{m.abbe_d:.0f}" if m.abbe_d else "" for m, _ in found],
        "blue less red": [f"{signed(between_D(c), 2)} D" for _, c in found],
        "apart": [f"{signed(float(c.back_focal_length_mm[2] - c.back_focal_length_mm[0]), 2)} mm" for _, c in found],
    })  # fmt: skip
    save_numbers(
        {
            "material": [m.name for m, _ in found], "abbe_d": [m.abbe_d or "" for m, _ in found],
            "power_F_less_power_C_D": [between_D(c) for _, c in found],
            **{f"back_focal_length_{line}_mm": [float(c.back_focal_length_mm[k]) for _, c in found] for k, line in ((0, "F"), (2, "C"))},
        },
        "coloured_focus.csv",
    )  # fmt: skip
    note("An Abbe number of a fit to values measured to 0.001 may be off by a sixth, and so may the colours that follow from it.")


def _rows(found: list[Lens], cut: Recut) -> list[dict[str, Any]]:
    """Every lens at every line, with the indices of lens and aqueous there."""
    rows = []
    for i, (m, c) in enumerate(found):
        R1, R2, t = _dimensions(cut, i)
        for line, n, medium in zip(LINES, np.asarray(c.n_lens), np.asarray(c.n_medium), strict=True):
            rows.append({
                "material": m.name, "note_line": line, "front_radius_mm": R1, "back_radius_mm": R2, "center_thickness_mm": t,
                "optic_diameter_mm": OPTIC_mm, "n_lens": float(n), "n_medium": float(medium),
            })  # fmt: skip
    return rows


def _computed(found: list[Lens], cut: Recut) -> None:
    i, (m, c) = max(enumerate(found), key=lambda entry: abs(between_D(entry[1][1])))
    R1, R2, t = _dimensions(cut, i)
    commands = [
        f"lenscalc power --front-radius-mm {R1!r} --back-radius-mm {R2!r} --center-thickness-mm {t!r} --n-lens {plain(float(c.n_lens[k]))} "
        f"--n-medium {plain(float(c.n_medium[k]))}"
        for k in (0, 2)
    ]
    how_computed(
        words=f"The thick lens at each line with the index of the lens and of the aqueous there. For {m.short}, which has the most colour: "
        f"{m.source}.",
        equations=(
            r"F(\lambda):\quad n = n(\lambda),\quad m = m(\lambda)",
            r"F_F - F_C \approx F\,\frac{(n_F-n_C)-(m_F-m_C)}{n-m}",
        ),
        functions=("chromatic_focus", "aqueous_index", "polymer", "thick_lens"),
        command="\n".join(commands),
        python=_python(m, R1, R2, t),
    )  # fmt: skip


def _python(m: Shown, R1: float, R2: float, t: float) -> str:
    from lenscalc.material.polymer_record import Polymer

    if isinstance(m.dispersion, Polymer):
        material: Any = f'from lenscalc.material import polymer\n\nmaterial = polymer("{m.key}")\n'
        return (
            f"from lenscalc.lens import chromatic_focus\n{material}c = chromatic_focus({R1!r}, {R2!r}, {t!r}, dispersion=material, "
            f'lines=("F", "e", "C"))\nc.power_D[0] - c.power_D[2]'
        )
    return f"from lenscalc.lens import chromatic_difference_D\n\nchromatic_difference_D({R1!r}, {R2!r}, {t!r}, {m.n_lens!r}, abbe_d={m.abbe_d!r})"
