"""Numbers by hand where a sign or a bound decides: two temperatures, the last ray out of a prism, steps of the display, three readings."""

from dataclasses import replace
from math import inf

import numpy as np
import pytest
from scipy.stats import t

from lenscalc.demo import demo_text
from lenscalc.material import sucrose_index
from lenscalc.refractometer import minimum_deviation_deg, sheet_from_text, two_sets
from lenscalc.refractometer.as_read import as_read, true_index
from lenscalc.refractometer.corrected import Block
from lenscalc.refractometer.merged_readings import over_temperatures
from lenscalc.refractometer.mixed_readings import Scatter
from lenscalc.refractometer.sheet_calibration import ReferenceReading
from lenscalc.uncertainty import Estimate, Source

READING = sheet_from_text(demo_text("copolymer_c.toml")).readings[0]


def test_a_thermometer_that_errs_at_one_temperature_turns_the_slope_by_hand():
    """1.4920 at 20 °C and 1.4900 at 30 °C fall by 2e-4 per K. Where 30 °C was truly 30.1 °C, the true slope is b·(1 + 0.1/10) of what is read:
    what is read at the true place lies b·0.1 off, which over 10 K is b·0.1/10; at the other end the sign is the other."""
    own = Source("of its own", "lot")
    blocks = [
        Block(replace(READING, temperature_degC=T, u_temperature_degC=0.1), Estimate(n, {own: 1e-5}), Estimate(n, {own: 1e-5}))
        for T, n in ((20.0, 1.4920), (30.0, 1.4900))
    ]
    _, slope, _ = over_temperatures(blocks)
    assert slope.value == pytest.approx(-2e-4, rel=1e-9, abs=0.0)
    parts = {source.name: part for source, part in slope.parts.items()}
    assert parts["temperature of the specimen at 30 °C"] == pytest.approx(-2e-6, rel=1e-6, abs=0.0)
    assert parts["temperature of the specimen at 20 °C"] == pytest.approx(+2e-6, rel=1e-6, abs=0.0)


@pytest.mark.parametrize("apex_deg", [50.0, 60.0, 90.0, 120.0])
def test_the_last_ray_leaves_a_prism_along_its_faces(apex_deg):
    """n·sin(A/2) = 1: into the prism and out of it along the faces, which deviates by 2·90° − A."""
    assert minimum_deviation_deg(apex_deg, 1.0 / np.sin(np.deg2rad(apex_deg) / 2.0)) == pytest.approx(180.0 - apex_deg, abs=1e-5)


@pytest.mark.parametrize(("low", "high", "steps", "told"), [(2, 4, 6, False), (2, 4, 7, True), (1, 3, 39, False), (1, 3, 40, True)])
def test_steps_of_the_display_scatter_by_a_twelfth(low, high, steps, told):
    """k readings in two groups, each at one number, m steps d apart. Of the rounding alone each has d²/12, so that with k − 2 degrees of freedom
    t = m/√((1/12)(1/a + 1/b)), and the 2^(k−1) − 1 ways to cut have at most as often P(|t| > it): 31 ways, four degrees and t = 4m give 0.00055 for
    six steps and 0.00030 for seven; 7 ways, two degrees and t = 3m give 0.00051 for 39 and 0.00049 for 40; beside 0.0005."""
    k = low + high
    chance = (2 ** (k - 1) - 1) * 2.0 * t.sf(steps / ((1.0 / low + 1.0 / high) / 12.0) ** 0.5, k - 2)
    assert bool(chance < 0.0005) is told
    values = [1.49] * low + [1.49 + steps * 1e-4] * high
    found = two_sets(values, resolution=1e-4, of_reading=Scatter(1e6, inf, is_stated=True))
    assert (found is not None) is told


@pytest.mark.parametrize(("n", "told"), [((1.4901, 1.4902, 1.4904), True), ((1.4901, 1.4902, 1.4904, 1.4903), False)])
def test_readings_whose_t_has_no_standard_deviation_are_told(n, told):
    """Student's t has one, √(ν/(ν − 2)), from more than two degrees of freedom on: from more than three readings."""
    few = replace(READING, n=n, u_repeatability=None, dof_repeatability=None, mounting=None, session=None, minutes_after_mounting=None)
    assert any("2 degrees of freedom" in remark for remark in as_read(few, 1e-4).remarks) is told
    assert any("(u_repeatability)" in remark for remark in as_read(few, 1e-4).remarks) is told


def test_the_slope_of_the_sucrose_scale_at_its_end_is_that_of_its_last_per_cent():
    """The scale is linear between its values at each per cent and ends at 0.85: there the slope is (n(0.85) − n(0.84))/0.01."""
    reading = replace(READING, wavelength_nm=589.29, temperature_degC=20.0, u_temperature_degC=0.0)
    n = true_index(ReferenceReading("sugar", "sucrose", reading, {"mass_fraction": 0.85, "u_mass_fraction": 1e-3}))
    parts = {source.name: part for source, part in n.parts.items()}
    assert parts["mass fraction of sugar"] == pytest.approx((sucrose_index(0.85) - sucrose_index(0.84)) / 0.01 * 1e-3, rel=1e-9, abs=0.0)


@pytest.mark.parametrize("temperature_degC", [12.0, 20.0, 29.25])
def test_the_slope_of_the_sucrose_scale_by_temperature_is_that_over_half_a_kelvin(temperature_degC):
    reading = replace(READING, wavelength_nm=589.29, temperature_degC=temperature_degC, u_temperature_degC=0.1)
    n = true_index(ReferenceReading("sugar", "sucrose", reading, {"mass_fraction": 0.3, "u_mass_fraction": 1e-3}))
    parts = {source.name: part for source, part in n.parts.items()}
    over = sucrose_index(0.3, temperature_degC + 0.25) - sucrose_index(0.3, temperature_degC - 0.25)
    assert parts["temperature of sugar"] == pytest.approx(over / 0.5 * 0.1, rel=1e-6, abs=0.0)
    assert -3e-5 < parts["temperature of sugar"] < -1e-5  # sugar solutions lose 1 to 3 units of the fourth decimal a kelvin
