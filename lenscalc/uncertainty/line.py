"""A straight line through points, with the covariance of its two parameters."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from lenscalc.errors import InputError
from lenscalc.quantities import counted, numbers, single_numbers


class Line(NamedTuple):
    """y = intercept + slope·(x − x0), with u of both, their correlation, and what the scatter says.

    `intercept_by` and `slope_by` are the coefficients ∂(parameter)/∂y of every point: who carries sources through a fit takes them.
    `chi2` is Σ(residual/u)², nan where the u of the points were not given. `middle` is the weighted mean of x, `u_middle` the line's u there.
    """

    x0: float
    intercept: float
    slope: float
    u_intercept: float
    u_slope: float
    correlation: float
    dof: float
    scatter: float
    chi2: float
    intercept_by: Any
    slope_by: Any
    middle: float
    u_middle: float

    def value(self, x: Any) -> Any:
        """The line at x."""
        return self.intercept + self.slope * (x - self.x0)

    def u(self, x: Any) -> Any:
        """Standard uncertainty of the line at x (JCGM 100:2008, H.3.5, about the middle: from a far x0 the terms would take each other off)."""
        return np.hypot(self.u_middle, (x - self.middle) * self.u_slope)


def fit_line(x: Any, y: Any, *, u: Any = None, x0: float | None = None) -> Line:
    """Straight line by least squares (JCGM 100:2008, H.3: y = y1 + y2·(x − x0)).

    Without `u` the points weigh alike, their scatter gives the uncertainty, and ν = n − 2. With `u`, the standard uncertainty of every y, the weights
    are 1/u² and the uncertainty is theirs; `chi2` then says whether the points lie on a line. `x0`: None takes the weighted mean of x, where
    intercept and slope are not correlated. x has no error.

    Accuracy: 5e-16 relative to the values' size, over three points; the largest x, y and u between 1e-150 and 1e150.

    Raises
    ------
    InputError
        for fewer than two points (three without `u`), for x all equal, for lengths that differ, for what is not finite or beyond what can be
        squared, or for u not above 0.

    >>> line = fit_line([20.0, 25.0, 30.0, 35.0], [1.4902, 1.4893, 1.4882, 1.4873])
    >>> f"{line.slope:.2e}", f"{line.u_slope:.0e}", line.dof, round(float(line.value(35.0)), 5)
    ('-1.96e-04', '6e-06', 2.0, 1.48728)
    """
    (x,), (y,) = numbers(x=x), numbers(y=y)
    if x0 is not None:
        (x0,) = single_numbers(x0=x0)
    if x.ndim != 1 or x.shape != y.shape:
        raise InputError(f"x and y must be lists of one length, not {x.shape} and {y.shape}")
    if not (np.all(np.isfinite(x)) and np.all(np.isfinite(y)) and (x0 is None or np.isfinite(x0))):
        raise InputError("a point of the line is not a finite number")
    least = 3 if u is None else 2
    if x.size < least:
        raise InputError(f"{counted(x.size, 'point')}: a straight line with an uncertainty needs at least {least}")
    of_each = np.ones_like(x) if u is None else _u_of_each(x, u)
    for name, values in (("x", x), ("y", y), ("u", of_each)):
        largest = float(np.max(np.abs(values)))
        if largest and not 1e-150 <= largest <= 1e150:
            told = f"the largest {name} is {largest:g}: its square no number holds beyond 1e-150 to 1e150; state {name} in another unit"
            raise InputError(told, quantity=name, value=largest, limits=(1e-150, 1e150))
    smallest = float(np.min(of_each))
    w = np.square(smallest / of_each)  # only ratios count here: the square of a tiny u must not vanish
    middle = float(np.sum(w * x) / np.sum(w))
    spread = float(np.sum(w * (x - middle) * (x - middle)))
    if not spread > 0 or np.ptp(x) == 0:
        raise InputError("all points stand at the same x: they tell nothing about a slope")
    slope_by = w * (x - middle) / spread
    mean_by = w / np.sum(w)
    at = middle if x0 is None else float(x0)
    intercept_by = mean_by + (at - middle) * slope_by
    slope, intercept = float(slope_by @ y), float(intercept_by @ y)
    residual = y - float(mean_by @ y) - slope * (x - middle)
    dof = float(x.size - 2)
    scatter = (float(residual @ residual) / dof) ** 0.5 if dof > 0 else float("nan")
    unit = scatter if u is None else smallest  # u of a point of weight 1
    u_slope = unit / spread**0.5
    u_middle = unit / float(np.sum(w)) ** 0.5
    u_intercept = float(np.hypot(u_middle, (at - middle) * u_slope))
    correlation = (at - middle) * u_slope / u_intercept if u_intercept > 0 else 0.0
    chi2 = float("nan") if u is None else float(np.sum(np.square(residual / of_each)))
    nu = dof if u is None else np.inf
    return Line(at, intercept, slope, u_intercept, u_slope, correlation, nu, scatter, chi2, intercept_by, slope_by, middle, u_middle)


def _u_of_each(x: Any, u: Any) -> Any:
    (u,) = numbers(u=u)
    if u.shape not in ((), x.shape):
        raise InputError(f"u must be one number or a list as long as x, not {u.shape} for {x.shape}", quantity="u")
    if not (np.all(u > 0) and np.all(np.isfinite(u))):
        raise InputError("u of a point must be above 0 and finite: a point that is exact takes all the weight", quantity="u")
    return np.broadcast_to(u, x.shape)
