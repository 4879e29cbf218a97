"""What `lenscalc eye` shows on request: the light's way, the error in proportion, the change of the chromatic span. Differences throughout."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

import click

from lenscalc.cli.show import heading, line, paragraph
from lenscalc.conditions import LINES_NM, N_MEDIUM_IN_USE, WAVELENGTH_IN_USE_NM
from lenscalc.errors import InputError
from lenscalc.eye import chromatic_span_change, in_proportion, light_way, published_eye, published_eyes, thin_implanted
from lenscalc.material import Dispersion, by_abbe_number
from lenscalc.uncertainty.rounding import fixed

SHORT, LONG = LINES_NM["F"], LINES_NM["C"]


class Section(NamedTuple):
    """A part of the answer: its keys for JSON, its heading, labelled lines and sentences for a person."""

    values: Mapping[str, Any]
    title: str
    lines: tuple[tuple[str, str], ...]
    sentences: tuple[str, ...]

    def show(self) -> None:
        """Print it for a person."""
        heading(self.title)
        for label, text in self.lines:
            line(label, text)
        for sentence in self.sentences:
            paragraph(sentence)


def light_path_section(labelled_power_D: float, power_D: float, schematic_eye: str, position_shift_mm: float, named: Mapping[str, float]) -> Section:
    """Every plane with the vergence before and behind it, and what the change makes of both."""
    way = light_way(labelled_power_D, power_D, eye=schematic_eye, position_shift_mm=position_shift_mm, **named)
    steps = [s._asdict() for s in way.steps]
    lines = [
        (
            f"{s.plane}, {s.place_mm:.2f} mm",
            f"{fixed(s.before_D, 3):>7} → {fixed(s.behind_D, 3):>7} D   change {_signed(s.change_before_D)} → {_signed(s.change_behind_D)} D",
        )
        for s in way.steps
    ]
    lines.append((f"focus, {way.focus_mm:.2f} mm", f"moved by {_signed(way.focus_shift_mm)} mm"))
    sentence = (
        "Light from far away, as the eye would send it on with the labelled power; mm from the front of the cornea, vergence before → behind. The "
        "change is what the difference in power and place makes of it. No label is chosen for an eye here: "
        f"{way.beside_the_retina()}."
    )
    return Section({"light_path": steps, "focus_shift_mm": way.focus_shift_mm}, "The light's way", tuple(lines), (sentence,))


def proportion_section(bias_D: float) -> Section:
    """The published scatter of the refraction after surgery, line by line, and the lot's bias beside it."""
    seen = in_proportion(lot_bias_D=bias_D)
    lines = [(x.source, f"{x.part:.2f} D   {100.0 * x.share:.0f} % of the variance") for x in seen.lines]
    lines.append(("this change of the index, in every eye", f"{_signed(bias_D)} D   not a scatter: a bias"))
    values = {
        "proportion": [{"source": x.source, "u_refraction_D": x.part, "share": x.share} for x in seen.lines],
        "u_refraction_after_surgery_D": float(seen.scatter_D.u), "lot_bias_D": bias_D,
    }  # fmt: skip
    note = "Shares of the variance: Norrby 2008, abstract; they go with the measurements of their day."
    return Section(values, "The index error in proportion", tuple(lines), (seen.sentence, note))


def chromatic_asked(abbe_d: float | None, other: float | None, n_lens: float | None, schematic_eye: str) -> tuple[float, float, float] | None:
    """Both Abbe numbers and the index, where they are asked about; a usage error where one of them is missing."""
    if abbe_d is None and other is None:
        return None
    if abbe_d is None or other is None:
        raise click.UsageError("--abbe-d and --other-abbe-d go together: what is told is the difference between two polymers")
    if n_lens is None:
        raise click.UsageError("--n-lens is missing beside --abbe-d: dispersion counts against what the lens bends by")
    if schematic_eye == "teaching":
        raise click.UsageError(f"the teaching eye has no dispersion of its own; name another with --schematic-eye [{', '.join(published_eyes())}]")
    return abbe_d, other, n_lens


def chromatic_section(labelled_power_D: float, abbe_d: float, other_abbe_d: float, n_lens: float, schematic_eye: str) -> Section:
    """The chromatic span between the lines C and F with the other polymer minus with the first."""
    if n_lens == N_MEDIUM_IN_USE:
        raise InputError(f"n_lens = {n_lens:g} is the medium's own: such a lens has no power", quantity="n_lens")
    eye = published_eye(schematic_eye)
    made = thin_implanted(eye, labelled_power_D, n_lens=n_lens)
    first, second = (Dispersion.from_abbe(float(by_abbe_number(n_lens, WAVELENGTH_IN_USE_NM, v, LINES_NM["d"]).n), v) for v in (abbe_d, other_abbe_d))
    found = chromatic_span_change(eye, (made, first), (made, second), short_nm=SHORT, long_nm=LONG)
    words = "wider" if found.ocular_media_D > 0 else "narrower" if found.ocular_media_D < 0 else "as wide"
    values = {"chromatic_span_change_D": found.ocular_media_D, "chromatic_span_change_shifted_water_D": found.shifted_water_D}
    lines = (
        ("with the published ocular media", f"{_signed(found.ocular_media_D)} D"),
        ("with water moved to their indices", f"{_signed(found.shifted_water_D)} D"),
    )
    sentence = (
        f"Between {SHORT:.2f} and {LONG:.2f} nm the refraction spreads over a span that is {words} with an Abbe number of {other_abbe_d:g} than with "
        f"{abbe_d:g}, at the same power and index; in {eye.name}. From two-parameter dispersion through each number."
    )
    return Section(values, "Change of the chromatic span", lines, (sentence,))


def _signed(value: float) -> str:
    return fixed(value, 3, "+")
