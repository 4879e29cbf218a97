"""Points of the pupil and their weights, so that a weighted sum is the mean over the disc. Plain numpy."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import numpy as np

from lenscalc.quantities import FloatArray, whole_number


@cache
def gauss(points: int) -> tuple[FloatArray, FloatArray]:
    """Points and weights of Gauss and Legendre on -1 … 1, kept."""
    x, w = np.polynomial.legendre.leggauss(points)
    x.flags.writeable = w.flags.writeable = False
    return x, w


@cache
def disc(rings: int = 16, spokes: int = 32) -> tuple[FloatArray, FloatArray, FloatArray]:
    """x, y and weight of rings (Gauss in the square of the radius) times spokes (even): exact for polynomials up to 4·rings − 2 and spokes − 1.

    >>> x, y, w = disc()
    >>> round(float(w.sum()), 12), round(float((w * (x**2 + y**2)).sum()), 12)        # the mean of ρ² is a half
    (1.0, 0.5)
    """
    rings, spokes = whole_number("rings", rings, 1, 1000), whole_number("spokes", spokes, 3, 2000)
    t, w = gauss(rings)
    rho = np.sqrt((t + 1.0) / 2.0)
    theta = 2.0 * np.pi * np.arange(0.5, spokes) / spokes
    x, y = (rho[:, None] * np.cos(theta)).ravel(), (rho[:, None] * np.sin(theta)).ravel()
    weight = np.repeat(w / 2.0 / spokes, spokes)
    for a in (x, y, weight):
        a.flags.writeable = False
    return x, y, weight


def disc_for(order: int) -> tuple[FloatArray, FloatArray, FloatArray]:
    """The disc for polynomials of an order: four rings more than it, ten spokes more than twice it; 16 rings and 32 spokes at least."""
    return disc(max(16, order + 4), max(32, 2 * order + 10))


def ever_finer() -> Iterator[tuple[FloatArray, FloatArray, FloatArray]]:
    """The discs of 16, 32, 64, 128 and 256 rings with twice as many spokes, for what is known once two of them agree."""
    for rings in (16, 32, 64, 128, 256):
        yield disc(rings, 2 * rings)
