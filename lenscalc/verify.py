"""Runs the reference cases: every value beside the printed one, with its source.

A case is an entry of a TOML file: source, inputs, and the expected values as printed texts, whose last digit sets the tolerance.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterable, Iterator
from decimal import Decimal
from importlib.resources import files
from importlib.resources.abc import Traversable
from math import asin, inf, isinf, isnan
from pathlib import Path
from typing import Any, NamedTuple


class Line(NamedTuple):
    """One value: where it comes from, what is printed there, what is computed here."""

    subject: str
    case: str
    source: str
    kind: str
    seen: str
    quantity: str
    expected: str
    computed: float
    tolerance: float
    difference: float
    agrees: bool


class Worst(NamedTuple):
    """The least good agreement of one source, as a part of its tolerance."""

    source: str
    values: int
    agree: int
    worst: float


def run() -> list[Line]:
    """Every value of every reference case.

    >>> lines = run()
    >>> len(lines) > 60, all(line.agrees for line in lines)
    (True, True)
    """
    return [line for data in reference_files() for line in lines_of(data)]


def reference_files() -> list[dict[str, Any]]:
    """The case files, read, in the order of their names."""
    return [tomllib.loads(f.read_text(encoding="utf-8")) for f in sorted(_folder().iterdir(), key=lambda f: f.name) if f.name.endswith(".toml")]


def lines_of(data: dict[str, Any]) -> Iterator[Line]:
    """The values of one file."""
    for case in data["case"]:
        source = data["sources"][case["source"]]
        computed = FUNCTIONS[case["function"]](**case["inputs"])
        for quantity, printed in case["expected"].items():
            value = float(computed[quantity])
            tolerance = case.get("tolerance", {}).get(quantity, half_unit(printed))
            wanted = float(printed)
            difference = 0.0 if value == wanted else value - wanted  # "inf" agrees with inf alone
            # the half unit itself is not exact in binary
            agrees = value == wanted if isinf(wanted) else abs(difference) <= tolerance * (1.0 + 1e-9) + 2e-16 * abs(wanted)
            yield Line(
                data["subject"], case["name"], in_words(source, case["where"]), source["kind"], source["seen"], quantity, printed, value,
                tolerance, difference, agrees,
            )  # fmt: skip


def worst_by_source(lines: Iterable[Line]) -> list[Worst]:
    """The least good agreement of each source, the sources in the order of the files."""
    found: dict[str, list[Line]] = {}
    for line in lines:
        found.setdefault(line.source.split(" — ")[0], []).append(line)
    return [Worst(s, len(x), sum(line.agrees for line in x), max(_part_of_tolerance(line) for line in x)) for s, x in found.items()]


def _part_of_tolerance(line: Line) -> float:
    if line.difference == 0:
        return 0.0
    return inf if isnan(line.difference) or line.tolerance == 0 else abs(line.difference) / line.tolerance


def half_unit(printed: str) -> float:
    """Half a unit of the last printed digit; nothing for "inf".

    >>> half_unit("20.47"), half_unit("1e3"), half_unit("-7"), half_unit("inf")
    (0.005, 500.0, 0.5, 0.0)
    """
    if isinf(float(printed)):
        return 0.0
    exponent = Decimal(printed).as_tuple().exponent
    return float(Decimal((0, (5,), int(exponent) - 1)))


def in_words(source: dict[str, Any], where: str) -> str:
    """A source in one line.

    >>> in_words({"authors": "Tanaka et al.", "title": "Density of water", "year": 2001, "doi": "10/x"}, "table 2")
    'Tanaka et al., Density of water (2001), 10/x — table 2'
    """
    more = [str(source[k]) for k in ("standard", "doi", "version") if k in source]
    year = f" ({source['year']})" if "year" in source else ""
    return f"{source['authors']}, {source['title']}{year}{''.join(f', {m}' for m in more)} — {where}"


def _folder() -> Traversable:
    packaged = files("lenscalc") / "reference_cases"
    return packaged if packaged.is_dir() else Path(__file__).parents[1] / "reference_cases"  # the latter in an editable install


# --- the functions that a case may name, each giving its values by quantity -----------------------------------------------------------


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
    from lenscalc.material.polymer import shipped_polymers

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


def _conformance(**inputs: Any) -> dict[str, Any]:
    from lenscalc.uncertainty import conformance_probability

    return {"conformance_probability": conformance_probability(**inputs)}


def _coverage(p: float, dof: float = inf) -> dict[str, Any]:
    from lenscalc.uncertainty import coverage_factor

    return {"k": coverage_factor(p, dof)}


def _welch_satterthwaite(u: list[float], dof: list[float]) -> dict[str, Any]:
    from lenscalc.uncertainty import Estimate, Source

    return {"dof": Estimate(0.0, {Source(f"input {i}", dof=v): x for i, (x, v) in enumerate(zip(u, dof, strict=True))}).dof}


def _propagate(model: str) -> dict[str, Any]:
    from lenscalc.uncertainty import Input, propagate

    function: Callable[..., Any]
    inputs: dict[str, Input]
    if model == "gauge_block":  # JCGM 100:2008, H.1: l = ls + d − ls(da·θ + as·dt), nm

        def gauge_block(ls: Any, d: Any, a_s: Any, theta: Any, da: Any, dt: Any) -> Any:
            return ls + d - ls * (da * theta + a_s * dt)

        function = gauge_block
        inputs = {
            "ls": Input(50000623, 25, dof=18), "d": Input(215, 9.7, dof=25.6), "a_s": Input(11.5e-6, 1.2e-6), "theta": Input(-0.1, 0.41),
            "da": Input(0, 0.58e-6, dof=50), "dt": Input(0, 0.029, dof=2),
        }  # fmt: skip
    elif model == "mass_calibration":  # JCGM 101:2008, 9.3: mass calibration, mg

        def mass(m_rc: Any, dm: Any, r_a: Any, r_w: Any, r_r: Any) -> Any:
            return (m_rc + dm) * (1 + (r_a - 1.2) * (1 / r_w - 1 / r_r)) - 100000

        function = mass
        inputs = {
            "m_rc": Input(100000, 0.050), "dm": Input(1.234, 0.020), "r_a": Input(1.2, 0.1 / 3**0.5), "r_w": Input(8000, 1000 / 3**0.5),
            "r_r": Input(8000, 50 / 3**0.5),
        }  # fmt: skip
    else:
        raise ValueError(f"model = {model!r}: the models are gauge_block and mass_calibration")
    result = propagate(function, inputs)
    return {"value": result.value, "u": result.u, "dof_effective": result.dof_effective}


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


FUNCTIONS: dict[str, Callable[..., dict[str, Any]]] = {
    "thick_lens": _lens("thick_lens"),
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
    "critical_angle_index": _refractometer("critical_angle_index"),
    "minimum_deviation_index": _refractometer("minimum_deviation_index"),
    "v_block_index": _refractometer("v_block_index"),
    "conformance_probability": _conformance,
    "coverage_factor": _coverage,
    "welch_satterthwaite": _welch_satterthwaite,
    "propagate": _propagate,
    "power_tolerance_D": _tolerance,
    "vergence_downstream": _downstream,
    "spectacle_refraction": _spectacle,
    "refraction_shift": _refraction_shift,
}
