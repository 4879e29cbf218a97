"""Second-order terms and the derivatives behind them: mpmath, the guides, and exact laws."""

import math

import mpmath as mp
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lenscalc.errors import InputError
from lenscalc.uncertainty import Input, propagate
from lenscalc.uncertainty.taylor import derivatives

near = st.floats(0.3, 0.9)


def mixed(x, y, z, f=np):
    return f.sin(x * y) * f.exp(-z) + x**3 / (z + y) + f.sqrt(x + z * z) - 2.0 / y + f.log(z) * x**-2 + 2.0**y + y**z


@given(near, near, near)
def test_derivatives_against_mpmath(x, y, z):
    found = derivatives(mixed, {"x": x, "y": y, "z": z}, dict.fromkeys("xyz", 1.0))
    with mp.workdps(60):
        at = tuple(mp.mpf(v) for v in (x, y, z))

        def exact(*orders):
            return float(mp.diff(lambda a, b, c: mixed(a, b, c, mp), at, orders))

        for i in range(3):
            for j in range(3):
                one, two, three = [0] * 3, [0] * 3, [0] * 3
                one[i] += 1
                two[i] += 1
                two[j] += 1
                three[i] += 1
                three[j] += 2
                assert found.first[i] == pytest.approx(exact(*one), rel=1e-12, abs=1e-12)
                assert found.second[i, j] == pytest.approx(exact(*two), rel=1e-12, abs=1e-11)
                assert found.third[i, j] == pytest.approx(exact(*three), rel=1e-12, abs=1e-9)


NAMES = {"arcsin": "asin", "arccos": "acos", "arctan": "atan", "reciprocal": None}


@pytest.mark.parametrize(
    "name", ["exp", "log", "log10", "sqrt", "sin", "cos", "tan", "arcsin", "arccos", "arctan", "sinh", "cosh", "tanh", "reciprocal", "square"]
)
def test_every_function_against_mpmath(name):
    found = derivatives(lambda x: getattr(np, name)(x), {"x": 0.4}, {"x": 1.0})
    exact = {"reciprocal": lambda x: 1 / x, "square": lambda x: x * x}.get(name) or getattr(mp, NAMES.get(name) or name)
    with mp.workdps(40):
        wanted = [float(mp.diff(exact, mp.mpf("0.4"), n)) for n in (1, 2, 3)]
    assert (found.first[0], found.second[0, 0], found.third[0, 0]) == pytest.approx(wanted, rel=1e-13, abs=1e-15)
    times_x = derivatives(lambda x: x * getattr(np, name)(x), {"x": 0.4}, {"x": 1.0})  # (x·f)′ = f + x·f′
    with mp.workdps(40):
        assert times_x.first[0] == pytest.approx(float(exact(mp.mpf("0.4"))) + 0.4 * wanted[0], rel=1e-13, abs=0.0)


def test_operators_with_numbers_of_numpy_on_either_side():
    two = np.float64(2.0)
    found = derivatives(lambda x: two * x + x * two - two / x + x / two + (two - x) + (x - two) + x**two + two**x - (-x), {"x": 3.0}, {"x": 1.0})
    log2 = math.log(2.0)
    assert found.first[0] == pytest.approx(4.0 + 2.0 / 9.0 + 0.5 + 6.0 + 8.0 * log2 + 1.0)
    assert found.second[0, 0] == pytest.approx(-4.0 / 27.0 + 2.0 + 8.0 * log2**2)


def test_a_square_at_0():
    """x² with mean 0: variance 2u⁴, all of it second order, and a mean of u²."""
    r = propagate(lambda x: x * x, {"x": Input(0.0, 0.3)}, second_order=True)
    assert r.u == pytest.approx(2.0**0.5 * 0.09)
    assert r.mean_shift == pytest.approx(0.09)
    assert [(line.input, line.share) for line in r.lines] == [("second-order terms", pytest.approx(1.0)), ("x", 0.0)]


