"""A value that carries where its uncertainty comes from."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from lenscalc.quantities import in_numbers, is_numeric
from lenscalc.uncertainty.source import Source


@dataclass(frozen=True, eq=False)
class Estimate:
    """A value (a number, or an array with one entry a case) and its parts: source → signed c·u.

    The parts of one source add with their signs, so that what two numbers share cancels or doubles by itself
    (JCGM 100:2008, 5.2.2 and F.1.2.3: correlation through a common influence).

    >>> cal = Source("calibration", scope="instrument")
    >>> lens = Estimate(1.49, {cal: 0.0003})
    >>> medium = Estimate(1.336, {cal: 0.0003, Source("medium, replicates"): 0.0001})
    >>> difference = combine(1.49 - 1.336, [(1.0, lens), (-1.0, medium)])
    >>> round(float(difference.u), 6)                     # the calibration has cancelled
    0.0001
    >>> f"{lens.covariance(medium):.1e}"
    '9.0e-08'
    """

    value: Any
    parts: Mapping[Source, Any] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Refuse a text that is no number, which nothing would notice before the first sum."""
        object.__setattr__(self, "value", in_numbers("value", self.value))
        if not all(map(is_numeric, self.parts.values())):
            object.__setattr__(self, "parts", {source: in_numbers(f"u of {source.name}", part) for source, part in self.parts.items()})

    @property
    def u(self) -> Any:
        """Standard uncertainty: the root of the summed squares of the parts."""
        return self.u_where(lambda source: True)

    def u_of(self, scope: str) -> Any:
        """The standard uncertainty of this scope's sources alone ("instrument", "lot", "lens")."""
        return self.u_where(lambda source: source.scope == scope)

    def u_where(self, wanted: Callable[[Source], bool]) -> Any:
        """The standard uncertainty of the wanted sources alone."""
        total = np.zeros(np.shape(self.value))
        for source, part in self.parts.items():
            if wanted(source):
                total = total + part * part
        return np.sqrt(total)

    @property
    def dof(self) -> Any:
        """Effective degrees of freedom, Welch–Satterthwaite (JCGM 100:2008, G.2b); inf where every source is."""
        return self.dof_where(lambda source: True)

    def dof_where(self, wanted: Callable[[Source], bool]) -> Any:
        """Effective degrees of freedom of the wanted sources alone."""
        weight = np.zeros(np.shape(self.value))
        for source, part in self.parts.items():
            if wanted(source):
                square = part * part
                weight = weight + square * square / source.dof
        u2 = np.square(self.u_where(wanted))
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.where(weight > 0, u2 * u2 / weight, np.inf)

    def covariance(self, other: Estimate) -> Any:
        """Covariance with another estimate, through the sources that both name."""
        total = np.zeros(np.broadcast_shapes(np.shape(self.value), np.shape(other.value)))
        for source, part in self.parts.items():
            if source in other.parts:
                total = total + part * other.parts[source]
        return total


def estimate(value: Any, u: Any, source: Source) -> Estimate:
    """A value with one cause of uncertainty.

    Raises
    ------
    InputError
        for a value or u that is no number.

    >>> estimate(1.49, "0,0003", Source("index of the lot"))
    Traceback (most recent call last):
    lenscalc.errors.InputError: u of index of the lot = '0,0003' is not a number; write the decimals with a point
    """
    return Estimate(value, {source: u})


def errors_only(parts: Mapping[Source, Any]) -> Estimate:
    """What may be off, without a value of its own: a term for `combine`, which is told the value.

    >>> errors_only({Source("operator"): 1e-4}).value
    0.0
    """
    return Estimate(0.0, parts)


def combine(value: Any, terms: Iterable[tuple[Any, Estimate]]) -> Estimate:
    """An estimate of `value` whose parts are Σ coefficient × part: the linear law of propagation, source by source.

    Accuracy: 3e-15 relative in u and ν, over u from 1e-6.

    >>> s = Source("scale of the profilometer", scope="lens")
    >>> r1, r2 = Estimate(15.0, {s: 0.03}), Estimate(-15.0, {s: -0.03})
    >>> power = combine(20.469666, [(-0.680200, r1), (+0.680200, r2)])    # 0.029 D if independent, 0.041 D if shared
    >>> round(float(power.u), 3)
    0.041
    """
    parts: dict[Source, Any] = {}
    for coefficient, term in terms:
        coefficient = in_numbers("coefficient", coefficient)
        for source, part in term.parts.items():
            contribution = coefficient * part
            parts[source] = parts[source] + contribution if source in parts else contribution
    return Estimate(value, parts)
