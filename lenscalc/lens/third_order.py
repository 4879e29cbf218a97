"""Spherical aberration in third order (Seidel), and the shape that makes it least or null.

Good for small apertures and for seeing why: at 3 mm an exact ray through a 20 D lens of spheres differs by half a percent. On the axis only.
"""

from __future__ import annotations

from typing import Any, Literal, NamedTuple

import numpy as np

from lenscalc.errors import InputError, UnknownNameError
from lenscalc.lens.image_quality import lens_system
from lenscalc.light import paraxial_image, seidel_sums
from lenscalc.quantities import checked, given_back

ZERNIKE_PER_W040 = 1.0 / (6.0 * 5.0**0.5)  # ρ⁴ holds √5(6ρ⁴ − 6ρ² + 1) this often
ZERNIKE_UM_PER_S1 = 1000.0 * ZERNIKE_PER_W040 / 8.0  # S1 [mm] is 8·W040
LEAST_RMS = 2.0 / 3.0  # of the marginal aberration: ∫(aρ³ + dρ)²ρdρ is least at d = −⅔a


class ThirdOrder(NamedTuple):
    """Wavefront at the rim W040 and Zernike (4,0) [µm]; marginal less paraxial focus, and the focus of the least RMS spot from the paraxial one [mm].

    Undercorrected, as a lens of spheres is: W040 positive, both shifts negative.
    """

    wavefront_w040_um: Any
    zernike_4_0_um: Any
    longitudinal_spherical_aberration_mm: Any
    best_focus_shift_mm: Any


def seidel_of(lens: dict[str, Any], pupil_diameter_mm: Any, vergence_D: Any) -> tuple[Any, Any, Any]:
    """Seidel's first sum S1 [mm] of a checked lens, and what one unit of the front and of the back conic constant adds to it; it enters linearly."""

    def S1(**conics: Any) -> Any:
        return seidel_sums(lens_system(**{**lens, **conics}), pupil_diameter_mm=pupil_diameter_mm, vergence_D=vergence_D).S1

    bare = S1(front_conic=0.0, back_conic=0.0)
    by_front, by_back = S1(front_conic=1.0, back_conic=0.0) - bare, S1(front_conic=0.0, back_conic=1.0) - bare
    return S1(), by_front, by_back


def third_order_aberration(
    front_radius_mm: Any, back_radius_mm: Any, center_thickness_mm: Any, n_lens: Any, *, pupil_diameter_mm: Any, n_medium: Any = 1.336,
    vergence_D: Any = 0.0, front_conic: Any = 0.0, back_conic: Any = 0.0,
) -> ThirdOrder:  # fmt: skip
    """Spherical aberration of a thick lens in third order, for collimated light or the converging beam that a cornea sends.

    Accuracy: 2e-15 relative, over biconvex lenses, radii 5 to 40 mm.

    Parameters
    ----------
    front_radius_mm, back_radius_mm, center_thickness_mm, n_lens, n_medium
        as for `thick_lens`, one medium on both sides.
    pupil_diameter_mm : float or array [mm]
        of the beam at the front vertex.
    vergence_D : float or array [D]
        at the front vertex, in the medium; 0 collimated, positive converging.
    front_conic, back_conic : float or array

    Raises
    ------
    InputError
        for values outside their limits.

    References
    ----------
    `seidel_sums` of its two surfaces; checked against a library.

    >>> a = third_order_aberration(15.0, -15.0, 0.9, 1.49, pupil_diameter_mm=3.0)
    >>> round(a.longitudinal_spherical_aberration_mm, 4), round(a.zernike_4_0_um, 4)
    (-0.4214, 0.0055)
    """
    lens, beam, shape, _ = _checked(
        front_radius_mm, back_radius_mm, center_thickness_mm, n_lens, pupil_diameter_mm, n_medium, vergence_D, front_conic, back_conic
    )
    system = lens_system(**lens)
    S = seidel_sums(system, **beam).S1
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        W = 1000.0 * S / 8.0
        # the last slope is the convergence at the height of the rim
        u = paraxial_image(system, vergence_D=beam["vergence_D"]).convergence_D * beam["pupil_diameter_mm"] / (2000.0 * lens["n_medium"])
        shift = -S / (2.0 * lens["n_medium"] * u * u)
    return ThirdOrder(*(given_back(x, shape) for x in (W, W * ZERNIKE_PER_W040, shift, shift * LEAST_RMS)))


