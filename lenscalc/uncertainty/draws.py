"""Draws of the distributions, in one place (JCGM 101:2008, 6.4)."""

from __future__ import annotations

from collections.abc import Mapping
from math import isfinite, pi
from typing import Any

import numpy as np

from lenscalc.errors import InputError
from lenscalc.quantities import FloatArray
from lenscalc.uncertainty.input import Input, InputDistribution, half_width_of_unit_u


def draw(distribution: InputDistribution, dof: float, shape: float, size: int, random: np.random.Generator) -> FloatArray:
    """Draws with mean 0 in units of u: standard deviation 1, but for t, which is t_ν itself.

    Two rectangular draws make a trapezoid (6.4.4.4) and one with uncertain limits (6.4.3.4: a lower limit first, then within the limits).

    >>> x = draw("triangular", float("inf"), 0.0, 200_000, np.random.default_rng(1))
    >>> round(float(x.std()), 2), bool(abs(x).max() < 6**0.5)
    (1.0, True)
    """
    half = half_width_of_unit_u(distribution, shape)
    match distribution:
        case "rectangular":
            x = random.random(size)
            x -= 0.5
            x *= 2.0 * half
        case "triangular" | "trapezoid":
            top = shape if distribution == "trapezoid" else 0.0
            x = random.random(size)
            x *= half * (1.0 + top)
            x += half * (1.0 - top) * random.random(size)
            x -= half
        case "arcsine":
            x = random.random(size)
            x *= 2.0 * pi
            np.sin(x, out=x)
            x *= half
        case "curvilinear trapezoid":
            d = shape * half
            lower = random.random(size)
            lower *= 2.0 * d
            lower -= half + d
            x = random.random(size)
            x *= -2.0 * lower  # the limits lie as far on either side: from lower to −lower
            x += lower
        case _:
            x = random.standard_t(dof, size) if isfinite(dof) else random.standard_normal(size)
    return x


def factor_of(inputs: Mapping[str, Input], correlation: Any) -> FloatArray | None:
    """The lower factor L of the correlation matrix LLᵀ; None where nothing is correlated.

    Correlated inputs must be normal, of infinite degrees of freedom: a matrix does not say what the joint distribution of others is.
    """
    names = list(inputs)
    matrix = np.asarray(correlation, dtype=np.float64)
    together = [i for i in range(len(names)) if np.any(np.delete(matrix[i], i) != 0)]
    if not together:
        return None
    for i in together:
        given = inputs[names[i]]
        if given.distribution not in ("normal", "t") or isfinite(given.dof):
            raise InputError(
                f"{names[i]} is correlated and not normal (distribution {given.distribution}, dof {given.dof:g}): by trials only normal inputs of "
                "infinite degrees of freedom can be correlated; make the shared cause an input of its own, or give the input as normal with dof=inf",
                quantity=names[i],
            )
    # Cholesky by hand: numpy's refuses what is only semi-definite (full correlation)
    L = np.zeros_like(matrix)
    for j in range(len(names)):
        left = matrix[j:, j] - L[j:, :j] @ L[j, :j]
        if left[0] > 1e-14:
            L[j:, j] = left / left[0] ** 0.5
    return L


def drawn(inputs: Mapping[str, Input], factor: FloatArray | None, size: int, random: np.random.Generator) -> dict[str, FloatArray]:
    """One array of draws an input, by name, in the inputs' own units; an exact one is an array of its value."""
    units = [draw(x.distribution, x.dof, x.shape, size, random) if x.u > 0 else np.zeros(size) for x in inputs.values()]
    if factor is not None:
        for i in reversed(range(len(units))):  # from below, so that what is still needed stays as drawn
            units[i] *= factor[i, i]
            for j in range(i):
                units[i] += factor[i, j] * units[j]
    for unit, x in zip(units, inputs.values(), strict=True):
        unit *= x.u
        unit += x.value
    return dict(zip(inputs, units, strict=True))
