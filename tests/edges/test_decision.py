"""How well an index must be known, and what a lot yields, at the edges: against equations in 60 digits."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from measured import Case, Rows, accuracy_holds
from mpmath import exp, mp, mpf, pi, quad, sqrt
from test_uncertainty import tail

from lenscalc import decision

A, FEW = Rows(150), Rows(12, seed=3)


def halved(of, low, high):
    """Where a falling function passes 0."""
    for _ in range(190):
        middle = (low + high) / 2
        low, high = (middle, high) if of(middle) > 0 else (low, middle)
    return low


def largest(off, p):
    """u at which the tails beyond 0.4 about a value `off` the middle are 1 − p."""
    return halved(lambda u: 1 - p - tail((mpf(0.4) - off) / u) - tail((mpf(0.4) + off) / u), mpf(10) ** -9, mpf(10))


def yielded(power, common, own):
    u = sqrt(common**2 + own**2)
    return 1 - tail((mpf(0.4) - power) / u) - tail((mpf(0.4) + power) / u)


def every_lens(power, common, own, lenses, good=True):
    """∫ yield^lenses (or (1 − yield)^lenses) over the common error, a normal one; short panels where one of so many lenses is off, or good."""
    from mpmath import erfinv

    with mp.workdps(30):
        def at(error):
            off = tail((mpf(0.4) + power + error) / own) + tail((mpf(0.4) - power - error) / own)
            return (1 - off if good else off) ** lenses * exp(-((error / common) ** 2) / 2)

        z, ends = sqrt(mpf(2)) * erfinv(1 - 1 / lenses), (-mpf(0.4) - power, mpf(0.4) - power)
        points = {k * common for k in (-12, -8, -6, -4, -3, -2, -1, 0, 1, 2, 3, 4, 6, 8, 12)} | {e + k * own for e in ends for k in range(-9, 10)}
        points |= {e + (side * z + mpf(k) / 3) * own for e in ends for side in (-1, 1) for k in range(-9, 10)}
        return quad(at, sorted(p for p in points if abs(p) <= 12 * common), method="gauss-legendre", maxdegree=4) / common / sqrt(2 * pi)


def each_lot(of, power, common, own, lenses):
    """A lot has its own number of lenses, and a call one number for all."""
    return np.array([of(*lot, -0.4, 0.4, lenses=n) for *lot, n in zip(power, common, own, lenses, strict=True)])


LOT = {"power": FEW.even(-0.2, 0.2), "common": FEW.even(0.02, 0.2), "own": FEW.even(0.03, 0.2)}
SIX, MANY = Rows(6, seed=3), np.array([1.0, 2.0, 100.0, 1e4, 1e6, 1e9])
LOTS = {"power": SIX.even(-0.2, 0.2), "common": SIX.even(0.2, 0.5), "own": SIX.even(0.005, 0.05), "lenses": MANY}

CASES = [
    Case(decision.largest_u, {"off": FEW.even(0, 0.3), "p": FEW.even(0.3, 0.99, 1.0 - 1e-6, 1.0 - 1e-9, 1.0 - 1e-12, 1.0 - 1e-15, 1.0 - 2.0**-53)},
         largest, of=lambda off, p: decision.largest_u(off, -0.4, 0.4, p)),
    Case(decision.largest_u_n_lens, {"off": FEW.even(0, 0.3), "p": FEW.even(0.8, 0.99, 1.0 - 1e-9, 1.0 - 1e-15)},
         lambda off, p: sqrt(largest(off, p) ** 2 - mpf(0.02) ** 2) / mpf(132.5),
         of=lambda off, p: decision.largest_u_n_lens(off, -0.4, 0.4, 0.02, 132.5, p)),
    Case(decision.better_probability, {"one": A.even(0, 1), "other": A.even(0, 1), "u": A.log(0.05, 1), "v": A.log(0.05, 1)},
         lambda one, other, u, v: tail((other - one) / sqrt(u**2 + v**2)),
         of=lambda one, other, u, v: decision.better_probability(one, other, u=u, other_u=v)),
    Case(decision.expected_yield, LOT, yielded, of=lambda power, common, own: decision.expected_yield(power, common, own, -0.4, 0.4)),
    Case(decision.none_off_probability, LOT, lambda **lot: every_lens(**lot, lenses=mpf(20)),
         of=lambda power, common, own: decision.none_off_probability(power, common, own, -0.4, 0.4, lenses=20)),
    Case(decision.none_off_probability, LOTS, every_lens, of=lambda **lots: each_lot(decision.none_off_probability, **lots)),
    Case(decision.all_off_probability, LOTS, lambda **lot: every_lens(**lot, good=False),
         of=lambda **lots: each_lot(decision.all_off_probability, **lots)),
]  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=str)
def test_accuracy(case):
    accuracy_holds(case)


@pytest.mark.parametrize("own", [0.0005, 0.005, 0.02])
@pytest.mark.parametrize("away", [3.0, 9.0, 11.0, 12.2, 13.0])
def test_a_lot_of_one_lens_far_off_keeps_its_digits(own, away):
    """Of one lens none is off with the chance that it conforms, whose u² is the sum of both parts: 1e-5 off before at 2e-34, with own = 0.0005."""
    common, power = 0.1, 0.4 + away * 0.1
    u = sqrt(mpf(common) ** 2 + mpf(own) ** 2)
    exact = tail((mpf(power) - mpf(0.4)) / u) - tail((mpf(power) + mpf(0.4)) / u)
    assert decision.none_off_probability(power, common, own, -0.4, 0.4, lenses=1) == pytest.approx(float(exact), rel=4e-14, abs=0.0)


@pytest.mark.parametrize(
    ("power", "common", "own", "lenses", "rel"),
    [(0.0, 1.0, 0.07, 1e9, 4e-14), (0.72, 1.38, 0.0735, 1e9, 4e-13), (-0.36, 3.157, 0.08926, 1e7, 4e-13), (0.1, 0.5, 0.0745, 1e9, 4e-13)],
)
def test_many_lenses_that_fill_the_limits_are_all_good_in_the_middle_alone(power, common, own, lenses, rel):
    """∫ yield^lenses over the mean of the lot: a narrow peak about 0 between limits at ±0.4, 1e-7 to 1e-37; 1e-10 off before at 1e-37."""
    with mp.workdps(25):
        power_, common_, own_ = mpf(power), mpf(common), mpf(own)

        def at(mean):
            off = tail((mpf(0.4) - mean) / own_) + tail((mpf(0.4) + mean) / own_)
            return (1 - off) ** lenses * exp(-(((mean - power_) / common_) ** 2) / 2)

        top = at(mpf(0))  # mpmath ends by an absolute error
        exact = top * quad(lambda mean: at(mean) / top, [own_ * k / 4 for k in range(-4, 5)], method="gauss-legendre") / common_ / sqrt(2 * pi)
    assert decision.none_off_probability(power, common, own, -0.4, 0.4, lenses=lenses) == pytest.approx(float(exact), rel=rel, abs=0.0)


@pytest.mark.parametrize("share", [1.0 - 1e-12, 1.0 - 1e-9, 1.0 - 1e-6])
def test_what_others_nearly_use_up_leaves_its_square_root(share):
    """√(w² − o²) with o = w(1 − ε) is w·√(2ε − ε²), which a difference of the squares has lost."""
    whole = float(decision.largest_u(20.0, 19.6, 20.4, 0.95))
    other = whole * share
    exact = sqrt((mpf(whole) - mpf(other)) * (mpf(whole) + mpf(other)))
    assert decision.largest_u_n_lens(20.0, 19.6, 20.4, other, 1.0, 0.95) == pytest.approx(float(exact), rel=1e-14, abs=0.0)


@given(power=st.floats(18, 23), u=st.floats(1e-6, 3), T=st.floats(0.05, 2), wider=st.floats(0, 2), label=st.floats(19, 22))
def test_a_wider_tolerance_never_makes_a_lens_conform_less(power, u, T, wider, label):
    of = [decision.decide(*(np.array([x]) for x in (power, u, np.inf, u / 2, np.inf, label, t))).conformance_probability[0] for t in (T, T + wider)]
    assert of[1] >= of[0] * (1.0 - 1e-12)


@given(power=st.floats(18, 23), u=st.floats(1e-6, 3), T=st.floats(0.05, 2))
def test_the_lot_off_and_the_lot_within_are_one(power, u, T):
    d = decision.decide(*(np.array([x]) for x in (power, u, np.inf, u, np.inf, 20.5, T)))
    assert d.lot_off_probability[0] + d.conformance_probability[0] == pytest.approx(1.0, abs=1e-14)
