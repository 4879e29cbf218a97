"""Light from far away on its way through a schematic eye: with the implant that the label promises, and what another one changes, step by step."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from lenscalc.errors import InputError
from lenscalc.eye.altered_implant import what_if
from lenscalc.eye.implant import planes_with_implant, thin_implanted
from lenscalc.eye.light_path import FarLight, Plane, far_light_of
from lenscalc.eye.published import published_eye
from lenscalc.eye.schematic import TEACHING_EYE


class Step(NamedTuple):
    """A plane: its place behind the front of the cornea [mm], vergence before and behind it [D], and what the change makes of both [D].

    `height` is that of a ray which enters at height 1.
    """

    plane: str
    place_mm: float
    before_D: float
    behind_D: float
    change_before_D: float
    change_behind_D: float
    height: float


class LightWay(NamedTuple):
    """The steps, where the light comes to its focus behind the front of the cornea [mm], how far the change moves it [mm], the eye in words.

    `length_mm`: where the eye's retina lies.
    """

    steps: tuple[Step, ...]
    focus_mm: float
    focus_shift_mm: float
    eye: str
    length_mm: float

    def beside_the_retina(self) -> str:
        """Where the focus of the labelled power lies, beside the retina.

        >>> light_way(20.0, 20.13).beside_the_retina()
        'with the labelled power the focus, at 23.72 mm, lies 0.2 mm behind the retina of this eye, which is 23.5 mm long'
        """
        off = self.focus_mm - self.length_mm
        if self.steps[-1].behind_D <= 0:
            return f"with the labelled power the light does not meet behind the implant of this eye, which is {self.length_mm:.4g} mm long"
        where = f"lies {abs(off):.1f} mm {'behind' if off > 0 else 'before'}" if round(off, 1) else "lies on"
        return f"with the labelled power the focus, at {self.focus_mm:.2f} mm, {where} the retina of this eye, which is {self.length_mm:.4g} mm long"


def light_way(labelled_power_D: float, power_D: float, *, eye: str = "teaching", position_shift_mm: float = 0.0, n_lens: float = 1.49) -> LightWay:
    """The way of light from far away, with the labelled power where it was meant to be, and the differences that power and place make.

    Parameters and errors as for `what_if`; an implant that sends the light on parallel is refused. The retina has no part in the way: what the eye
    notices of it is the difference that `what_if` gives.

    >>> way = light_way(20.0, 20.13)
    >>> for s in way.steps:
    ...     print(f"{s.plane:<8} {s.place_mm:4.1f} mm {s.before_D:6.2f} {s.behind_D:6.2f} D, {s.change_before_D:+.2f} {s.change_behind_D:+.2f} D")
    cornea    0.0 mm   0.00  43.08 D, +0.00 +0.00 D
    implant   5.0 mm  51.36  71.36 D, +0.00 +0.13 D
    >>> round(way.focus_shift_mm, 3)
    -0.034
    """
    words = what_if(labelled_power_D, power_D, eye=eye, position_shift_mm=position_shift_mm, n_lens=n_lens).eye
    planes = _planes(eye, labelled_power_D, n_lens, 0.0)
    try:
        with np.errstate(divide="raise"):
            meant, places, heights = _followed(planes)
            found, moved, _ = _followed(_planes(eye, power_D, n_lens, position_shift_mm))
    except ArithmeticError:
        raise InputError("the light leaves the implant parallel and comes to no focus; change the power a little", quantity="power_D") from None
    steps = tuple(
        Step(name, place, before, behind, found.before_D[i] - before, found.behind_D[i] - behind, height)
        for i, (name, place, before, behind, height) in enumerate(
            zip(meant.names, places, meant.before_D, meant.behind_D, heights, strict=True)
        )
    )
    focus = places[-1] + meant.focus_mm
    return LightWay(steps, focus, moved[-1] + found.focus_mm - focus, words, places[-1] + planes[-1].distance_mm)


def _planes(eye: str, power_D: float, n_lens: float, deeper_mm: float) -> list[Plane]:
    """Cornea and implant, which is one plane: a thin one."""
    if eye == "teaching":
        e = TEACHING_EYE
        depth = e.implant_depth_mm + deeper_mm
        return [Plane("cornea", e.corneal_power_D, depth, e.n_medium), Plane("implant", power_D, e.axial_length_mm - depth, e.n_medium)]
    published = published_eye(eye)
    _, *cornea, front, back = planes_with_implant(published, thin_implanted(published, power_D, n_lens=n_lens, deeper_mm=deeper_mm))
    return [*cornea, back._replace(name="implant", power_D=front.power_D + back.power_D)]


def _followed(planes: list[Plane]) -> tuple[FarLight, list[float], list[float]]:
    way = far_light_of(planes)
    places, heights = [0.0], [1.0]
    for plane, behind in zip(planes[:-1], way.behind_D[:-1], strict=True):
        places.append(places[-1] + plane.distance_mm)
        heights.append(heights[-1] * (1.0 - plane.distance_mm / (1000.0 * plane.n_behind) * behind))
    return way, places, heights
