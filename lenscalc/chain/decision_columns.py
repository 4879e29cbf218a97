"""The columns of the decision: interval, label and limits, conformance, lot, the shift of refraction; and those by trials."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from lenscalc.chain.by_trials import power_by_trials
from lenscalc.chain.inputs import Inputs
from lenscalc.chain.table import DIMENSIONS, Columns
from lenscalc.conditions import N_MEDIUM_IN_USE
from lenscalc.eye import TEACHING_EYE, comes_from_in_front, refraction_of, shift_of
from lenscalc.uncertainty import Estimate, combine

if TYPE_CHECKING:
    from lenscalc.decision import ToleranceTable

NORMAL_95 = 1.959963984540054  # coverage_factor(0.95)
ON_REQUEST = ("largest_u_n_lens",)  # its own search in every row: only where it is asked for


def _interval(given: Inputs, out: dict[str, Any]) -> None:
    """Where the power lies with 95 %: k of its degrees of freedom times u; none where an uncertainty is missing."""
    power, u, dof = out["power_D"], out["u_power_D"], out["dof_power"]
    k: Any = NORMAL_95
    if not np.all(np.isinf(dof)):  # scipy only where a t is asked for
        from lenscalc.uncertainty import coverage_factor

        k = coverage_factor(0.95, dof)
    known = ~given.is_exact & ~given.is_estimate
    with np.errstate(invalid="ignore"):
        out["interval_lower_D"] = np.where(known, power - k * u, np.nan)
        out["interval_upper_D"] = np.where(known, power + k * u, np.nan)


def trials_of_rows(columns: Columns, given: Inputs, out: dict[str, Any]) -> None:
    """The columns that come by trials, for rows that are good and have their uncertainties."""
    nothing = np.full(columns.size, np.nan)
    good = np.ones(columns.size, dtype=bool)
    good[list(columns.problems)] = False
    decided = ~np.isnan(out.get("conformance_probability", nothing))
    rows = good & ~given.is_exact & ~given.is_estimate & np.isfinite(out["power_D"])
    out |= power_by_trials(given, out.get("lower_limit_D", nothing), out.get("upper_limit_D", nothing), rows, decided)


def decision_of_rows(
    columns: Columns, given: Inputs, estimates: dict[str, Estimate], out: dict[str, Any], compute: Sequence[str], table: ToleranceTable | None
) -> None:
    """The interval of every row; where there is a label its decision, lot and shift of refraction, else the label that the power would have."""
    power = estimates["power_D"]
    _interval(given, out)
    if "labelled_power_D" not in columns.numbers:
        from lenscalc.decision.decide import proposed_label_D

        out["proposed_label_D"] = proposed_label_D(power.value)
        return
    # scipy's special functions take a third of a second to import: only where something is decided
    from lenscalc.decision import REQUIRED_PROBABILITY, decide, expected_yield, largest_u_n_lens, proposed_label_D, shipped_tolerance_table, slips

    label = columns.number("labelled_power_D")
    table = table or shipped_tolerance_table()
    tolerance = np.where(np.isnan(columns.number("tolerance_D")), table.of(label), columns.number("tolerance_D"))
    required = np.where(np.isnan(columns.number("required_probability")), REQUIRED_PROBABILITY, columns.number("required_probability"))
    labelled = ~np.isnan(label)
    columns.refuse(labelled & np.isnan(tolerance), f"labelled_power_D lies beyond the tolerance table, which ends at {table.bands[-1][0]:g} D")
    reference = (given.of["n_medium"].value == N_MEDIUM_IN_USE) & np.isnan(columns.number("n_medium_behind"))
    reference &= np.broadcast_to(given.of["n_medium"].u == 0, reference.shape)
    columns.warn(
        labelled & ~reference,
        f"not a decision: a label is decided at n_medium = {N_MEDIUM_IN_USE} exactly, on both sides; give a measured medium as n_measured_medium",
    )
    for row in np.flatnonzero(labelled & given.is_exact):
        names = [name for name, rows in given.exact.items() if rows[row]]
        what = "dimensions taken as exact" if names == list(DIMENSIONS) else f"taken as exact for want of a u: {', '.join(names)}"
        columns.warnings.setdefault(int(row), []).append(f"{what}: not a decision")
    decided = labelled & reference & ~given.is_exact & ~given.is_estimate
    for rows, sentence in slips(power.value, out["u_power_D"], label, tolerance):
        columns.warn(reference & rows, sentence)
    dof_common = power.dof_where(lambda source: source.is_common)
    d = decide(power.value, out["u_power_D"], out["dof_power"], out["u_power_common_D"], dof_common, label, tolerance, required)
    for name, values in d._asdict().items():
        hide = "" if values.dtype == object else np.nan
        out[name] = values if name in ("lower_limit_D", "upper_limit_D") else np.where(decided, values, hide)
    of_lot = (power.value, out["u_power_common_D"], out["u_power_individual_D"], label - tolerance, label + tolerance)
    out["expected_yield"] = np.where(decided, expected_yield(*of_lot, dof_common=dof_common), np.nan)
    out["proposed_label_D"] = np.where(labelled, np.nan, proposed_label_D(power.value))
    if any(name in ON_REQUEST for name in compute):
        of_n = np.abs(out["d_power_d_n_lens"]) * given.of["n_lens"].u
        other = np.sqrt(np.maximum((out["u_power_D"] - of_n) * (out["u_power_D"] + of_n), 0.0))
        out["largest_u_n_lens"] = np.where(
            labelled & reference & ~given.dimensions_exact,
            largest_u_n_lens(power.value, d.lower_limit_D, d.upper_limit_D, other, out["d_power_d_n_lens"], required, out["dof_power"]),
            np.nan,
        )
    with np.errstate(divide="ignore", invalid="ignore"):
        seen, wanted = refraction_of(power.value, *TEACHING_EYE), refraction_of(label, *TEACHING_EYE)
        moved = shift_of(power.value, seen.d_refraction_d_power, label, wanted.d_refraction_d_power)
    shift = combine(moved, [(seen.d_refraction_d_power, power)])
    estimates["refraction_shift_D"] = shift
    visible = reference & comes_from_in_front(seen, TEACHING_EYE) & comes_from_in_front(wanted, TEACHING_EYE)
    out["refraction_shift_D"] = np.where(visible, shift.value, np.nan)
    out["u_refraction_shift_D"] = np.where(visible, shift.u, np.nan)
