"""The shape for a wanted spherical aberration, by exact rays: the conic constant that leaves it, and the bending that has the least.

Third order (`third_order`) gives the start. What is found belongs to its beam: pupil, vergence and indices.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Literal, NamedTuple

import numpy as np

from lenscalc.errors import InputError, UnknownNameError
from lenscalc.lens.image_quality import lens_system
from lenscalc.lens.recut import recut
from lenscalc.lens.third_order import ZERNIKE_UM_PER_S1, least_aberration_shape_factor, seidel_of
from lenscalc.light import Beam, System, longitudinal_spherical_aberration_mm, paraxial_image, zernike_coefficients
from lenscalc.light.limits import CONIC
from lenscalc.quantities import FloatArray, checked, given_back, in_row, quantity

ROUNDS = 30  # the secant method needs five or six
SETTLED = 1e-9  # of a conic constant or a shape factor; the aberration itself is then left within the rounding of its path
SETTLED_SHAPE = 1e-6  # the least lies flat: near it the shape factor is open by the root of what the aberration is
ROUNDING = 1e-13  # of a Zernike (4,0) [µm] or a longitudinal aberration [mm]; three times what was seen at pupils of 0.01 to 0.5 mm
LOST = 1e-4  # of a conic constant: one that rounding lets no nearer is none
APART = 0.05  # shape factors between the lenses from which a slope is taken
OF_THE_PUPIL = "make the pupil smaller; or larger, where it is so small that the aberration is lost in rounding"
SHAPE = quantity("shape_factor")
FURTHEST = 2.0  # that the shape factor moves in one step
Surface = Literal["front", "back"]
NULLS = ("zernike", "marginal_ray")


class LeastAberration(NamedTuple):
    """Shape factor, radii [mm] and Zernike (4,0) [µm] of the bending with the least spherical aberration."""

    shape_factor: Any
    front_radius_mm: Any
    back_radius_mm: Any
    zernike_4_0_um: Any


def conic_for_exact_aberration(
    front_radius_mm: Any, *, back_radius_mm: Any, center_thickness_mm: Any, n_lens: Any, surface: Surface, pupil_diameter_mm: Any,
    zernike_4_0_um: Any = 0.0, of: Literal["zernike", "marginal_ray"] = "zernike", n_medium: Any = 1.336, n_medium_behind: Any = None,
    vergence_D: Any = 0.0, other_conic: Any = 0.0,
) -> Any:  # fmt: skip
    """The conic constant of one surface that leaves a wanted Zernike (4,0), or brings the marginal ray to the paraxial focus, by exact rays.

    What is nulled is one number: higher orders stay, and so a lens whose (4,0) is null has a marginal ray that still misses a little.

    Parameters
    ----------
    front_radius_mm, back_radius_mm, center_thickness_mm, n_lens, n_medium, n_medium_behind
        as in `image_quality`.
    surface : "front" | "back"
        the one that is figured.
    pupil_diameter_mm : float or array [mm]
        of the beam at the front vertex; exact rays answer to it, third order does not.
    zernike_4_0_um : float or array [µm]
        wanted, as `image_quality` gives it (in the plane of the least spot); 0 for none.
    of : "zernike" | "marginal_ray"
        what is brought to the wanted value; of the marginal ray that is its longitudinal aberration, and it is nulled.
    vergence_D : float or array [D]
        of the beam at the front vertex; 0 collimated, positive converging.
    other_conic : float or array
        of the other surface.

    Raises
    ------
    InputError
        for values outside their limits, lost rays, a beam without a real image, a surface too flat for any conic constant to do it.

    References
    ----------
    The secant method on exact rays, from the closed form of third order. A single refracting surface has its Cartesian conic in
    collimated light, k = −(n_front/n_behind)² by the indices on its two sides, at any pupil.

    Examples
    --------
    >>> lens = {"back_radius_mm": -15.0, "center_thickness_mm": 0.9, "n_lens": 1.49, "pupil_diameter_mm": 3.0}
    >>> k = conic_for_exact_aberration(15.0, **lens, surface="front")
    >>> round(k, 4)                                       # third order: -2.5744
    -2.614
    >>> from lenscalc.lens.image_quality import image_quality
    >>> abs(image_quality(15.0, **lens, front_conic=k).zernike_4_0_um) < 1e-10
    True
    """
    if surface not in ("front", "back"):
        raise UnknownNameError(surface, ("front", "back"), what="surface")
    if of not in NULLS:
        raise UnknownNameError(of, NULLS, what="aberration")
    behind = n_medium if n_medium_behind is None else n_medium_behind
    a, shape = checked(
        front_radius_mm=front_radius_mm, back_radius_mm=back_radius_mm, center_thickness_mm=center_thickness_mm, n_lens=n_lens, n_medium=n_medium,
        n_medium_behind=behind, **{"back_conic" if surface == "front" else "front_conic": other_conic},
        pupil_diameter_mm=pupil_diameter_mm, zernike_4_0_um=zernike_4_0_um, vergence_D=vergence_D,
    )  # fmt: skip
    pupil, wanted, vergence = (a.pop(name) for name in ("pupil_diameter_mm", "zernike_4_0_um", "vergence_D"))
    if of == "marginal_ray" and np.any(wanted != 0.0):
        raise InputError("zernike_4_0_um is wanted beside of = 'marginal_ray', which is nulled: one of the two", quantity="zernike_4_0_um")
    beam, name = Beam(pupil, vergence), f"{surface}_conic"

    def missed(k: FloatArray) -> FloatArray:
        system = lens_system(**{**a, name: k})
        if of == "marginal_ray":
            return np.asarray(longitudinal_spherical_aberration_mm(system, beam))
        return np.asarray(zernike_coefficients(system, beam).zernike_4_0_um - wanted)

    S1, *by_conic = seidel_of(dict(a), pupil, vergence)
    by = by_conic[0 if surface == "front" else 1]
    # in third order both aberrations are S1 times a constant of the beam
    per_S1 = _marginal_per_S1(lens_system(**a), beam) if of == "marginal_ray" else ZERNIKE_UM_PER_S1
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        start = (wanted / per_S1 - S1) / by
    return given_back(_secant(missed, start, by * per_S1, surface), shape)


def least_aberration_shape(
    power_D: Any, n_lens: Any, *, center_thickness_mm: Any, pupil_diameter_mm: Any, n_medium: Any = 1.336, vergence_D: Any = 0.0,
    front_conic: Any = 0.0, back_conic: Any = 0.0,
) -> LeastAberration:  # fmt: skip
    """The bending of a thick lens of a given power that has the least Zernike (4,0), by exact rays.

    Where a bending has none at all, as in strongly converging light onto a weak lens, it is that one, of two the more nearly equi-convex.

    Parameters
    ----------
    power_D : float or array [D]
        held while the lens is bent.
    n_lens, n_medium : float or array
        indices on one basis, one medium on both sides.
    center_thickness_mm : float or array [mm]
        held.
    pupil_diameter_mm, vergence_D
        the beam, as in `conic_for_exact_aberration`.
    front_conic, back_conic : float or array
        held too.

    Raises
    ------
    InputError
        for values outside their limits, a bending that cannot be cut, lost rays, a beam without a real image.

    References
    ----------
    Newton's method on exact rays from the thin lens of third order, `least_aberration_shape_factor`, to which it comes near at a small pupil.

    Examples
    --------
    >>> best = least_aberration_shape(20.0, 1.49, center_thickness_mm=0.9, pupil_diameter_mm=3.0)
    >>> round(best.shape_factor, 4), round(best.zernike_4_0_um, 5)
    (0.1512, 0.00496)
    """
    a, shape = checked(
        power_D=power_D, n_lens=n_lens, center_thickness_mm=center_thickness_mm, pupil_diameter_mm=pupil_diameter_mm, n_medium=n_medium,
        vergence_D=vergence_D, front_conic=front_conic, back_conic=back_conic,
    )  # fmt: skip
    column = {name: values[:, np.newaxis] for name, values in a.items()}
    beam = Beam(column["pupil_diameter_mm"], column["vergence_D"])
    rest = {name: column[name] for name in ("center_thickness_mm", "n_lens", "n_medium", "front_conic", "back_conic")}

    def at(X: FloatArray) -> FloatArray:
        for row in np.flatnonzero(~np.all(np.abs(X) <= SHAPE.upper, axis=1)):
            where, number = in_row(int(row), len(X))
            raise InputError(
                f"{where}power_D = {a['power_D'][row]:g} D: the bending of least aberration of so weak a lens in this beam would have a shape factor "
                f"near {X[row, X.shape[1] // 2]:.4g}, and {SHAPE.limits_text} can be cut; take a stronger lens, or a beam that converges less",
                quantity="power_D", value=float(a["power_D"][row]), row=number,
            )  # fmt: skip
        made = recut(
            column["power_D"], column["n_lens"], n_medium=column["n_medium"], center_thickness_mm=column["center_thickness_mm"], shape_factor=X
        )
        system = lens_system(made.front_radius_mm, back_radius_mm=made.back_radius_mm, **rest)
        return np.asarray(zernike_coefficients(system, beam).zernike_4_0_um)

    def around(X: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Aberration, slope and bend at each shape factor, from five lenses: exact for a quartic, which the aberration nearly is."""
        return _value_slope_bend(at(X[:, np.newaxis] + APART * np.arange(-2.0, 3.0)))

    position = _position_factor(a["vergence_D"], a["power_D"])
    if not np.all(np.isfinite(position)):
        raise InputError("power_D = 0 D: a lens without power has no bending of least aberration", quantity="power_D", value=0.0)
    X = np.asarray(least_aberration_shape_factor(a["n_lens"], n_medium=a["n_medium"], position_factor=position), dtype=np.float64)
    X = _newton(X, lambda X: (around(X)[1], around(X)[2]))
    f, _, bend = around(X)
    with np.errstate(invalid="ignore"):
        away = np.sqrt(-2.0 * f / bend)
    through = f * bend < 0.0  # a bend of 0 leads nowhere
    if through.any():
        nearer = np.where(through, X - np.sign(X) * away, X)
        found = _newton(nearer, lambda X: tuple(np.where(through, part, fill) for part, fill in zip(around(X)[:2], (0.0, 1.0), strict=True)))
        X = np.where(through, found, X)
    made = recut(a["power_D"], a["n_lens"], n_medium=a["n_medium"], center_thickness_mm=a["center_thickness_mm"], shape_factor=X)
    parts = (X, made.front_radius_mm, made.back_radius_mm, at(X[:, np.newaxis]).ravel())
    return LeastAberration(*(given_back(np.asarray(part), shape) for part in parts))


