"""Is the refractometer good enough for this lens, and what would better work on it bring?"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final, NamedTuple

import numpy as np

from lenscalc.conditions import N_MEDIUM_IN_USE
from lenscalc.decision.adequacy import largest_u_n_lens
from lenscalc.decision.decide import REQUIRED_PROBABILITY, refuse_per_cent
from lenscalc.decision.tolerance import ToleranceTable, power_tolerance_D
from lenscalc.errors import InputError
from lenscalc.quantities import numbers, single_numbers
from lenscalc.uncertainty import Estimate, conformance_probability
from lenscalc.uncertainty.capability import measurement_capability, uncertainty_ratio
from lenscalc.uncertainty.risk import global_risks

REFERENCE_LINES: Final = {
    "ten to one": "the instrument resolves ten times finer than the tolerance (common practice, no source)",
    "four to one": "tolerance over U, k = 2, of four or more (abstract on ANSI/NCSL Z540.3, 5.3)",
    "two per cent": "probability of false acceptance of at most 2 % (abstract on ANSI/NCSL Z540.3, 5.3)",
}
POWERS_D: Final = (10.0, 15.0, 20.0, 25.0, 30.0, 35.0)
INDICES: Final = (1.41, 1.43, 1.46, 1.49, 1.55)
_MOST_DECIMALS: Final = 9


class DecimalsNeeded(NamedTuple):
    """How many decimals of the index a lens asks for.

    `decimals`: the fewest with which rounding alone still lets a lens on its label be decided, a lower bound that leaves nothing for any other
    error. `decimals_ten_to_one`: the fewest with which one step of the last decimal moves the power by no more than a tenth of the tolerance.
    """

    power_D: Any
    n_lens: Any
    tolerance_D: Any
    d_power_d_n_lens: Any
    largest_u_n_lens: Any
    decimals: Any
    decimals_ten_to_one: Any


def decimals_needed(
    power_D: Any,
    n_lens: Any,
    *,
    tolerance_D: Any,
    n_medium: float = N_MEDIUM_IN_USE,
    required_probability: Any = REQUIRED_PROBABILITY,
    u_other_D: Any = 0.0,
) -> DecimalsNeeded:
    """Decimals of the index for a power and a material, by the thin lens ∂F/∂n = F/(n − m); nan where no number of them decides.

    A last decimal d has u = 10⁻ᵈ/√12 (JCGM 100:2008, F.2.2.1).

    Raises
    ------
    InputError
        for an index equal to the medium's, or a tolerance not above 0.

    >>> d = decimals_needed(20.0, 1.49, tolerance_D=0.4)
    >>> round(float(d.largest_u_n_lens), 5), int(d.decimals), int(d.decimals_ten_to_one)
    (0.00157, 3, 4)
    """
    power, n, T, p, other = numbers(
        power_D=power_D, n_lens=n_lens, tolerance_D=tolerance_D, required_probability=required_probability, u_other_D=u_other_D
    )
    (n_medium,) = single_numbers(n_medium=n_medium)
    if np.any(n == n_medium):
        raise InputError(f"n_lens = {n_medium:g}: a lens of the medium's own index has no power", quantity="n_lens", value=n_medium)
    if np.any(~(T > 0)):
        raise InputError("tolerance_D must be above 0", quantity="tolerance_D", unit="D")
    slope = np.abs(power / (n - n_medium))
    largest = largest_u_n_lens(power, power - T, power + T, other, slope, p)
    with np.errstate(divide="ignore"):
        return DecimalsNeeded(power[()], n[()], T[()], slope[()], largest, _decimals(largest * np.sqrt(12.0)), _decimals(T / 10.0 / slope))


def _decimals(step: Any) -> Any:
    """The fewest decimals whose last step is no coarser; nan beyond what any refractometer shows."""
    d = np.ceil(-np.log10(step) - 1e-12)
    return np.where(d <= _MOST_DECIMALS, np.maximum(d, 0.0), np.nan)[()]


def decimals_table(
    powers_D: Sequence[float] = POWERS_D,
    indices: Sequence[float] = INDICES,
    *,
    table: ToleranceTable | None = None,
    required_probability: float = REQUIRED_PROBABILITY,
    u_other_D: float = 0.0,
) -> list[DecimalsNeeded]:
    """How many decimals of index for which power and which material: a row a power and an index, with the tolerance of that label.

    >>> [(r.power_D, r.n_lens, int(r.decimals), int(r.decimals_ten_to_one)) for r in decimals_table((20.0,), (1.43, 1.55))]
    [(20.0, 1.43, 3, 4), (20.0, 1.55, 3, 4)]
    """
    return [
        DecimalsNeeded(*(float(x) for x in decimals_needed(
            power, n, tolerance_D=power_tolerance_D(power, table=table), required_probability=required_probability, u_other_D=u_other_D
        )))
        for power in powers_D
        for n in indices
    ]  # fmt: skip


class InstrumentAnswer(NamedTuple):
    """Whether an index instrument is good enough for a tolerance of a power.

    `u_power_D`: what its resolution and calibration put into the power, `u_whole_D` with the other contributions, `expanded_D` = k·u_whole_D.
    `uncertainty_ratio` = tolerance/U, `measurement_capability` = 2·tolerance/(4u), `step_power_D`: one step of the display, as power.
    `decides`: whether a lens on its label can be decided at the required probability. `false_accept`: global consumer's risk of simple acceptance
    with the process given, nan without one. The last three are reference lines, see `REFERENCE_LINES`.
    """

    u_index: Any
    u_power_D: Any
    u_whole_D: Any
    expanded_D: Any
    uncertainty_ratio: Any
    measurement_capability: Any
    step_power_D: Any
    decides: Any
    false_accept: Any
    ten_to_one: Any
    four_to_one: Any
    two_per_cent: Any


def instrument_adequacy(
    d_power_d_n_lens: Any,
    *,
    tolerance_D: Any,
    resolution: Any,
    u_calibration: Any = 0.0,
    u_other_D: Any = 0.0,
    required_probability: Any = REQUIRED_PROBABILITY,
    k: float = 2.0,
    process_offset_D: Any = 0.0,
    process_sd_D: Any = None,
) -> InstrumentAnswer:
    """Is the refractometer good enough for this lens?

    A resolution d has u = d/√12 (JCGM 100:2008, F.2.2.1). `process_offset_D` is the mean of what is made less the label.

    Raises
    ------
    InputError
        for a resolution or an uncertainty below 0, a tolerance or a k not above 0, or a required probability outside 0 to 1.

    >>> a = instrument_adequacy(132.5, tolerance_D=0.4, resolution=0.0001, u_calibration=0.0002)
    >>> round(float(a.u_power_D), 4), round(float(a.uncertainty_ratio), 1), bool(a.decides), bool(a.ten_to_one)
    (0.0268, 7.5, True, True)
    """
    for name, x in (("resolution", resolution), ("u_calibration", u_calibration), ("u_other_D", u_other_D)):
        if np.any(~(numbers(**{name: x})[0] >= 0)):
            raise InputError(f"{name} must be 0 or more", quantity=name)
    (T,), (d_power_d_n_lens,), (k,) = numbers(tolerance_D=tolerance_D), numbers(d_power_d_n_lens=d_power_d_n_lens), single_numbers(k=k)
    if np.any(~(T > 0)):
        raise InputError("tolerance_D must be above 0", quantity="tolerance_D", unit="D")
    if not k > 0:
        raise InputError(f"k = {k}: a coverage factor must be above 0", quantity="k")
    refuse_per_cent(required_probability)
    slope = np.abs(d_power_d_n_lens)
    u_index = np.hypot(np.asarray(resolution) / np.sqrt(12.0), u_calibration)
    u_power = slope * u_index
    u = np.hypot(u_power, u_other_D)
    ratio = uncertainty_ratio(T, k * u)
    step = slope * np.asarray(resolution)
    false = np.full(np.broadcast(T, u).shape, np.nan)[()]
    if process_sd_D is not None:
        false = global_risks(process_offset_D, process_sd_D, u, -T, T, acceptance_lower=-T, acceptance_upper=T).consumers_risk
    return InstrumentAnswer(
        u_index, u_power, u, k * u, ratio, measurement_capability(-T, T, u), step,
        conformance_probability(0.0, u, -T, T) >= required_probability, false, step <= T / 10.0 * (1.0 + 1e-12),
        uncertainty_ratio(T, 2.0 * u) >= 4.0 * (1.0 - 1e-12), np.where(np.isnan(false), np.nan, false <= 0.02)[()],
    )  # fmt: skip


class Contribution(NamedTuple):
    """One source of u(power): what would be gained by halving it, and by doing away with it."""

    source: str
    part_D: float
    share: float
    u_halved_D: float
    u_without_D: float
    probability_halved: float
    probability_without: float


def work_on_first(power: Estimate, lower_D: float, upper_D: float, *, case: int = 0) -> list[Contribution]:
    """Which contribution to work on first: the sources of one case of a power, the one that brings most at the top.

    >>> from lenscalc.uncertainty import Source
    >>> power = Estimate(20.5, {Source("calibration"): 0.12, Source("front radius"): 0.05})
    >>> [(c.source, round(c.u_halved_D, 3)) for c in work_on_first(power, 20.1, 20.9)]
    [('calibration', 0.078), ('front radius', 0.123)]
    """
    parts = {s: float(np.broadcast_to(x, np.shape(power.value)).ravel()[case]) for s, x in power.parts.items()}
    value = float(np.ravel(power.value)[case])
    total = sum(x * x for x in parts.values())
    kept = [source for source, part in parts.items() if part * part > 1e-24 * total]  # beyond rounding
    if not kept:
        return []
    halves, zeros = np.eye(len(kept)) / 2.0, np.eye(len(kept))  # a row for each source that is changed, halved first, then left out
    less = dict(zip(kept, np.vstack([halves, zeros]).T, strict=True))
    changed = Estimate(np.full(2 * len(kept), value), {s: part * (1.0 - less[s]) if s in less else part for s, part in parts.items()})
    u = changed.u
    (u_halved, u_without), (p_halved, p_without) = (
        np.split(np.broadcast_to(x, 2 * len(kept)), 2) for x in (u, conformance_probability(value, u, lower_D, upper_D, changed.dof))
    )
    rows = [
        Contribution(s.name, parts[s], parts[s] * parts[s] / total, *(float(x[i]) for x in (u_halved, u_without, p_halved, p_without)))
        for i, s in enumerate(kept)
    ]
    return sorted(rows, key=lambda c: c.u_halved_D)
