"""The border in a prism as a picture that moves: frames computed here, drawn by a short script of our own beside this file.

The script draws and moves; it knows no optics. The same frames and script stand on the page and in a file that opens by itself.
"""

from __future__ import annotations

import json
from functools import lru_cache
from importlib.resources import files
from typing import Any

import numpy as np

from lenscalc.charts.save import PAPER
from lenscalc.charts.style import BLUE, FONT, ORANGE, Ground, ink, quiet
from lenscalc.conditions import CAUTION
from lenscalc.light import fresnel, snell_deg
from lenscalc.refractometer.border import Light, border, border_brightness

FROM_deg = (15.0, 35.0, 50.0, 62.0, 72.0, 80.0, 86.0, 89.5)  # in the specimen, towards grazing
IN_PRISM_deg = (10.0, 25.0, 38.0, 48.0, 54.0, 60.0, 66.0, 72.0, 80.0)
FIELD = 41  # brightnesses from the normal to the border, closer together towards it, where the field bends
LOWEST, HIGHEST, STEPS = 1.30, 1.70, 41
IN_SPECIMEN, STRIP = 0.56, "How bright it is in each direction inside the prism, 0° along the normal"

HTML = '<div class="border"><button type="button">Play</button><svg viewBox="0 0 1000 710" role="img"></svg></div>'
RANGE = f'<label> Index of the specimen <input type="range" min="0" step="1" aria-label="index of the specimen, {LOWEST:g} and up"></label>'
CSS = f"""
.border {{ font-family: {FONT}; }}
.border svg {{ width: 100%; max-height: 82vh; display: block; }}
.border button {{ font: inherit; font-size: 1rem; color: inherit; background: transparent; border: 1.5px solid currentColor; border-radius: 0.4rem;
  padding: 0.35rem 1.1rem; cursor: pointer; min-width: 8rem; }}
.border button:focus-visible {{ outline: 3px solid {BLUE}; outline-offset: 2px; }}
"""


def script() -> str:
    """The script that draws the frames: a module with one function."""
    return (files("lenscalc.charts") / "border_animation.js").read_text(encoding="utf-8")


def border_frame(n_reading: float, n_prism: float, *, light: Light = "through") -> dict[str, Any]:
    """One picture: the border's angle [°], the field as (angle, brightness), rays as pieces (from, to, brightness) in radii of the prism.

    Raises
    ------
    InputError
        as `border`.

    >>> frame = border_frame(1.49, 1.75)
    >>> frame["border"], frame["specimen"], frame["says"]
    (58.3674, 'specimen 1.4900', '58.37°')
    """
    at = border(n_reading, n_prism).angle_deg
    angle = at * (1.0 - np.linspace(1.0, 0.0, FIELD) ** 2)
    beyond = 0.0 if light == "through" else 1.0
    brightness = border_brightness(n_reading, n_prism, angle, light=light)
    field = [*zip(angle.round(4).tolist(), brightness.round(4).tolist(), strict=True), (round(at, 4), beyond), (90.0, beyond)]
    rays = _from_specimen(n_reading, n_prism) if light == "through" else _in_prism(n_reading, n_prism, at)
    return {"border": round(at, 4), "field": field, "rays": rays, "specimen": f"specimen {n_reading:.4f}", "says": f"{at:.2f}°"}


def border_animation(n_reading: float, n_prism: float, *, light: Light = "through", ground: Ground = "light") -> dict[str, Any]:
    """Everything the script wants: the picture of this specimen, and those of others on the way through the range, there and back."""
    here = border_frame(n_reading, n_prism, light=light)
    indices, frames = _sweep(n_prism, light)
    return {
        "through": light == "through", "here": here, "frames": frames, "start": int(np.argmin(np.abs(np.array(indices) - n_reading))),
        "prism": f"prism {n_prism:.4f}", "strip": STRIP, "told": in_words(n_reading, n_prism, light=light),
        "colours": {"ink": ink(ground), "quiet": quiet(ground), "blue": BLUE, "orange": ORANGE},
    }  # fmt: skip


