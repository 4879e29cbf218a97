"""The functions that a reference case may name, each giving its values by quantity: thin adapters, nothing is computed here."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from math import asin, inf, isnan
from typing import Any


def _lens(name: str) -> Callable[..., dict[str, Any]]:
    def call(**inputs: Any) -> dict[str, Any]:
        from lenscalc import lens

        result: dict[str, Any] = getattr(lens, name)(**inputs)._asdict()
        return result

    return call


def _material(name: str, quantity: str) -> Callable[..., dict[str, Any]]:
    def call(**inputs: Any) -> dict[str, Any]:
        from lenscalc import material

        return {quantity: getattr(material, name)(**inputs)}

    return call


def _polymer(name: str, wavelength_nm: float | None = None) -> dict[str, Any]:
    """Of the shipped ones only: a lab's own file has no say in a check of the installation."""
    from lenscalc.material.polymer_library import shipped_polymers

    found = shipped_polymers()[name]
    return {"abbe_d": found.abbe_d} if wavelength_nm is None else {"n": found.n(wavelength_nm)}
def _aqueous(**inputs: Any) -> dict[str, Any]:
    from lenscalc.material import aqueous_index

    result: dict[str, Any] = aqueous_index(**inputs)._asdict()
    return result
def _material_tuple(name: str) -> Callable[..., dict[str, Any]]:
    def call(**inputs: Any) -> dict[str, Any]:
        from lenscalc import material

        result: dict[str, Any] = getattr(material, name)(**inputs)._asdict()
        return result

    return call


def _unmix(n: list[float], **inputs: Any) -> dict[str, Any]:
    """A file cannot hold None: the component that is sought is nan there."""
    from lenscalc.material import unmix

    return {"n": unmix(n=[None if isnan(x) else x for x in n], **inputs)}


def _increments(**increments: int) -> dict[str, Any]:
    """Keys of a file are bare: an underscore stands for a blank."""
    from lenscalc.material import molar_refraction_from_increments

    return {"molar_refraction_cm3_per_mol": molar_refraction_from_increments({k.replace("_", " "): v for k, v in increments.items()})}
def _dispersion_from_abbe(n_d: float, abbe_d: float, wavelength_nm: float, form: str = "cauchy") -> dict[str, Any]:
    from lenscalc.material import Dispersion

    return {"n": Dispersion.from_abbe(n_d, abbe_d, form=form).n(wavelength_nm)}


def _dispersion_fit(wavelength_nm: list[float], n: list[float], form: str, terms: int | None = None, u_n: float | None = None) -> dict[str, Any]:
    from lenscalc.material import Dispersion

    fit = Dispersion.fit(wavelength_nm, n, form=form, terms=terms, u_n=u_n)
    known = {} if u_n is None else {"u_abbe_d": fit.u_abbe_d}
    return {**dict(zip(fit.parameter_names, fit.parameters.tolist(), strict=True)), "abbe_d": fit.abbe_d, **known}


def _refractometer(name: str) -> Callable[..., dict[str, Any]]:
    def call(**inputs: Any) -> dict[str, Any]:
        from lenscalc import refractometer

        return {"n": getattr(refractometer, name)(**inputs)}

    return call


def _snell(**inputs: Any) -> dict[str, Any]:
    from lenscalc.light import snell_deg

    return {"angle_deg": snell_deg(**inputs)}


def _system(
    radius_mm: list[float], conic: list[float], distances_mm: list[float], indices: list[float], aspheric_4_6: Any = None, moves: Any = None
) -> Any:
    """A row of surfaces as a case file writes it: a list a property; moves are shift x, shift y, tilt about x, about y."""
    from lenscalc.light import Surface, System

    surfaces = []
    for i, (radius, k) in enumerate(zip(radius_mm, conic, strict=True)):
        terms = dict(zip((4, 6), aspheric_4_6[i], strict=True)) if aspheric_4_6 else {}
        x, y, a, b = moves[i] if moves else (0.0, 0.0, 0.0, 0.0)
        surfaces.append(Surface(radius, k, terms, shift_x_mm=x, shift_y_mm=y, tilt_x_deg=a, tilt_y_deg=b))
    return System(surfaces, indices, distances_mm)


