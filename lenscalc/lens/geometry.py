"""The body of a lens: edge, volume, mass, the centre that an edge asks for, and whether a lens of these dimensions can exist.

Spheres, conics and even aspheres; the optic alone, haptics are not counted. Sign: a radius is positive when its centre lies behind the surface.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from lenscalc.errors import InputError
from lenscalc.light import Aspheric, aspheric_sag_mm, checked_terms, sag_mm, to_the
from lenscalc.quantities import FloatArray, as_number, checked, given_back, in_row, numbers, single_numbers

PI = 3.141592653589793
ROUNDING_mm = 1e-12  # what the sags of two surfaces leave of an edge that is none; a hundred-thousandth of an atom
ZONES = 65  # heights at which the thickness of a lens that is not spherical is looked at


def edge_thickness_mm(
    front_radius_mm: Any, back_radius_mm: Any, center_thickness_mm: Any, optic_diameter_mm: Any, *,
    front_conic: Any = 0.0, back_conic: Any = 0.0, front_aspheric: Aspheric | None = None, back_aspheric: Aspheric | None = None,
) -> Any:  # fmt: skip
    """Thickness at the edge of the optic: t − front sag + back sag; below 0 the lens cannot be made, nan where a surface does not reach.

    Arrays or numbers, [mm]. Textbook.

    Accuracy: 3e-16 relative to the centre's thickness, over radii 5 to 1e7 mm.

    >>> round(float(edge_thickness_mm(15.0, -15.0, 0.9, 6.0)), 6)
    0.293877
    """
    given = {
        "front_radius_mm": front_radius_mm, "back_radius_mm": back_radius_mm, "center_thickness_mm": center_thickness_mm,
        "optic_diameter_mm": optic_diameter_mm, "front_conic": front_conic, "back_conic": back_conic,
    }  # fmt: skip
    R1, R2, t, D, k1, k2 = numbers(**{name: as_number(name, x) for name, x in given.items()})
    front, back = (aspheric_sag_mm(R, D / 2.0, conic=k, aspheric=a) for R, k, a in ((R1, k1, front_aspheric), (R2, k2, back_aspheric)))
    return t - front + back


def cap_volume_of(R: Any, h: Any, k: Any) -> Any:
    """Volume between a conic and the plane of its vertex out to a height, with the sign of the sag. Plain arithmetic, no checks.

    ∫2πr·s dr with r² = 2Rs − (1 + k)s²: π·S·(RS − ⅔(1 + k)S²) for the sag S at the rim, exact for every conic.
    """
    S = sag_mm(R, h, k)
    p = 1.0 + k
    RS = h * h / (1.0 + (1.0 - p * h * h / (R * R)) ** 0.5)  # finite where R is not
    return PI * S * (RS - 2.0 / 3.0 * p * S * S)


def volume_of(R1: Any, R2: Any, t: Any, h: Any, k1: Any, k2: Any) -> Any:
    """The body for two conics: the cylinder between the vertex planes, less what the front and plus what the back surface bends away from it."""
    return PI * h * h * t - cap_volume_of(R1, h, k1) + cap_volume_of(R2, h, k2)


def volume_mm3(
    front_radius_mm: Any, back_radius_mm: Any, center_thickness_mm: Any, optic_diameter_mm: Any, *,
    front_conic: Any = 0.0, back_conic: Any = 0.0, front_aspheric: Aspheric | None = None, back_aspheric: Aspheric | None = None,
) -> Any:  # fmt: skip
    """Volume of the optic [mm³] over its diameter, in closed form also for even aspheres (a term a·h^p adds 2πa·h^(p+2)/(p+2)).

    Haptics are not counted. Arrays or numbers.

    Accuracy: 4e-16 relative, over radii 5 to 1e7 mm.

    Raises
    ------
    InputError
        for values outside their limits, and for a lens that cannot exist, with the reason.

    References
    ----------
    Integral of the sag, by hand; for spheres the spherical caps of any text of geometry.

    >>> round(volume_mm3(15.0, -15.0, 0.9, 6.0), 6)
    16.907186
    >>> round(volume_mm3(5.0, -5.0, 10.0, 10.0), 4)      # a ball: 4/3·π·5³
    523.5988
    """
    a, shape = _possible(
        front_radius_mm, back_radius_mm, center_thickness_mm, optic_diameter_mm, front_conic, back_conic, front_aspheric, back_aspheric
    )
    R1, R2, t, D, k1, k2 = a
    h = D / 2.0
    volume = volume_of(R1, R2, t, h, k1, k2) - _terms_volume(front_aspheric, h, shape) + _terms_volume(back_aspheric, h, shape)
    return given_back(volume, shape)


def _terms_volume(aspheric: Aspheric | None, h: Any, shape: tuple[int, ...]) -> Any:
    total = np.zeros(h.shape)
    for power, a in flat_terms(aspheric, shape).items():
        total = total + 2.0 * PI / (power + 2) * a * to_the(h * h, power // 2 + 1)
    return total


def mass_mg(volume_mm3: Any, density_kg_per_m3: Any) -> Any:
    """Mass [mg] of a volume [mm³] at the density of the wet polymer [kg/m³]: 1 mm³ of water weighs 1 mg.

    Accuracy: 4e-16 relative, over densities 900 to 1500 kg/m³.

    Raises
    ------
    InputError
        for a density outside its limits, or a volume below 0.

    >>> round(mass_mg(16.907186, 1190.0), 3)
    20.12
    """
    a, shape = checked(volume_mm3=volume_mm3, density_kg_per_m3=density_kg_per_m3)
    if np.any(a["volume_mm3"] < 0.0):
        raise InputError(f"volume_mm3 = {a['volume_mm3'].min():g} mm³: must be 0 or more", quantity="volume_mm3")
    return given_back(a["volume_mm3"] * a["density_kg_per_m3"] / 1000.0, shape)


def center_thickness_for_edge_mm(
    front_radius_mm: Any, back_radius_mm: Any, wanted_edge_thickness_mm: Any, optic_diameter_mm: Any, *,
    front_conic: Any = 0.0, back_conic: Any = 0.0, front_aspheric: Aspheric | None = None, back_aspheric: Aspheric | None = None,
) -> Any:  # fmt: skip
    """The smallest centre thickness [mm] at which the edge is as thick as wanted: edge + front sag − back sag.

    Accuracy: 2e-16 relative, over radii 5 to 1e7 mm.

    Raises
    ------
    InputError
        where a surface does not reach the diameter, and where the centre would have no thickness left (a diverging lens is thinnest there).

    >>> round(center_thickness_for_edge_mm(15.0, -15.0, 0.3, 6.0), 6)
    0.906123
    """
    a, shape = checked(
        front_radius_mm=front_radius_mm, back_radius_mm=back_radius_mm, wanted_edge_thickness_mm=wanted_edge_thickness_mm,
        optic_diameter_mm=optic_diameter_mm, front_conic=front_conic, back_conic=back_conic,
    )  # fmt: skip
    R1, R2, e, D, k1, k2 = a.values()
    terms = (flat_terms(front_aspheric, shape), flat_terms(back_aspheric, shape))
    t = e - edge_thickness_mm(R1, R2, 0.0, D, front_conic=k1, back_conic=k2, front_aspheric=terms[0], back_aspheric=terms[1])
    for row in np.flatnonzero(~(t >= 0.0)):
        where, number = in_row(int(row), t.size)
        if np.isnan(t[row]):
            told = _too_wide(float(R1[row]), float(R2[row]), float(D[row]), float(k1[row]), float(k2[row]))
            raise InputError(f"{where}{told}", quantity="optic_diameter_mm", value=float(D[row]), row=number)
        raise InputError(
            f"{where}wanted_edge_thickness_mm = {e[row]:g} mm: this lens is thinnest in its centre, of which {t[row]:.3f} mm would be left; "
            f"the edge must be {e[row] - t[row]:.3f} mm or more",
            quantity="wanted_edge_thickness_mm", value=float(e[row]), row=number,
        )  # fmt: skip
    return given_back(t, shape)


def why_not(
    front_radius_mm: float, back_radius_mm: float, center_thickness_mm: float, optic_diameter_mm: float, *,
    front_conic: float = 0.0, back_conic: float = 0.0, front_aspheric: Aspheric | None = None, back_aspheric: Aspheric | None = None,
) -> str | None:  # fmt: skip
    """Why a lens of these dimensions cannot exist, as a sentence; None if it can.

    >>> why_not(15.0, -15.0, 0.5, 6.0)
    'edge thickness -0.106 mm at optic_diameter_mm = 6: must be 0 or more; thicken the centre or make the optic smaller'
    """
    front_radius_mm, back_radius_mm, center_thickness_mm, optic_diameter_mm, front_conic, back_conic = single_numbers(
        front_radius_mm=front_radius_mm, back_radius_mm=back_radius_mm, center_thickness_mm=center_thickness_mm,
        optic_diameter_mm=optic_diameter_mm, front_conic=front_conic, back_conic=back_conic,
    )  # fmt: skip
    surfaces = {"front_conic": front_conic, "back_conic": back_conic, "front_aspheric": front_aspheric, "back_aspheric": back_aspheric}
    edge = float(edge_thickness_mm(front_radius_mm, back_radius_mm, center_thickness_mm, optic_diameter_mm, **surfaces))  # type: ignore[arg-type]
    if np.isnan(edge):
        return _too_wide(front_radius_mm, back_radius_mm, optic_diameter_mm, front_conic, back_conic)
    if edge < -ROUNDING_mm:
        return (
            f"edge thickness {edge:.3f} mm at optic_diameter_mm = {optic_diameter_mm:g}: must be 0 or more; "
            "thicken the centre or make the optic smaller"
        )
    across = optic_diameter_mm * np.linspace(0.0, 1.0, ZONES)
    thin = edge_thickness_mm(front_radius_mm, back_radius_mm, center_thickness_mm, across, **surfaces)  # type: ignore[arg-type]
    least = int(np.argmin(thin))
    if thin[least] < -ROUNDING_mm:
        return f"the surfaces cross at a height of {across[least] / 2:.2f} mm (thickness {thin[least]:.3f} mm): thicken the centre"
    return None


def _too_wide(R1: float, R2: float, D: float, k1: float, k2: float) -> str:
    """Which surface ends before the rim of the optic, and what would let it reach: a sphere ends at R, a conic at R/√(1 + k)."""
    told = []
    for side, R, k in (("front", R1, k1), ("back", R2, k2)):
        if np.isnan(aspheric_sag_mm(R, D / 2.0, conic=k)):
            conic = f" with {side}_conic = {k:g}" if k else ""
            told.append(f"the {side} radius of {R:g} mm{conic} must be {D / 2.0 * (1.0 + k) ** 0.5:g} mm or more in magnitude")
    return f"optic_diameter_mm = {D:g} mm is too wide: {' and '.join(told)}; make the optic smaller or the radius longer"


def flat_terms(aspheric: Aspheric | None, shape: tuple[int, ...]) -> dict[int, FloatArray]:
    """The aspheric terms of lenses of this shape, flat.

    Raises
    ------
    InputError
        for a term whose shape does not go with the lenses.
    """
    terms = checked_terms(aspheric)
    try:
        return {power: np.broadcast_to(a, shape).ravel() for power, a in terms.items()}
    except ValueError:
        told = ", ".join(f"of power {power} {np.shape(a)}" for power, a in terms.items())
        raise InputError(f"aspheric terms {told}: must be numbers, or columns that go with the lenses {shape}", quantity="aspheric") from None


def _possible(
    R1: Any, R2: Any, t: Any, D: Any, k1: Any, k2: Any, front_terms: Aspheric | None, back_terms: Aspheric | None
) -> tuple[tuple[Any, ...], tuple[int, ...]]:
    """The arguments checked, broadcast and flat; raises for the first lens that cannot exist."""
    a, shape = checked(front_radius_mm=R1, back_radius_mm=R2, center_thickness_mm=t, optic_diameter_mm=D, front_conic=k1, back_conic=k2)
    flat = tuple(a.values())
    terms = (flat_terms(front_terms, shape), flat_terms(back_terms, shape))
    front, back, center, across, *conics = flat
    surfaces: dict[str, Any] = {"front_conic": flat[4], "back_conic": flat[5], "front_aspheric": terms[0], "back_aspheric": terms[1]}
    thin = edge_thickness_mm(front, back, center, across, **surfaces)
    if any(terms) or np.any(conics):  # only what is not spherical can be thinner between centre and edge than at both
        for part in np.linspace(0.0, 1.0, ZONES):
            thin = np.minimum(thin, edge_thickness_mm(front, back, center, across * part, **surfaces))
    for row in np.flatnonzero(~(thin >= -ROUNDING_mm)):
        of_row = [{power: float(x[row]) for power, x in side.items()} for side in terms]
        sentence = why_not(  # by the same sums at the same heights: one of them is below 0, or a surface does not reach
            *(float(x[row]) for x in flat[:4]), front_conic=float(flat[4][row]), back_conic=float(flat[5][row]),
            front_aspheric=of_row[0], back_aspheric=of_row[1],
        )  # fmt: skip
        where, number = in_row(int(row), thin.size)
        raise InputError(f"{where}{sentence}", row=number)
    return flat, shape
