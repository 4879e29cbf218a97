"""How power answers to the index, drawn: every line goes through the power that was meant, with the slope of the thick lens."""

import numpy as np
import pytest
from framed import frames
from hypothesis import given, settings
from hypothesis import strategies as st

from lenscalc.charts.cost_of_index import cost_of_index, cost_of_index_data
from lenscalc.charts.lenses_side_by_side import lenses_side_by_side, lenses_side_by_side_data
from lenscalc.charts.names_apart import apart
from lenscalc.charts.power_by_index_change import power_by_index_change, power_by_index_change_data
from lenscalc.lens import recut

N = [1.4339, 1.4945, 1.5964]
NAMES = ["low", "middle", "high"]
FACTS = recut(20.469666, [1.49, 1.49], center_thickness_mm=[0.9, 0.9])  # radii 15/−15


def test_a_lens_of_the_facts_moves_by_its_derivative():
    """132.5492 D per index at n = 1.49 (mpmath): 0.001 makes it 0.1325 D, and a step of 1e-5 a hundredth of that."""
    data = frames(power_by_index_change_data(FACTS, [1.49, 1.49], ["a", "b"], index_change=1e-5))
    assert data["points"]["power"].tolist() == pytest.approx([20.469666 + 132.5492e-5] * 2, abs=1e-7)
    assert data["points"]["change"].tolist() == [1e-5] * 2


def test_lines_meet_where_the_index_is_as_meant_and_the_lowest_index_is_steepest():
    data = frames(power_by_index_change_data(recut(20.0, N, center_thickness_mm=1.0), N, NAMES, index_change=-0.002))
    lines = data["lines"]
    assert lines[lines["change"] == 0.0]["power"].tolist() == pytest.approx([20.0] * 3)
    assert data["names"].sort_values("place")["name"].tolist() == NAMES
    by_place = {place: of["power"].iloc[-1] - of["power"].iloc[0] for place, of in lines.groupby("place")}
    # the rule of a thin lens, 20·0.01/(n − 1.336)
    assert [by_place[i] for i in range(3)] == pytest.approx([0.2 / (n - 1.336) for n in N], rel=0.02, abs=0.0)
    assert all("−" in text for text in data["names"]["moved"])


@settings(max_examples=60, deadline=None)
@given(places=st.lists(st.floats(-10, 10), min_size=1, max_size=9), least=st.floats(0.01, 2.0))
def test_names_keep_their_order_and_their_room(places, least):
    moved = apart(places, least)
    order = np.argsort(places, kind="stable")
    assert np.all(np.diff(moved[order]) >= least * (1 - 1e-9))
    assert np.mean(moved) == pytest.approx(np.mean(places), abs=1e-9)  # nothing drifts off as a whole
    if len(places) > 1 and np.all(np.diff(np.sort(places)) >= least):
        assert moved == pytest.approx(np.array(places))


def test_the_rule_and_the_points():
    """By hand: 20/1000/(1.49 − 1.336) = 0.12987 D for 0.001."""
    data = frames(cost_of_index_data(20.0, [1.49, 1.4945], [-0.1299, -0.126], ["one", "other"], index_change=-0.001))
    at = np.interp(1.49, data["rule"]["n"], data["rule"]["cost"])
    assert at == pytest.approx(0.12987, abs=1e-4)
    assert data["points"]["cost"].tolist() == pytest.approx([0.1299, 0.126])
    assert data["points"]["text"].tolist() == ["one: 0.13 D", "other: 0.13 D"]


@given(n=st.lists(st.floats(1.40, 1.60), min_size=1, max_size=7), power_D=st.floats(5.0, 30.0))
def test_no_name_of_a_cost_covers_another_or_the_curve(n, power_D):
    """A line of writing takes 18 px of the picture's 380; its names begin where the curve goes on falling."""
    data = cost_of_index_data(power_D, n, [power_D * 0.002 / (x - 1.336) for x in n], [str(x) for x in n], index_change=0.002)
    at, rule = np.sort(data["points"]["at"]), data["rule"]
    line = 18 / 380 * rule["cost"].max()
    assert np.all(np.diff(at) >= line)
    assert at[0] - line / 2 >= np.interp(data["points"]["to"][0], rule["n"], rule["cost"])


def test_the_outline_is_the_lens():
    """Sag by Pythagoras: 15 − √(15² − 3²) = 0.303062 mm; the edge is 0.9 − 2·0.303062."""
    data = frames(lenses_side_by_side_data(FACTS, ["a", "b"], optic_diameter_mm=6.0))
    one = data["bodies"][data["bodies"]["lens"] == 0]
    assert one["z"].max() - one["z"].min() == pytest.approx(0.9)
    rim = one[one["h"] == 3.0]["z"]
    assert rim.max() - rim.min() == pytest.approx(0.9 - 2 * 0.303062, abs=1e-5)


@pytest.mark.parametrize("ground", ["light", "dark"])
def test_every_named_set_of_data_is_given(ground):
    for frame, data in (
        (power_by_index_change(ground=ground), power_by_index_change_data(FACTS, [1.49, 1.49], ["a", "b"], index_change=0.0)),
        (cost_of_index(ground=ground), cost_of_index_data(20.0, [1.49], [0.13], ["a"], index_change=0.001)),
        (lenses_side_by_side(lenses=2, optic_diameter_mm=6.0, ground=ground), lenses_side_by_side_data(FACTS, ["a", "b"], optic_diameter_mm=6.0)),
    ):
        assert {layer["data"]["name"] for layer in frame.to_dict()["layer"]} == set(data)