def _trace(x_mm: float, y_mm: float, plane_mm: float, focus_mm: float = inf, **system: Any) -> dict[str, Any]:
    """A ray of a beam towards a point on the axis, and its path less that of the ray along the axis."""
    from lenscalc.light import trace

    rays = trace(_system(**system), x_mm=[x_mm, 0.0], y_mm=[y_mm, 0.0], vergence_D=1000.0 * system["indices"][0] / focus_mm, plane_mm=plane_mm)
    found = {name: getattr(rays, name)[0] for name in ("x_mm", "y_mm", "direction_x", "direction_y")}
    across = (found["direction_x"] ** 2 + found["direction_y"] ** 2) ** 0.5
    return {**found, "path_difference_mm": rays.optical_path_mm[0] - rays.optical_path_mm[1], "angle_to_axis_rad": asin(across)}


def _paraxial_image(**system: Any) -> dict[str, Any]:
    from lenscalc.light import paraxial_image

    return dict(paraxial_image(_system(**system))._asdict())


def _in_a_beam(name: str) -> Callable[..., dict[str, Any]]:
    """What a row of surfaces does to a collimated beam; of the wavefront the rim's, of the MTF one value a frequency."""

    def call(pupil_diameter_mm: float, frequency_per_mm: Any = None, **given: Any) -> dict[str, Any]:
        from lenscalc import light

        more = {k: given.pop(k) for k in ("focus", "wavelength_nm", "field_deg") if k in given}
        system, beam = _system(**given), light.Beam(pupil_diameter_mm)
        if name == "seidel_sums":
            return dict(light.seidel_sums(system, pupil_diameter_mm=pupil_diameter_mm, **more)._asdict())
        if name == "wavefront_um":
            return {name: light.wavefront_um(system, beam, pupil_x=[1.0], pupil_y=[0.0], **more)[0]}
        if name == "zernike_coefficients":
            return {"zernike_4_0_um": light.zernike_coefficients(system, beam, **more).zernike_4_0_um}
        if name == "mtf":
            found = light.mtf(system, beam, frequency_per_mm=frequency_per_mm, **more).mtf
            return {f"mtf_{f:.0f}": value for f, value in zip(frequency_per_mm, found, strict=True)}
        return {name: getattr(light, name)(system, beam, **more)}

    return call


def _diffraction(pupil_diameter_mm: float, convergence_D: float, wavelength_nm: float, frequency_per_mm: float) -> dict[str, Any]:
    from lenscalc.light import cut_off_per_mm, diffraction_mtf

    cut_off = cut_off_per_mm(pupil_diameter_mm, convergence_D, wavelength_nm)
    return {"diffraction_mtf": diffraction_mtf(frequency_per_mm, cut_off_per_mm=cut_off)}


def _fresnel(**inputs: Any) -> dict[str, Any]:
    from lenscalc.light import fresnel

    return dict(fresnel(**inputs)._asdict())


def _border(n_reading: float, n_prism: float) -> dict[str, Any]:
    from lenscalc.refractometer import border

    return dict(border(n_reading, n_prism)._asdict())


def _border_brightness(light: Any = "through", **inputs: Any) -> dict[str, Any]:
    from lenscalc.refractometer import border_brightness

    return {"brightness": border_brightness(**inputs, light=light)}


def _conformance(**inputs: Any) -> dict[str, Any]:
    from lenscalc.uncertainty import conformance_probability

    return {"conformance_probability": conformance_probability(**inputs)}


def _coverage(p: float, dof: float = inf) -> dict[str, Any]:
    from lenscalc.uncertainty import coverage_factor

    return {"k": coverage_factor(p, dof)}


def _welch_satterthwaite(u: list[float], dof: list[float]) -> dict[str, Any]:
    from lenscalc.uncertainty import Estimate, Source

    return {"dof": Estimate(0.0, {Source(f"input {i}", dof=v): x for i, (x, v) in enumerate(zip(u, dof, strict=True))}).dof}


def _example(model: str, choices: dict[str, Any]) -> Any:
    from lenscalc.uncertainty.worked_examples import EXAMPLES

    if model not in EXAMPLES:
        raise ValueError(f"model = {model!r}: the models are {', '.join(EXAMPLES)}")
    return EXAMPLES[model](**choices)


def _propagate(model: str, probability: float = 0.95, second_order: bool = False, **choices: Any) -> dict[str, Any]:
    from lenscalc.uncertainty import propagate

    x = _example(model, choices)
    result = propagate(x.model, x.inputs, x.correlation, second_order=second_order)
    lower, upper = result.interval(probability)
    return {
        "value": result.value, "u": result.u, "dof_effective": result.dof_effective, "k": result.coverage_factor(probability),
        "expanded": result.expanded(probability), "lower": lower, "upper": upper,
    }  # fmt: skip


