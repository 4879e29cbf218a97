"""The linear law of propagation for any model, with derivatives by complex step; second-order terms on request."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import copysign, floor, inf, isinf
from typing import Any, NamedTuple

import numpy as np

from lenscalc.errors import InputError
from lenscalc.quantities import numbers, single_numbers
from lenscalc.uncertainty.conformity import coverage_factor
from lenscalc.uncertainty.input import Input, check_inputs
from lenscalc.uncertainty.taylor import derivatives

STEP = 1e-30  # far below rounding: f(x + ih) = f(x) + ih·f'(x) exactly to the last digit (Squire & Trapp, SIAM Rev. 40 (1998) 110)


class InputLine(NamedTuple):
    """One input's line of a budget: its share of u² is c·u·Σ r·c·u over all inputs, below 0 where a correlation takes away; shares add to 1."""

    input: str
    value: float
    u: float
    distribution: str
    dof: float
    sensitivity: float
    contribution: float
    share: float


@dataclass(frozen=True, eq=False)
class Propagated:
    """Result of `propagate`: value, u, effective degrees of freedom, sensitivities, contributions c·u and shares of u² by input.

    `second_order` is the variance that the second-order terms add (0 where they were not asked for), `mean_shift` how far the mean of the model lies
    from its value by the curvature, ½·Σ f_ii u_i² (nan where not asked for): it is not added to the value.
    """

    value: float
    u: float
    dof_effective: float
    sensitivities: Mapping[str, float]
    contributions: Mapping[str, float]
    shares: Mapping[str, float]
    second_order: float
    mean_shift: float
    inputs: Mapping[str, Input]

    @property
    def dof_of_k(self) -> float:
        """The effective degrees of freedom truncated to a whole number (JCGM 100:2008, G.4.1); below 1, where there is no lower one, as they are."""
        dof = self.dof_effective
        whole = dof if isinf(dof) else float(floor(dof * (1.0 + 1e-12)))  # a hair below a whole number is rounding
        return whole if whole >= 1.0 else dof

    def coverage_factor(self, probability: float = 0.95) -> float:
        """Coverage factor for the probability: t with `dof_of_k` (JCGM 100:2008, G.6.4)."""
        if not 0.0 < probability < 1.0:
            raise InputError(f"probability = {probability:g}: must lie between 0 and 1 (0.95, not 95)", quantity="probability", value=probability)
        return float(coverage_factor(probability, self.dof_of_k))

    def expanded(self, probability: float = 0.95) -> float:
        """Expanded uncertainty U = k·u (JCGM 100:2008, 6.2.1)."""
        return self.coverage_factor(probability) * self.u

    def interval(self, probability: float = 0.95) -> tuple[float, float]:
        """The value ± U."""
        U = self.expanded(probability)
        return self.value - U, self.value + U

    @property
    def lines(self) -> list[InputLine]:
        """The budget, a line an input, largest share first; the second-order terms, where asked for, are a line of their own."""
        found = [
            InputLine(name, x.value, x.u, x.distribution, x.dof, self.sensitivities[name], self.contributions[name], self.shares[name])
            for name, x in self.inputs.items()
        ]
        if self.second_order != 0.0:
            nan = float("nan")
            part = copysign(abs(self.second_order) ** 0.5, self.second_order)
            found.append(InputLine("second-order terms", nan, nan, "", inf, nan, part, self.second_order / (self.u * self.u)))
        return sorted(found, key=lambda line: -line.share)


def propagate(
    model: Callable[..., Any],
    inputs: Mapping[str, Input],
    correlation: Any | Mapping[tuple[str, str], float] | None = None,
    *,
    second_order: bool = False,
) -> Propagated:
    """Linear uncertainty of `model(**inputs)` (JCGM 100:2008, equations 10, 13 and G.2b).

    The model must be plain arithmetic that accepts complex numbers (numpy's functions do; `abs` and comparisons do not: where the model changes
    otherwise than its derivative says, by a tenth of the change or more, it is refused). `correlation` is a matrix in the order of `inputs`, or
    `{("a", "b"): r}`. The effective degrees of freedom take correlated inputs as one group, with the least of their degrees of freedom.

    With `second_order` u² gets the terms of the next order, Σᵢ Σⱼ (½ f_ij² + f_i f_ijj) u_i² u_j² (5.1.2, note), which hold for independent inputs
    that are symmetric and near to normal; their derivatives come from `taylor.derivatives`, exact to rounding. Do not use it with correlated inputs,
    nor where it is no small correction: there only trials tell.

    Accuracy: 3e-15 relative, over u from 1e-6, ν from 0.1.

    Raises
    ------
    InputError
        for u below 0, a model that a complex step cannot follow, or that gives no finite real number, correlations that no set of quantities can
        have, second-order terms of correlated inputs or of a model that is not plain arithmetic, or second-order terms that take away more than there
        is.

    >>> r = propagate(lambda a, b: a * b, {"a": Input(3.0, 0.1), "b": Input(2.0, 0.2)})
    >>> round(r.value, 6), round(r.u, 6), round(r.expanded(0.95), 4), round(r.shares["b"], 4)
    (6.0, 0.632456, 1.2396, 0.9)
    >>> round(propagate(lambda x: x * x, {"x": Input(0.0, 0.1)}, second_order=True).u, 6)       # √2·u²: nothing in the first order
    0.014142
    """
    names = list(inputs)
    check_inputs(inputs)
    values: dict[str, Any] = {name: inputs[name].value for name in names}
    with np.errstate(all="ignore"):
        found = model(**values)
    if not np.isfinite(found) or np.imag(found) != 0:  # a negative number to the power of a half is a complex one, whose real part is next to 0
        raise InputError(f"the model gives {found} at these values: it must give a finite real number")
    value = float(np.real(found))
    c = {name: _sensitivity(model, values, name, inputs[name].u, value) for name in names}
    cu = np.array([c[name] * inputs[name].u for name in names])
    r = correlation_matrix(names, correlation)
    by_input = cu * (r @ cu)
    u2 = float(np.sum(by_input)) if correlation is not None else float(cu @ cu)
    u2 = max(u2, 0.0)  # what cancels wholly leaves rounding
    extra, shift = 0.0, float("nan")
    if second_order:
        if np.any(r != np.eye(len(names))):
            raise InputError("second-order terms hold for independent inputs only: leave out the correlation, or run trials", quantity="correlation")
        d = derivatives(model, values, {name: inputs[name].u for name in names})
        extra = float(np.sum(0.5 * d.second * d.second + d.first[:, None] * d.third))
        shift = 0.5 * float(np.trace(d.second))
        if u2 + extra < 0:
            raise InputError(f"the second-order terms ({extra:g}) take away more than the first order has ({u2:g}): run trials")
    total = u2 + extra
    return Propagated(
        value,
        total**0.5,
        _effective_dof(cu, r, [inputs[n].dof for n in names]),
        c,
        dict(zip(names, cu.tolist(), strict=True)),
        dict(zip(names, (by_input / total if total else np.zeros(len(names))).tolist(), strict=True)),
        extra,
        shift,
        dict(inputs),
    )


