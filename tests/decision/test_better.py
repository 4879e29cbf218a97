"""The probability that one of two candidates is better, shared errors left out, against what can be worked by hand."""

from math import erf, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lenscalc import InputError
from lenscalc.decision import better_probability
from lenscalc.decision.better import squared_own_part


def phi(z):
    return (1 + erf(z / sqrt(2))) / 2


@given(st.floats(-1, 1), st.floats(0.01, 1), st.floats(0.01, 1))
def test_two_independent_candidates(difference, u1, u2):
    expected = phi(difference / sqrt(u1 * u1 + u2 * u2))
    assert better_probability(20 + difference, 20.0, u=u1, other_u=u2) == pytest.approx(expected, abs=1e-12)
    assert better_probability(20 + difference, 20.0, u=u1, other_u=u2, direction="low") == pytest.approx(1 - expected, abs=1e-12)


def test_a_fully_shared_calibration_is_no_difference():
    alike = {"u": 0.3, "other_u": 0.3, "calibration_part": 0.3, "other_calibration_part": 0.3}
    assert better_probability(20.001, 20.0, **alike) == 1.0
    assert better_probability(20.0, 20.0, **alike) == 0.5
    other_way = {**alike, "other_calibration_part": -0.3}  # the same error moves the two apart: it counts twice
    assert better_probability(20.3, 20.0, **other_way) == pytest.approx(phi(0.3 / 0.6), abs=1e-12)
    # 0.03 and 0.04 are the candidates' own: √(0.03² + 0.04²) = 0.05
    own = {"u": 0.05, "other_u": sqrt(0.0032), "calibration_part": 0.04, "other_calibration_part": 0.04}
    assert better_probability(20.05, 20.0, **own) == pytest.approx(phi(1.0), abs=1e-12)


def test_a_calibration_that_is_the_whole_u_but_for_rounding_leaves_nothing_below_0():
    """√(u² − p²) with p = u(1 + 1e-12): all is shared, so that 20.001 is higher than 20 for certain."""
    part = 0.3 * (1.0 + 1e-12)
    assert squared_own_part([0.3, 0.3], [part, -part]).tolist() == [0.0, 0.0]
    assert better_probability(20.001, 20.0, u=0.3, other_u=0.3, calibration_part=part, other_calibration_part=part) == 1.0


value = st.floats(-2, 2)
u = st.floats(0, 1)


@given(value, value, u, u, st.floats(-1, 1), st.floats(-1, 1))
def test_one_of_the_two_is_better(a, b, u1, u2, f, g):
    for direction, target in (("low", None), ("high", None), ("near", 0.25)):
        one = better_probability(
            a, b, u=u1, other_u=u2, calibration_part=f * u1, other_calibration_part=g * u2, direction=direction, target=target
        )
        other = better_probability(
            b, a, u=u2, other_u=u1, calibration_part=g * u2, other_calibration_part=f * u1, direction=direction, target=target
        )
        assert 0 <= one <= 1
        assert one + other == pytest.approx(1.0, abs=1e-9)


def test_near_a_target_by_drawing():
    random = np.random.default_rng(8)
    z, e1, e2 = random.standard_normal((3, 1_000_000))
    for a, b, own1, own2, p, q in ((20.1, 19.7, 0.1, 0.2, 0.05, 0.1), (20.0, 20.0, 0.1, 0.3, 0.0, 0.2), (20.3, 20.3, 0.0, 0.2, 0.2, -0.2)):
        drawn = np.mean(np.abs(a + p * z + own1 * e1 - 20) < np.abs(b + q * z + own2 * e2 - 20))
        found = better_probability(
            a, b, u=np.hypot(own1, p), other_u=np.hypot(own2, q), calibration_part=p, other_calibration_part=q, direction="near", target=20.0
        )
        assert found == pytest.approx(drawn, abs=0.0016)  # three standard deviations


def test_near_with_nothing_uncertain():
    near = {"direction": "near", "target": 20.0}
    assert better_probability(20.1, 20.2, **near) == 1.0
    assert better_probability(20.25, 20.125, **near) == 0.0
    assert better_probability(20.5, 19.5, **near) == 0.5  # as far on either side
    assert better_probability(20.0, 20.1, u=0.1, other_u=0.0, **near) == pytest.approx(2 * phi(1.0) - 1, abs=1e-9)  # |z| below 1
    assert better_probability(20.1, 20.0, u=0.1, other_u=0.0, **near) == pytest.approx(0.0, abs=1e-12)  # nothing is nearer than on it


@pytest.mark.parametrize(
    ("given_", "told"),
    [
        ({"u": -0.1}, "must be 0 or more"),
        ({"u": 0.1, "calibration_part": 0.2}, "larger than the whole u"),
        ({"u": 0.1, "calibration_part": 0.10001}, "larger than the whole u"),
        ({"u": 1e3, "calibration_part": -1.0001e3}, "larger than the whole u"),
        ({"direction": "near"}, "needs a target"),
        ({"direction": "up"}, "must be low, high or near"),
    ],
)
def test_better_refuses(given_, told):
    with pytest.raises(InputError, match=told):
        better_probability(20.0, 20.1, **given_)


def test_what_never_is_better_has_no_probability_below_0():
    """1.38 + 2.16·z is six times 0.23 + 0.36·z, and never the nearer one to 0; the last bit was below 0 but for a limit."""
    one, six = ({"u": 0.36, "calibration_part": 0.36}, {"other_u": 2.16, "other_calibration_part": 2.16})
    other, six_first = ({"other_u": 0.36, "other_calibration_part": 0.36}, {"u": 2.16, "calibration_part": 2.16})
    assert 0.0 <= better_probability(1.38, 0.23, **six_first, **other, direction="near", target=0.0) <= 1e-7
    assert 1.0 - 1e-7 <= better_probability(0.23, 1.38, **one, **six, direction="near", target=0.0) <= 1.0
