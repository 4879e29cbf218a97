"""`lenscalc border`: the border of a critical-angle refractometer."""

from __future__ import annotations

import click

from lenscalc.cli.options import json_option, quantity_option
from lenscalc.cli.show import heading, line, show_end, show_json
from lenscalc.own_file import refuse_other_ending, write_whole
from lenscalc.refractometer.border import LIGHTS, PRISM, Light, border_brightness
from lenscalc.refractometer.border import border as border_at

BEFORE_deg = (0.1, 1.0, 5.0)


@click.command()
@quantity_option("n_reading", required=True)
@click.option("--n-prism", type=float, required=True, metavar="NUMBER", help=f"{PRISM.label}: {PRISM.meaning} [{PRISM.limits_text}]")
@click.option("--reflected", is_flag=True, help="The light comes through the prism and is reflected; else it comes through the specimen.")
@click.option("--save", metavar="FILE.html", help="The moving picture of it as a file that opens by itself, without a network.")
@json_option
def border(n_reading: float, n_prism: float, reflected: bool, save: str | None, as_json: bool) -> None:
    """Where the border stands in the prism, how far it moves with the index, and how bright the field is beside it.

    For a specimen on a prism of higher index, both relative to air and at one line.

    \b
    Example:
      lenscalc border --n-reading 1.49 --n-prism 1.75
      lenscalc border --n-reading 1.49 --n-prism 1.75 --save border.html
    """
    light: Light = "reflected" if reflected else "through"
    found = border_at(n_reading, n_prism)
    beside = {d: float(border_brightness(n_reading, n_prism, found.angle_deg - d, light=light)) for d in BEFORE_deg if d < found.angle_deg}
    if save:
        refuse_other_ending(save, ".html")
        from lenscalc.charts.border_animation import border_file  # altair's room: only where a picture is wanted

        write_whole(save, border_file(n_reading, n_prism, light=light))
    if as_json:
        show_json({
            "n_reading": n_reading, "n_prism": n_prism, "light": light, **found._asdict(),
            "brightness": [{"before_border_deg": d, "brightness": b} for d, b in beside.items()],
        }, [])  # fmt: skip
        return
    heading(f"Specimen {n_reading:g} on a prism of {n_prism:g}, light {LIGHTS[0] if light == 'through' else 'in the prism, reflected'}")
    line("border in the prism", f"{found.angle_deg:.4f}°")
    line("0.001 more index", f"{found.movement_deg_per_index / 1000:+.4f}°")
    for d, b in beside.items():
        line(f"brightness {d:g}° before the border", f"{b:.4f}")
    line("brightness beyond it", "1" if reflected else "0")
    if save:
        line("moving picture", save)
    show_end([])