@cache  # the same seed gives the same bits
def _run_trials(model: str, trials: int = 1_000_000, probability: float = 0.95, **choices: Any) -> dict[str, Any]:
    from lenscalc.uncertainty import run_trials

    x = _example(model, choices)
    result = run_trials(x.model, x.inputs, x.correlation, trials=trials, probability=probability)
    (lower, upper), (shortest_lower, shortest_upper) = result.interval, result.shortest_interval
    return {
        "mean": result.mean, "u": result.u, "lower": lower, "upper": upper, "shortest_lower": shortest_lower, "shortest_upper": shortest_upper,
    }  # fmt: skip


@cache
def _sobol_indices(model: str, trials: int = 320_000, **choices: Any) -> dict[str, Any]:
    from lenscalc.uncertainty import sobol_indices

    x = _example(model, choices)
    result = sobol_indices(x.model, x.inputs, trials)
    return {**{f"first_{k}": v for k, v in result.first.items()}, **{f"total_{k}": v for k, v in result.total.items()}}


def _fit_line(at: float | None = None, u_at: float = 0.0, **inputs: Any) -> dict[str, Any]:
    """The line and, at a point of it whose own u is known too, its value."""
    from lenscalc.uncertainty import Estimate, Source, combine, fit_line

    line = fit_line(**inputs)
    found = {**line._asdict(), "covariance": line.correlation * line.u_intercept * line.u_slope}
    if at is None:
        return found
    y, x = Estimate(line.value(at), {Source("line"): line.u(at)}), Estimate(at, {Source("point"): u_at})
    return {**found, "value": y.value, "u_value": combine(y.value, [(1.0, y), (line.slope, x)]).u}


def _grubbs(**inputs: Any) -> dict[str, Any]:
    from lenscalc.refractometer import grubbs

    return grubbs(**inputs)._asdict()


def _grubbs_critical(n: list[int], level: float) -> dict[str, Any]:
    """A column of a table of critical values: they depend on the number of readings alone."""
    from lenscalc.refractometer import grubbs

    return {f"n{count}": grubbs(range(count), level=level).critical for count in n}


def _nested_mean(
    groups: list[Any] | None = None,
    of: str = "mounting",
    group_means: list[float] | None = None,
    group_s: list[float] | None = None,
    readings_per_group: int = 0,
) -> dict[str, Any]:
    """Balanced groups, taken as mountings or as sessions; a list of lists in a group is sessions of mountings of readings.

    Where a source prints the mean and the standard deviation of a group alone, evenly spaced readings with exactly these stand for it: n steps about
    the middle, whose variance is n(n + 1)/12. N·u² is the mean square between the groups, u·√groups the standard deviation of their means.
    """
    from lenscalc.refractometer import nested_mean

    if groups is None:
        n = readings_per_group
        steps = [(k - (n - 1) / 2) / (n * (n + 1) / 12) ** 0.5 for k in range(n)]
        groups = [[mean + s * step for step in steps] for mean, s in zip(group_means or (), group_s or (), strict=True)]
    if isinstance(groups[0][0], list):
        told = [(y, m, s) for s, mounts in enumerate(groups) for m, readings in enumerate(mounts) for y in readings]
        mean = nested_mean([t[0] for t in told], mounting=[t[1] for t in told], session=[t[2] for t in told])
        return {**mean._asdict(), "ms_within": mean.s_reading * mean.s_reading}
    mean = nested_mean([y for g in groups for y in g], **{of: [i for i, g in enumerate(groups) for _ in g]})
    within, between = (mean.s_reading, mean.s_mounting) if of == "mounting" else (mean.s_mounting, mean.s_session)
    return {
        **mean._asdict(), "s_within": within, "s_between": between, "ms_within": within * within, "s_between2": between * between,
        "ms_between": mean.readings * mean.u * mean.u, "s_of_means": mean.u * len(groups) ** 0.5,
    }  # fmt: skip


def _tolerance(labelled_power_D: float) -> dict[str, Any]:
    from lenscalc.decision import power_tolerance_D

    return {"power_tolerance_D": power_tolerance_D(labelled_power_D)}


def _downstream(vergence_D: float, distance_mm: float, n_medium: float = 1.0) -> dict[str, Any]:
    from lenscalc.light import vergence_downstream

    return {"vergence_D": vergence_downstream(vergence_D, distance_mm, n_medium)}


