"""The exercises: what is given, what is asked, the value that belongs into each blank, and how one comes to it."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from lenscalc.conditions import N_MEDIUM_IN_USE, TEMPERATURE_IN_USE_DEGC, WAVELENGTH_IN_USE_NM
from lenscalc.errors import InputError
from lenscalc.lens import power_sensitivity, thick_lens, why_not
from lenscalc.material import water_index
from lenscalc.quantities import plain
from lenscalc.refractometer import border
from lenscalc.uncertainty.rounding import fixed, signed

LARGEST_CHANGE = 0.1


class Lesson(NamedTuple):
    """The numbers of the moment: one lens, an error of its index, and the prism on which its polymer would be read."""

    front_radius_mm: float
    back_radius_mm: float
    center_thickness_mm: float
    optic_diameter_mm: float
    n_lens: float
    index_change: float = 0.001
    n_prism: float = 1.75

    @property
    def media(self) -> list[tuple[str, float]]:
        """Air, water at 35 °C and the eye's medium, with their indices at 546.07 nm relative to air."""
        water = float(water_index(WAVELENGTH_IN_USE_NM, TEMPERATURE_IN_USE_DEGC))
        return [("air", 1.0), ("water", water), ("the eye", N_MEDIUM_IN_USE)]


class Blank(NamedTuple):
    """One place to fill in: what stands before it, the value that belongs there, its decimals and unit."""

    before: str
    value: float
    decimals: int
    unit: str = ""

    @property
    def answer(self) -> str:
        """The value as it is written into the blank, with a true minus.

        >>> Blank("in the eye", -20.469666, 2, "D").answer
        '−20.47 D'
        """
        if not np.isfinite(self.value):
            return "none: the light goes on parallel"
        return f"{signed(self.value, self.decimals)}{'' if self.unit == '°' else ' '}{self.unit}".rstrip()


class Exercise(NamedTuple):
    """A question with its blanks, and the way to them; without blanks it is answered in words, on lines."""

    question: str
    blanks: list[Blank]
    working: str


def exercises(lesson: Lesson) -> list[Exercise]:
    """The exercises of a lesson, from the step of the index to the border in a refractometer.

    Raises
    ------
    InputError
        for values outside their limits, a lens that cannot exist, or a prism that is not above the lens's index.

    >>> found = exercises(Lesson(15.0, -15.0, 0.9, 6.0, 1.49))
    >>> [blank.answer for blank in found[2].blanks]
    ['64.69 D', '20.90 D', '20.47 D']
    """
    R1, R2, t, D, n, change, N = lesson
    media = lesson.media
    m = np.array([index for _, index in media])
    if not abs(change) <= LARGEST_CHANGE:
        raise InputError(
            f"index_change = {change:g}: must be -{LARGEST_CHANGE} to {LARGEST_CHANGE}; an error of an index, not an index", quantity="index_change",
            value=change,
        )  # fmt: skip
    found = thick_lens(R1, R2, t, n, m)
    if sentence := why_not(R1, R2, t, D):
        raise InputError(sentence, quantity="center_thickness_mm")
    slope = float(power_sensitivity(R1, R2, t, n).d_power_d_n_lens)
    at = border(n, N)
    F, F1, F2 = (np.asarray(x) + 0.0 for x in (found.power_D, found.front_surface_power_D, found.back_surface_power_D))
    names = [f"in {name}" for name, _ in media]

    def each(values: object, decimals: int, unit: str = "") -> list[Blank]:
        return [Blank(name, float(v), decimals, unit) for name, v in zip(names, np.asarray(values), strict=True)]

    eye = f"{N_MEDIUM_IN_USE:g}"
    listed = [
        Exercise("How large is the step of the index, n − m, at the front of the lens?", each(n - m, 4), f"{plain(n)} less the index of each medium"),
        Exercise(
            "What power has each surface in the eye? F₁ = (n − m)/R₁ and F₂ = (m − n)/R₂, the radii in metres.",
            [Blank("front", float(F1[2]), 3, "D"), Blank("back", float(F2[2]), 3, "D")],
            f"({plain(n)} − {eye})/{_metres(R1)} and ({eye} − {plain(n)})/{_metres(R2)}",
        ),
        Exercise(
            "What power has the lens? F = F₁ + F₂ − (t/n)·F₁·F₂, the thickness in metres.", each(F, 2, "D"),
            f"in the eye {_signed(F1[2])} + {_signed(F2[2])} − ({plain(t / 1000)}/{plain(n)})·{_signed(F1[2])}·{_signed(F2[2])}",
        ),
        Exercise(
            "How far behind the lens does light from far away meet? m/F·(1 − (t/n)·F₁), in millimetres.",
            each(found.back_focal_length_mm, 1, "mm"),
            f"in the eye {eye}/{_signed(F[2])}·(1 − ({plain(t / 1000)}/{plain(n)})·{_signed(F1[2])}), in metres; below 0 light would "
            "spread, as if it came from before the lens",
        ),
    ]  # fmt: skip
    if abs(F[0]) > 0.005:
        listed.append(Exercise(
            "Which part of its power in air is left in the eye?", [Blank("", float(100.0 * F[2] / F[0]), 1, "%")],
            f"{signed(F[2], 2)}/{signed(F[0], 2)}",
        ))  # fmt: skip
    if n != N_MEDIUM_IN_USE:
        listed.append(Exercise(
            f"The index turns out {abs(change):g} {'lower' if change < 0 else 'higher'}. By how much does the power in the eye change? "
            "ΔF ≈ F·Δn/(n − m).",
            [Blank("", float(F[2] * change / (n - N_MEDIUM_IN_USE)), 3, "D")],
            _minus(f"{fixed(F[2], 2)}·({change:g})/{n - N_MEDIUM_IN_USE:.4g}; the derivative of the thick lens gives {fixed(slope * change, 3)} D"),
        ))  # fmt: skip
    listed += [
        Exercise(
            f"The polymer lies on a prism of index {plain(N)}. At which angle in the prism stands the border between bright and dark? sin θ = n/N.",
            [Blank("", at.angle_deg, 2, "°")], f"asin({plain(n)}/{plain(N)}); 0.001 more index moves it by {at.movement_deg_per_index / 1000:.3f}°",
        ),
        Exercise(
            "A laboratory measures the power in water and prints it on the label. What is wrong with that?", [],
            f"Water is not the eye's medium: the step of the index is another one, and the power is {signed(F[1], 2)} D in water and "
            f"{signed(F[2], 2)} D in the eye, {abs(F[1] - F[2]):.2f} D apart. It must be taken back to the eye's medium by the ratio of the two.",
        ),
    ]  # fmt: skip
    return listed


def _metres(radius_mm: float) -> str:
    text = plain(radius_mm / 1000)
    return "∞" if np.isinf(radius_mm) else _minus(f"({text})") if radius_mm < 0 else text


def _signed(value: float) -> str:
    text = signed(value, 3)
    return f"({text})" if text.startswith("−") else text


def _minus(text: str) -> str:
    return text.replace("-", "−")
