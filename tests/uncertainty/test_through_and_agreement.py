"""Estimates through a formula, and two results that should agree."""

from math import hypot

import numpy as np
import pytest

from lenscalc import Estimate, InputError, Source
from lenscalc.uncertainty import agreement, estimate, through


def test_independent_inputs_add_in_squares():
    r = through(lambda a, b: a * b, a=estimate(3.0, 0.1, Source("a")), b=estimate(2.0, 0.2, Source("b")))
    assert (float(r.value), float(r.u)) == (6.0, pytest.approx(hypot(0.2, 0.6)))


def test_a_shared_source_adds_with_its_sign():
    s = Source("scale")
    assert float(through(lambda a, b: a - b, a=estimate(3.0, 0.1, s), b=estimate(2.0, 0.1, s)).u) == pytest.approx(0.0, abs=1e-15)
    assert float(through(lambda a, b: a + b, a=estimate(3.0, 0.1, s), b=estimate(2.0, 0.1, s)).u) == pytest.approx(0.2)


def test_columns_entry_by_entry():
    r = through(lambda a: a * a, a=estimate(np.array([1.0, 2.0]), np.array([0.1, 0.2]), Source("a")))
    assert r.value.tolist() == [1.0, 4.0]
    assert np.allclose(r.u, [0.2, 0.8], rtol=1e-14)


def test_agreement_by_hand():
    a = agreement(estimate(1.4912, 0.0003, Source("a")), estimate(1.4900, 0.0004, Source("b")))
    # 0.0012 over √(0.0003² + 0.0004²) = 0.0005
    assert (float(a.u_difference), float(a.zeta), float(a.normalised_error)) == (pytest.approx(0.0005), pytest.approx(2.4), pytest.approx(1.2))
    assert not a.agrees
    assert agreement(estimate(1.4912, 0.0003, Source("a")), estimate(1.4900, 0.0004, Source("b")), k=3.0).agrees


def test_what_has_no_uncertainty_is_not_judged():
    with pytest.raises(InputError, match="no uncertainty"):
        agreement(Estimate(1.49), Estimate(1.49))
    shared = Source("shared")
    with pytest.raises(InputError, match="no uncertainty"):
        agreement(estimate(1.49, 0.001, shared), estimate(1.4, 0.001, shared))
    with pytest.raises(InputError, match="no uncertainty"):
        agreement(estimate(1.49, float("nan"), shared), Estimate(1.4))


@pytest.mark.parametrize("k", [0.0, -1.0, float("nan")])
def test_a_coverage_factor_is_above_nothing(k):
    with pytest.raises(InputError, match=f"k = {k}: a coverage factor must be above 0"):
        agreement(estimate(1.49, 0.001, Source("a")), Estimate(1.4), k=k)
    assert agreement(estimate(1.0, 0.5, Source("a")), Estimate(0.0), k=0.5).normalised_error == 4.0


@pytest.mark.parametrize(("second", "agrees"), [(1.0, True), (-1.0, True), (1.0009765625, False)])
def test_a_difference_of_just_k_u_is_agreement(second, agrees):
    """|E_n| ≤ 1: with u = ½ and k = 2 up to 1."""
    assert agreement(estimate(0.0, 0.5, Source("a")), Estimate(second)).agrees == agrees


def test_a_part_has_the_sign_of_its_derivative():
    a, b = Source("a"), Source("b")
    r = through(lambda x, y: x * x / y, x=estimate(3.0, 0.1, a), y=estimate(2.0, 0.2, b))
    assert (float(r.parts[a]), float(r.parts[b])) == pytest.approx((0.3, -0.45))  # 2x/y·0.1, −x²/y²·0.2