def _spectacle(corneal_refraction_D: float, vertex_distance_mm: float) -> dict[str, Any]:
    from lenscalc.light import vergence_upstream

    return {"spectacle_refraction_D": vergence_upstream(corneal_refraction_D, vertex_distance_mm, 1.0)}


def _refraction_shift(n_lens: float, n_lens_labelled: float, implant_position_mm: float, **dimensions: float) -> dict[str, Any]:
    """A thick lens is a thin one at its front principal plane in an eye that is shorter by the distance of its principal planes."""
    from lenscalc.eye import TEACHING_EYE, refraction
    from lenscalc.lens import thick_lens

    def of(n: float) -> float:
        p = thick_lens(n_lens=n, n_medium=TEACHING_EYE.n_medium, **dimensions)
        apart = dimensions["center_thickness_mm"] + p.back_principal_plane_mm - p.front_principal_plane_mm
        eye = TEACHING_EYE._replace(
            implant_depth_mm=implant_position_mm + p.front_principal_plane_mm, axial_length_mm=TEACHING_EYE.axial_length_mm - apart
        )
        return float(refraction(p.power_D, eye=eye).refraction_D)

    return {"refraction_shift_D": of(n_lens) - of(n_lens_labelled)}


def _pure(name: str) -> Callable[..., dict[str, Any]]:
    """A function of numbers whose result names its values."""

    def call(**inputs: Any) -> dict[str, Any]:
        from lenscalc import uncertainty

        result: dict[str, Any] = getattr(uncertainty, name)(**inputs)._asdict()
        return result

    return call


def _lens_value(name: str, quantity: str) -> Callable[..., dict[str, Any]]:
    def call(**inputs: Any) -> dict[str, Any]:
        from lenscalc import lens

        return {quantity: getattr(lens, name)(**inputs)}

    return call


def _guard_band(**inputs: Any) -> dict[str, Any]:
    from lenscalc.uncertainty import guard_band_at_global_risk

    return {"guard_band": guard_band_at_global_risk(**inputs)}


def _lot(**inputs: Any) -> dict[str, Any]:
    from lenscalc.decision import lot_forecast

    return lot_forecast(**inputs)._asdict()


def _aspheric_sag(aspheric: dict[str, float] | None = None, **inputs: float) -> dict[str, Any]:
    """Keys of a file are texts."""
    from lenscalc.light import aspheric_sag_mm

    return {"sag_mm": aspheric_sag_mm(aspheric={int(power): a for power, a in (aspheric or {}).items()}, **inputs)}


def _crossed_cylinders(sphere_D: list[float], cylinder_D: list[float], axis_deg: list[float], positive_cylinder: bool = True) -> dict[str, Any]:
    """Thin lenses put together: their power vectors add."""
    from lenscalc.lens import power_vector, sphere_cylinder

    M, J0, J45 = (float(x.sum()) for x in power_vector(sphere_D, cylinder_D=cylinder_D, axis_deg=axis_deg))
    return sphere_cylinder(M, j0_D=J0, j45_D=J45, positive_cylinder=positive_cylinder)._asdict()


def _in_another_condition(
    power_D: float, n_lens_bench: float, n_medium_bench: float, n_lens_eye: float, growth: float, **dimensions: float
) -> dict[str, Any]:
    """All dimensions are `growth` times as long in the eye, whose medium is 1.336."""
    from lenscalc.lens import Condition, in_another_condition

    bench = Condition(**dimensions, n_lens=n_lens_bench, n_medium=n_medium_bench)
    eye = Condition(**{name: growth * x for name, x in dimensions.items()}, n_lens=n_lens_eye, n_medium=1.336)
    return {"power_D": in_another_condition(power_D, measured=bench, wanted=eye).power_D.value}


def _back_focus(**inputs: Any) -> dict[str, Any]:
    from lenscalc.lens import power_from_back_focal_length

    result = power_from_back_focal_length(**inputs)
    return {"power_D": result.power_D.value, "equivalent_focal_length_mm": result.equivalent_focal_length_mm.value}


def _chromatic_focus(n_d: float, abbe_d: float, **inputs: float) -> dict[str, Any]:
    from lenscalc.lens import chromatic_focus
    from lenscalc.material import Dispersion

    lines = ("C", "e", "F")
    c = chromatic_focus(dispersion=Dispersion.from_abbe(n_d, abbe_d), lines=lines, **inputs)
    powers = {f"power_{line}_D": x for line, x in zip(lines, c.power_D, strict=True)}
    return powers | {f"back_focal_length_{line}_mm": x for line, x in zip(lines, c.back_focal_length_mm, strict=True)}


