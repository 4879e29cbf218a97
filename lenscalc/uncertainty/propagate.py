"""The linear law of propagation for any model, with derivatives by complex step."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import inf, isinf
from typing import Any, NamedTuple

import numpy as np

from lenscalc.errors import InputError
from lenscalc.uncertainty.estimate import Estimate
from lenscalc.uncertainty.source import Distribution, Source

STEP = 1e-30  # far below rounding: f(x + ih) = f(x) + ih·f'(x) exactly to the last digit (Squire & Trapp, SIAM Rev. 40 (1998) 110)


class Input(NamedTuple):
    """One input of a model: value, standard uncertainty, distribution, degrees of freedom."""

    value: float
    u: float
    distribution: Distribution = "normal"
    dof: float = inf


@dataclass(frozen=True, eq=False)
class Propagated:
    """Result of `propagate`: value, u, effective degrees of freedom, sensitivities and contributions c·u by input."""

    value: float
    u: float
    dof_effective: float
    sensitivities: Mapping[str, float]
    contributions: Mapping[str, float]


def propagate(
    model: Callable[..., Any], inputs: Mapping[str, Input], correlation: Any | Mapping[tuple[str, str], float] | None = None
) -> Propagated:
    """Linear uncertainty of `model(**inputs)` (JCGM 100:2008, equations 10, 13 and G.2b).

    The model must be plain arithmetic that accepts complex numbers (numpy's functions do; `abs` and comparisons do not). `correlation` is a matrix in
    the order of `inputs`, or `{("a", "b"): r}`. The effective degrees of freedom take the inputs as independent, as the formula does.

    Raises
    ------
    InputError
        for u below 0, or correlations that no set of quantities can have.

    >>> r = propagate(lambda a, b: a * b, {"a": Input(3.0, 0.1), "b": Input(2.0, 0.2)})
    >>> round(r.value, 6), round(r.u, 6)
    (6.0, 0.632456)
    """
    names = list(inputs)
    for name in names:
        if not inputs[name].u >= 0:
            raise InputError(f"u of {name} = {inputs[name].u}: a standard uncertainty must be 0 or more", quantity=name)
    values: dict[str, Any] = {name: inputs[name].value for name in names}
    value = float(np.real(model(**values)))
    c = {name: float(np.imag(model(**{**values, name: values[name] + STEP * 1j})) / STEP) for name in names}
    cu = np.array([c[name] * inputs[name].u for name in names])
    u = float(np.sqrt(cu @ correlation_matrix(names, correlation) @ cu))
    independent = Estimate(value, {Source(n, dof=inputs[n].dof): cu[i] for i, n in enumerate(names)})
    finite = any(not isinf(inputs[n].dof) for n in names)
    return Propagated(value, u, float(independent.dof) if finite else inf, c, dict(zip(names, cu.tolist(), strict=True)))


def correlation_matrix(names: list[str], correlation: Any | Mapping[tuple[str, str], float] | None) -> Any:
    """The correlation matrix in the order of `names`, checked to be symmetric and positive semi-definite."""
    if correlation is None:
        return np.eye(len(names))
    if isinstance(correlation, Mapping):
        matrix = np.eye(len(names))
        for (a, b), r in correlation.items():
            if a not in names or b not in names:
                raise InputError(f"correlation between {a!r} and {b!r}: the inputs are {', '.join(names)}")
            matrix[names.index(a), names.index(b)] = matrix[names.index(b), names.index(a)] = r
    else:
        matrix = np.asarray(correlation, dtype=np.float64)
    if matrix.shape != (len(names), len(names)) or not np.allclose(matrix, matrix.T) or not np.allclose(np.diag(matrix), 1):
        raise InputError("correlation must be a symmetric matrix, one row an input, with 1 on its diagonal")
    if np.linalg.eigvalsh(matrix)[0] < -1e-12 * len(names):
        raise InputError("correlation is not positive semi-definite: no set of quantities can have these correlations")
    return matrix
