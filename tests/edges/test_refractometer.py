"""What a refractometer's optics make of an angle, both ways, and a mean of replicates: against the equations in 60 digits."""

import numpy as np
import pytest
from measured import Case, Rows, accuracy_holds
from mpmath import asin, cos, mpf, pi, sin, sqrt

from lenscalc import refractometer as r

A = Rows(200)
GRAZING = {"n": A.even(1.3, 1.7), "more": A.log(1e-9, 0.4)}
PRISM = {"n_prism": A.even(1.7, 2.0), "apex_deg": A.even(50, 75), "exit_angle_deg": A.even(-15, 15, 0.0)}


def rad(x):
    return x * pi / 180


def prism(n_prism, apex_deg, exit_angle_deg):
    """Snell at the exit, then the angle inside, then n = N·sin θ."""
    return n_prism * sin(rad(apex_deg) - asin(sin(rad(exit_angle_deg)) / n_prism))


def block(n_block, deviation_deg):
    """Through the 45° faces of a V-block with a specimen of index n: the closed form squared, n² = N² + sin γ·√(N² − sin² γ)."""
    s = sin(rad(deviation_deg))
    return sqrt((n_block - s) * (n_block + s) + s * s + s * sqrt((n_block - s) * (n_block + s)))


def mean(a, b, c, d):
    m = (a + b + c + d) / 4
    return m, sqrt(sum((x - m) ** 2 for x in (a, b, c, d)) / 12)


def of_means(**columns):
    found = [r.mean_of(list(row)) for row in zip(*columns.values(), strict=True)]
    return np.array([m.value for m in found]), np.array([m.u for m in found])


CASES = [
    Case(r.critical_angle_index, {"n_prism": A.even(1.5, 2.0), "angle_deg": A.even(10, 90, 90.0, 89.9999)},
         lambda n_prism, angle_deg: n_prism * sin(rad(angle_deg))),
    Case(r.critical_angle_deg, GRAZING, lambda n, more: asin(n / mpf(float(n) + float(more))) * 180 / pi,
         of=lambda n, more: r.critical_angle_deg(n, n + more)),
    Case(r.border, GRAZING, lambda n, more: _border(n, mpf(float(n) + float(more))), of=lambda n, more: r.border(n, n + more)),
    Case(r.minimum_deviation_index, {"apex_deg": A.even(20, 75), "deviation_deg": A.even(0, 60, 0.0)},
         lambda apex_deg, deviation_deg: sin(rad(apex_deg) / 2 + rad(deviation_deg) / 2) / sin(rad(apex_deg) / 2)),
    Case(r.minimum_deviation_deg, {"apex_deg": A.even(20, 60), "n": 1.0 + A.log(1e-9, 0.8)},
         lambda apex_deg, n: 360 / pi * (asin(n * sin(rad(apex_deg) / 2)) - rad(apex_deg) / 2)),
    Case(r.v_block_index, {"n_block": A.even(1.4, 1.8), "deviation_deg": A.even(-40, 40, 0.0, 1e-300)}, block),
    Case(r.v_block_deviation_deg, {"n_block": A.even(1.4, 1.8), "more": A.log(1e-9, 0.2) * A.signs()},
         lambda n_block, more: _deviation(n_block, mpf(float(n_block) + float(more))),
         of=lambda n_block, more: r.v_block_deviation_deg(n_block, n_block + more)),
    Case(r.prism_reading_index, PRISM, prism),
    Case(r.prism_exit_angle_deg, {"n": A.even(1.35, 1.65), "n_prism": PRISM["n_prism"], "apex_deg": A.even(55, 65)},
         lambda n, n_prism, apex_deg: 180 / pi * asin(n_prism * sin(rad(apex_deg) - asin(n / n_prism))), scale=lambda n, n_prism, apex_deg: apex_deg),
    Case(r.index_at_line, {"n": A.even(1.35, 1.65), "N": A.even(1.7, 1.8)}, lambda n, N: prism(N + mpf(2**-8), mpf(60), _exit(n, N)),
         of=lambda n, N: r.index_at_line(n, n_prism_scale=N, n_prism_line=N + 2.0**-8, apex_deg=60.0)),
    Case(r.without_compensation, {"n": A.even(1.3, 1.7), "T": A.even(10, 40, 20.0)}, lambda n, T: n + mpf(1.9e-4) * (20 - T),
         of=lambda n, T: r.without_compensation(n, T, per_K=-1.9e-4, to_degC=20.0)),
    Case(r.mean_of, {"a": A.even(1.4899, 1.4901), "b": A.even(1.4899, 1.4901), "c": A.even(1.4899, 1.4901), "d": A.even(1.4899, 1.4901)}, mean,
         of=of_means, scale=lambda **x: (mean(*x.values())[0], mpf("1e-4"))),
]  # fmt: skip


def _border(n, N):
    return asin(n / N) * 180 / pi, 180 / pi / sqrt(N * N - n * n)


def _exit(n, N):
    return 180 / pi * asin(N * sin(rad(mpf(60)) - asin(n / N)))


def _deviation(N, n):
    """sin² γ is the smaller root of x² − N²x + d² = 0, d = n² − N²: the root's own formula, in enough digits for its difference."""
    d = n * n - N * N
    s = sqrt((N * N - sqrt(N**4 - 4 * d * d)) / 2)
    return 180 / pi * asin(s) * (1 if d > 0 else -1)


@pytest.mark.parametrize("case", CASES, ids=str)
def test_accuracy(case):
    accuracy_holds(case)


def test_the_smallest_deviation_of_a_prism_is_symmetric():
    """By Snell at both faces, not by the formula: with A = 60°, n = 1.5 the ray inside stands at 30° to both normals."""
    outside = asin(mpf(1.5) * sin(rad(mpf(30)))) * 180 / pi
    assert r.minimum_deviation_deg(60.0, 1.5) == pytest.approx(float(2 * outside - 60), rel=1e-15, abs=0.0)
    assert float(cos(rad(mpf(60)))) == pytest.approx(0.5)


@pytest.mark.parametrize("n", [1.3, 1.49, 1.5199999999, 1.5200000001, 1.6])
def test_a_block_gives_the_index_back_however_near_its_own(n):
    assert r.v_block_index(1.52, r.v_block_deviation_deg(1.52, n)) - 1.52 == pytest.approx(n - 1.52, abs=4e-16)
