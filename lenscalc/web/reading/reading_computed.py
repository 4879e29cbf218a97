"""How the page of a reading sheet came to its figures: the steps and the equation with their numbers, and the command that gives the same."""

from __future__ import annotations

from itertools import pairwise

from lenscalc.chain import Followed
from lenscalc.conditions import N_MEDIUM_IN_USE
from lenscalc.uncertainty.rounding import fixed
from lenscalc.web.shown.computed import how_computed
from lenscalc.web.shown.figures import first
from lenscalc.web.shown.thick_lens_lines import thick_lens_lines

SAVED_AS = "reading_sheet.toml"
LIKE_NORMAL = 1000.0  # with so many degrees of freedom Student's law is the normal one in every digit shown
COMMAND = f"lenscalc follow {SAVED_AS}"
PYTHON = f"""from lenscalc.chain import follow
from lenscalc.refractometer import read_sheet

followed = follow(read_sheet("{SAVED_AS}"))
followed.index.n.value[0], followed.index.n.u[0]
followed.evaluation.only("power_D"), followed.evaluation.only("u_power_D")
followed.evaluation.only("conformance_probability")"""

PYTHON_INDEX = PYTHON.partition("\nfollowed.ev")[0].replace("import follow", "import follow_index").replace("= follow(", "= follow_index(")


def reading_computed(followed: Followed, text: str) -> None:
    """The panel under the results."""
    has_lens = followed.sheet.lens is not None
    functions = [*_functions_of_index(followed), *(("thick_lens", "power_sensitivity") if has_lens else ())]
    if "labelled_power_D" in followed.row:
        functions += ["power_tolerance_D", "conformance_probability", "coverage_factor", "refraction_shift", "recut"]
    how_computed(
        words="The readings are brought step by step to the conditions in the eye; every step adds its sources of error to an account, in which what "
        "two numbers share keeps its sign. The lens's equation gives the power, its derivatives carry the account into it, and the decision asks "
        "how much of what is likely lies between the limits.",
        equations=_equations(followed) if has_lens else _steps(followed),
        functions=functions,
        command=COMMAND if has_lens else COMMAND.replace("follow", "index"),
        python=PYTHON if has_lens else PYTHON_INDEX,
        file=(SAVED_AS, text),
    )  # fmt: skip


def _functions_of_index(followed: Followed) -> list[str]:
    sheet, wanted = followed.sheet, []
    if any(r.mounting or r.session for r in sheet.readings):
        wanted.append("nested_mean")
    if sheet.calibration and sheet.calibration.references:
        wanted += ["fit_line", "water_index"]
    if sheet.dispersion and "abbe_d" in sheet.dispersion:
        wanted.append("dispersion_from_abbe")
    if followed.read.dispersion is not None and len({r.wavelength_nm for r in sheet.readings}) > 1:
        wanted.append("dispersion_fit")
    if sheet.hydration and "dry_density_kg_per_m3" in sheet.hydration:
        wanted.append("hydrated_index")
    return [*wanted, "welch_satterthwaite"]


def _steps(followed: Followed) -> tuple[str, ...]:
    values = [first(step.n.value) for step in followed.index.steps]
    moves = "".join(f" {after - before:+.5f}" for before, after in pairwise(values) if after != before)
    return (rf"n = {values[0]:.5f}{moves} = {values[-1]:.5f}",)


def _equations(followed: Followed) -> tuple[str, ...]:
    row, only = followed.row, followed.evaluation.only
    lines = thick_lens_lines(
        row["front_radius_mm"], row["back_radius_mm"], row["center_thickness_mm"], first(followed.index.n.value), N_MEDIUM_IN_USE, N_MEDIUM_IN_USE,
        only("front_surface_power_D"), only("back_surface_power_D"), only("power_D"),
    )  # fmt: skip
    law = rf"u^2(F) = \sum_i \left(\frac{{\partial F}}{{\partial x_i}}\,u(x_i)\right)^2 = ({only('u_power_D'):.4f}\ \mathrm{{D}})^2"
    p, lower, upper = only("conformance_probability"), only("lower_limit_D"), only("upper_limit_D")
    if p is None:
        return (*_steps(followed), *lines, law)
    F, u = only("power_D"), only("u_power_D")
    dof = only("dof_power")
    law_of = r"\Phi" if dof is None or dof > LIKE_NORMAL else rf"T_{{\nu={dof:.3g}}}"
    ends = (rf"z_{i} = \frac{{{limit:g} - {fixed(F, 4)}}}{{{u:.4f}}} = {fixed((limit - F) / u, 2)}" for i, limit in ((1, lower), (2, upper)))
    return (*_steps(followed), *lines, law, *ends, rf"p = {law_of}(z_2) - {law_of}(z_1) = {p:.4f}")
