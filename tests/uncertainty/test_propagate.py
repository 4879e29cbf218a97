"""The linear law: worked examples of the guides, and derivatives against mpmath."""

import mpmath as mp
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lenscalc.errors import InputError
from lenscalc.uncertainty import Input, correlation_matrix, propagate


def test_gauge_block():
    """JCGM 100:2008, H.1 (quoted): 50 000 838 nm, u 31.71, 16 degrees of freedom."""
    r = propagate(
        lambda ls, d, thermal, theta, da, dt: ls + d - ls * (da * theta + thermal * dt),
        {
            "ls": Input(50000623.0, 25.0, dof=18),
            "d": Input(215.0, 9.7, dof=25.6),
            "thermal": Input(11.5e-6, 1.2e-6),
            "theta": Input(-0.1, 0.41),
            "da": Input(0.0, 0.58e-6, dof=50),
            "dt": Input(0.0, 0.029, dof=2),
        },
    )
    assert r.value == 50000838.0
    assert r.u == pytest.approx(31.71, abs=0.005)
    assert int(r.dof_effective) == 16  # 16.7 in the text, truncated
    assert r.contributions["theta"] == 0.0  # no first-order term at da = 0


def test_mass_calibration():
    """JCGM 101:2008, 9.3 (quoted): linear u 0.0539 mg."""
    r = propagate(
        lambda m, dm, air, w, ref: (m + dm) * (1.0 + (air - 1.2) * (1.0 / w - 1.0 / ref)) - 100000.0,
        {
            "m": Input(100000.0, 0.050),
            "dm": Input(1.234, 0.020),
            "air": Input(1.20, 0.10 / 3**0.5),
            "w": Input(8000.0, 1000.0 / 3**0.5),
            "ref": Input(8000.0, 50.0 / 3**0.5),
        },
    )
    assert r.value == pytest.approx(1.234, abs=1e-9)
    assert r.u == pytest.approx(0.0539, abs=5e-5)
    assert r.dof_effective == np.inf


@pytest.mark.parametrize(
    ("model", "value", "u"),
    [
        (lambda V, current, phi: V / current * np.cos(phi), 127.732, 0.071),
        (lambda V, current, phi: V / current * np.sin(phi), 219.847, 0.295),
        (lambda V, current, phi: V / current + 0.0 * phi, 254.260, 0.236),
    ],
    ids=["resistance", "reactance", "impedance"],
)
def test_correlated_inputs(model, value, u):
    """JCGM 100:2008, H.2 (from memory, to be confirmed against the text); its correlations are printed to two digits, hence 0.003 in u."""
    r = propagate(
        model,
        {"V": Input(4.9990, 0.0032), "current": Input(19.6610e-3, 0.0095e-3), "phi": Input(1.04446, 0.00075)},
        {("V", "current"): -0.36, ("V", "phi"): 0.86, ("current", "phi"): -0.65},
    )
    assert r.value == pytest.approx(value, abs=0.003)
    assert r.u == pytest.approx(u, abs=0.003)


@given(st.floats(0.5, 3.0), st.floats(-2.0, 2.0), st.floats(0.5, 3.0))
def test_derivatives(x, y, z):
    def model(x, y, z, exp=np.exp, sin=np.sin):
        return x * sin(y) / (z + x) + exp(-y) * (x * x + z) ** 0.5

    r = propagate(model, {"x": Input(x, 0.1), "y": Input(y, 0.2), "z": Input(z, 0.3)})
    with mp.workdps(40):
        at = {"x": mp.mpf(x), "y": mp.mpf(y), "z": mp.mpf(z)}
        for name in at:
            wanted = mp.diff(lambda v, name=name: model(**{**at, name: v}, exp=mp.exp, sin=mp.sin), at[name])
            assert r.sensitivities[name] == pytest.approx(float(wanted), rel=1e-12, abs=1e-14)
    assert r.u == pytest.approx(float(np.hypot.reduce(list(r.contributions.values()))), rel=1e-14, abs=0.0)


def test_the_usual_coverage_is_95_per_cent():
    assert propagate(lambda x: x, {"x": Input(0.0, 2.0)}).expanded() == pytest.approx(2 * 1.959963984540054, rel=1e-12, abs=0.0)


def test_full_correlation_adds_and_cancels():
    a, b = Input(1.0, 0.3), Input(2.0, 0.4)
    assert propagate(lambda a, b: a + b, {"a": a, "b": b}, {("a", "b"): 1.0}).u == pytest.approx(0.7)
    assert propagate(lambda a, b: a - b, {"a": a, "b": b}, np.array([[1.0, 1.0], [1.0, 1.0]])).u == pytest.approx(0.1)


@pytest.mark.parametrize(
    "correlation",
    [
        {("a", "b"): 1.5},
        {("a", "b"): 0.9, ("b", "c"): 0.9, ("a", "c"): -0.9},
        {("a", "b"): float("nan")},
        np.array([[1.0, 0.5, 0.0], [0.4, 1.0, 0.0], [0.0, 0.0, 1.0]]),
        np.diag([1.0, 2.0, 1.0]),
        np.eye(2),
        np.eye(4),
        {("a", "d"): 0.5},
        {("d", "a"): 0.5},
    ],
    ids=["above 1", "contradicts itself", "nan", "not symmetric", "diagonal not 1", "too small", "too large", "unknown name", "unknown first name"],
)
def test_impossible_correlations_are_refused(correlation):
    with pytest.raises(InputError, match="correlation"):
        correlation_matrix(["a", "b", "c"], correlation)


@pytest.mark.parametrize("u", [-0.1, float("nan")])
def test_an_impossible_u_is_refused_by_name(u):
    with pytest.raises(InputError, match="u of b") as caught:
        propagate(lambda a, b: a + b, {"a": Input(1.0, 0.1), "b": Input(1.0, u)})
    assert caught.value.quantity == "b"


@pytest.mark.parametrize(
    "model", [lambda a, b: abs(a) + b, lambda a, b: np.abs(a * 3.0) * b, lambda a, b: np.real(a) + b], ids=["abs", "numpy", "real"]
)
def test_a_model_that_loses_the_complex_step_is_refused(model):
    with pytest.raises(InputError, match="loses the complex step in a"):
        propagate(model, {"a": Input(2.0, 0.1), "b": Input(1.0, 0.1)})


@pytest.mark.parametrize("model", [lambda a, b: a**3 + b, lambda a, b: np.cos(a) + b, lambda a, b: b + 0.0 * a, lambda a, b: a**2 * b])
def test_a_derivative_that_is_0_is_not_suspected(model):
    assert propagate(model, {"a": Input(0.0, 0.1), "b": Input(1.0, 0.1)}).sensitivities["a"] == pytest.approx(0.0, abs=1e-50)


def test_what_cancels_wholly_leaves_no_root_of_less_than_nothing():
    """−0.6 + 0.3 − 0.4 + 0.9 − 0.2 = 0; of these doubles u² comes out as −3e-33."""
    inputs = {name: Input(0.0, u) for name, u in zip("abcde", (0.6, 0.3, 0.4, 0.9, 0.2), strict=True)}
    assert 0.0 <= propagate(lambda a, b, c, d, e: b - a + d - c - e, inputs, np.ones((5, 5))).u < 1e-15
