"""The entry: asks what a reader came for, and leads there."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import NamedTuple

import numpy as np
import streamlit as st

from lenscalc.batch import evaluate_block, read_csv_text
from lenscalc.chain import follow
from lenscalc.charts import Drawing
from lenscalc.charts.small import power_bell, power_intervals, rays_alone, two_foci
from lenscalc.charts.style import Ground
from lenscalc.demo import demo_text
from lenscalc.eye import light_way
from lenscalc.light import Beam, Surface, System
from lenscalc.refractometer import sheet_from_text
from lenscalc.web.shell import SECTIONS, as_page
from lenscalc.web.shown.caution import NOT_A_DEVICE, caution
from lenscalc.web.shown.figures import first
from lenscalc.web.shown.note import note
from lenscalc.web.shown.picture import draw, ground


class Way(NamedTuple):
    """One answer to the question of the entry: the section it leads to, a sentence, and a picture."""

    section: str
    sentence: str
    drawn: Callable[[Ground], Drawing]


@cache
def _lot(on: Ground) -> Drawing:
    columns = follow(sheet_from_text(demo_text("copolymer_c.toml"))).evaluation.columns
    return power_bell.drawing(*(first(columns[n]) for n in ("power_D", "u_power_D", "lower_limit_D", "upper_limit_D")), ground=on)


@cache
def _lens(on: Ground) -> Drawing:
    lens = System([Surface(40.0), Surface(-40.0)], [1.0, 1.49, 1.0], [1.2])
    return rays_alone.drawing(lens, Beam(5.0), optic_diameter_mm=7.0, ground=on)


@cache
def _candidates(on: Ground) -> Drawing:
    columns = evaluate_block(read_csv_text(demo_text("candidates.csv")))
    label, half = np.array(columns["labelled_power_D"], dtype=np.float64), 2.0 * columns["u_power_D"]
    lower, upper = (first(columns[f"{end}_limit_D"] - label) for end in ("lower", "upper"))
    return power_intervals.drawing(list(columns["candidate"]), columns["power_D"] - label, half, lower, upper, ground=on)


@cache
def _eye(on: Ground) -> Drawing:
    return two_foci.drawing(light_way(20.0, 20.0 * (1.0 + 0.02 / 0.154)), ground=on)


WAYS = (
    Way("A lot to judge", "You have read the index of a lot. Which power will its lenses have, and do they conform?", _lot),
    Way("Something to show", "You want somebody to see how a lens makes its power, and what its index has to do with it.", _lens),
    Way("Candidates to compare", "You have a table of polymers. Which of them are worth making into lenses?", _candidates),
    Way("An effect in the eye", "A lens is not what its label says. What would an eye notice of it?", _eye),
)
# the pictures here only lead on: their menus would be eight stops for who goes by the keyboard
_ONLY_TO_LOOK_AT = "<style>[data-testid=stElementToolbar] { display: none } [data-testid=stHeading] h2 { padding: 0 0 8px }</style>"
MOST_BELOW_EACH_OTHER = 4  # links; more stand beside each other, so that all four questions are on the first screen


def entry_page() -> None:
    """Draw the page."""
    st.title("What did you come for?", anchor=False)
    st.html(_ONLY_TO_LOOK_AT)
    note(f"Every page opens with an example, ready to be changed. {NOT_A_DEVICE}")
    for pair in (WAYS[:2], WAYS[2:]):
        for column, way in zip(st.columns(2, gap="large"), pair, strict=True):
            with column, st.container(border=True, height="stretch"):
                _one(way)
    st.markdown("New here? " + "Follow one reading of the demo, invented for it, all the way:")
    st.page_link(as_page(SECTIONS["A lot to judge"][0]), label="the demo, from the reading to the decision", icon=":material/play_arrow:")
    caution()


def _one(way: Way) -> None:
    draw(way.drawn(ground()))
    st.header(way.section, anchor=False)
    st.markdown(way.sentence)
    pages = SECTIONS[way.section]
    beside = 2 if len(pages) > MOST_BELOW_EACH_OTHER else 1
    each = -(-len(pages) // beside)
    for k, column in enumerate(st.columns(beside, gap=None)):
        with column:
            for page in pages[k * each : (k + 1) * each]:
                st.page_link(as_page(page), label=page[1], icon=":material/arrow_forward:")
