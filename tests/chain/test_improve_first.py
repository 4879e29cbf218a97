"""What to improve first: the sentences for a power outside its limits, one that is not decided, one that conforms, and readings that differ."""

import tomllib

import numpy as np
import pytest
from scipy.stats import norm

from lenscalc.chain import follow, improve_first
from lenscalc.decision import more_mountings_text, mountings_worth, replicates_worth
from lenscalc.demo import demo_text
from lenscalc.lens import thick_lens
from lenscalc.refractometer import sheet_from_data


def sheet(name="copolymer_c.toml", *, n=None, lens=(), **reading):
    data = tomllib.loads(demo_text(name))
    data["reading"][0] |= ({"n": n} if n else {}) | reading
    data["lens"] |= dict(lens)
    return sheet_from_data(data)


def test_a_power_outside_its_limits_wants_other_radii():
    """16.664 D against 20.1 to 20.9 D; the radii that are named give 20.5 D with this index by the thick lens's own equation."""
    followed = follow(sheet(n=[1.4620, 1.4621, 1.4622]))
    found = improve_first(followed)
    assert found.answer == (
        "The power itself: a lens cut to these dimensions has 16.664 D, u 0.057 D, and that lies 3.44 D below the lower limit of 20.10 D. "
        "A smaller uncertainty cannot bring it in; other radii can."
    )
    radii, largest = found.more
    assert radii == (
        "For exactly 20.50 D with this index: front 12.186 mm, back −12.186 mm, with the shape held; it would conform with a probability above 0.999."
    )
    assert largest == "The largest part of u² comes from change of index with temperature, 48 %."
    n = float(followed.index.n.value[0])
    assert thick_lens(12.186, -12.186, 0.9, n).power_D == pytest.approx(20.5, abs=0.002)
    assert found.radii.front_radius_mm == pytest.approx(12.186, abs=5e-4)


def test_above_the_upper_limit_too():
    answer = improve_first(follow(sheet(lens={"labelled_power_D": 5.0}))).answer
    assert "lies 15.12 D above the upper limit of 5.30 D" in answer


def test_radii_alone_are_not_enough_where_u_is_large():
    """On its label a power of u 0.23 D conforms with 2Φ(0.4/0.23) − 1 = 0.92 (Student's t a little less), and 0.95 is required."""
    followed = follow(sheet("copolymer_e.toml"))
    found = improve_first(followed)
    assert found.answer.startswith("The power itself: a lens cut to these dimensions has 21.43 D, u 0.23 D, and that lies 0.03 D above the upper")
    assert "cannot bring it in" not in found.answer
    [told] = found.more
    p = 2 * norm.cdf(0.4 / float(followed.evaluation.columns["u_power_D"][0])) - 1
    assert float(told.partition("a probability of ")[2][:5]) == pytest.approx(p, abs=0.002)
    assert told.endswith("and 0.95 is required: after the radii comes what is uncertain, first of all shift on hydration.")


def test_a_power_that_is_outside_by_less_than_its_u_is_left_open_by_it():
    """20.402 D against 20.40 D, u 0.059 D: not decided, so a smaller u would do something, and only radii or the label move the power."""
    data = tomllib.loads(demo_text("copolymer_c.toml"))
    data["reading"][0]["n"] = [1.4921, 1.4923, 1.4922, 1.4921, 1.4923]
    data["lens"]["labelled_power_D"] = 20.0
    for name, value in (("front_radius_mm", 15.2), ("back_radius_mm", -15.2), ("center_thickness_mm", 0.92)):
        data["lens"][name]["value"] = value
    near = follow(sheet_from_data(data))
    assert near.evaluation.only("verdict") == "not decided: the power lies too near a limit for its uncertainty"
    found = improve_first(near)
    assert found.answer == (
        "The power itself: a lens cut to these dimensions has 20.402 D, u 0.059 D, and that lies 0.002 D above the upper limit of 20.40 D, so near a "
        "limit that its u leaves open on which side of it the power lies. A smaller u would decide which, and does not move the power in; other "
        "radii do."
    )
    assert found.more[0].startswith("For exactly 20.00 D with this index: front 15.")


def test_on_a_limit_no_smaller_u_moves_the_probability():
    """Half of what may be lies on either side, however wide. Halving a part of 44 % leaves 0.060·√(1 − 0.75·0.44) = 0.049 D."""
    power = follow(sheet(n=[1.4934, 1.4935, 1.4936])).evaluation.only("power_D")
    label = power - 0.4 + 1e-12
    on_limit = improve_first(follow(sheet(n=[1.4934, 1.4935, 1.4936], lens={"labelled_power_D": label}.items())))
    assert on_limit.answer == (
        "Change of index with temperature, which holds 44 % of u²: its u halved would bring u of the power from 0.060 D to 0.049 D."
    )


def test_a_power_that_is_not_decided_wants_its_largest_source():
    found = improve_first(follow(sheet(n=[1.4934, 1.4935, 1.4936])))
    assert found.answer == (
        "Change of index with temperature, which holds 44 % of u²: its u halved would bring u of the power from 0.060 D to 0.049 D, "
        "and the probability that the lens conforms from 0.807 to 0.855."
    )
    # 0.060·√(1 − 0.75·0.20) = 0.055 D, and with 0.12 in place of 0.20 0.057 D
    after = "calibration of the refractometer (20 %, halved: u 0.055 D); scale of the profilometer (12 %, halved: u 0.057 D)"
    assert found.more[0] == f"After it: {after}."
    assert found.more[1].startswith("Or other radii: on its label, front 15.256 mm, back −15.256 mm, with the shape held, it would conform")


