"""The gauge block's causes, each from what JCGM 100:2008, H.1.3, says of it (from memory, to be confirmed); and how a table writes small numbers."""

from math import pi, sqrt

import pytest
from scipy.stats import t

from lenscalc.uncertainty import propagate
from lenscalc.uncertainty.budget_table import _to
from lenscalc.uncertainty.worked_examples import comparison_loss, gauge_block, gauge_block_causes, impedance, logarithm, mass_calibration, sum_of_four


def test_causes_of_the_difference_are_those_of_its_history():
    """s = 13 nm of pooled 25, read five times; ±10 nm at 95 % from six readings; 20 nm at three sigma, known to 25 %: rounded in JCGM 101, 9.5."""
    inputs = gauge_block_causes().inputs
    expected = {"d": (13.0 / sqrt(5.0), 24.0), "d1": (10.0 / t.ppf(0.975, 5), 5.0), "d2": (20.0 / 3.0, 0.5 / 0.25**2)}
    for name, (u, dof) in expected.items():
        assert (inputs[name].u, inputs[name].dof) == (round(u), dof)
    assert (inputs["ls"].value, inputs["ls"].u, inputs["ls"].dof) == (50000623.0, 75.0 / 3.0, 18.0)
    assert [inputs[x].value for x in ("d", "d1", "d2", "a_s", "theta", "swing", "da", "dt")] == [215.0, 0.0, 0.0, 11.5e-6, -0.1, 0.0, 0.0, 0.0]


def test_temperatures_and_expansions_have_the_spread_that_the_other_guide_prints():
    """θ: 0.2 beside a swing of ±0.5, together 0.41; ±2e-6, ±1e-6 and ±0.05 as rectangles 1.2e-6, 0.58e-6, 0.029, less or more known."""
    inputs = gauge_block_causes().inputs
    assert sqrt(inputs["theta"].u ** 2 + inputs["swing"].u ** 2) == pytest.approx(0.41, abs=0.005)
    assert inputs["a_s"].u == pytest.approx(1.2e-6, abs=0.05e-6)
    assert inputs["da"].u == pytest.approx(sqrt(1.0 / 3.0 + 0.1**2 / 9.0) * 1e-6, rel=1e-12, abs=0.0)
    assert inputs["dt"].u == pytest.approx(sqrt(0.05**2 / 3.0 + 0.025**2 / 9.0), rel=1e-12, abs=0.0)


def test_the_deviation_is_that_of_the_length():
    model, inputs, _ = gauge_block_causes()
    values = {name: x.value for name, x in inputs.items()}
    assert model(**values) == 50000623 + 215 - 50_000_000
    assert model(**{**values, "da": 1e-6, "swing": 0.2, "d1": 1.0}) == pytest.approx(839.0 - 50000623e-6 * 0.1, abs=1e-6)
    assert model(**{**values, "dt": 0.05, "d2": 2.0}) == pytest.approx(840.0 - 50000623 * 11.5e-6 * 0.05, abs=1e-6)


def test_a_weight_in_heavier_air_is_corrected_for_what_the_two_displace():
    """(m_R + δm)(1 + (ρ_a − 1.2)(1/ρ_W − 1/ρ_R)) − m_nom (JCGM 101:2008, 9.3.1.3, from memory): 10⁵·0.1·(1/7000 − 1/8000) = 10⁴/56 000."""
    model = mass_calibration().model
    assert model(100_000.0, 0.0, 1.3, 7000.0, 8000.0) == pytest.approx(10.0 / 56.0, rel=1e-9, abs=0.0)
    assert model(99_999.0, 1.5, 1.2, 7000.0, 8000.0) == 0.5


def test_an_impedance_does_not_turn_with_the_phase():
    model = impedance("impedance").model
    assert model(5.0, 20.0, 0.0) == model(5.0, 20.0, pi) == 250.0
    assert impedance("resistance").model(5.0, 20.0, pi / 3.0) == pytest.approx(125.0, rel=1e-12, abs=0.0)
    assert propagate(model, impedance("impedance").inputs).sensitivities["phi"] == 0.0


