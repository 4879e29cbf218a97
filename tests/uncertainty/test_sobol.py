"""Sobol' indices: closed forms, and their own uncertainty."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lenscalc.errors import InputError
from lenscalc.uncertainty import Input, propagate, sobol_indices
from lenscalc.uncertainty.worked_examples import ishigami

# V1 = ½(1 + bπ⁴/5)², V2 = a²/8, V13 = b²π⁸(1/18 − 1/50), by integration of the function and its squares
A, B = 7.0, 0.1
V1, V2, V13 = 0.5 * (1 + B * math.pi**4 / 5) ** 2, A * A / 8, B * B * math.pi**8 * (1 / 18 - 1 / 50)
V = V1 + V2 + V13


def test_ishigami():
    x = ishigami()
    s = sobol_indices(x.model, x.inputs)
    first, total = {"x1": V1 / V, "x2": V2 / V, "x3": 0.0}, {"x1": (V1 + V13) / V, "x2": V2 / V, "x3": V13 / V}
    for name in x.inputs:
        assert s.first[name] == pytest.approx(first[name], abs=4.0 * s.u_first[name]), name
        assert s.total[name] == pytest.approx(total[name], abs=4.0 * s.u_total[name]), name
    assert s.variance == pytest.approx(V, rel=0.01, abs=0.0)
    assert s.evaluations == 320_000 * 5


@settings(max_examples=10)
@given(st.lists(st.floats(0.1, 3.0), min_size=2, max_size=4), st.sampled_from(["normal", "rectangular", "arcsine"]))
def test_in_a_linear_model_they_are_the_shares_of_the_budget(coefficients, kind):
    inputs = {f"x{i}": Input(float(i), c, kind) for i, c in enumerate(coefficients)}

    def model(**x):
        return sum(x.values())

    shares = propagate(model, inputs).shares
    s = sobol_indices(model, inputs, 64_000)
    for name, share in shares.items():
        assert s.first[name] == pytest.approx(share, abs=5.0 * s.u_first[name])
        assert s.total[name] == pytest.approx(share, abs=5.0 * s.u_total[name])


def test_the_uncertainty_is_what_it_says():
    x = ishigami()
    runs = [sobol_indices(x.model, x.inputs, 32_000, seed=s) for s in range(40)]
    ratios = []
    for name in x.inputs:
        for of, u in ((lambda r: r.first, lambda r: r.u_first), (lambda r: r.total, lambda r: r.u_total)):
            seen = np.std([of(r)[name] for r in runs], ddof=1)
            said = np.mean([u(r)[name] for r in runs])
            assert 0.6 < seen / said < 1.5
            ratios.append(seen / said)
    assert np.mean(ratios) == pytest.approx(1.0, abs=0.2)


def test_the_variance_of_a_coin_is_1():
    """±1 with equal chance: of the squares nothing scatters, and what the mean is off by enters squared."""
    s = sobol_indices(lambda x: np.sign(x), {"x": Input(0.0, 1.0)}, 64_000)
    assert s.variance == pytest.approx(1.0, abs=2e-4)


def test_the_same_bits_on_any_number_of_workers():
    x = ishigami()
    one, two = (sobol_indices(x.model, x.inputs, 64_000, workers=w) for w in (1, 2))
    assert (one.first, one.total, one.u_first) == (two.first, two.total, two.u_first)


def test_a_product_at_0_is_interaction_alone():
    s = sobol_indices(lambda a, b: a * b, {"a": Input(0.0, 1.0), "b": Input(0.0, 2.0)})
    assert abs(s.first["a"]) < 5.0 * s.u_first["a"]
    assert s.total["a"] == pytest.approx(1.0, abs=5.0 * s.u_total["a"])


def test_an_exact_input_has_no_share():
    s = sobol_indices(lambda a, b: a + b, {"a": Input(0.0, 1.0), "b": Input(2.0, 0.0)}, 32_000)
    assert (s.first["b"], s.total["b"]) == (0.0, 0.0)


@pytest.mark.parametrize(
    ("model", "more", "message"),
    [
        (lambda a: a, {"trials": 100}, "trials = 100: must be a whole number, 32000 or more; fewer say little about an index"),
        (lambda a: a, {"trials": float("inf")}, "trials = inf: must be a whole number"),
        (lambda a: a, {"trials": 40_000.5}, r"trials = 40000\.5: must be a whole number"),
        (lambda a: a, {"seed": -1}, "seed = -1: must be a whole number, 0 or more"),
        (lambda a: 0.0 * a, {}, "does not vary"),
        (lambda a: np.log(a), {}, "no finite number"),
    ],
)
def test_what_cannot_be_is_refused(model, more, message):
    with pytest.raises(InputError, match=message):
        sobol_indices(model, {"a": Input(0.0, 1.0)}, **more)
