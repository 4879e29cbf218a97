"""What a reference case may ask of light."""

from __future__ import annotations

from collections.abc import Callable
from math import asin, inf
from typing import Any

from lenscalc.verified.adapter import Adapter, of


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


def _aspheric_sag(aspheric: dict[str, float] | None = None, **inputs: float) -> dict[str, Any]:
    """Keys of a file are texts."""
    from lenscalc.light import aspheric_sag_mm

    return {"sag_mm": aspheric_sag_mm(aspheric={int(power): a for power, a in (aspheric or {}).items()}, **inputs)}


FUNCTIONS: dict[str, Adapter] = {
    "aspheric_sag": _aspheric_sag,
    "snell_deg": of("light", "snell_deg", "angle_deg"),
    "trace": _trace,
    "paraxial_image": _paraxial_image,
    "seidel_sums": _in_a_beam("seidel_sums"),
    "longitudinal_spherical_aberration_mm": _in_a_beam("longitudinal_spherical_aberration_mm"),
    "wavefront_um": _in_a_beam("wavefront_um"),
    "zernike_coefficients": _in_a_beam("zernike_coefficients"),
    "mtf": _in_a_beam("mtf"),
    "diffraction_mtf": _diffraction,
    "fresnel": of("light", "fresnel"),
    "vergence_downstream": of("light", "vergence_downstream", "vergence_D"),
}
