"""The whole chain as one vectorised function: reading → index in use → power → decision → refraction."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from lenscalc.chain.by_trials import BY_TRIALS
from lenscalc.chain.decision_columns import decision_of_rows, trials_of_rows
from lenscalc.chain.image import IMAGE, image_of_rows
from lenscalc.chain.inputs import inputs_of
from lenscalc.chain.large import evaluate_large
from lenscalc.chain.plan import plan_of
from lenscalc.chain.power_columns import RECUT, chromatic_of_rows, power_of_rows, recut_of_rows
from lenscalc.chain.table import columns_of, refuse_no_table
from lenscalc.errors import InputError, UnknownNameError
from lenscalc.quantities import in_row
from lenscalc.refractometer import CALIBRATION, IndexInUse
from lenscalc.uncertainty import Estimate, Source

if TYPE_CHECKING:
    import pandas as pd

    from lenscalc.decision import ToleranceTable



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
        for a table that cannot be read as one: no columns by name, an unknown or missing column; with `strict`, for a row.

    Examples
    --------
    >>> r = evaluate({"front_radius_mm": [15.0], "back_radius_mm": [-15.0], "center_thickness_mm": [0.9], "n_lens": [1.49]})
    >>> round(float(r.columns["power_D"][0]), 6)
    20.469666
    """
    refuse_no_table(table)
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
    estimates, out = power_of_rows(columns, given)
    decision_of_rows(columns, given, estimates, out, compute, tolerance_table)
    if any(name in BY_TRIALS for name in compute):
        trials_of_rows(columns, given, out)
    if any(name in RECUT for name in compute):
        recut_of_rows(columns, given, out)
    if "chromatic_difference_D" in compute:
        chromatic_of_rows(columns, given, out)
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
        where, number = in_row(row, columns.size)
        raise InputError(f"{where}{sentence}", row=number)
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
