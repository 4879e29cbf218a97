"""How far a re-cut lens is uncertain because its index is: in its power, and in the radii that the index asks for."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from lenscalc.errors import InputError
from lenscalc.lens.recut import Recut, recut
from lenscalc.lens.thick_lens import medium_behind, powers_of
from lenscalc.light import sag_mm
from lenscalc.quantities import as_number
from lenscalc.uncertainty import Estimate
from lenscalc.uncertainty.propagate import STEP
from lenscalc.uncertainty.through import through


class RecutEstimates(NamedTuple):
    """Estimates: the power [D] of the lens that is cut to the exact radii of the re-cut, whatever its index turns out to be, and the radii and centre
    thickness [mm] that the true index would ask for. A radius that is held, or plano, has no parts.
    """

    power_D: Estimate
    front_radius_mm: Estimate
    back_radius_mm: Estimate
    center_thickness_mm: Estimate


def recut_estimates(power_D: Any, n_lens: Estimate, *, n_medium: Any = 1.336, n_medium_behind: Any = None, **held: Any) -> RecutEstimates:
    """A re-cut with the uncertainty of the index carried into it, source by source.

    The radii are those of the index's value; an error of the index then stays in the power as it does for any lens of these dimensions, ∂F/∂n·u(n).
    A re-cut does not make a lens better known than its polymer. Tools and thickness add their own part, which is not in here.

    Parameters
    ----------
    power_D : float or array [D]
        wanted.
    n_lens : Estimate
        the index with the sources of its uncertainty.
    n_medium, n_medium_behind, **held
        as for `recut`; aspheric terms are left out.

    Raises
    ------
    InputError
        as for `recut`.

    References
    ----------
    Law of propagation (JCGM 100:2008, 5.1) by complex step; along the line on which the curvatures are re-cut the power stays, so that
    dx/dn = −(∂F/∂n)/(∂F/∂x).

    Examples
    --------
    >>> from lenscalc.uncertainty import Source, estimate
    >>> lot = Source("index of the lot", scope="lot")
    >>> r = recut_estimates(20.0, estimate(1.49, 0.0005, lot), center_thickness_mm=0.9)
    >>> round(float(r.power_D.value), 6), round(float(r.power_D.u), 4)               # about F·u(n)/(n − m)
    (20.0, 0.0648)
    >>> round(float(r.front_radius_mm.value), 4), round(float(r.front_radius_mm.u), 4)
    (15.3533, 0.0499)
    """
    if not isinstance(n_lens, Estimate):
        raise InputError("n_lens must be an Estimate: an index with the sources of its uncertainty", quantity="n_lens", value=n_lens)
    for name in ("front_aspheric", "back_aspheric", "strict"):
        if name in held:
            raise InputError(f"{name} is not taken here: the uncertainty of a re-cut is that of spheres and conics")
    media = {"n_medium": n_medium, "n_medium_behind": n_medium_behind}
    made = recut(power_D, n_lens.value, **media, **held)
    m1 = as_number("n_medium", n_medium)
    m2 = medium_behind(m1, n_medium_behind)
    moves = _Moves(made, held)

    def power(n: Any, x: Any) -> Any:
        return powers_of(*moves.lens(x), n, m1, m2).power_D

    with np.errstate(divide="ignore", invalid="ignore"):
        by_x = np.imag(power(np.asarray(n_lens.value), 1j * STEP)) / STEP

    def along(n: Any) -> Any:
        """How far along the line the lens of index n lies: one step of Newton's, exact to first order."""
        return -(power(n, 0.0) - made.power_D) / by_x

    def of(which: int) -> Estimate:
        def formula(n: Any) -> Any:
            return moves.lens(along(n))[which]

        found = through(formula, n=n_lens)
        value = made[which]
        flat = ~np.isfinite(np.asarray(value))
        return Estimate(value, {} if np.all(flat) else {s: np.where(flat, 0.0, part)[()] for s, part in found.parts.items()})

    return RecutEstimates(through(lambda n: power(n, 0.0), n=n_lens), of(0), of(1), of(2))


class _Moves:
    """A re-cut lens and its neighbours on the line of what is held, by the way x along it, 0 at the lens itself."""

    def __init__(self, made: Recut, held: dict[str, Any]) -> None:
        with np.errstate(divide="ignore"):
            self.c1, self.c2 = 1.0 / np.asarray(made.front_radius_mm), 1.0 / np.asarray(made.back_radius_mm)
        self.t = np.asarray(made.center_thickness_mm)
        # a held radius stays; otherwise both curvatures grow in proportion
        self.d1 = np.zeros_like(self.c1) if "front_radius_mm" in held else np.ones_like(self.c1) if "back_radius_mm" in held else self.c1
        self.d2 = np.zeros_like(self.c2) if "back_radius_mm" in held else np.ones_like(self.c2) if "front_radius_mm" in held else self.c2
        self.held = held

    def lens(self, x: Any) -> tuple[Any, Any, Any]:
        """Front radius, back radius, centre thickness."""
        c1, c2 = self.c1 + self.d1 * x, self.c2 + self.d2 * x
        # plano stays so: 1/(0 + 0j) would be nan
        R1, R2 = (np.where(c == 0.0, np.inf, 1.0 / c) for c in (c1, c2))
        if "wanted_edge_thickness_mm" not in self.held:
            return R1, R2, self.t
        h = np.asarray(self.held["optic_diameter_mm"], dtype=np.float64) / 2.0
        k1, k2 = (np.asarray(self.held.get(f"{side}_conic", 0.0), dtype=np.float64) for side in ("front", "back"))
        return R1, R2, np.asarray(self.held["wanted_edge_thickness_mm"], dtype=np.float64) + sag_mm(R1, h, k1) - sag_mm(R2, h, k2)
