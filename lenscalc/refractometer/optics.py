"""The optics of refractometers: what the instrument turns into an index, both ways. Angles in degrees at the edges.

Plain numpy; a geometry that cannot be (a sine above 1) gives an InputError, never nan.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from lenscalc.errors import InputError
from lenscalc.quantities import numbers


def critical_angle_index(n_prism: Any, angle_deg: Any) -> Any:
    """Index from the critical angle inside the prism: n = n_prism · sin θ_c.

    Accuracy: 4e-16 relative, over angles to 90°.

    >>> round(float(critical_angle_index(1.75, 58.37)), 4)
    1.49
    """
    N, angle = numbers(n_prism=n_prism, angle_deg=angle_deg)
    return N * np.sin(np.deg2rad(angle))


def critical_angle_deg(n: Any, n_prism: Any) -> Any:
    """Critical angle inside the prism for an index: the inverse of `critical_angle_index`; the index must be below the prism's.

    Accuracy: 4e-16 relative, over indices from 1e-9 below the prism's, grazing light.

    >>> round(float(critical_angle_deg(1.49, 1.75)), 2)
    58.37
    """
    n, N = numbers(n=n, n_prism=n_prism)
    if np.any(n >= N):
        raise InputError(f"n = {n} is not below n_prism = {n_prism}: there is no critical angle and no border to read")
    return np.rad2deg(np.arctan2(n, np.sqrt((N - n) * (N + n))))  # an arcsine near 1 has lost its digits


def minimum_deviation_index(apex_deg: Any, deviation_deg: Any) -> Any:
    """Index of a prism from its apex angle and least deviation, in air: sin((A + δ)/2)/sin(A/2).

    Accuracy: 5e-16 relative, over deviations from 0.

    >>> round(float(minimum_deviation_index(60.0, 37.18)), 3)
    1.5
    """
    apex, deviation = numbers(apex_deg=apex_deg, deviation_deg=deviation_deg)
    half = np.deg2rad(apex) / 2.0
    return np.sin(half + np.deg2rad(deviation) / 2.0) / np.sin(half)


def minimum_deviation_deg(apex_deg: Any, n: Any) -> Any:
    """Least deviation of a prism of this index, in air: the inverse of `minimum_deviation_index`.

    Accuracy: 8e-16 relative, over indices from 1 + 1e-9.

    >>> round(float(minimum_deviation_deg(60.0, 1.5)), 2)
    37.18
    """
    n, apex = numbers(n=n, apex_deg=apex_deg)
    half = np.deg2rad(apex) / 2.0
    sine = n * np.sin(half)
    if np.any(sine > 1):
        raise InputError(f"n = {n} is too high for an apex of {apex_deg}°: the ray does not leave the prism")
    # δ/2 = asin(n·s) − asin(s), whose sine is (n² − 1)s²/(n·s·cos(A/2) + s·√(1 − n²s²))
    return np.rad2deg(2.0 * np.arcsin((n - 1.0) * (n + 1.0) * np.sin(half) / (n * np.cos(half) + np.sqrt((1.0 - sine) * (1.0 + sine)))))


def v_block_index(n_block: Any, deviation_deg: Any) -> Any:
    """Index of a specimen in a 90° V-block from the deviation, positive where it is higher than the block's.

    n = √(N² + sin γ · √(N² − sin² γ)).

    Accuracy: 3e-16 relative, over deviations −40 to 40°.

    >>> round(float(v_block_index(1.5, 0.0)), 6)
    1.5
    """
    N, deviation = numbers(n_block=n_block, deviation_deg=deviation_deg)
    s, N2 = np.sin(np.deg2rad(deviation)), np.square(N)
    return np.sqrt(N2 + s * np.sqrt(N2 - s * s))


def v_block_deviation_deg(n_block: Any, n: Any) -> Any:
    """Deviation of a 90° V-block for a specimen of this index: the inverse of `v_block_index`.

    With d = n² − N²: sin² γ · (N² − sin² γ) = d², the smaller root, with the sign of d.

    Accuracy: 7e-16 relative, over indices 1e-9 to 0.2 from the block's.

    >>> round(float(v_block_index(1.52, v_block_deviation_deg(1.52, 1.49))), 12)
    1.49
    """
    n, N = numbers(n=n, n_block=n_block)
    N2, d = N * N, (n - N) * (n + N)
    inside = N2 * N2 - 4.0 * d * d
    if np.any(inside < 0):
        raise InputError(f"n = {n} is too far from the block's {n_block}: the light does not pass")
    # (N² − √(N⁴ − 4d²))/2 without the cancellation of nearly equal indices
    s2 = 2.0 * d * d / (N2 + np.sqrt(inside))
    if np.any(s2 > 1):
        raise InputError(f"n = {n} is too far from the block's {n_block}: the light does not pass")
    return np.rad2deg(np.sign(d) * np.arcsin(np.sqrt(s2)))