@pytest.mark.parametrize(
    ("x", "u", "written"),
    [
        (0.00123456, 2.3e-5, "1.235e-03"), (0.005, 0.0021, "0.0050"), (1.476912, 2.3e-5, "1.476912"), (20.469666, 0.041, "20.470"),
        (0.0, 2.3e-5, "0.0e+00"), (2.3e-5, 2.3e-5, "2.3e-05"), (5e-6, 2.3e-5, "5e-06"), (0.001, 1e-4, "0.00100"), (0.01, 2.3e-5, "0.010000"),
        (0.5, 2.3e-5, "0.500000"), (1.5, 0.0, "1.5"), (1.5, float("nan"), "1.5"),
    ],
)  # fmt: skip
def test_two_digits_of_u_and_powers_of_ten_only_where_zeros_say_nothing(x, u, written):
    assert _to(x, u) == written


def test_the_readings_of_an_impedance_have_the_means_and_correlations_of_their_table():
    """JCGM 100:2008, table H.2 (from memory, to be confirmed against the text)."""
    _, inputs, r = impedance("reactance")
    means = {"V": (4.9990, 0.0032), "J": (19.6610, 0.0095), "phi": (1.04446, 0.00075)}
    for (name, printed), half in zip(means.items(), (5e-5, 5e-5, 5e-6), strict=True):
        assert (inputs[name].value, inputs[name].u) == pytest.approx(printed, abs=half)
    assert (r[0, 1], r[0, 2], r[1, 2]) == pytest.approx((-0.36, 0.86, -0.65), abs=0.005)


def test_a_reactance_is_that_part_of_the_impedance_that_stands_across():
    assert impedance("reactance").model(5.0, 20.0, pi / 6.0) == pytest.approx(125.0, rel=1e-12, abs=0.0)


def test_a_warmer_block_that_expands_more_is_shorter_than_it_measures():
    """l = ls + d − ls(δα·θ + αs·δθ) (JCGM 100:2008, H.1.2, eq. H.3): at δα = 1e-6, θ = −0.1 and αs = 11.5e-6, δθ = 0.05."""
    length = gauge_block().model
    assert length(50e6, 215.0, 11.5e-6, -0.1, 1e-6, 0.05) == pytest.approx(50e6 + 215.0 + 5.0 - 28.75, abs=1e-7)


def test_four_alike_unless_the_last_is_said_to_be_wider():
    """JCGM 101:2008, 9.2.2 and 9.2.4 (from memory): u = 1 of each, and 10 of the last."""
    assert [tuple(x)[:3] for x in sum_of_four().inputs.values()] == [(0.0, 1.0, "normal")] * 4
    assert [tuple(x)[:3] for x in sum_of_four("rectangular", 10.0).inputs.values()] == [(0.0, u, "rectangular") for u in (1.0, 1.0, 1.0, 10.0)]


def test_the_parts_of_a_comparison_loss_are_independent_unless_a_correlation_is_given():
    """JCGM 101:2008, 9.4.2 and 9.4.3 (from memory): r = 0 and r = 0.9."""
    assert comparison_loss(0.01).model(0.003, 0.004) == pytest.approx(25.0, rel=1e-12, abs=0.0)
    assert comparison_loss(0.01).correlation is None
    assert comparison_loss(0.01, 0.9).correlation == {("x1", "x2"): 0.9}


def test_the_argument_of_the_logarithm_lies_between_a_tenth_and_eleven_tenths():
    """NPL report DEM-ES-011, 9.2 (from memory): a rectangle from 0.1 to 1.1."""
    x = logarithm().inputs["x"]
    assert (x.value, x.u, x.distribution) == (pytest.approx(0.6), pytest.approx(12.0**-0.5), "rectangular")
