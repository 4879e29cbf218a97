"""Second-order terms that take away, chained functions, a budget of one line, and a probability that nothing reaches."""

import numpy as np
import pytest

from lenscalc import InputError
from lenscalc.uncertainty import Input, acceptance_limits_at, propagate
from lenscalc.uncertainty.budget_table import as_text, to_frame
from lenscalc.uncertainty.taylor import derivatives


def cubic(a):
    """y = x − a·x³ at 0 with u = 1: f′ = 1, f″ = 0, f‴ = −6a, so that u² is 1 + f′·f‴ = 1 − 6a (JCGM 100:2008, 5.1.2, note)."""
    return propagate(lambda x: x - a * x * x * x, {"x": Input(0.0, 1.0)}, second_order=True)


def test_terms_of_the_next_order_may_take_away():
    found = cubic(0.02)
    assert found.u == pytest.approx((1.0 - 0.12) ** 0.5, rel=1e-12, abs=0.0)
    assert found.second_order == pytest.approx(-0.12, rel=1e-12, abs=0.0)
    line = next(line for line in found.lines if line.input == "second-order terms")
    assert line.contribution == pytest.approx(-(0.12**0.5), rel=1e-12, abs=0.0)
    assert line.share == pytest.approx(-0.12 / 0.88, rel=1e-12, abs=0.0)


def test_more_than_all_cannot_be_taken_away():
    with pytest.raises(InputError):
        cubic(0.25)


def test_chained_functions_pass_on_their_values():
    """exp(log10 x) = x^(1/ln 10): p·x^(p−1) and p(p−1)·x^(p−2); √(log10 x): 1/(2·x·ln 10·√(log10 x))."""
    p, x = 1.0 / np.log(10.0), 50.0
    d = derivatives(lambda x: np.exp(np.log10(x)), {"x": x}, {"x": 1.0})
    assert d.first[0] == pytest.approx(p * x ** (p - 1.0), rel=1e-12, abs=0.0)
    assert d.second[0, 0] == pytest.approx(p * (p - 1.0) * x ** (p - 2.0), rel=1e-12, abs=0.0)
    root = derivatives(lambda x: np.sqrt(np.log10(x)), {"x": x}, {"x": 1.0})
    assert root.first[0] == pytest.approx(p / (2.0 * x * np.log10(x) ** 0.5), rel=1e-12, abs=0.0)


def test_a_power_that_is_not_whole_goes_by_its_own_rule():
    d = derivatives(lambda x: x**2.5, {"x": 4.0}, {"x": 1.0})
    assert (d.first[0], d.second[0, 0], d.third[0, 0]) == pytest.approx((2.5 * 8.0, 2.5 * 1.5 * 2.0, 2.5 * 1.5 * 0.5 / 2.0), rel=1e-12, abs=0.0)
    assert derivatives(lambda x: x * x**2.5, {"x": 4.0}, {"x": 1.0}).first[0] == pytest.approx(3.5 * 32.0, rel=1e-12, abs=0.0)
    high = derivatives(lambda x: x**4, {"x": 0.0}, {"x": 1.0})
    assert (high.first[0], high.second[0, 0], high.third[0, 0]) == (0.0, 0.0, 0.0)


def test_mixed_derivatives_of_the_third_order():
    """4x³ + x²y + 5xy² + 7y³: f_xxx = 24, f_xyy = 10, f_yxx = 2, f_yyy = 42."""
    d = derivatives(lambda x, y: 4 * x * x * x + x * x * y + 5 * x * y * y + 7 * y * y * y, {"x": 3.0, "y": 2.0}, {"x": 1.0, "y": 1.0})
    assert d.third.tolist() == [[24.0, 10.0], [2.0, 42.0]]
    assert d.second.tolist() == [[24 * 3 + 2 * 2, 2 * 3 + 10 * 2], [2 * 3 + 10 * 2, 10 * 3 + 42 * 2]]


def test_a_budget_of_one_line_is_printed():
    found = propagate(lambda only: 2.0 * only, {"only": Input(10.0, 0.1)})
    assert "only" in as_text(found)
    assert to_frame(found.lines).shape == (1, 8)


@pytest.mark.parametrize("probability", [0.5, 1.0])
def test_a_certain_conformance_has_no_limits(probability):
    with pytest.raises(InputError, match=r"above 0\.5 and below 1"):
        acceptance_limits_at(20.1, 20.9, 0.1, probability=probability)


def test_terms_that_add_are_a_line_of_their_own():
    """x² at 0 has nothing in the first order; its second derivative 2 gives ½·2²·u⁴, so that u is √2·u²."""
    found = propagate(lambda x: x * x, {"x": Input(0.0, 0.1)}, second_order=True)
    line = found.lines[0]
    assert line.input == "second-order terms"
    assert (line.contribution, line.share) == pytest.approx((2.0**0.5 * 0.01, 1.0), rel=1e-12, abs=0.0)


def test_where_the_next_order_was_not_asked_for_no_line_speaks_of_it():
    found = propagate(lambda x: x * x, {"x": Input(0.0, 0.1)})
    assert [line.input for line in found.lines] == ["x"]
    assert (found.second_order, np.isnan(found.mean_shift)) == (0.0, True)


@pytest.mark.parametrize("r", [0.5, -0.5])
def test_the_next_order_holds_for_independent_inputs_alone(r):
    with pytest.raises(InputError, match="independent inputs only"):
        propagate(lambda a, b: a * b, {"a": Input(1.0, 0.1), "b": Input(1.0, 0.1)}, {("a", "b"): r}, second_order=True)
