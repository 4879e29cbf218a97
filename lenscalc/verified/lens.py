"""What a reference case may ask of the lens."""

from __future__ import annotations

from typing import Any

from lenscalc.verified.adapter import Adapter, of


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


FUNCTIONS: dict[str, Adapter] = {
    "thick_lens": of("lens", "thick_lens"),
    "edge_thickness": of("lens", "edge_thickness_mm", "edge_thickness_mm"),
    "center_thickness_for_edge": of("lens", "center_thickness_for_edge_mm", "center_thickness_mm"),
    "volume": of("lens", "volume_mm3", "volume_mm3"),
    "mass": of("lens", "mass_mg", "mass_mg"),
    "recut": of("lens", "recut"),
    "index_from_power": of("lens", "index_from_power", "n_lens"),
    "in_another_condition": _in_another_condition,
    "power_from_back_focal_length": _back_focus,
    "crossed_cylinders": _crossed_cylinders,
    "rotation_residual": of("lens", "rotation_residual"),
    "toric_lens": of("lens", "toric_lens"),
    "toric_edge_thickness": of("lens", "toric_edge_thickness_mm", "edge_thickness_mm"),
    "chromatic_focus": _chromatic_focus,
    "third_order_aberration": of("lens", "third_order_aberration"),
    "conic_for_aberration": of("lens", "conic_for_aberration", "conic"),
    "conic_for_exact_aberration": of("lens", "conic_for_exact_aberration", "conic"),
    "least_aberration_shape": of("lens", "least_aberration_shape"),
    "reflection": of("lens", "reflection"),
    "least_aberration_shape_factor": of("lens", "least_aberration_shape_factor", "shape_factor"),
    "power_sensitivity": of("lens", "power_sensitivity"),
}
