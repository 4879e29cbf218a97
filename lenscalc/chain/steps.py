"""What is computed of one row of a plain table: power, its derivatives, u. The very same function runs on numbers, arrays and compiled."""

from __future__ import annotations

from typing import Any, NamedTuple

from lenscalc.lens import powers_of, sensitivities_of


class PlainRow(NamedTuple):
    """The results of a plain row, named as columns; one medium on both sides."""

    power_D: Any
    d_power_d_n_lens: Any
    d_power_d_n_medium: Any
    d_power_d_front_radius_mm: Any
    d_power_d_back_radius_mm: Any
    d_power_d_center_thickness_mm: Any
    d_power_d_front_curvature_per_mm: Any
    d_power_d_back_curvature_per_mm: Any
    u_power_D: Any


def plain_row_of(R1: Any, R2: Any, t: Any, n: Any, m: Any, u_R1: Any, u_R2: Any, u_t: Any, u_n: Any, u_m: Any, u_cal: Any) -> PlainRow:
    """The body: every u a cause of its own, the calibration's acts on the index of the lens. Plain arithmetic, no checks."""
    p = powers_of(R1, R2, t, n, m, m)
    s = sensitivities_of(R1, R2, t, n, m, m)
    by_medium = s.d_power_d_n_medium + s.d_power_d_n_medium_behind
    c1 = 1.0 / R1
    c2 = 1.0 / R2
    # u² = Σ(c·u)², summed in the order in which `combine` names the causes; a radius errs as a curvature, |dc| = dR/R²
    of_n = s.d_power_d_n_lens * u_n
    of_cal = s.d_power_d_n_lens * u_cal
    of_m = by_medium * u_m
    of_R1 = s.d_power_d_front_curvature_per_mm * (u_R1 * c1 * c1)
    of_R2 = s.d_power_d_back_curvature_per_mm * (u_R2 * c2 * c2)
    of_t = s.d_power_d_center_thickness_mm * u_t
    u2 = of_n * of_n + of_cal * of_cal + of_m * of_m + of_R1 * of_R1 + of_R2 * of_R2 + of_t * of_t
    return PlainRow(
        p.power_D,
        s.d_power_d_n_lens,
        by_medium,
        s.d_power_d_front_radius_mm,
        s.d_power_d_back_radius_mm,
        s.d_power_d_center_thickness_mm,
        s.d_power_d_front_curvature_per_mm,
        s.d_power_d_back_curvature_per_mm,
        u2**0.5,
    )
