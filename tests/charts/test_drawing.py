"""A drawing: what a page swaps, what stays, and that both ways to show it show the same."""

import numpy as np
import pandas as pd
import pytest

from lenscalc.charts import lens_drawing, light_path_drawing, mtf_curve, power_against_index, proportion_bars
from lenscalc.charts.agreement_bars import agreement_bars
from lenscalc.charts.chromatic_curve import chromatic_curve
from lenscalc.charts.small import power_bell, power_intervals, rays_alone, two_foci
from lenscalc.errors import InputError
from lenscalc.eye import in_proportion, light_way
from lenscalc.light import Beam, Surface, System, mtf

LENS = System([Surface(15.0), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9])
FREQUENCY = np.linspace(0.0, 110.0, 12)
DRAWN = {
    "lens": lambda ground: lens_drawing.drawing(15.0, -15.0, 0.9, 6.0, front_principal_plane_mm=0.3, ground=ground),
    "power": lambda ground: power_against_index.drawing(
        15.0, -15.0, 0.9, 1.49, labelled_power_D=20.5, lower_limit_D=20.1, upper_limit_D=20.9, ground=ground
    ),
    "way": lambda ground: light_path_drawing.drawing(light_way(20.0, 20.5), ground=ground),
    "proportion": lambda ground: proportion_bars.drawing(in_proportion().lines, -0.1, "an error", ground=ground),
    "mtf": lambda ground: mtf_curve.drawing(
        FREQUENCY, mtf(LENS, Beam(3.0), frequency_per_mm=FREQUENCY, wavelength_nm=546.07), wavelength_nm=546.07, ground=ground
    ),
    "colours": lambda ground: chromatic_curve.drawing([486.0, 546.0, 656.0], {"a": [-0.3, 0.0, 0.4], "b": [-0.5, 0.0, 0.6]}, ground=ground),
    "agreement": lambda ground: agreement_bars.drawing([0.1, -0.3], ground=ground),
    "bell": lambda ground: power_bell.drawing(20.42, 0.06, 20.1, 20.9, ground=ground),
    "intervals": lambda ground: power_intervals.drawing(["A", "B"], [20.0, 20.5], [0.1, 0.2], 19.6, 20.4, ground=ground),
    "rays": lambda ground: rays_alone.drawing(LENS, Beam(3.0), optic_diameter_mm=6.0, ground=ground),
    "foci": lambda ground: two_foci.drawing(light_way(20.0, 22.5), ground=ground),
}


def names_asked(part):
    if isinstance(part, dict):
        own = {part["data"]["name"]} if isinstance(part.get("data"), dict) and "name" in part["data"] else set()
        return own.union(*(names_asked(value) for value in part.values()))
    return set().union(*(names_asked(value) for value in part)) if isinstance(part, list) else set()


def texts(part):
    if isinstance(part, dict | list):
        for value in part.values() if isinstance(part, dict) else part:
            yield from texts(value)
    elif isinstance(part, str):
        yield part


@pytest.mark.parametrize("ground", ["light", "dark"])
@pytest.mark.parametrize("name", DRAWN)
def test_every_place_is_filled_and_every_table_is_there(name, ground):
    drawn = DRAWN[name](ground)
    specification = drawn.specification()
    assert not [text for text in texts(specification) if text.startswith("@")]
    assert names_asked(specification) <= set(drawn.tables)
    assert drawn.description
    whole = drawn.chart().to_dict()
    assert whole["description"] == drawn.description
    tables = {name: pd.DataFrame(columns) for name, columns in drawn.tables.items()}
    assert whole["datasets"] == {name: rows.to_dict("records") for name, rows in tables.items() if len(rows)}


def test_a_move_that_stays_within_the_axes_changes_tables_alone():
    """What lets the browser keep the picture: the specification is the same, word for word."""
    first, second = (power_intervals.drawing(["A", "B"], [20.0, at], [0.1, 0.2], 19.6, 21.4) for at in (20.3, 20.5))
    assert first.specification() == second.specification()
    assert not first.tables["rows"].equals(second.tables["rows"])


def test_a_drawing_that_is_filled_does_not_change_the_shape():
    a = power_bell.drawing(20.42, 0.06, 20.1, 20.9)
    before = a.specification()
    power_bell.drawing(25.0, 0.1, 24.6, 25.4).specification()
    assert a.specification() == before


def test_the_bell_is_a_normal_density():
    """At one u from the power e^(−1/2) of the top, by hand."""
    bell = power_bell.drawing(20.5, 0.1, 20.1, 20.9).tables["bell"]
    assert np.interp(20.6, bell["power"], bell["density"]) == pytest.approx(np.exp(-0.5), abs=2e-3)


def test_agreement_counts_every_value_once_and_marks_what_lies_outside():
    bars = agreement_bars.drawing([0.0, 0.04, -0.5, 0.99, -1.01, 7.0, float("inf"), float("nan")]).tables["bars"]
    assert bars["values"].sum() == 8
    assert bars.loc[bars["outside"], "values"].sum() == 4
    assert list(bars.loc[bars["outside"], "from"]) == pytest.approx([-1.2, -1.1, 1.0, 1.1])


def test_two_foci_lie_where_the_light_goes():
    """By hand, teaching eye: focus at 5 + 1336/71.3608 mm; with 22.5 D at 5 + 1336/73.8608 mm."""
    ends = two_foci.drawing(light_way(20.0, 22.5)).tables["ends"]
    assert list(ends["z"]) == pytest.approx([5 + 1336 / 71.3608, 5 + 1336 / 73.8608], abs=1e-4)


@pytest.mark.parametrize("lines", [{}, {"a": [0.0]}, {"a": [0.0, 1.0], "b": [0.0, 1.0], "c": [0.0, 1.0]}])
def test_colours_refuse_what_cannot_be_drawn(lines):
    with pytest.raises(InputError, match="one or two lines"):
        chromatic_curve([486.0, 656.0], lines)


def test_an_empty_table_is_left_out_of_the_chart():
    chart = power_against_index(15.0, -15.0, 0.9, 1.49).to_dict()
    assert "limits" not in chart["datasets"]
    assert len(power_against_index.drawing(15.0, -15.0, 0.9, 1.49).tables["limits"]["text"]) == 0