def in_words(n_reading: float, n_prism: float, *, light: Light = "through") -> str:
    """The text alternative of the picture.

    >>> in_words(1.49, 1.75).split(". ")[1]
    'Light through the specimen fills the prism from the normal to 58.37°, all beyond is dark.'
    """
    at = border(n_reading, n_prism).angle_deg
    field = (
        f"Light through the specimen fills the prism from the normal to {at:.2f}°, all beyond is dark."
        if light == "through" else
        f"Light in the prism is reflected whole beyond {at:.2f}°; nearer to the normal most of it leaves through the specimen, and the field is dark."
    )  # fmt: skip
    return f"A specimen of index {n_reading:.4f} on a half-round prism of {n_prism:.4f}. {field}"


def border_file(n_reading: float, n_prism: float, *, light: Light = "through", ground: Ground = "light") -> str:
    """The moving picture as a file of its own: nothing is fetched when it is opened, so it goes to a lecture on a stick."""
    data = json.dumps(border_animation(n_reading, n_prism, light=light, ground=ground), ensure_ascii=False, allow_nan=False).replace("<", "\\u003c")
    return (
        f'<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><title>The border in a refractometer</title>\n<style>{CSS}'
        f"body {{ background: {PAPER[ground]}; color: {ink(ground)}; font-family: {FONT}; max-width: 70rem; margin: 1.5rem auto; padding: 0 1rem; }}"
        f'</style></head>\n<body><h1>The border in a refractometer</h1>\n{HTML.replace("<svg", f"{RANGE}<svg")}\n'
        f'<p>{in_words(n_reading, n_prism, light=light)}</p>\n'
        f"<p><small>{CAUTION}</small></p>\n"
        f'<script type="module">\n{script().replace("export default function", "const show = function")}\n'
        f"show({{ data: {data}, parentElement: document.body }});\n</script></body></html>\n"
    )


@lru_cache(maxsize=16)
def _sweep(n_prism: float, light: Light) -> tuple[list[float], list[dict[str, Any]]]:
    there = np.linspace(LOWEST, min(HIGHEST, n_prism - 0.01), STEPS) if n_prism > LOWEST + 0.02 else np.array([(1.0 + n_prism) / 2.0])
    indices = [*there.tolist(), *there[-2:0:-1].tolist()]
    frames = {n: border_frame(n, n_prism, light=light) for n in there.tolist()}
    return indices, [frames[n] for n in indices]


def _from_specimen(n: float, N: float) -> list[Any]:
    angle = np.array(FROM_deg)
    inside, through = snell_deg(n, N, angle), fresnel(n, N, angle).transmittance
    return [
        [[_place(180.0 + a, IN_SPECIMEN / max(np.cos(np.deg2rad(a)), 0.4)), [0.0, 0.0], 1.0], [[0.0, 0.0], _place(b, 1.0), round(float(t), 4)]]
        for a, b, t in zip(angle, inside, through, strict=True)
    ]


def _in_prism(n: float, N: float, border_deg: float) -> list[Any]:
    angle = np.array(IN_PRISM_deg)
    parts = fresnel(N, n, angle)
    rays = []
    for a, reflected, through in zip(angle, parts.reflectance, parts.transmittance, strict=True):
        pieces = [[_place(-a, 1.0), [0.0, 0.0], 1.0], [[0.0, 0.0], _place(a, 1.0), round(float(reflected), 4)]]
        if a < border_deg:
            out = float(snell_deg(N, n, a))
            pieces.append([[0.0, 0.0], _place(180.0 - out, IN_SPECIMEN / max(np.cos(np.deg2rad(out)), 0.4)), round(float(through), 4)])
        rays.append(pieces)
    return rays


def _place(degrees: float, length: float) -> list[float]:
    """From the middle of the face, the angle counted from the normal into the prism; x to the right, y downwards."""
    a = np.deg2rad(degrees)
    return [round(float(length * np.sin(a)), 5), round(float(length * np.cos(a)), 5)]
