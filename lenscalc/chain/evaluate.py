"""The whole chain as one vectorised function: reading → index in use → power → decision → refraction."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from lenscalc.chain.by_trials import BY_TRIALS, power_by_trials
from lenscalc.chain.image import IMAGE, image_of_rows
from lenscalc.chain.inputs import Inputs, inputs_of
from lenscalc.chain.large import evaluate_large
from lenscalc.chain.plan import plan_of
from lenscalc.chain.table import DIMENSIONS, Columns, columns_of
from lenscalc.conditions import N_MEDIUM_IN_USE
from lenscalc.errors import InputError, UnknownNameError
from lenscalc.eye import TEACHING_EYE, comes_from_in_front, refraction_of, shift_of
from lenscalc.lens import Powers, Sensitivities, edge_thickness_mm, one_medium, powers_of, sensitivities_of, volume_of
from lenscalc.lens.recut import curvature_for
from lenscalc.light.fresnel import double_reflectance_of, normal_reflectance_of
from lenscalc.quantities import FloatArray
from lenscalc.refractometer import CALIBRATION, IndexInUse
from lenscalc.uncertainty import Estimate, Source, combine

if TYPE_CHECKING:
    import pandas as pd

    from lenscalc.decision import ToleranceTable

NORMAL_95 = 1.959963984540054  # coverage_factor(0.95)
ON_REQUEST = ("largest_u_n_lens",)  # sixty bisections a row: only where it is asked for
RECUT = ("recut_front_radius_mm", "recut_back_radius_mm")  # on request too


@dataclass(frozen=True, eq=False)
class Evaluation:
    """Result of `evaluate`, one entry a row: computed columns, problems ("" is a good row), warnings, and the estimates behind the columns.

    A large plain table (`lenscalc.chain.plan`) has no estimates: they would be several times its columns.
    """

    columns: dict[str, Any]
    problems: Any
    warnings: Any
    warned: Mapping[int, Sequence[str]]
    estimates: dict[str, Estimate]
    index: IndexInUse | None
    spoken: Any = None  # of a large table: the rows that may have a text

    def frame(self) -> pd.DataFrame:
        """The columns with `problem` and `warning`, as a data frame."""
        import pandas as pd  # heavy, and only a data frame needs it

        return pd.DataFrame({**self.columns, "problem": self.problems, "warning": self.warnings})

    def warnings_of(self, row: int = 0) -> list[str]:
        """The warnings of one row, a sentence each; none for a row with a problem."""
        return [] if self.problems[row] else list(self.warned.get(row, ()))

    def only(self, name: str) -> Any:
        """The value of a column in its first row, None where it is not a finite number: for a single case."""
        value = self.columns.get(name, [None])[0]
        if isinstance(value, float | np.floating):
            return float(value) if np.isfinite(value) else None
        return value


def evaluate(
    table: Any,
    *,
    compute: Sequence[str] = (),
    constants: Mapping[str, Any] | None = None,
    sources: Mapping[Source, Mapping[str, Any]] | None = None,
    exact: Sequence[str] = (),
    tolerance_table: ToleranceTable | None = None,
    strict: bool = False,
    total_rows: int | None = None,
    into: Evaluation | None = None,
    on_progress: Callable[[int, int], None] | None = None,
) -> Evaluation:
    """Evaluate every row of a table; a single case is a table of one row.

    A bad row keeps its place and gets a message; the others are computed. A row is decided only where a `labelled_power_D` is given, the medium is
    the conventional 1.336, and neither the index nor a dimension is taken as exact for want of an uncertainty.

    A large table of which only the power, its derivatives and its u are asked (by name, in `compute`) goes through a compiled loop, to the same bits.

    Parameters
    ----------
    table : mapping of columns or DataFrame
        names as in the registry, `u_` before a name for its standard uncertainty; numbers or texts, nan or empty for missing.
    compute : names of columns, optional
        only these; empty for all but those on request, which must be named: `largest_u_n_lens`, `recut_front_radius_mm`, `recut_back_radius_mm`,
        `chromatic_difference_D`, as in `compute=("*", "largest_u_n_lens")`; and of the image, for rows with `pupil_diameter_mm`, and `beam`
        (collimated or model-eye) or `vergence_D`: `longitudinal_spherical_aberration_mm`, `best_focus_shift_mm`, `rms_spot_best_focus_mm`,
        `zernike_4_0_um`; with `wavelength_nm` and `frequency_per_mm` too `mtf`, `diffraction_mtf`.
    constants : mapping, optional
        values that hold for every row.
    sources : {Source: {quantity: signed u}}, optional
        causes of error that act on several quantities, or that know more than a `u_` column can say.
    exact : names of dimensions, optional
        taken as they stand on a drawing, whatever acts on them through `sources`: such a row is not decided.
    tolerance_table : ToleranceTable, optional
        the tolerances in force, for rows without a `tolerance_D`; the shipped table by default.
    strict : bool
        raise for the first bad row, and for the first unusual value, instead of noting it.
    total_rows : int, optional
        length of the run of which this table is a block: that decides which way it goes.
    into : Evaluation, optional
        an earlier result, as it came, that is no longer needed: a large table is written into its arrays as far as they fit;
        fresh memory costs more than the work.
    on_progress : callable(done, total), optional
        called when rows are done.

    Returns
    -------
    Evaluation

    Raises
    ------
    InputError
        for a table that cannot be read as one: an unknown or missing column; with `strict`, for a row.

    Examples
    --------
    >>> r = evaluate({"front_radius_mm": [15.0], "back_radius_mm": [-15.0], "center_thickness_mm": [0.9], "n_lens": [1.49]})
    >>> round(float(r.columns["power_D"][0]), 6)
    20.469666
    """
    plan = None if sources or exact or strict else plan_of(table, compute, constants, total_rows)
    if plan is not None:
        large = evaluate_large(plan, lambda rows: _ordinary(rows, compute=compute), into, on_progress)
        return Evaluation(large.columns, large.problems, large.warnings, large.warned, {}, None, large.spoken)
    return _ordinary(table, compute, constants, sources, exact, tolerance_table, strict, on_progress)


def _ordinary(
    table: Any,
    compute: Sequence[str],
    constants: Mapping[str, Any] | None = None,
    sources: Mapping[Source, Mapping[str, Any]] | None = None,
    exact: Sequence[str] = (),
    tolerance_table: ToleranceTable | None = None,
    strict: bool = False,
    on_progress: Callable[[int, int], None] | None = None,
) -> Evaluation:
    """Every other table, by whole arrays."""
    columns = columns_of(table, constants)
    given = inputs_of(columns, sources or {}, CALIBRATION, exact)
    columns.warn(
        given.is_estimate,
        "read dry and carried to the wet polymer by a mixing rule: an estimate, which published hydrogels miss by up to 0.02 of index; "
        "a decision needs a hydrated reading",
    )
    estimates, out = _power(columns, given)
    _decision(columns, given, estimates, out, compute, tolerance_table)
    if any(name in BY_TRIALS for name in compute):
        _trials(columns, given, out)
    if any(name in RECUT for name in compute):
        _recut(columns, given, out)
    if "chromatic_difference_D" in compute:
        _chromatic(columns, given, out)
    image = [name for name in IMAGE if name in compute]
    if image:
        out |= image_of_rows(columns, given, image, on_progress)
    bad = np.zeros(columns.size, dtype=bool)
    bad[list(columns.problems)] = True
    for name, values in out.items():
        out[name] = np.where(bad, "" if values.dtype == object else np.nan, values)
    told = {*columns.problems, *columns.warnings}
    if strict and told:
        row = min(told)
        sentence = (columns.problems.get(row) or columns.warnings[row])[0]
        raise InputError(f"row {row + 1}: {sentence}" if columns.size > 1 else sentence, row=row + 1)
    if on_progress:
        on_progress(columns.size, columns.size)
    return Evaluation(
        _wanted(out, compute),
        columns.sentences(columns.problems),
        np.where(bad, "", columns.sentences(columns.warnings)),
        columns.warnings,
        estimates,
        given.index,
    )


def _wanted(out: dict[str, Any], compute: Sequence[str]) -> dict[str, Any]:
    names = [n for n in compute if n != "*"]
    for name in names:
        if name not in out:
            raise UnknownNameError(name, out, what="result")
    if not names or "*" in compute:
        return out
    return {name: out[name] for name in names}


def _power(columns: Columns, given: Inputs) -> tuple[dict[str, Estimate], dict[str, Any]]:
    R1, R2, t = (columns.number(n) for n in ("front_radius_mm", "back_radius_mm", "center_thickness_mm"))
    n, m = given.of["n_lens"], given.of["n_medium"]
    behind = columns.number("n_medium_behind")
    alone = np.isnan(behind)
    m2 = np.where(alone, m.value, behind)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        powers: Powers = powers_of(R1, R2, t, n.value, m.value, m2)
        s: Sensitivities = one_medium(sensitivities_of(R1, R2, t, n.value, m.value, m2), alone)
    power = _combined(powers.power_D, s, given, m)
    estimates = {"n_lens": n, "power_D": power}
    out: dict[str, Any] = {}
    if "n_reading" in columns.numbers:
        out["n_lens"] = n.value
        out["u_n_lens"] = n.u
    out["power_D"] = powers.power_D
    out["u_power_D"] = power.u
    out["u_power_common_D"] = power.u_where(lambda source: source.is_common)
    out["u_power_individual_D"] = power.u_of("lens")
    calibrated = [part for source, part in power.parts.items() if source.name == CALIBRATION.name]
    out["calibration_part_power_D"] = np.broadcast_to(sum(calibrated, 0.0), n.value.shape) + 0.0
    out["dof_power"] = power.dof
    out |= {name: value for name, value in powers._asdict().items() if name != "power_D"}
    out |= s._asdict()
    with np.errstate(invalid="ignore"):
        out["front_reflectance"], out["back_reflectance"] = normal_reflectance_of(m.value, n.value), normal_reflectance_of(n.value, m2)
        out["double_reflectance"] = double_reflectance_of(m.value, n.value, m2)
    if "optic_diameter_mm" in columns.numbers:
        D, k1, k2 = columns.number("optic_diameter_mm"), np.nan_to_num(columns.number("front_conic")), np.nan_to_num(columns.number("back_conic"))
        out["edge_thickness_mm"] = edge_thickness_mm(R1, R2, t, D, front_conic=k1, back_conic=k2)
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            out["volume_mm3"] = volume_of(R1, R2, t, D / 2.0, k1, k2)
        if "density_kg_per_m3" in columns.numbers:
            out["mass_mg"] = out["volume_mm3"] * columns.number("density_kg_per_m3") / 1000.0
    if "n_measured_medium" in columns.numbers:
        measured = given.of["n_measured_medium"]
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            there = powers_of(R1, R2, t, n.value, measured.value, measured.value)
            slope = one_medium(sensitivities_of(R1, R2, t, n.value, measured.value, measured.value), np.ones(alone.shape, dtype=bool))
        elsewhere = _combined(there.power_D, slope, given, measured)
        estimates["power_in_measured_medium_D"] = elsewhere
        out["power_in_measured_medium_D"], out["u_power_in_measured_medium_D"] = there.power_D, elsewhere.u
    return estimates, out


def _recut(columns: Columns, given: Inputs, out: dict[str, Any]) -> None:
    """Radii that would give the label with this row's index, the ratio of the curvatures and the centre thickness held; nan where none would."""
    if "labelled_power_D" not in columns.numbers:
        raise InputError(f"labelled_power_D is missing: {RECUT[0]} and {RECUT[1]} are the radii that would give it", quantity="labelled_power_D")
    R1, R2, t = (columns.number(n) for n in ("front_radius_mm", "back_radius_mm", "center_thickness_mm"))
    m, behind = given.of["n_medium"].value, columns.number("n_medium_behind")
    m2 = np.where(np.isnan(behind), m, behind)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        x = curvature_for(columns.number("labelled_power_D"), 0.0, 1.0 / R1, 0.0, 1.0 / R2, t, given.of["n_lens"].value, m, m2)
        out[RECUT[0]], out[RECUT[1]] = np.where(x == 0.0, np.inf, R1 / x), np.where(x == 0.0, np.inf, R2 / x)