def _value_slope_bend(f: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """In the middle of five columns, `APART` from each other."""
    a, b, middle, c, d = f.T
    slope = (a - 8.0 * b + 8.0 * c - d) / (12.0 * APART)
    bend = (-a + 16.0 * b - 30.0 * middle + 16.0 * c - d) / (12.0 * APART * APART)
    return middle, slope, bend


def _position_factor(vergence_D: Any, power_D: Any) -> Any:
    """Where the object stands: −1 in the distance, 0 at twice the focal length, 1 in the focus."""
    with np.errstate(divide="ignore", invalid="ignore"):
        return -1.0 - 2.0 * vergence_D / power_D


def _marginal_per_S1(system: System, beam: Beam) -> Any:
    """Longitudinal aberration over S1: −1/(2mu²), u the last slope of the rim's ray."""
    n = np.asarray(system.indices[-1], dtype=np.float64)
    u = paraxial_image(system, vergence_D=beam.vergence_D).convergence_D * np.asarray(beam.pupil_diameter_mm) / (2000.0 * n)
    with np.errstate(divide="ignore"):
        return -1.0 / (2.0 * n * u * u)


def _secant(missed: Callable[[FloatArray], FloatArray], start: FloatArray, slope: FloatArray, surface: str) -> FloatArray:
    """Each lens by its own chord, no nearer than rounding lets it; the first step by the slope of third order."""
    k, f = start, _within_reach(missed, start, surface)
    with np.errstate(divide="ignore", invalid="ignore"):
        step, rounded = -f / slope, ROUNDING / np.abs(slope)
    for _ in range(ROUNDS if np.all(rounded <= LOST * (1.0 + np.abs(start))) else 0):
        new = k + step
        f_new = _within_reach(missed, new, surface)
        settled = np.abs(step) <= SETTLED * (1.0 + np.abs(new)) + rounded
        with np.errstate(divide="ignore", invalid="ignore"):
            step = np.where(settled | (f_new == f), 0.0, -f_new * (new - k) / (f_new - f))
        k, f = new, f_new
        if settled.all():
            return k
    raise InputError(
        f"no conic constant of the {surface} surface leaves this aberration at this pupil: {OF_THE_PUPIL}", quantity="pupil_diameter_mm"
    )


def _within_reach(missed: Callable[[FloatArray], FloatArray], k: FloatArray, surface: str) -> FloatArray:
    if not np.all(np.abs(k) <= CONIC.upper):  # nan too: a plano surface
        raise InputError(
            f"no conic constant of the {surface} surface within ±{CONIC.upper:g} does it: a plano or nearly flat surface, or one without a step of "
            "index, has little use for one; figure the other surface"
        )
    return missed(k)


def _newton(X: FloatArray, value_and_slope: Callable[[FloatArray], tuple[FloatArray, ...]]) -> FloatArray:
    for _ in range(ROUNDS):
        value, slope = value_and_slope(X)
        step = np.clip(-value / slope, -FURTHEST, FURTHEST)
        X = X + step
        if np.all(np.abs(step) <= SETTLED_SHAPE):
            return X
    raise InputError(f"no bending of least aberration was found in this beam: {OF_THE_PUPIL}", quantity="pupil_diameter_mm")
