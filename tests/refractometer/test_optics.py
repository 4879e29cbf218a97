"""Instrument optics: against a ray followed by hand, and both ways."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lenscalc.errors import InputError
from lenscalc.light import snell_deg
from lenscalc.refractometer import (
    critical_angle_deg,
    critical_angle_index,
    minimum_deviation_deg,
    minimum_deviation_index,
    v_block_deviation_deg,
    v_block_index,
)

BLOCK = st.floats(1.45, 1.80)


@given(BLOCK, st.floats(-0.1, 0.1))
def test_v_block_against_a_ray_followed_face_by_face(N, difference):
    """Snell at both faces of the V, which stand at 45° to the ray and square to each other, then at the way out into air."""
    n = N + difference
    first = np.arcsin(N * np.sin(np.pi / 4) / n)
    second = np.arcsin(n * np.cos(first) / N)
    out = np.rad2deg(np.arcsin(N * np.sin(second - np.pi / 4)))
    assert v_block_deviation_deg(N, n) == pytest.approx(out, abs=1e-9)
    assert v_block_index(N, out) == pytest.approx(n, abs=1e-12)


@given(st.floats(1.3, 1.7), st.floats(1.71, 2.0))
def test_critical_angle_both_ways_and_at_the_border_of_refraction(n, n_prism):
    angle = critical_angle_deg(n, n_prism)
    assert critical_angle_index(n_prism, angle) == pytest.approx(n, abs=1e-14)
    assert snell_deg(n_prism, n, angle * (1 - 1e-12)) == pytest.approx(90.0, abs=1e-3)  # grazing
    with pytest.raises(InputError, match="totally reflected"):
        snell_deg(n_prism, n, angle + 1e-6)


@given(st.floats(40.0, 70.0), st.floats(1.3, 1.7))
def test_minimum_deviation_both_ways_and_least(apex, n):
    least = minimum_deviation_deg(apex, n)
    assert minimum_deviation_index(apex, least) == pytest.approx(n, abs=1e-12)
    symmetric = (apex + least) / 2  # angle of incidence of the symmetric ray
    for incidence in (symmetric - 2, symmetric, symmetric + 2):
        if not 0 < incidence < 90:
            continue
        inside = snell_deg(1.0, n, incidence)
        try:
            out = snell_deg(n, 1.0, apex - inside)
        except InputError:
            continue
        assert incidence + out - apex >= least - 1e-9


def test_light_that_grazes_the_face_of_a_v_block_still_leaves_it():
    """sin γ = −1 in n² = N² + sin γ·√(N² − sin² γ)."""
    assert v_block_deviation_deg(1.75, (1.75**2 - (1.75**2 - 1.0) ** 0.5) ** 0.5) == -90.0


@pytest.mark.parametrize(
    ("call", "told"),
    [
        (lambda: critical_angle_deg(1.76, 1.75), "not below n_prism"),
        (lambda: critical_angle_deg(1.75, 1.75), "not below n_prism"),  # at 90° no ray is beyond the border
        (lambda: minimum_deviation_deg(120.0, 1.5), "does not leave the prism"),
        (lambda: v_block_deviation_deg(1.5, 2.2), "too far from the block"),
        # N⁴ − 4d² = 5.0625 − 4·1.1799²: just below 0, no root
        (lambda: v_block_deviation_deg(1.5, 1.852), "too far from the block"),
        # N² = 3.0625, d = 1.26² − N² = −1.4749: sin² γ = (N² − √(N⁴ − 4d²))/2 = 1.12, no angle
        (lambda: v_block_deviation_deg(1.75, 1.26), "too far from the block"),
    ],
)
def test_a_geometry_that_cannot_be_says_why(call, told):
    with pytest.raises(InputError, match=told):
        call()
