"""How the power answers to each input, in closed form."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from lenscalc.lens.thick_lens import checked_lens
from lenscalc.quantities import as_number, given_back


class Sensitivities(NamedTuple):
    """Partial derivatives of the equivalent power; D per unit of the input.

    `d_power_d_n_medium` is with respect to the argument `n_medium`: of both sides where no other medium is given behind (then
    `d_power_d_n_medium_behind` is nan, for there is no such input), else of the front side alone.
    """

    d_power_d_n_lens: Any
    d_power_d_n_medium: Any
    d_power_d_n_medium_behind: Any
    d_power_d_front_radius_mm: Any
    d_power_d_back_radius_mm: Any
    d_power_d_front_curvature_per_mm: Any
    d_power_d_back_curvature_per_mm: Any
    d_power_d_center_thickness_mm: Any


def sensitivities_of(R1: Any, R2: Any, t: Any, n: Any, m1: Any, m2: Any) -> Sensitivities:
    """The body, the two media taken as independent. Plain arithmetic, no checks.

    Accuracy: 5e-16 relative (by the index: to 1/|R1| + 1/|R2|), over radii 5 to 40 mm.
    """
    # F = F1 + F2 − T·F1·F2 with T = t/n: ∂F/∂F1 = 1 − T·F2, ∂F/∂F2 = 1 − T·F1, ∂T/∂n = −T/n
    c1 = 1.0 / R1
    c2 = 1.0 / R2
    F1 = 1000.0 * (n - m1) * c1
    F2 = 1000.0 * (m2 - n) * c2
    T = t / (1000.0 * n)
    by_F1 = 1.0 - T * F2
    by_F2 = 1.0 - T * F1
    return Sensitivities(
        1000.0 * c1 * by_F1 - 1000.0 * c2 * by_F2 + T * F1 * F2 / n,
        -1000.0 * c1 * by_F1,
        1000.0 * c2 * by_F2,
        -F1 * c1 * by_F1,
        -F2 * c2 * by_F2,
        1000.0 * (n - m1) * by_F1,
        1000.0 * (m2 - n) * by_F2,
        -F1 * F2 / (1000.0 * n),
    )


def power_sensitivity(
    front_radius_mm: Any,
    back_radius_mm: Any,
    center_thickness_mm: Any,
    n_lens: Any,
    n_medium: Any = 1.336,
    n_medium_behind: Any = None,
) -> Sensitivities:
    """Partial derivatives of the thick lens's equivalent power with respect to every input.

    Not for large steps: the power bends with thickness and index. At a plano surface the derivative by the radius is 0 and says nothing about the
    error of a nearly flat surface; use the derivative by the curvature.

    Accuracy: 6e-16 relative (by the index: to 1/|R1| + 1/|R2|), over radii 5 to 40 mm.

    Parameters
    ----------
    front_radius_mm, back_radius_mm, center_thickness_mm, n_lens, n_medium, n_medium_behind
        as for `thick_lens`: floats or arrays, [mm], indices on one basis.

    Returns
    -------
    Sensitivities
        [D] per index, per mm, and per 1/mm for curvatures.

    Raises
    ------
    InputError
        for values outside the hard limits, or text.

    References
    ----------
    Derived by hand from Gullstrand's equation; checked against mpmath.

    Examples
    --------
    >>> s = power_sensitivity(15, -15, 0.9, 1.49)
    >>> round(s.d_power_d_n_lens, 4), round(s.d_power_d_n_medium, 4), round(s.d_power_d_center_thickness_mm, 7)
    (132.5492, -132.5065, -0.0707412)
    """
    a, shape = checked_lens(front_radius_mm, back_radius_mm, center_thickness_mm, n_lens, n_medium, n_medium_behind)
    s = sensitivities_of(*a)
    behind = as_number("n_medium_behind", np.nan if n_medium_behind is None else n_medium_behind)
    alone = np.isnan(np.broadcast_to(behind, shape)).ravel()
    return Sensitivities(*(given_back(x, shape) for x in one_medium(s, alone)))


def one_medium(s: Sensitivities, alone: Any) -> Sensitivities:
    """Where the medium behind is the one in front (`alone`), both derivatives belong to the one argument."""
    return s._replace(
        d_power_d_n_medium=np.where(alone, s.d_power_d_n_medium + s.d_power_d_n_medium_behind, s.d_power_d_n_medium),
        d_power_d_n_medium_behind=np.where(alone, np.nan, s.d_power_d_n_medium_behind),
    )