def _cardinal_points(eye: str) -> dict[str, Any]:
    from lenscalc.eye import published_eye

    return published_eye(eye).cardinal_points()._asdict()


def _refraction_change(eye: str, after: dict[str, float], **lens: float) -> dict[str, Any]:
    from lenscalc.eye import implanted, published_eye, refraction_change

    published = published_eye(eye)
    change = refraction_change(published, implanted(published, **lens), implanted(published, **{**lens, **after}))
    return {"refraction_change_D": change.refraction_change_D.value}


def _decision_value(name: str) -> Callable[..., dict[str, Any]]:
    def call(**inputs: Any) -> dict[str, Any]:
        from lenscalc import decision

        return {name: getattr(decision, name)(**inputs)}

    return call


def _rank_trials(**inputs: Any) -> dict[str, Any]:
    from lenscalc.decision import rank_trials

    found = rank_trials(**inputs).probability
    return {f"candidate_{i + 1}_rank_{r + 1}": p for i, row in enumerate(found) for r, p in enumerate(row)}


def _pareto_set(**inputs: Any) -> dict[str, Any]:
    """By the row: 1 where it stands in the set, else 0."""
    from lenscalc.decision import pareto_set

    return {f"row_{i + 1}": float(best) for i, best in enumerate(pareto_set(**inputs))}


def _eye_sensitivities(eye: str, **lens: float) -> dict[str, Any]:
    from lenscalc.eye import eye_sensitivities, implanted, published_eye

    return eye_sensitivities(published_eye(eye), implanted(published_eye(eye), **lens))._asdict()


def _image_size(eye: str, second: dict[str, float] | None = None, **lens: float) -> dict[str, Any]:
    from lenscalc.eye import image_size_mm_per_radian, image_size_ratio, implanted, published_eye

    published, made = published_eye(eye), implanted(published_eye(eye), **lens)
    if second is None:
        return {"image_size_mm_per_radian": image_size_mm_per_radian(published, made)}
    return {"image_size_ratio": image_size_ratio(published, made, implanted(published, **{**lens, **second}))}


def _chromatic_change(eye: str, cauchy_b_nm2: float, wavelength_nm: float, **lens: float) -> dict[str, Any]:
    from lenscalc.eye import chromatic_change, implanted, published_eye

    class Polymer:
        def n(self, wavelength_nm: Any) -> Any:
            return 1.47 + cauchy_b_nm2 / (wavelength_nm * wavelength_nm)  # moved to the index of the lens: its height does not count

    published = published_eye(eye)
    return chromatic_change(published, implanted(published, **lens), Polymer(), wavelength_nm)._asdict()


def _eye_mtf(eye: str, frequency_per_mm: list[float], **given: Any) -> dict[str, Any]:
    from lenscalc.eye import eye_mtf, implanted, published_eye

    published = published_eye(eye)
    names = ("front_radius_mm", "back_radius_mm", "center_thickness_mm", "n_lens")
    made = implanted(published, **{name: given.pop(name) for name in names})
    found = eye_mtf(published, made, frequency_per_mm=frequency_per_mm, **given).mtf
    return {f"mtf_{f:.0f}": value for f, value in zip(frequency_per_mm, found, strict=True)}


