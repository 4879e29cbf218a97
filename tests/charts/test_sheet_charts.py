"""The pictures of a reading sheet say what its numbers say; expected values by hand."""

import math
from itertools import pairwise

import numpy as np
import pytest

from lenscalc.charts import index_waterfall, power_in_tolerance
from lenscalc.charts.power_in_tolerance import MARKS, HILL_px
from lenscalc.refractometer import IndexInUse, Step
from lenscalc.uncertainty import Estimate, Source

CALIBRATION, SHIFT, SLOPE = Source("calibration", "instrument"), Source("shift"), Source("slope")


def estimate(n, **parts):
    sources = {"calibration": CALIBRATION, "shift": SHIFT, "slope": SLOPE}
    return Estimate(np.array([n]), {sources[name]: np.array([part]) for name, part in parts.items()})


def way():
    """u² at the end: 9 + 144 + 16 = 169 units of (1e-4)², so u is 13e-4."""
    steps = (
        Step("reading at 589.29 nm", estimate(1.5073, calibration=3e-4)),
        Step("at 546.07 nm", estimate(1.5073, calibration=3e-4)),
        Step("hydrated", estimate(1.4663, calibration=3e-4, shift=12e-4)),
        Step("at 35 °C", estimate(1.4683, calibration=3e-4, shift=12e-4, slope=4e-4)),
    )
    return IndexInUse(steps[-1].n, 546.07, 35.0, "relative to air", steps, False)


def rows(chart, name):
    return chart.to_dict()["datasets"].get(name, [])


def test_waterfall_goes_step_by_step_from_the_reading_to_the_index_in_use():
    made = rows(index_waterfall(way()), "rows")
    assert [row["text"] for row in made] == [
        "Reading at 589.29 nm: 1.50730, 5 % of the doubt",  # 9/169
        "Hydrated: −0.04100, 85 % of the doubt",  # 144/169; the step to 546.07 nm does nothing and is left out
        "At 35 °C: +0.00200, 9 % of the doubt",  # 16/169
        "Index in use: 1.4683, u 0.0013",
    ]
    for before, after in pairwise(made):
        assert after["low"] == pytest.approx(before["after"], abs=1e-12)
    assert made[-1]["after"] == pytest.approx(1.4683)


def test_whiskers_add_in_squares_to_the_last_one():
    made = rows(index_waterfall(way()), "rows")
    own = [(row["whisker_high"] - row["whisker_low"]) / 2 for row in made]
    assert own == pytest.approx([3e-4, 12e-4, 4e-4, 13e-4])


def test_waterfall_in_words_names_the_largest_move_and_the_largest_doubt():
    """A shift that is known well moves most, and the doubt enters elsewhere."""
    read = estimate(1.5073, calibration=3e-4)
    wet = estimate(1.4663, calibration=3e-4, shift=1e-4)
    use = IndexInUse(wet, 546.07, 35.0, "relative to air", (Step("reading", read), Step("hydrated", wet)), False)
    said = index_waterfall(use).to_dict()["description"]
    assert "Largest move: hydrated, −0.04100." in said
    assert "Most of the doubt: reading, 90 % of u²." in said


def test_waterfall_of_a_reading_that_is_in_use_already_and_exact():
    n = estimate(1.49)
    made = index_waterfall(IndexInUse(n, 546.07, 35.0, "relative to air", (Step("reading", n),), False))
    assert made.to_dict()["description"] == "Steps from 1.49000 as read to 1.49000 in use. Without any u."
    scales = [layer["encoding"]["x"]["scale"]["domain"] for layer in made.to_dict()["layer"] if "scale" in layer["encoding"]["x"]]
    assert scales
    assert all(low < 1.49 < high for low, high in scales)


def area(curve):
    z, height = np.array([r["low"] for r in curve]), HILL_px - np.array([r["y"] for r in curve])
    return float(np.trapezoid(height, z)) if len(curve) > 1 else 0.0