def conic_for_aberration(
    front_radius_mm: Any, back_radius_mm: Any, center_thickness_mm: Any, n_lens: Any, *, surface: Literal["front", "back"],
    pupil_diameter_mm: Any, zernike_4_0_um: Any = 0.0, n_medium: Any = 1.336, vergence_D: Any = 0.0, other_conic: Any = 0.0,
) -> Any:  # fmt: skip
    """The conic constant of one surface that leaves a wanted Zernike (4,0) in third order; 0, the default, for none. It enters linearly: closed form.

    To null the aberration the pupil does not matter; to leave a wanted one it does.

    Raises
    ------
    InputError
        for values outside their limits; for a plano surface, whose conic constant does nothing.

    >>> k = conic_for_aberration(15.0, -15.0, 0.9, 1.49, surface="front", pupil_diameter_mm=3.0)
    >>> round(k, 4), abs(third_order_aberration(15.0, -15.0, 0.9, 1.49, pupil_diameter_mm=3.0, front_conic=k).zernike_4_0_um) < 1e-12
    (-2.5744, True)
    """
    if surface not in ("front", "back"):
        raise UnknownNameError(surface, ("front", "back"), what="surface")
    conics = (0.0, other_conic) if surface == "front" else (other_conic, 0.0)
    lens, beam, shape, wanted = _checked(
        front_radius_mm, back_radius_mm, center_thickness_mm, n_lens, pupil_diameter_mm, n_medium, vergence_D, *conics, zernike_4_0_um=zernike_4_0_um
    )
    S, by_front, by_back = seidel_of(lens, **beam)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        k = (wanted / ZERNIKE_UM_PER_S1 - S) / (by_front if surface == "front" else by_back)
    if not np.all(np.isfinite(k)):
        raise InputError(f"no conic constant of the {surface} surface does it: a plano surface, or one without a step of index, has no use for one")
    return given_back(k, shape)


def least_aberration_shape_factor(n_lens: Any, *, n_medium: Any = 1.336, position_factor: Any = -1.0) -> Any:
    """Shape factor at which a thin lens of spheres has the least spherical aberration in third order: X = −2p(N² − 1)/(N + 2), N = n/m.

    X = (R2 + R1)/(R2 − R1). The position factor p is −1 for collimated light, −1 − 2L/F for light of vergence L onto a lens of power F. In a medium N
    is small and the best lens is nearly equi-convex; a glass in air turns its flatter side to the focus.

    Accuracy: 6e-16 relative, over indices from 1e-9 above the medium's.

    Raises
    ------
    InputError
        for values outside their limits.

    References
    ----------
    Any text of optics that treats the Coddington shape factor, such as Jenkins & White, Fundamentals of Optics, section 9.5 (from memory).

    >>> round(least_aberration_shape_factor(1.5, n_medium=1.0), 4), round(least_aberration_shape_factor(1.49), 4)
    (0.7143, 0.1565)
    """
    a, shape = checked(n_lens=n_lens, n_medium=n_medium, position_factor=position_factor)
    n, m, p = a.values()
    return given_back(-2.0 * p * (n - m) * (n + m) / (m * (n + 2.0 * m)), shape)


def _checked(
    R1: Any, R2: Any, t: Any, n: Any, pupil: Any, m: Any, L: Any, k1: Any, k2: Any, **more: Any
) -> tuple[dict[str, Any], dict[str, Any], tuple[int, ...], Any]:
    """Lens and beam, checked and flat, the shape they had, and a wanted aberration if one stands beside them."""
    a, shape = checked(
        front_radius_mm=R1, back_radius_mm=R2, center_thickness_mm=t, n_lens=n, n_medium=m, front_conic=k1, back_conic=k2, pupil_diameter_mm=pupil,
        vergence_D=L, **more,
    )  # fmt: skip
    beam = {name: a.pop(name) for name in ("pupil_diameter_mm", "vergence_D")}
    wanted = a.pop("zernike_4_0_um", None)
    return dict(a), beam, shape, wanted
