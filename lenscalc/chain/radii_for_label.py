"""The radii that would give the labelled power with the index that was found, in use and as the lens is measured when it is cut."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from lenscalc.chain.follow import Followed
from lenscalc.errors import SheetError
from lenscalc.lens import recut
from lenscalc.uncertainty.rounding import signed

HELD = ("the shape", "the front radius", "the back radius")


class RadiiForLabel(NamedTuple):
    """What is held; the radii [mm] wet at 35 °C; the same as they are measured in the sheet's own state, with the change from the sheet's radii.

    Where no such lens can be made the numbers are nan and `problem` says why.
    """

    held: str
    front_in_use_mm: float
    back_in_use_mm: float
    front_radius_mm: float
    back_radius_mm: float
    front_change_mm: float
    back_change_mm: float
    problem: str

    def in_words(self) -> str:
        """The radii as they are measured in the sheet's own state, and what is held."""
        return f"front {radius_in_words(self.front_radius_mm)}, back {radius_in_words(self.back_radius_mm)}, with {self.held} held"


def radius_in_words(radius_mm: float) -> str:
    """A radius to a thousandth of a millimetre.

    >>> radius_in_words(-14.9403), radius_in_words(np.inf)
    ('−14.940 mm', 'plano')
    """
    return "plano" if np.isinf(radius_mm) else f"{signed(radius_mm, 3)} mm"


def radii_for_label(followed: Followed) -> list[RadiiForLabel]:
    """The lens of a followed sheet cut again to its label: three ways, by what is held. The centre thickness stays, the medium is 1.336.

    A radius that was measured dry is given dry again: swelling and warming stretch every length in one ratio, that of the sheet's own radius.
    The index stays as uncertain as it was, and so does the power.

    Raises
    ------
    SheetError
        for a sheet without a lens or a label.

    >>> from lenscalc.chain import follow
    >>> from lenscalc.demo import demo_text
    >>> from lenscalc.refractometer import sheet_from_text
    >>> shape, *_ = radii_for_label(follow(sheet_from_text(demo_text("copolymer_c.toml"))))     # 20.419 D, and the label says 20.5
    >>> shape.held, round(shape.front_radius_mm, 2), round(shape.back_radius_mm, 2)
    ('the shape', 14.94, -14.94)
    """
    row, lens = followed.row, followed.sheet.lens
    if lens is None or "labelled_power_D" not in row:
        raise SheetError("[lens] labelled_power_D is missing: without a label there is no power to cut for", quantity="labelled_power_D")
    R1, R2 = float(row["front_radius_mm"]), float(row["back_radius_mm"])
    n = float(np.atleast_1d(followed.index.n.value)[0])
    as_measured = [float(lens.dimensions[name]["value"]) for name in ("front_radius_mm", "back_radius_mm")]

    def cut(name: str, held: dict[str, Any]) -> RadiiForLabel:
        made = recut(
            row["labelled_power_D"], n, center_thickness_mm=row["center_thickness_mm"], optic_diameter_mm=row["optic_diameter_mm"], strict=False,
            **held,
        )  # fmt: skip
        in_use = float(made.front_radius_mm), float(made.back_radius_mm)
        measured = [_as_measured(new, old, given) for new, old, given in zip(in_use, (R1, R2), as_measured, strict=True)]
        changes = [0.0 if np.isinf(old) else new - old for new, old in zip(measured, as_measured, strict=True)]
        return RadiiForLabel(name, *in_use, measured[0], measured[1], changes[0], changes[1], str(made.problem))

    shape = {"back_radius_mm": R2} if np.isinf(R2) else {"front_radius_mm": R1} if np.isinf(R1) else {"curvature_ratio": R1 / R2}
    ways = [("the shape", shape)]
    if np.isfinite(R1) and np.isfinite(R2):  # one flat side is a shape of its own; to hold the curved one would bend the other
        ways += [("the front radius", {"front_radius_mm": R1}), ("the back radius", {"back_radius_mm": R2})]
    return [cut(name, held) for name, held in ways]


def _as_measured(new: float, in_use: float, measured: float) -> float:
    return new if np.isinf(in_use) else new * (measured / in_use)
