"""The thick lens's equation as lines of LaTeX, with the numbers of one lens put in."""

from __future__ import annotations

from math import isinf

from lenscalc.uncertainty.rounding import fixed


def thick_lens_lines(R1: float, R2: float, t: float, n: float, front: float, behind: float, F1: float, F2: float, F: float) -> tuple[str, ...]:
    """The equation, both surface powers and the power: radii and thickness in mm, written in metres; powers in D.

    >>> thick_lens_lines(15.0, -15.0, 0.9, 1.49, 1.336, 1.336, 10.266667, 10.266667, 20.469666)[1]
    'F_1 = \\\\frac{1.49000 - 1.336}{0.015} = 10.267\\\\ \\\\mathrm{D}'
    >>> thick_lens_lines(15.0, float("inf"), 0.9, 1.49, 1.336, 1.336, 10.266667, -0.0, 10.266667)[3][:20]
    'F = 10.267 +0.000 - '
    """
    return (
        r"F = F_1 + F_2 - \frac{t}{n}\,F_1 F_2",
        rf"F_1 = \frac{{{n:.5f} - {front:g}}}{{{_metres(R1)}}} = {fixed(F1, 3)}\ \mathrm{{D}}",
        rf"F_2 = \frac{{{behind:g} - {n:.5f}}}{{{_metres(R2)}}} = {fixed(F2, 3)}\ \mathrm{{D}}",
        rf"F = {fixed(F1, 3)} {_added(F2)} - \frac{{{_metres(t)}}}{{{n:.5f}}}"
        rf"\cdot({fixed(F1, 3)})\cdot({fixed(F2, 3)}) = {fixed(F, 3)}\ \mathrm{{D}}",
    )


def _added(F2: float) -> str:
    text = fixed(F2, 3, "+")
    return text if text[0] in "+-" else f"+{text}"


def _metres(length_mm: float) -> str:
    return r"\infty" if isinf(length_mm) else f"{length_mm / 1000:.7g}"
