"""Models that lose a part of the complex step, or are no real number, and what cannot be known: refused, never a plausible u."""

from math import sqrt

import numpy as np
import pytest

from lenscalc import InputError
from lenscalc.uncertainty import Input, Source, fit_line, propagate, standard_u

ONE = {"x": Input(0.5, 0.1)}


@pytest.mark.parametrize(
    "model",
    [
        lambda x: abs(x) + x,  # 2x: half of the derivative was lost
        lambda x: abs(x) * x,  # x²: half of it
        lambda x: x * np.real(x),
        lambda x: x * np.conj(x) * x,  # x³: the derivative came out as x² in place of 3x²
        lambda x: abs(x) ** 3 + 5.0 * x,
    ],
)
def test_a_part_of_the_derivative_that_is_lost_is_missed(model):
    with pytest.raises(InputError, match="the model loses the complex step in x"):
        propagate(model, ONE)


@pytest.mark.parametrize(
    ("model", "slope"),
    [
        (lambda x: x**3 - 0.75 * x, 0.0),  # flat at 0.5
        (lambda x: np.exp(20.0 * x), 20.0 * np.exp(10.0)),
        (lambda x: (x - 0.5) ** 5 + 1e-9 * x, 1e-9),
        (lambda x: np.sin(300.0 * x), 300.0 * np.cos(150.0)),
        (lambda x: np.sin(5000.0 * x), 5000.0 * np.cos(2500.0)),  # half a radian for a thousandth of u: sin ½ is 4 % less
        (lambda x: 1e6 + 1e-6 * x, 1e-6),
        (lambda x: 1.0 / (x - 0.4), -100.0),  # a pole within u
        (lambda x: (x - 0.45) ** 0.5, 0.5 / sqrt(0.05)),  # not defined within u
    ],
)
def test_what_bends_or_is_not_defined_beside_the_value_is_not_refused(model, slope):
    assert propagate(model, ONE).sensitivities["x"] == pytest.approx(slope, rel=1e-9, abs=1e-12)


@pytest.mark.parametrize(
    "model",
    [
        lambda x: (x - 1.0) ** 0.5,
        lambda x: 2.0 - (x - 1.0) ** 0.5,
        lambda x: np.sqrt(x - 1.0),
        lambda x: float("nan"),
        lambda x: np.log(x - 0.5),
    ],
)
def test_a_model_without_a_real_number_is_refused(model):
    """The root of −½ came out as 4e-17 with u 7e28, nan as exact."""
    with pytest.raises(InputError, match="must give a finite real number"):
        propagate(model, ONE)


def test_two_correlations_of_one_pair_are_refused():
    two = {"x": Input(1.0, 0.1), "y": Input(1.0, 0.1)}
    with pytest.raises(InputError, match=r"is given as 0\.5 and as -0\.5"):
        propagate(lambda x, y: x - y, two, {("x", "y"): 0.5, ("y", "x"): -0.5})
    with pytest.raises(InputError, match=r"is given as -0\.5 and as 0\.5"):
        propagate(lambda x, y: x - y, two, {("x", "y"): -0.5, ("y", "x"): 0.5})
    assert propagate(lambda x, y: x - y, two, {("x", "y"): 0.5, ("y", "x"): 0.5}).u == pytest.approx(0.1)
    assert propagate(lambda x, y: x - y, two, {("x", "x"): 1.0, ("x", "y"): 0.5}).u == pytest.approx(0.1)


@pytest.mark.parametrize("dof", [float("nan"), 0.0, -3.0])
def test_a_source_has_degrees_of_freedom(dof):
    """nan counted as infinite."""
    with pytest.raises(InputError, match=r"dof of replicates = .*: degrees of freedom must be above 0"):
        Source("replicates", dof=dof)


def test_a_certificate_and_a_half_width_that_cannot_be():
    with pytest.raises(InputError, match="k = inf"):
        Input.from_certificate(1.0, 0.1, k=float("inf"))
    with pytest.raises(InputError, match="half_width = -1: must be 0 or more"):
        standard_u(-1.0, "rectangular")


@pytest.mark.parametrize("x0", [None, 0.0, 1e6, 1e9, 1e12])
def test_the_u_of_a_line_does_not_depend_on_where_it_is_written_from(x0):
    """By hand: points at 0, 1, 2 with the residuals −1/30, 2/30, −1/30, so s² = 1/150; u² = s²(1/3 + (x − 1)²/2). From 1e9 it was complex."""
    line = fit_line([0.0, 1.0, 2.0], [1.0, 2.1, 3.0], x0=x0)
    for x in (0.0, 1.0, 2.0, 5.0):
        assert line.u(x) == pytest.approx(sqrt((1.0 / 3.0 + (x - 1.0) ** 2 / 2.0) / 150.0), rel=1e-6, abs=0.0)


@pytest.mark.parametrize("x", [0.5, 0.5e-6])
@pytest.mark.parametrize("u", [0.1, 1e-4])
def test_a_part_that_is_lost_is_missed_whatever_the_unit_and_the_size_of_u(x, u):
    with pytest.raises(InputError, match="loses the complex step in x"):
        propagate(lambda x: abs(x) + x, {"x": Input(x, x * u)})


@pytest.mark.parametrize("u", [1e-3, 0.01, 1.0, 100.0])
def test_a_cube_at_0_has_no_slope_whatever_its_u(u):
    assert propagate(lambda x: x**3, {"x": Input(0.0, u)}).sensitivities["x"] == pytest.approx(0.0, abs=1e-50)


def test_a_u_that_vanishes_in_the_last_digit_of_its_value_is_no_lost_step():
    """A thousandth of 2e-14 is lost beside 0.5, so that the model stands still; its slope is ½ all the same."""
    assert propagate(lambda x: 0.5 * (x - 0.5), {"x": Input(0.5, 2e-14)}).sensitivities["x"] == 0.5