measurable = st.floats(-3.0, 3.0).filter(lambda x: x == 0.0 or abs(x) > 1e-250)  # below 1e-278 no double holds the complex step of 1e-30


@given(measurable, measurable, st.floats(0.01, 1.0), st.floats(0.01, 1.0))
def test_a_product_has_no_further_terms(x, y, ux, uy):
    """Var(XY) = x²v + y²u + uv exactly, whatever the distributions."""
    r = propagate(lambda x, y: x * y, {"x": Input(x, ux), "y": Input(y, uy)}, second_order=True)
    assert r.u**2 == pytest.approx(x * x * uy * uy + y * y * ux * ux + ux * ux * uy * uy, rel=1e-12, abs=0.0)


@given(st.floats(-2.0, 2.0), st.floats(0.01, 1.0))
def test_a_square_of_a_normal(x, u):
    """Var(X²) = 4x²u² + 2u⁴ for a normal X."""
    r = propagate(lambda x: x * x, {"x": Input(x, u)}, second_order=True)
    assert r.u**2 == pytest.approx(4 * x * x * u * u + 2 * u**4, rel=1e-12, abs=0.0)
    assert sum(line.share for line in r.lines) == pytest.approx(1.0)


def test_a_linear_model_has_none():
    r = propagate(lambda x, y: 2.0 * x - y / 3.0, {"x": Input(1.0, 0.1), "y": Input(2.0, 0.2)}, second_order=True)
    assert (r.second_order, r.mean_shift) == (0.0, 0.0)


@pytest.mark.parametrize(
    ("model", "correlation", "message"),
    [
        (lambda a, b: a * b, {("a", "b"): 0.5}, "independent inputs only"),
        (lambda a, b: np.hypot(a, b), None, "does not take complex numbers"),
        (lambda a, b: a if a.real > b.real else b, None, "second-order terms.*real"),
    ],
)
def test_what_has_no_second_order_is_refused(model, correlation, message):
    with pytest.raises(InputError, match=message):
        propagate(model, {"a": Input(1.0, 0.1), "b": Input(2.0, 0.1)}, correlation, second_order=True)


def test_a_function_whose_derivatives_are_not_known_is_named():
    with pytest.raises(InputError, match="hypot is not among"):
        derivatives(lambda a, b: np.hypot(a, b), {"a": 1.0, "b": 2.0}, {"a": 1.0, "b": 1.0})


def test_a_comparison_is_refused_by_name():
    with pytest.raises(InputError, match="it compares"):
        derivatives(lambda a: a if a > 0 else -a, {"a": 1.0}, {"a": 1.0})


def test_terms_that_take_away_too_much_are_refused():
    # sin x at 0: f' = 1, f''' = -1, and so u² - u⁴
    assert propagate(lambda x: np.sin(x), {"x": Input(0.0, 0.5)}, second_order=True).u ** 2 == pytest.approx(0.25 - 0.0625)
    with pytest.raises(InputError, match="run trials"):
        propagate(lambda x: np.sin(x), {"x": Input(0.0, 3.0)}, second_order=True)


def test_signs_are_numpys_too():
    """−x and +x: slopes −1 and 1, and nothing of second order."""
    found = derivatives(lambda x: np.negative(x) + 3.0 * +x, {"x": 3.0}, {"x": 1.0})
    assert (found.first[0], found.second[0, 0]) == (2.0, 0.0)


@pytest.mark.parametrize("model", [lambda x: np.add.reduce(x), lambda x: np.sin(x, where=True)])
def test_what_numpy_does_besides_is_refused(model):
    with pytest.raises(InputError, match=r"second-order terms: numpy's (add|sin) is not among"):
        derivatives(model, {"x": 3.0}, {"x": 1.0})


def test_a_derivative_without_end_is_refused():
    with pytest.raises(InputError, match="a derivative of the model is not finite at these values"):
        derivatives(lambda x: np.sqrt(x), {"x": 0.0}, {"x": 1.0})