def test_what_no_better_index_decides_is_said():
    data = tomllib.loads(demo_text("copolymer_c.toml"))
    data["lens"]["front_radius_mm"]["u"] = 1.0
    found = improve_first(follow(sheet_from_data(data)))
    assert found.answer.startswith("Front radius, which holds")
    assert "No better index alone would decide: the other uncertainties are too large by themselves." in found.more
    assert found.radii is None
    assert not [told for told in found.more if told.startswith(("After it", "Or other radii"))]  # next to nothing; and radii alone do not decide


def test_a_lens_that_conforms_needs_nothing():
    found = improve_first(follow(sheet()))
    assert found.answer == (
        "Nothing needs improving: the lens would conform as it is known now, with a probability above 0.999 where 0.95 is required."
    )
    assert found.more[0] == (
        "The largest part of u² comes from change of index with temperature, 45 %; "
        "its u halved would bring u of the power from 0.060 D to 0.049 D."
    )
    assert found.more[1] == "More readings of the specimen would bring next to nothing: their spread holds 2 % of u² of the index."


def test_readings_that_differ_come_before_radii_for_their_mean():
    """Half of the rows replaced: neither 1385 mountings nor radii for the mean of two polymers are of use."""
    found = improve_first(follow(sheet(n=[1.4620, 1.4622, 1.4621, 1.4901, 1.4904])))
    assert found.answer == (
        "The readings themselves. The spread of the readings holds 100 % of u² of the index, and more of them do not help: so wide a spread has a "
        "cause. Look at why they differ."
    )
    assert found.radii is None
    assert found.more == ()  # nor is it told how far that mean's power lies outside


def test_nothing_decided_or_nothing_uncertain_says_nothing():
    data = tomllib.loads(demo_text("copolymer_c.toml"))
    del data["lens"]["labelled_power_D"]
    assert improve_first(follow(sheet_from_data(data))) is None
    drawing = tomllib.loads(demo_text("copolymer_c.toml"))
    drawing["lens"]["dimensions"] = "exact"
    for name in ("front_radius_mm", "back_radius_mm", "center_thickness_mm"):
        drawing["lens"][name].pop("u")
    assert improve_first(follow(sheet_from_data(drawing))) is None


def test_a_history_of_the_readings_is_said():
    told = improve_first(follow(sheet("pmma_published.toml"))).more[-1]
    assert told == "The spread of the readings stands in the budget by its history: more shrink u of the index only where that part is large."


def test_where_all_is_exact_there_is_nothing_to_improve():
    data = tomllib.loads(demo_text("copolymer_c.toml"))
    data["specimen"]["u_specimen_to_lens"] = 0.0
    data["instrument"] |= {"resolution": 0.0, "u_calibration": 0.0, "u_operator": 0.0}
    data["reading"][0] |= {"wavelength_nm": 546.07, "temperature_degC": 35.0, "u_temperature_degC": 0.0, "n": [1.49, 1.49]}
    del data["dispersion"], data["medium"], data["lens"]["gauge"]
    data["temperature"]["u_dn_dt_per_K"] = 0.0
    for name in ("front_radius_mm", "back_radius_mm", "center_thickness_mm"):
        data["lens"][name] |= {"u": 0.0}
        data["lens"][name].pop("instrument", None)
    followed = follow(sheet_from_data(data))
    assert followed.evaluation.only("conformance_probability") == 1.0
    assert improve_first(followed) is None


def test_radii_that_cannot_be_are_not_named():
    """n in use below the medium's: no radii of this shape give +20.5 D."""
    found = improve_first(follow(sheet(n=[1.3360, 1.3361, 1.3362])))
    assert found.answer.endswith("lower limit of 20.10 D. A smaller uncertainty cannot bring it in.")
    assert found.more[0] == "No radii with this thickness and diameter give 20.50 D either."
    assert found.radii is None


def test_mountings_that_are_named_are_counted():
    """Three mountings read twice each: the spread of three means is what counts."""
    found = improve_first(follow(sheet(n=[1.4902, 1.4903, 1.4905, 1.4906, 1.4900, 1.4901], mounting=[1, 1, 2, 2, 3, 3])))
    assert found.more[-1] == "The spread of the mountings holds 12 % of u² of the index; by 4 in place of 3 it would be small."


@pytest.mark.parametrize(
    ("s", "rest", "enough"), [(0.0009, 0.0003, 81), (0.00099, 0.0003, 99), (0.00101, 0.0003, None), (0.1, 0.0, None), (0.0, 0.1, 2)]
)
def test_no_number_of_mountings_above_a_hundred(s, rest, enough):
    """s/√n is a third of the rest at n = 9·(s/rest)²."""
    assert mountings_worth(s, rest) == enough
    if enough and s:
        assert enough == int(np.ceil(9 * (s / rest) ** 2 - 1e-9)) == replicates_worth(s, rest).enough


def test_the_words_for_more_mountings():
    assert more_mountings_text(4, count=5, share=0.1) == "The spread of the mountings holds 10 % of u² of the index; 5 are enough."
    assert "1385" not in more_mountings_text(None, count=5, share=1.0)