@pytest.mark.parametrize("power", [20.42, 20.85, 20.95, 21.4])
def test_the_hill_between_the_limits_has_the_share_of_the_normal_law(power):
    """Its area between the limits over the whole, against the error function; the drawn hill ends at 3.2 u, beyond which lie 0.14 %."""
    u, lower, upper = 0.12, 20.1, 20.9
    made = power_in_tolerance(power, u, lower, upper)
    parts = {name: area(rows(made, name)) for name in ("below", "between", "above")}
    wanted = 0.5 * (math.erf((upper - power) / (u * math.sqrt(2))) - math.erf((lower - power) / (u * math.sqrt(2))))
    assert parts["between"] / sum(parts.values()) == pytest.approx(wanted, abs=2e-3)


def test_the_hill_of_few_degrees_of_freedom_is_students():
    """t at ν = 4: density at z = 2 over that at 0 is (1 + 4/4)^(−5/2) = 0.17678, by hand; the normal one is exp(−2) = 0.13534."""
    for dof, wanted in ((4.0, 0.17678), (math.inf, 0.13534)):
        curve = rows(power_in_tolerance(20.0, 0.1, 19.8, 20.2, dof=dof), "between")
        height = {round(r["low"], 6): HILL_px - r["y"] for r in curve}
        assert height[19.8] / height[20.0] == pytest.approx(wanted, abs=1e-5)


@pytest.mark.parametrize(
    ("power", "u", "mark", "said"),
    [
        (20.42, 0.06, "inside", "inside the tolerance"),
        (20.85, 0.06, "across", "reaching beyond a limit of the tolerance"),
        (21.2, 0.06, "outside", "outside the tolerance"),
        (20.5, 0.5, "across", "reaching beyond a limit of the tolerance"),
        (20.5, 0.0, "inside", "inside the tolerance"),
    ],
)
def test_a_shape_tells_inside_from_outside(power, u, mark, said):
    made = power_in_tolerance(power, u, 20.1, 20.9).to_dict()
    shapes = [layer["mark"]["shape"] for layer in made["layer"] if isinstance(layer["mark"], dict) and layer["mark"].get("shape")]
    assert shapes == [MARKS[mark]]
    assert said in made["description"]


@pytest.mark.parametrize(
    ("u", "said", "guarded"),
    [
        (0.06, "20.420 D; 95 %: 20.302 to 20.538 D", "20.221 to 20.779 D"),
        (0.15, "20.42 D; 95 %: 20.13 to 20.71 D", "20.22 to 20.78 D"),
        (1.2, "20.4 D; 95 %: 18.1 to 22.8 D", "20.2 to 20.8 D"),
        (0.0, "20.42 D; 95 %: 20.42 to 20.42 D", "20.22 to 20.78 D"),
    ],
)
def test_a_picture_has_the_places_of_the_second_digit_of_u(u, said, guarded):
    """The rule of JCGM 100:2008, 7.2.6; by hand, 1.95996·u: 0.1176, 0.2940, 2.3520. Label and limits are stated, and not rounded."""
    made = power_in_tolerance(20.42, u, 20.1, 20.9, labelled_power_D=20.5, acceptance_lower_D=20.2212, acceptance_upper_D=20.7788)
    words = [row["text"] for row in rows(made, "words")]
    assert words == [f"This lens: {said}", "Tolerance of the label 20.50 D: 20.10 to 20.90 D", f"Guarded acceptance: {guarded}"]
    power, interval = said.split("; 95 %: ")
    assert made.to_dict()["description"].startswith(f"Power {power}, 95 % interval {interval}, ")


def test_limits_and_guarded_acceptance_stand_on_the_picture():
    made = power_in_tolerance(20.42, 0.06, 20.1, 20.9, labelled_power_D=20.5, acceptance_lower_D=20.22, acceptance_upper_D=20.78)
    words = [row["text"] for row in rows(made, "words")]
    assert words[1:] == ["Tolerance of the label 20.50 D: 20.10 to 20.90 D", "Guarded acceptance: 20.220 to 20.780 D"]
    assert {row["low"] for row in rows(made, "limits")} == {20.1, 20.9}
    assert {row["low"] for row in rows(made, "label")} == {20.5}
    none = power_in_tolerance(20.42, 0.4, 20.1, 20.9)
    assert [row["text"] for row in rows(none, "words")][2] == "Guarded acceptance: no room is left between the guard bands"
    assert len(rows(none, "bars")) == 2
