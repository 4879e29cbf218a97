"""The columns of the lens: its powers with their uncertainty, derivatives, reflectances, geometry; on request the re-cut radii and the colours."""

from __future__ import annotations

from typing import Any

import numpy as np

from lenscalc.chain.inputs import Inputs
from lenscalc.chain.table import Columns
from lenscalc.errors import InputError
from lenscalc.lens import Powers, Sensitivities, edge_thickness_mm, one_medium, powers_of, sensitivities_of, volume_of
from lenscalc.lens.curvature_line import curvature_for
from lenscalc.light.fresnel import double_reflectance_of, normal_reflectance_of
from lenscalc.quantities import FloatArray
from lenscalc.refractometer import CALIBRATION
from lenscalc.uncertainty import Estimate, combine

RECUT = ("recut_front_radius_mm", "recut_back_radius_mm")  # on request


def power_of_rows(columns: Columns, given: Inputs) -> tuple[dict[str, Estimate], dict[str, Any]]:
    """The estimates of index and power, and the columns of the lens: powers, derivatives, reflectances, geometry, the power in a measured medium."""
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
    out["calibration_part_power_D"] = sum(calibrated, np.zeros(n.value.shape))
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


def recut_of_rows(columns: Columns, given: Inputs, out: dict[str, Any]) -> None:
    """Radii that would give the label with this row's index, the ratio of the curvatures and the centre thickness held; nan where none would."""
    if "labelled_power_D" not in columns.numbers:
        raise InputError(f"labelled_power_D is missing: {RECUT[0]} and {RECUT[1]} are the radii that would give it", quantity="labelled_power_D")
    R1, R2, t = (columns.number(n) for n in ("front_radius_mm", "back_radius_mm", "center_thickness_mm"))
    m, behind = given.of["n_medium"].value, columns.number("n_medium_behind")
    m2 = np.where(np.isnan(behind), m, behind)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        x = curvature_for(columns.number("labelled_power_D"), 0.0, 1.0 / R1, 0.0, 1.0 / R2, t, given.of["n_lens"].value, m, m2)
        out[RECUT[0]], out[RECUT[1]] = np.where(x == 0.0, np.inf, R1 / x), np.where(x == 0.0, np.inf, R2 / x)


def chromatic_of_rows(columns: Columns, given: Inputs, out: dict[str, Any]) -> None:
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
