"""Colour and shape, drawn: what stands in the picture is what the core computed, and physics holds in it."""

import json
import re

import numpy as np
import pytest
from framed import frames
from hypothesis import given, settings
from hypothesis import strategies as st

from lenscalc.charts.bending_curve import SHOWN, bending_curve, bending_curve_data
from lenscalc.charts.coloured_foci import coloured_foci, coloured_foci_data
from lenscalc.charts.dispersion_curves import dispersion_curves, dispersion_curves_data
from lenscalc.lens import chromatic_focus, recut
from lenscalc.material import Dispersion, polymer

ORDER = ("F", "e", "C")


def named(frame):
    """Every set of data that a frame asks for by name."""
    return set(re.findall(r'"data": \{"name": "(\w+)"\}', json.dumps(frame.to_dict())))


@settings(max_examples=30, deadline=None)
@given(n_d=st.floats(1.42, 1.6), V=st.floats(25.0, 45.0))
def test_blue_meets_before_green_and_red_behind(n_d, V):
    """Down to an Abbe number at which the lens disperses less than the aqueous does: (n_d − 1)/V above 0.0066."""
    c = chromatic_focus(15.0, -15.0, 0.9, dispersion=Dispersion.from_abbe(n_d, V), lines=ORDER)
    foci = frames(coloured_foci_data([("it", c)]))["foci"].set_index("line")["mm"]
    assert foci["F"] < foci["e"] == 0.0 < foci["C"]


def test_the_foci_of_a_polymer_by_hand():
    """PMMA, n_d 1.4906, V 58: n_F − n_C = 0.4906/58 = 0.00846; the aqueous takes 0.0066 of it: 20.5 D·0.00184/0.1564 = 0.24 D apart."""
    c = chromatic_focus(15.0, -15.0, 0.9, dispersion=polymer("pmma_szczurowski_2013"), lines=ORDER)
    data = frames(coloured_foci_data([("PMMA", c), ("again", c)]))
    assert data["rows"]["text"].tolist()[0] == "PMMA: 0.24 D between blue and red"
    foci = data["foci"]
    assert list(foci["px"].unique()) == sorted(foci["px"].unique())
    # f = m/F: m·ΔF/F² apart along the axis, less what the aqueous itself takes, Δm/F; in metres, dioptres
    apart = foci["mm"].max() - foci["mm"].min()
    assert apart == pytest.approx(1000 * (1.336 * 0.24 / 20.8**2 - 0.0066 / 20.8), rel=0.05, abs=0.0)


def test_curves_go_through_nothing_at_546_and_the_aqueous_is_dashed():
    known = [("PMMA", polymer("pmma_szczurowski_2013"), (404.7, 1083.0)), ("PS", polymer("polystyrene_sultanova_2009"), (436.8, 1052.0))]
    data = frames(dispersion_curves_data(known))
    for _, curve in data["curves"].groupby("place"):
        assert np.interp(546.07, curve["nm"], curve["n"]) == pytest.approx(0.0, abs=2e-5)
        assert np.all(np.diff(curve["n"]) < 0)
    assert data["curves"].groupby("place")["medium"].first().tolist() == [False, False, True]
    # printed n_F − n_C of polystyrene by its V and n_d of the facts: 0.59163/29.53 = 0.02003
    polystyrene = data["curves"][data["curves"]["place"] == 1]
    F, C = (np.interp(nm, polystyrene["nm"], polystyrene["n"]) for nm in (486.1327, 656.2725))
    assert pytest.approx(0.02003, abs=3e-5) == F - C


def test_a_lens_bent_to_a_flat_side_is_drawn_with_one():
    drawn = recut(20.0, 1.49, center_thickness_mm=0.9, shape_factor=[*SHOWN, 1.0])
    data = frames(bending_curve_data([0.0], [0.0], [0.0], drawn, best_shape=0.15, best_um=0.005, here_shape=1.0, here_um=0.01, optic_diameter_mm=6.0))
    own = data["bodies"][data["bodies"]["own"]].sort_values("order")
    back = own["z"].iloc[41:82]  # the outline goes up the front and down the back
    assert back.max() - back.min() == pytest.approx(0.0, abs=1e-9)
    assert own["z"].max() - own["z"].min() == pytest.approx(0.9)
    assert data["bodies"]["shape"].unique().tolist() == [-2.0, -1.0, 0.0, 1.0, 2.0]
    assert "−" in bending_curve_data([0.0], [0.0], [0.0], drawn, best_shape=-0.15, best_um=0.0, here_shape=1.0, here_um=0.0,
                                     optic_diameter_mm=6.0)["best"]["text"][0]  # fmt: skip


@pytest.mark.parametrize("ground", ["light", "dark"])
def test_every_named_set_of_data_is_given(ground):
    c = chromatic_focus(15.0, -15.0, 0.9, dispersion=polymer("pmma_szczurowski_2013"), lines=ORDER)
    drawn = recut(20.0, 1.49, center_thickness_mm=0.9, shape_factor=[*SHOWN, 1.0])
    for frame, data in (
        (coloured_foci(materials=1, ground=ground), coloured_foci_data([("a", c)])),
        (dispersion_curves(ground=ground), dispersion_curves_data([])),
        (bending_curve(optic_diameter_mm=6.0, ground=ground),
         bending_curve_data([0.0], [0.0], [0.0], drawn, best_shape=0.1, best_um=0.0, here_shape=1.0, here_um=0.0, optic_diameter_mm=6.0)),
    ):  # fmt: skip
        assert named(frame) == set(data)
