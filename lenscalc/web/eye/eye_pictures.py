"""The pictures of the page of an eye, of which it shows the one that is asked for."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, NamedTuple

import numpy as np
import streamlit as st

from lenscalc.charts import light_path_drawing, proportion_bars
from lenscalc.charts.chromatic_curve import chromatic_curve
from lenscalc.conditions import LINES_NM, N_MEDIUM_IN_USE, WAVELENGTH_IN_USE_NM
from lenscalc.eye import WhatIf, chromatic_change, in_proportion, light_way, published_eye, thin_implanted
from lenscalc.material import Dispersion, by_abbe_number
from lenscalc.web.shown.figures import signed
from lenscalc.web.shown.picture import ground, picture

WAY, PROPORTION, COLOURS = "the light's way through the eye", "the error in proportion", "the focus of each colour"
EYE_WITH_COLOURS = "le_grand_full"  # in place of the teaching eye, whose media have no dispersion
WAVELENGTHS = 35


class Asked(NamedTuple):
    """What the page was asked: the implant's label and index, what is off and by how much, the eye, the Abbe numbers of two polymers."""

    labelled_power_D: float
    n_lens: float
    index_change: float
    position_shift_mm: float
    eye: str
    by_index: bool
    abbe_d: float
    other_abbe_d: float

    @property
    def power_D(self) -> float:
        """What the label's power has become, by the thin-lens rule."""
        return self.labelled_power_D * (1.0 + self.index_change / (self.n_lens - N_MEDIUM_IN_USE))


def cause(asked: Asked) -> str:
    """What is off, in words."""
    if asked.by_index:
        return f"{np.format_float_positional(abs(asked.index_change), trim='-')} {'less' if asked.index_change < 0 else 'more'} in the index"
    return f"{abs(asked.position_shift_mm):g} mm {'shallower' if asked.position_shift_mm < 0 else 'deeper'}"


def _way(asked: Asked, found: WhatIf) -> None:
    way = light_way(asked.labelled_power_D, asked.power_D, eye=asked.eye, position_shift_mm=asked.position_shift_mm, n_lens=asked.n_lens)
    picture(
        light_path_drawing.drawing(way, ground=ground()),
        "Light from far away, with the labelled power. At every plane: its vergence before → behind, and below that what the change adds to them. "
        f"To scale along the axis; below, magnified: blue the light as labelled, orange with the change{_meets(way.focus_shift_mm)}. "
        f"No label is chosen for an eye here: {way.beside_the_retina()}; what the page answers is the difference that the change makes.",
    )


def _meets(shift_mm: float) -> str:
    if abs(round(shift_mm, 3)) == 0:
        return ""
    return ", which meets sooner" if shift_mm < 0 else ", which meets later"


def _proportion(asked: Asked, found: WhatIf) -> None:
    seen = in_proportion(lot_bias_D=found.refraction_shift_D if asked.by_index else 0.0)
    name = f"{cause(asked)}, in {'every' if asked.by_index else 'this'} eye"
    scatter = "Blue: standard deviations of what scatters the refraction after surgery (Norrby 2008, abstract), with the measurements of its day."
    picture(
        proportion_bars.drawing(seen.lines, found.refraction_shift_D, name, ground=ground()),
        f"{scatter} Orange: the change above." + (f" {seen.sentence}".replace("-", "−") if asked.by_index else ""),
    )


def _colours(asked: Asked, found: WhatIf) -> None:
    key = EYE_WITH_COLOURS if asked.eye == "teaching" else asked.eye
    eye = published_eye(key)
    nm = np.linspace(LINES_NM["F"], LINES_NM["C"], WAVELENGTHS)
    lines = {}
    for abbe_d in dict.fromkeys((asked.abbe_d, asked.other_abbe_d)):
        n_d = float(by_abbe_number(asked.n_lens, WAVELENGTH_IN_USE_NM, abbe_d, LINES_NM["d"]).n)
        made = thin_implanted(eye, asked.labelled_power_D, n_lens=asked.n_lens)
        lines[f"Abbe number {abbe_d:g}"] = chromatic_change(eye, made, Dispersion.from_abbe(n_d, abbe_d), nm).ocular_media_D
    spans = [values[-1] - values[0] for values in lines.values()]
    instead = " The teaching eye has no dispersion of its own." if key != asked.eye else ""
    wider = spans[-1] - spans[0]
    told = f" The second polymer makes it {signed(abs(wider), 2)} D {'wider' if wider > 0 else 'narrower'}." if round(abs(wider), 2) else ""
    picture(
        chromatic_curve.drawing(nm, lines, ground=ground()),
        f"Blue light comes to its focus nearer than red: between the lines F and C the refraction spreads over {signed(spans[0], 2)} D.{told} "
        "Most of it is the eye's own water; a polymer with a small Abbe number adds to it.",
    )  # fmt: skip
    st.markdown(
        f"In {eye.name}, with the lens as labelled, and its polymer's dispersion from the Abbe number alone (two-parameter form).{instead} "
        "The media's dispersion is a published one, no measurement of an eye; how much of the spread somebody notices is not told by it."
    )


ONE_PICTURE: Final[dict[str, Callable[[Asked, WhatIf], None]]] = {WAY: _way, PROPORTION: _proportion, COLOURS: _colours}