def _chromatic(columns: Columns, given: Inputs, out: dict[str, Any]) -> None:
    """Power at F less power at C, where the Abbe number is known and the medium is an aqueous on both sides."""
    from lenscalc.lens.chromatic_focus import HIGHEST_AQUEOUS, LOWEST_AQUEOUS, chromatic_difference_of

    if "abbe_d" not in columns.numbers:
        raise InputError("abbe_d is missing: chromatic_difference_D comes from the dispersion of the lens", quantity="abbe_d")
    R1, R2, t, V = (columns.number(n) for n in ("front_radius_mm", "back_radius_mm", "center_thickness_mm", "abbe_d"))
    m = given.of["n_medium"].value
    known = (m >= LOWEST_AQUEOUS) & (m <= HIGHEST_AQUEOUS) & np.isnan(columns.number("n_medium_behind"))
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        out["chromatic_difference_D"] = np.where(known, chromatic_difference_of(R1, R2, t, given.of["n_lens"].value, V, m), np.nan)


def _combined(power_D: FloatArray, s: Sensitivities, given: Inputs, medium: Estimate) -> Estimate:
    of = given.of
    terms = [
        (s.d_power_d_n_lens, of["n_lens"]),
        (s.d_power_d_n_medium, medium),
        (s.d_power_d_front_curvature_per_mm, of["front_curvature_per_mm"]),
        (s.d_power_d_back_curvature_per_mm, of["back_curvature_per_mm"]),
        (s.d_power_d_center_thickness_mm, of["center_thickness_mm"]),
    ]
    if of["n_medium_behind"].parts:
        terms.append((np.where(np.isnan(s.d_power_d_n_medium_behind), 0.0, s.d_power_d_n_medium_behind), of["n_medium_behind"]))
    return combine(power_D, terms)


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


def _trials(columns: Columns, given: Inputs, out: dict[str, Any]) -> None:
    nothing = np.full(columns.size, np.nan)
    good = np.ones(columns.size, dtype=bool)
    good[list(columns.problems)] = False
    decided = ~np.isnan(out.get("conformance_probability", nothing))
    rows = good & ~given.is_exact & ~given.is_estimate & np.isfinite(out["power_D"])
    out |= power_by_trials(given, out.get("lower_limit_D", nothing), out.get("upper_limit_D", nothing), rows, decided)


def _decision(
    columns: Columns, given: Inputs, estimates: dict[str, Estimate], out: dict[str, Any], compute: Sequence[str], table: ToleranceTable | None
) -> None:
    power = estimates["power_D"]
    _interval(given, out)
    if "labelled_power_D" not in columns.numbers:
        from lenscalc.decision.decide import proposed_label_D

        out["proposed_label_D"] = proposed_label_D(power.value)
        return
    # scipy's special functions take a third of a second to import: only where something is decided
    from lenscalc.decision import REQUIRED_PROBABILITY, decide, expected_yield, largest_u_n_lens, proposed_label_D, shipped_tolerance_table

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