def _effective_dof(cu: Any, r: Any, dof: list[float]) -> float:
    """Welch–Satterthwaite over groups of inputs that are correlated, each taken as one, with the least of its degrees of freedom.

    For independent inputs it is JCGM 100:2008, G.2b. The formula does not hold for correlated ones: readings taken together have n − 1 degrees of
    freedom, however many inputs they make.
    """
    left = set(range(len(dof)))
    total = weight = 0.0
    while left:
        group = [left.pop()]
        for i in group:  # grows as it is walked
            more = [j for j in left if r[i, j] != 0]
            left.difference_update(more)
            group += more
        u2 = float(cu[group] @ r[np.ix_(group, group)] @ cu[group])
        total += u2
        weight += u2 * u2 / min(dof[i] for i in group)
    return total * total / weight if weight > 0 else inf


def _sensitivity(model: Callable[..., Any], values: Mapping[str, Any], name: str, u: float, value: float) -> float:
    """∂f/∂(name) by complex step."""
    x = values[name]
    try:
        found = float(np.imag(model(**{**values, name: x + STEP * 1j})) / STEP)
    except TypeError as error:
        raise InputError(f"the model does not take complex numbers for {name} ({error}): write it in plain arithmetic, or run trials") from error
    # abs and comparisons drop the imaginary part, or some of it, without a word: then what the derivative does not tell of the change stays in
    # proportion to the step, which here is a thousandth
    try:
        with np.errstate(all="ignore"):
            above, below, just_above, just_below = (float(np.real(model(**{**values, name: x + s}))) for s in (u, -u, u / 1000.0, -u / 1000.0))
    except (ArithmeticError, ValueError):  # beside the value the model may not be defined
        return found
    far, near = above - below, just_above - just_below
    rounding = 1e-10 * max(abs(value), abs(just_above), abs(just_below), abs(found * x))
    if abs(near - found * u / 500.0) > max(1e-5 * abs(far - found * u * 2.0), 0.1 * abs(near), rounding):
        raise InputError(
            f"the model loses the complex step in {name} (abs, a comparison, rounding or no derivative in it?): write it in arithmetic, or run trials"
        )
    return found


def correlation_matrix(names: list[str], correlation: Any | Mapping[tuple[str, str], float] | None) -> Any:
    """The correlation matrix in the order of `names`, checked to be symmetric and positive semi-definite."""
    if correlation is None:
        return np.eye(len(names))
    if isinstance(correlation, Mapping):
        matrix = np.eye(len(names))
        for (a, b), r in correlation.items():
            single_numbers(**{f"correlation between {a!r} and {b!r}": r})
            if a not in names or b not in names:
                raise InputError(f"correlation between {a!r} and {b!r}: the inputs are {', '.join(names)}")
            if (b, a) in correlation and correlation[b, a] != r:
                raise InputError(f"correlation between {a!r} and {b!r} is given as {r} and as {correlation[b, a]}: leave one out")
            matrix[names.index(a), names.index(b)] = matrix[names.index(b), names.index(a)] = r
    else:
        (matrix,) = numbers(correlation=correlation)
    if matrix.shape != (len(names), len(names)) or not np.allclose(matrix, matrix.T) or not np.allclose(np.diag(matrix), 1):
        raise InputError("correlation must be a symmetric matrix, one row an input, with 1 on its diagonal")
    if np.linalg.eigvalsh(matrix)[0] < -1e-11:  # rounding moves it by some 1e-16 an input
        raise InputError("correlation is not positive semi-definite: no set of quantities can have these correlations")
    return matrix