FUNCTIONS: dict[str, Callable[..., dict[str, Any]]] = {
    "thick_lens": _lens("thick_lens"),
    "aspheric_sag": _aspheric_sag,
    "edge_thickness": _lens_value("edge_thickness_mm", "edge_thickness_mm"),
    "center_thickness_for_edge": _lens_value("center_thickness_for_edge_mm", "center_thickness_mm"),
    "volume": _lens_value("volume_mm3", "volume_mm3"),
    "mass": _lens_value("mass_mg", "mass_mg"),
    "recut": _lens("recut"),
    "index_from_power": _lens_value("index_from_power", "n_lens"),
    "in_another_condition": _in_another_condition,
    "power_from_back_focal_length": _back_focus,
    "crossed_cylinders": _crossed_cylinders,
    "rotation_residual": _lens("rotation_residual"),
    "toric_lens": _lens("toric_lens"),
    "toric_edge_thickness": _lens_value("toric_edge_thickness_mm", "edge_thickness_mm"),
    "chromatic_focus": _chromatic_focus,
    "third_order_aberration": _lens("third_order_aberration"),
    "conic_for_aberration": _lens_value("conic_for_aberration", "conic"),
    "conic_for_exact_aberration": _lens_value("conic_for_exact_aberration", "conic"),
    "least_aberration_shape": _lens("least_aberration_shape"),
    "reflection": _lens("reflection"),
    "least_aberration_shape_factor": _lens_value("least_aberration_shape_factor", "shape_factor"),
    "power_sensitivity": _lens("power_sensitivity"),
    "sellmeier_index": _material("sellmeier_index", "n"),
    "cauchy_index": _material("cauchy_index", "n"),
    "schott_index": _material("schott_index", "n"),
    "conrady_index": _material("conrady_index", "n"),
    "abbe_number": _material("abbe_number", "abbe"),
    "dispersion_from_abbe": _dispersion_from_abbe,
    "dispersion_fit": _dispersion_fit,
    "water_index": _material("water_index", "n"),
    "water_index_at_density": _material("water_index_at_density", "n"),
    "water_density": _material("water_density", "density_kg_per_m3"),
    "air_index": _material("air_index", "n"),
    "sucrose_index": _material("sucrose_index", "n"),
    "sucrose_mass_fraction": _material("sucrose_mass_fraction", "mass_fraction"),
    "saline_index": _material("saline_index", "n"),
    "aqueous_index": _aqueous,
    "lorentz_lorenz_dn_dt": _material("lorentz_lorenz_dn_dt", "dn_dt_per_K"),
    "polymer": _polymer,
    "mix": _material("mix", "n"),
    "mixing_half_spread": _material("mixing_half_spread", "half_spread"),
    "unmix": _unmix,
    "hydrate": _material_tuple("hydrate"),
    "hydrated_index": _material("hydrated_index", "n"),
    "dry_index": _material("dry_index", "n"),
    "linear_swelling": _material("linear_swelling", "linear_swelling"),
    "water_mass_fraction_wet_from_weights": _material_tuple("water_mass_fraction_wet_from_weights"),
    "water_mass_fraction_wet_from_dry": _material("water_mass_fraction_wet_from_dry", "water_mass_fraction_wet"),
    "copolymer_index": _material_tuple("copolymer_index"),
    "copolymer_abbe": _material_tuple("copolymer_abbe"),
    "mass_fraction_for_index": _material_tuple("mass_fraction_for_index"),
    "molar_refraction_index": _material_tuple("molar_refraction_index"),
    "molar_refraction_from_increments": _increments,
    "snell_deg": _snell,
    "trace": _trace,
    "paraxial_image": _paraxial_image,
    "seidel_sums": _in_a_beam("seidel_sums"),
    "longitudinal_spherical_aberration_mm": _in_a_beam("longitudinal_spherical_aberration_mm"),
    "wavefront_um": _in_a_beam("wavefront_um"),
    "zernike_coefficients": _in_a_beam("zernike_coefficients"),
    "mtf": _in_a_beam("mtf"),
    "diffraction_mtf": _diffraction,
    "fresnel": _fresnel,
    "border": _border,
    "border_brightness": _border_brightness,
    "critical_angle_index": _refractometer("critical_angle_index"),
    "minimum_deviation_index": _refractometer("minimum_deviation_index"),
    "v_block_index": _refractometer("v_block_index"),
    "prism_reading_index": _refractometer("prism_reading_index"),
    "without_compensation": _refractometer("without_compensation"),
    "nested_mean": _nested_mean,
    "grubbs": _grubbs,
    "grubbs_critical": _grubbs_critical,
    "fit_line": _fit_line,
    "conformance_probability": _conformance,
    "coverage_factor": _coverage,
    "welch_satterthwaite": _welch_satterthwaite,
    "propagate": _propagate,
    "run_trials": _run_trials,
    "sobol_indices": _sobol_indices,
    "power_tolerance_D": _tolerance,
    "vergence_downstream": _downstream,
    "spectacle_refraction": _spectacle,
    "refraction_shift": _refraction_shift,
    "acceptance_limits_at": _pure("acceptance_limits_at"),
    "global_risks": _pure("global_risks"),
    "guard_band_at_global_risk": _guard_band,
    "process_capability": _pure("process_capability"),
    "lot_forecast": _lot,

    "better_probability": _decision_value("better_probability"),
    "rank_trials": _rank_trials,
    "pareto_set": _pareto_set,
    "cardinal_points": _cardinal_points,
    "refraction_change": _refraction_change,
    "eye_sensitivities": _eye_sensitivities,
    "image_size_mm_per_radian": _image_size,
    "image_size_ratio": _image_size,
    "chromatic_change": _chromatic_change,
    "eye_mtf": _eye_mtf,
}
