"""The picture above the candidates: whom it shows, and that it shows what the table says."""

import numpy as np
import pytest
from shown import DEMO, LENSES, page, uploaded, words

from lenscalc.charts.powers_about_labels import MOST
from lenscalc.web.table.batch_job import Job
from lenscalc.web.table.which_conform import powers_on_tolerances

U = "u_front_radius_mm,u_back_radius_mm,u_center_thickness_mm,u_n_lens"
HEAD = f"candidate,front_radius_mm,back_radius_mm,center_thickness_mm,{U},n_lens,labelled_power_D\n"
P = "P,15,-15,0.9,0.02,0.02,0.01,0.0003"
MANY = HEAD + "".join(f"lot {i}{P[1:]},{1.486 + 0.0004 * i:.4f},20.5\n" for i in range(20))  # 20.0 D and more; 20.1 and 20.9 are the limits
PICTURE = "Band: the tolerance of the label"


def rows_drawn(text):
    job = Job("t.csv", text.encode())
    return powers_on_tolerances(job.result, np.arange(job.rows), "light").tables["rows"]


def test_the_demos_candidates_as_the_table_below_has_them():
    """E, say: 21.43 D with u 0.22 D for 21 D; half of the 95 % interval is 1.96 u where degrees of freedom are many (JCGM 100, table G.2)."""
    at = page("a_file.py")
    assert PICTURE in words(at)
    rows = rows_drawn(DEMO).set_index("name")
    assert rows.index.tolist() == ["A", "B", "C", "D", "E", "F"]
    assert rows.loc["E", "text"] == "E: 21.43 D for 21.00 D"
    assert rows.loc["E", "power"] == pytest.approx(0.43, abs=0.005)
    assert (rows.loc["E", "high"] - rows.loc["E", "low"]) / 2.0 == pytest.approx(1.96 * 0.22, abs=0.01)
    assert rows["kind"].tolist() == ["not decided", *["would conform"] * 3, "not decided", "would conform"]


def test_of_many_the_nearest_to_a_limit_are_drawn_and_the_sentence_says_so():
    """0.0004 of index is 0.053 D: lots 0 to 19 go from 20.0 to 21.0 D, across both limits; farthest from these are some in the middle."""
    assert f"Of 20 rows with a verdict the {MOST} whose powers lie nearest to a limit, in u." in words(uploaded("many.csv", MANY.encode()))
    drawn = [int(name.removeprefix("lot ")) for name in rows_drawn(MANY)["name"]]
    assert len(drawn) == MOST
    assert drawn == sorted(drawn)
    left_out = [i for i in range(20) if i not in drawn]
    assert left_out == list(range(left_out[0], left_out[-1] + 1))
    assert 0 in drawn
    assert min(left_out) > 3


@pytest.mark.parametrize(
    "text",
    [LENSES + "P,15,-15,0.9,1.49\n", HEAD + f"{P},1.49,\n", HEAD + f"{P},14.9,20.5\n", HEAD],
    ids=["no label at all", "an empty label", "not computed", "no row"],
)
def test_nothing_is_drawn_where_nothing_is_decided(text):
    at = uploaded("t.csv", text.encode())
    assert not at.exception
    assert PICTURE not in words(at)


def test_a_row_without_a_verdict_is_left_out():
    text = HEAD + f"{P},1.49,\nQ{P[1:]},1.49,20.5\n"
    assert PICTURE in words(uploaded("t.csv", text.encode()))
    job = Job("t.csv", text.encode())
    assert powers_on_tolerances(job.result, np.array([1]), "light").tables["rows"]["name"].tolist() == ["Q"]
