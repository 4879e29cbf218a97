"""The sheet itself: one HTML text with its styles and its picture inside, for two pages of A4."""

from __future__ import annotations

from html import escape

import numpy as np

from lenscalc.conditions import CAUTION, TEMPERATURE_IN_USE_DEGC, WAVELENGTH_IN_USE_NM
from lenscalc.quantities import plain
from lenscalc.worksheet.exercise import Blank, Exercise, Lesson, exercises
from lenscalc.worksheet.picture import picture_svg

TITLE = "One lens in air, in water and in the eye"
STYLE = """
@page { size: A4; margin: 14mm 16mm; }
body { font-family: 'Liberation Sans', Arial, sans-serif; font-size: 10.5pt; line-height: 1.35; color: #000; background: #fff; max-width: 178mm;
  margin: 8mm auto; padding: 0 4mm; }
section + section { break-before: page; margin-top: 12mm; }
h1 { font-size: 16pt; margin: 0 0 2mm; } p { margin: 0 0 2.5mm; } svg { width: 100%; display: block; margin: 2mm 0 3mm; }
.who { display: flex; gap: 8mm; } .who span { flex: 1; border-bottom: 0.3mm solid #000; }
ol { margin: 0; padding-left: 6mm; } li { margin-bottom: 3.2mm; break-inside: avoid; }
.blanks { display: flex; flex-wrap: wrap; gap: 1mm 7mm; margin-top: 1.2mm; }
.blank { display: inline-block; min-width: 24mm; border-bottom: 0.3mm dotted #000; } .lines { border-bottom: 0.3mm dotted #000; height: 7mm; }
.working { color: #333; font-size: 9.5pt; } .small { font-size: 8pt; margin-top: 4mm; }
@media print { body { margin: 0; padding: 0; max-width: none; } }
"""


def worksheet_html(lesson: Lesson) -> str:
    """The worksheet as a file of its own: exercises with blanks and a picture on the first page, answers with their working on the second.

    Nothing in it depends on the day or the machine: the same numbers give the same text. It asks nothing about a person.

    Raises
    ------
    InputError
        as `exercises`.

    >>> text = worksheet_html(Lesson(15.0, -15.0, 0.9, 6.0, 1.49))
    >>> text.count("<section"), "20.47 D" in text.split("<section")[1], "20.47 D" in text.split("<section")[2]
    (2, False, True)
    """
    asked = exercises(lesson)
    small = f'<p class="small">{escape(CAUTION)}</p>'
    return (
        f'<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><title>{TITLE}</title><style>{STYLE}</style></head>\n<body>\n'
        f'<section><h1>{TITLE}</h1>\n<p class="who">Name <span></span> Date <span></span></p>\n'
        f"<p>{_given(lesson)} Mark in the picture where the light meets.</p>\n{picture_svg(lesson)}\n"
        f"<ol>{''.join(_asked(e) for e in asked)}</ol>\n{small}</section>\n"
        f"<section><h1>Answers</h1>\n<p>{_given(lesson)}</p>\n<ol>{''.join(_answered(e) for e in asked)}</ol>\n{small}</section>\n</body></html>\n"
    )


def _given(lesson: Lesson) -> str:
    radii = " and ".join("plano" if np.isinf(R) else f"{plain(R)} mm".replace("-", "−") for R in (lesson.front_radius_mm, lesson.back_radius_mm))
    media = ", ".join(f"{name} {index:.4f}" for name, index in lesson.media)
    return (
        f"A lens has the radii R₁ and R₂ of {radii} (positive where the centre of the sphere lies behind the surface), is t = "
        f"{plain(lesson.center_thickness_mm)} mm thick and {plain(lesson.optic_diameter_mm)} mm wide, and has the index n = {plain(lesson.n_lens)}. "
        f"Indices m around it: {media} (at {WAVELENGTH_IN_USE_NM:g} nm, {TEMPERATURE_IN_USE_DEGC:g} °C, relative to air)."
    )


def _asked(e: Exercise) -> str:
    if not e.blanks:
        return f'<li>{escape(e.question)}{"<div class=lines></div>" * 3}</li>\n'
    return f'<li>{escape(e.question)}<div class="blanks">{"".join(_blank(b) for b in e.blanks)}</div></li>\n'


def _blank(b: Blank) -> str:
    return f'<span>{escape(b.before)} <span class="blank">&nbsp;</span> {escape(b.unit)}</span>'


def _answered(e: Exercise) -> str:
    values = "; ".join(f"{escape(b.before)} <b>{escape(b.answer)}</b>".strip() for b in e.blanks)
    return f'<li>{f"{values}<br>" if values else ""}<span class="working">{escape(e.working)}</span></li>\n'
