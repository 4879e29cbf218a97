"""What measuring the index again would save of a lot that is cut by the new value."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from lenscalc.decision.lot import LENSES, WANTED_YIELD, LotForecast, lot_forecast
from lenscalc.errors import InputError
from lenscalc.quantities import numbers


class Remeasured(NamedTuple):
    """What a better known index would change: the common part of u then, the forecasts now and then, and the lenses saved of a thousand."""

    u_common_then_D: Any
    now: LotForecast
    then: LotForecast
    saved_per_1000: Any


def remeasured(
    power_D: Any,
    u_common_D: Any,
    u_individual_D: Any,
    lower_D: Any,
    upper_D: Any,
    *,
    d_power_d_n_lens: Any,
    u_n_lens: Any,
    u_n_lens_then: Any,
    wanted_yield: Any = WANTED_YIELD,
    lenses: Any = LENSES,
) -> Remeasured:
    """How much re-measuring the index would save, if the lenses are then cut to the same nominal power by the new value.

    A measurement does not change the lot's index: what it changes is how well the radii can be chosen for it. So the nominal power stays, the
    part of u(power) from the index shrinks to |∂F/∂n|·u(n) of the new measurement, and the rest of the common part stays as it is.

    Raises
    ------
    InputError
        if a u is below 0, the index explains more than the whole common part, or the new u is larger than the old one.

    >>> r = remeasured(20.5, 0.2, 0.05, 20.1, 20.9, d_power_d_n_lens=132.5, u_n_lens=0.0015, u_n_lens_then=0.0003)
    >>> round(float(r.u_common_then_D), 3), round(float(r.saved_per_1000))
    (0.046, 52)
    """
    slope, u_c, *of = (numbers(**{name: x})[0] for name, x in (
        ("d_power_d_n_lens", d_power_d_n_lens), ("u_common_D", u_common_D), ("u_n_lens", u_n_lens), ("u_n_lens_then", u_n_lens_then)
    ))  # fmt: skip
    for name, u in zip(("u_n_lens", "u_n_lens_then"), of, strict=True):
        if np.any(u < 0):
            raise InputError(f"{name} must be 0 or more", quantity=name)
    of_n, of_n_then = (np.abs(slope) * u for u in of)
    rest = u_c * u_c - of_n * of_n
    if np.any(rest < -1e-9 * u_c * u_c):
        raise InputError("u_n_lens explains more than the whole common part of u(power): one of the two is wrong", quantity="u_n_lens")
    if np.any(of_n_then > of_n):
        raise InputError("u_n_lens_then is larger than u_n_lens: measuring again would make the index less well known", quantity="u_n_lens_then")
    u_then = np.sqrt(np.maximum(rest, 0.0) + of_n_then * of_n_then)
    now = lot_forecast(power_D, u_common_D, u_individual_D, lower_D, upper_D, wanted_yield=wanted_yield, lenses=lenses)
    then = lot_forecast(power_D, u_then, u_individual_D, lower_D, upper_D, wanted_yield=wanted_yield, lenses=lenses)
    return Remeasured(u_then[()], now, then, 1000.0 * (then.expected_yield - now.expected_yield))
