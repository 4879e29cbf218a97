"""Of one thing it is told as of one: no "1 entries"."""

import re

import numpy as np
import pytest

from lenscalc import charts, decision, light, material
from lenscalc.control.series_file import series_from_text
from lenscalc.errors import InputError
from lenscalc.refractometer import drift_on_prism, nested_mean, sheet_from_text
from lenscalc.report.which_index import degrees
from lenscalc.uncertainty import Input, as_text, propagate

ONE = re.compile(r"\b1 (more )?(\w+(?<!s)s|criteria|quantities|entries)\b")
LENS = light.System([light.Surface(15.0), light.Surface(-15.0)], [1.336, np.array([1.49]), 1.336], [0.9])
STEEP = light.System([light.Surface(5.0), light.Surface(-5.0)], [1.336, 1.49, 1.336], [0.9])
REFUSED = {
    "a line of a series": lambda: series_from_text("date,value\n2026-01-05\n"),
    "labels": lambda: nested_mean([1.49, 1.4901], [1]),
    "times": lambda: drift_on_prism([1.49, 1.4901], [1.0]),
    "labels of a sheet": lambda: sheet_from_text(SHEET),
    "components": lambda: material.mix([1.336], [0.5, 0.5]),
    "monomers": lambda: material.mass_fraction_for_index(1.49, n=[1.5], density_kg_per_m3=[1200.0]),
    "lines": lambda: material.Dispersion.fit([589.3], [1.49, 1.5]),
    "candidates": lambda: decision.rank_trials([20.0], u=[[0.1, 0.1], [0.1, 0.1]]),
    "weights": lambda: light.mtf(LENS, light.Beam(3.0), frequency_per_mm=50.0, wavelength_nm=546.0, weights=[0.5, 0.5]),
    "a ray": lambda: light.longitudinal_spherical_aberration_mm(STEEP, light.Beam(10.5)),
}
SHEET = """provenance = "invented for the tests"
[specimen]
material = "copolymer A"
state = "hydrated"
[instrument]
kind = "v-block"
resolution = 0.0001
[[reading]]
wavelength_nm = 546.07
temperature_degC = 35.0
u_temperature_degC = 0.1
basis = "air"
n = [1.49, 1.4901]
mounting = [1]
"""


@pytest.mark.parametrize("name", REFUSED)
def test_what_is_refused_counts_one_as_one(name):
    with pytest.raises(InputError) as caught:
        REFUSED[name]()
    assert re.search(r"\b1 \w", str(caught.value))
    assert not ONE.search(str(caught.value)), str(caught.value)


def test_one_degree_of_freedom():
    assert (degrees(1.0), degrees(1.5), degrees(2.0)) == (" (1 degree of freedom)", " (1.5 degrees of freedom)", " (2 degrees of freedom)")
    told = as_text(propagate(lambda x: x, {"x": Input(1.0, 0.1, "t", 1.0)}))
    assert "(1 degree of freedom)" in told


def test_a_picture_of_one_candidate():
    drawn = charts.rank_bars(["A"], np.ones((1, 1))).to_dict()
    assert "of 1 candidate;" in drawn["description"]
