"""Candidates before their tolerances: where each lies, and that no sign is told by its colour alone, as the browser's own renderer draws it."""

import re

import pytest
import vl_convert

from lenscalc.charts.candidates_scatter import NAMED, candidates_scatter
from lenscalc.charts.powers_about_labels import powers_about_labels
from lenscalc.charts.signs import SIGNS, legend
from lenscalc.errors import InputError

KINDS = ("would conform", "would not conform", "not decided")
ENDS = {"label_D": [20.0, 20.5, 0.0], "lower_D": [19.6, 20.1, -0.3], "upper_D": [20.4, 20.9, 0.3]}


def drawing(kinds=KINDS):
    return powers_about_labels.drawing(["A", "B", "C"], [20.1, 21.5, -0.2], [0.1, 0.2, 0.15], **ENDS, kinds=kinds, all_kinds=KINDS)


def marks(drawn):
    """Of each point of a picture: its kind, the first number of its outline's path, and what it is filled with."""
    whole = {**drawn.whole(), "width": 390}
    svg = vl_convert.vegalite_to_svg(whole)
    points = re.findall(r"<path [^>]*aria-roledescription=\"point\"[^>]*>", svg)
    kind, fill = (r"kind: ([^\";]+)", r'fill="([^"]+)"')
    return [
        (re.search(kind, p)[1] if re.search(kind, p) else "", "circle" if "A" in re.search(r' d="([^"]+)"', p)[1] else "other",
         (re.search(fill, p) or ["", "none"])[1])
        for p in points
    ]  # fmt: skip


def test_every_power_stands_before_the_tolerance_of_its_own_label():
    """By hand: 20.1 for 20 is +0.1 in ±0.4; 21.5 for 20.5 is +1.0; −0.2 for 0 is −0.2 in ±0.3."""
    rows = drawing().tables["rows"]
    assert rows["power"].tolist() == pytest.approx([0.1, 1.0, -0.2])
    assert rows["low"].tolist() == pytest.approx([0.0, 0.8, -0.35])
    assert rows["high"].tolist() == pytest.approx([0.2, 1.2, -0.05])
    assert rows["lower"].tolist() == pytest.approx([-0.4, -0.4, -0.3])
    assert rows["upper"].tolist() == pytest.approx([0.4, 0.4, 0.3])
    places = drawing().specification()["layer"][3]["encoding"]["x"]["scale"]["domain"]
    assert places[0] < -0.4
    assert places[1] > 1.2
    assert drawing().description == "The powers of 3 candidates about their labels: 1 would conform, 1 would not conform, 1 not decided."


def test_the_signs_are_shapes_of_their_own():
    """● full, ▲ another shape, ○ empty: each is told from the others without colour."""
    assert [(kind, shape, fill == "transparent" or fill == "none") for kind, shape, fill in marks(drawing())] == [
        ("would conform", "circle", False), ("would not conform", "other", False), ("not decided", "circle", True),
    ]  # fmt: skip
    assert legend(KINDS) == "● would conform, ▲ would not conform, ○ not decided"
    assert len(SIGNS) == 4


@pytest.mark.parametrize("ringed", [False, True])
def test_the_signs_of_many_are_the_same(ringed):
    kinds = [KINDS[i % 3] for i in range(NAMED + 3)]
    rings = {"ringed": [False] * len(kinds)} if ringed else {}
    drawn = candidates_scatter(
        ["p"] * len(kinds), range(len(kinds)), range(len(kinds)), kinds, x_title="a", y_title="b", all_kinds=KINDS, **rings
    )  # fmt: skip
    empty = [fill in ("transparent", "none") for _, _, fill in marks(drawn)]
    shapes = [shape for _, shape, _ in marks(drawn)]
    assert len(empty) == len(kinds)
    assert empty == [kind == "not decided" for kind in kinds]
    assert shapes == ["other" if kind == "would not conform" else "circle" for kind in kinds]


def test_a_name_of_a_kind_may_hold_any_sign():
    kinds = ('a "b"', "c\\d", "e'f\"")
    drawn = powers_about_labels.drawing(["A", "B", "C"], [20.1, 21.5, -0.2], [0.1, 0.2, 0.15], **ENDS, kinds=kinds, all_kinds=kinds)
    assert [fill in ("transparent", "none") for _, _, fill in marks(drawn)] == [False, False, True]


def test_nothing_is_refused():
    with pytest.raises(InputError, match="nothing to draw: no candidate"):
        powers_about_labels.drawing([], [], [], [], [], [], [], all_kinds=KINDS)
