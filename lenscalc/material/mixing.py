"""The index of a mixture from the indices of its components and their volume fractions, and back.

Each rule but Bruggeman's adds one function of the index by volume: (n² − 1)/(n² + 2) by Lorentz and Lorenz, n − 1 by Gladstone and Dale, n² − 1 by
Newton. None of them knows how the components lie in each other; the spread between them is the least that a mixture's index is uncertain by.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

import numpy as np

from lenscalc.errors import InputError
from lenscalc.material.limits import FRACTION, INDEX, as_many, components, one_of, parts_of_one, together
from lenscalc.quantities import as_given, within

RULES = ("lorentz-lorenz", "gladstone-dale", "newton", "bruggeman")


class Additive(NamedTuple):
    """A function g of the index that adds by volume, its derivative by the index, and its inverse."""

    of: Callable[[Any], Any]
    slope: Callable[[Any], Any]
    back: Callable[[Any], Any]


ADDITIVE: dict[str, Additive] = {
    "lorentz-lorenz": Additive(
        lambda n: (n * n - 1.0) / (n * n + 2.0), lambda n: 6.0 * n / ((n * n + 2.0) * (n * n + 2.0)), lambda g: ((1.0 + 2.0 * g) / (1.0 - g)) ** 0.5
    ),
    "gladstone-dale": Additive(lambda n: n - 1.0, lambda n: n**0, lambda g: g + 1.0),
    "newton": Additive(lambda n: n * n - 1.0, lambda n: 2.0 * n, lambda g: (g + 1.0) ** 0.5),
}


class Mixed(NamedTuple):
    """Index of a mixture of two, and its derivatives by the fraction of the first (the second makes room), and by both indices."""

    n: Any
    by_fraction: Any
    by_first: Any
    by_second: Any


def two_mixed_of(n1: Any, n2: Any, f1: Any, rule: str) -> Mixed:
    """The body for two components, f1 the volume fraction of the first. Plain arithmetic, no checks."""
    if rule == "bruggeman":
        e1, e2, f2 = n1 * n1, n2 * n2, 1.0 - f1
        # 2e² − b·e − e1·e2 = 0, positive root
        b = f1 * (2.0 * e1 - e2) + f2 * (2.0 * e2 - e1)
        e = (b + (b * b + 8.0 * e1 * e2) ** 0.5) / 4.0
        n = e**0.5
        # F = Σf(ei − e)/(ei + 2e) = 0, differentiated
        d1, d2 = e1 + 2.0 * e, e2 + 2.0 * e
        by_e = 3.0 * (f1 * e1 / (d1 * d1) + f2 * e2 / (d2 * d2)) * 2.0 * n  # −∂F/∂n
        return Mixed(n, ((e1 - e) / d1 - (e2 - e) / d2) / by_e, f1 * 6.0 * e * n1 / (d1 * d1) / by_e, f2 * 6.0 * e * n2 / (d2 * d2) / by_e)
    g = ADDITIVE[rule]
    n = g.back(f1 * g.of(n1) + (1.0 - f1) * g.of(n2))
    slope = g.slope(n)
    return Mixed(n, (g.of(n1) - g.of(n2)) / slope, f1 * g.slope(n1) / slope, (1.0 - f1) * g.slope(n2) / slope)


def unmixed_of(n_mixture: Any, n: Sequence[Any], f: Sequence[Any], f_unknown: Any, rule: str) -> Any:
    """The body of the inverse: the index of the one component that is not in `n`. Plain arithmetic, no checks."""
    if rule == "bruggeman":
        e = n_mixture * n_mixture
        q = sum(fi * (ni * ni - e) / (ni * ni + 2.0 * e) for ni, fi in zip(n, f, strict=True)) / -f_unknown  # = (x − e)/(x + 2e), x = n² sought
        return (e * (1.0 + 2.0 * q) / (1.0 - q)) ** 0.5
    g = ADDITIVE[rule]
    return g.back((g.of(n_mixture) - sum(fi * g.of(ni) for ni, fi in zip(n, f, strict=True))) / f_unknown)


def mix(n: Sequence[Any], volume_fraction: Sequence[Any], rule: str = "lorentz-lorenz") -> Any:
    """Refractive index of a mixture from the indices and volume fractions of its components, one entry a component, each a number or an array.

    Do not use it where the components react, or where what is known are masses (`copolymer_index`, `hydrated_index` take those). All indices at one
    wavelength, one temperature and on one basis. The result is on the same basis.

    Accuracy: 4e-16 relative, over indices 1 to 3, equal ones and fractions of 0 among them.

    Parameters
    ----------
    n : sequence of float or array
        Indices of the components, 1 to 3.
    volume_fraction : sequence of float or array
        Their volume fractions, 0 to 1; they must sum to 1.
    rule : str
        "lorentz-lorenz" (Σφ(n² − 1)/(n² + 2)), "gladstone-dale" (Σφ(n − 1)), "newton" (Σφ(n² − 1)) or "bruggeman" (Σφ(ε_i − ε)/(ε_i + 2ε) = 0,
        ε = n²; two components in closed form, more by bisection in plain numpy to the last bits).

    Returns
    -------
    float or array
        Index of the mixture. How far the rules lie apart: `mixing_half_spread`.

    Raises
    ------
    InputError
        for values outside their limits, fractions that do not sum to 1, lists of different lengths, or an unknown rule.

    Examples
    --------
    >>> [round(mix([1.336, 1.51], [0.38, 0.62], rule), 6) for rule in RULES]
    [1.441312, 1.44388, 1.446348, 1.44309]
    """
    one_of(rule, RULES, "rule")
    indices, fractions = _checked(n, volume_fraction)
    return _mixed(indices, fractions, rule)


def mixing_half_spread(n: Sequence[Any], volume_fraction: Sequence[Any]) -> Any:
    """Half the spread between the four rules: the least that a mixture's index is uncertain by (half-width of a rectangle; u = a/√3).

    A lower bound: that the rules agree does not make any of them right. Arguments and errors as of `mix`.

    Accuracy: 4e-16 relative to the index, over the same.

    >>> round(mixing_half_spread([1.336, 1.51], [0.38, 0.62]), 6)
    0.002518
    """
    indices, fractions = _checked(n, volume_fraction)
    # always the outermost: in n, (n² − 1)/(n² + 2) is concave and n² − 1 convex; Bruggeman lies between, as its reference medium does
    return (_mixed(indices, fractions, "newton") - _mixed(indices, fractions, "lorentz-lorenz")) / 2.0


def unmix(n_mixture: Any, n: Sequence[Any], volume_fraction: Sequence[Any], rule: str = "lorentz-lorenz") -> Any:
    """The inverse of `mix`: the index of the component whose entry in `n` is None, from the index of the mixture.

    Errors grow by 1/φ of that component. Further arguments as of `mix`.

    Accuracy: 2e-15 relative, over mixtures made by `mix`, fractions from 0.1.

    Raises
    ------
    InputError
        as `mix`; also unless exactly one entry of `n` is None, or where its fraction is 0, or where no index of 1 to 3 gives that mixture.

    >>> round(unmix(1.441312, [1.336, None], [0.38, 0.62]), 5)
    1.51
    """
    one_of(rule, RULES, "rule")
    f = parts_of_one(volume_fraction, "volume_fraction")
    if not isinstance(n, list | tuple):
        raise InputError(f"n = {n!r}: must be a list with one entry a component and None for the one sought, such as [1.336, None]", quantity="n")
    as_many(n, "n", f, "volume_fraction")
    sought = [i for i, ni in enumerate(n) if ni is None]
    if len(sought) != 1:
        raise InputError(f"n has {len(sought)} entries None: exactly one component is sought", quantity="n", value=n)
    (s,) = sought
    known = components(INDEX, [ni for ni in n if ni is not None])
    whole = within(INDEX, n_mixture, "n_mixture")
    together(whole, *known, *f)
    if not np.all(f[s]):
        raise InputError(f"volume_fraction[{s}] = 0: what is not there has no index in the mixture", quantity="volume_fraction", value=0.0)
    with np.errstate(all="ignore"):
        found = unmixed_of(whole, known, [fi for i, fi in enumerate(f) if i != s], f[s], rule)
    outside = ~((found >= INDEX.lower) & (found <= INDEX.upper))
    if np.any(outside):
        worst = float(np.broadcast_to(whole, np.shape(found))[outside].flat[0])
        raise InputError(
            f"n_mixture = {worst:g}: no component of index {INDEX.limits_text} gives it with these fractions", quantity="n_mixture", value=worst
        )
    return as_given(found)


def _checked(n: Any, volume_fraction: Any) -> tuple[list[Any], list[Any]]:
    indices, fractions = components(INDEX, n), parts_of_one(volume_fraction, FRACTION.name)
    as_many(indices, "n", fractions, FRACTION.name)
    together(*indices, *fractions)
    return indices, fractions


def _mixed(n: list[Any], f: list[Any], rule: str) -> Any:
    if rule != "bruggeman":
        g = ADDITIVE[rule]
        return as_given(g.back(sum(fi * g.of(ni) for ni, fi in zip(n, f, strict=True))))
    if len(n) == 2:
        return as_given(two_mixed_of(n[0], n[1], f[0], rule).n)
    e = [ni * ni for ni in n]
    low, high = np.minimum.reduce(np.broadcast_arrays(*e, *f)[: len(e)]), np.maximum.reduce(np.broadcast_arrays(*e, *f)[: len(e)])
    while np.any((low < (middle := (low + high) / 2.0)) & (middle < high)):  # the sum falls with e; halved down to neighbours
        above = sum(fi * (ei - middle) / (ei + 2.0 * middle) for ei, fi in zip(e, f, strict=True)) > 0.0
        low, high = np.where(above, middle, low), np.where(above, high, middle)
    return as_given(middle**0.5)
