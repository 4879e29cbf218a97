"""`lenscalc worksheet`: exercises about one lens, to print."""

from __future__ import annotations

from typing import Any

import click

from lenscalc.cli.options import json_option, quantity_options
from lenscalc.cli.show import heading, line, paragraph, show_end, show_json
from lenscalc.own_file import refuse_other_ending, write_whole
from lenscalc.refractometer.border import PRISM


@click.command()
@quantity_options("front_radius_mm", "back_radius_mm", "center_thickness_mm", "optic_diameter_mm", "n_lens", required=True)
@click.option("--index-change", type=float, default=0.001, show_default=True, metavar="NUMBER", help="An error of the index that is asked about.")
@click.option("--n-prism", type=float, default=1.75, show_default=True, metavar="NUMBER", help=f"{PRISM.label} [{PRISM.limits_text}]")
@click.option("--save", metavar="FILE.html", help="The sheet as a file that prints on A4, the answers on a page of their own.")
@json_option
def worksheet(save: str | None, as_json: bool, **given: Any) -> None:
    """Exercises about one lens in air, in water and in the eye, with blanks to fill in, a picture to scale and the answers.

    \b
    Example:
      lenscalc worksheet --front-radius-mm 15 --back-radius-mm -15 --center-thickness-mm 0.9 --optic-diameter-mm 6 --n-lens 1.49 --save lesson.html
    """
    if save:
        refuse_other_ending(save, ".html")
    from lenscalc.worksheet import Lesson, exercises, worksheet_html  # pandas and altair, for the picture

    lesson = Lesson(**given)
    asked = exercises(lesson)
    if save:
        write_whole(save, worksheet_html(lesson))
    if as_json:
        listed = [
            {"question": e.question, "answers": [{"before": b.before, "value": b.value, "answer": b.answer} for b in e.blanks], "working": e.working}
            for e in asked
        ]
        show_json({**lesson._asdict(), "exercises": listed}, [])
        return
    for number, e in enumerate(asked, 1):
        heading(f"Exercise {number}")
        paragraph(e.question)
        for b in e.blanks:
            line(b.before, b.answer)
        paragraph(e.working)
    if save:
        heading("Saved")
        line("worksheet", save)
    show_end([])
