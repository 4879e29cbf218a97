"""What a reference case may ask of the eye."""

from __future__ import annotations

from typing import Any

from lenscalc.verified.adapter import Adapter


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


def _cardinal_points(eye: str) -> dict[str, Any]:
    from lenscalc.eye import published_eye

    return published_eye(eye).cardinal_points()._asdict()


def _refraction_change(eye: str, after: dict[str, float], **lens: float) -> dict[str, Any]:
    from lenscalc.eye import implanted, published_eye, refraction_change

    published = published_eye(eye)
    change = refraction_change(published, implanted(published, **lens), implanted(published, **{**lens, **after}))
    return {"refraction_change_D": change.refraction_change_D.value}


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


FUNCTIONS: dict[str, Adapter] = {
    "spectacle_refraction": _spectacle,
    "refraction_shift": _refraction_shift,
    "cardinal_points": _cardinal_points,
    "refraction_change": _refraction_change,
    "eye_sensitivities": _eye_sensitivities,
    "image_size_mm_per_radian": _image_size,
    "image_size_ratio": _image_size,
    "chromatic_change": _chromatic_change,
    "eye_mtf": _eye_mtf,
}
