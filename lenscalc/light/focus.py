"""Where the light of a pupil is narrowest, and how far its rim misses the paraxial focus. Distances along +z."""

from __future__ import annotations

from typing import Any

import numpy as np

from lenscalc.errors import InputError
from lenscalc.light.beam import Beam, Pencil
from lenscalc.light.focus_plane import focus_shift
from lenscalc.light.pupil import disc
from lenscalc.light.spot_plane import Focus, least_spot, spot_at
from lenscalc.light.surface import System
from lenscalc.quantities import given_back


def longitudinal_spherical_aberration_mm(system: System, beam: Beam) -> Any:
    """Where the marginal ray crosses the axis minus the paraxial focus [mm]; negative where the rim is focused in front (undercorrected).

    For a centred system; of a decentred one it is refused.

    Accuracy: 5e-15 relative to the focal distance, over pupils of 1 to 4 mm.

    >>> from lenscalc.light import Beam, Surface, System
    >>> lens = System([Surface(15.0), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9])
    >>> round(longitudinal_spherical_aberration_mm(lens, Beam(3.0)), 4)
    -0.4233
    """
    if any(s.is_moved for s in system.surfaces):
        raise InputError("longitudinal aberration is of a centred system: a surface is shifted or tilted, look at the spot", quantity="surfaces")
    pencil = Pencil(system, beam)
    pencil.rays_alone()
    if not np.all(np.isfinite(pencil.paraxial.image_distance_mm)):
        raise InputError("this beam leaves the lens collimated: it has no focus to measure from", quantity="vergence_D", value=beam.vergence_D)
    rays = pencil.rays(np.array([1.0]), np.array([0.0]))
    crossing = (rays.z_mm - rays.x_mm * rays.direction_z / rays.direction_x)[:, 0]
    return given_back(crossing - pencil.paraxial.image_distance_mm, pencil.shape)


def best_focus(system: System, beam: Beam, *, rings: int = 16, spokes: int = 32) -> Focus:
    """The plane of the least RMS spot, the pupil filled evenly.

    For pure third-order spherical aberration it lies at two thirds of the marginal aberration.

    >>> from lenscalc.light import Beam, Surface, System
    >>> lens = System([Surface(15.0), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9])
    >>> found = best_focus(lens, Beam(3.0))
    >>> round(found.shift_mm / longitudinal_spherical_aberration_mm(lens, Beam(3.0)), 3)
    0.667
    """
    pencil = Pencil(system, beam)
    x, y, weight = disc(rings, spokes)
    found = least_spot(pencil, pencil.rays(x, y), weight)
    return Focus(*(given_back(a, pencil.shape) for a in found))


def spot(system: System, beam: Beam, *, focus: Any = "least_spot", rings: int = 16, spokes: int = 32) -> Focus:
    """The spot in any plane: its centre and RMS radius; `focus` as in `mtf`.

    >>> from lenscalc.light import Beam, Surface, System
    >>> lens = System([Surface(15.0), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9])
    >>> [round(spot(lens, Beam(3.0), focus=f).rms_spot_mm * 1000, 2) for f in ("paraxial", "least_spot")]     # µm
    [4.88, 1.63]
    """
    pencil = Pencil(system, beam)
    pencil.rays_alone()
    x, y, weight = disc(rings, spokes)
    rays = pencil.rays(x, y)
    shift = focus_shift(pencil, focus)
    return Focus(*(given_back(a, pencil.shape) for a in spot_at(pencil, rays, weight, shift + pencil.paraxial.image_distance_mm)))


def defocus_D(shift_mm: Any, *, convergence_D: Any, n_image: Any) -> Any:
    """How much more the light must converge to be focused in the shifted plane [D]: n'/(n'/F + shift) − F; positive for a plane nearer the lens.

    `convergence_D` is F of `paraxial_image`, for a collimated beam the power of the lens; `n_image` the index behind it. Derivable: n'/F is the
    distance from the principal plane to the focus. A plane at or in front of the principal plane gives no meaningful number. Plain arithmetic, no
    checks.

    Accuracy: 6e-16 relative, over shifts from 1e-12 to 10 mm.

    >>> round(defocus_D(1.0, convergence_D=20.0, n_image=1.336), 4)                    # 1336/67.8 − 20
    -0.295
    """
    # the difference written out: −F²·shift/(n' + F·shift)
    return -shift_mm * convergence_D * convergence_D / (1000.0 * n_image + shift_mm * convergence_D)
