"""The questions of a determination about the lens: how strong it is, and what an error of the index does to it."""

from __future__ import annotations

from collections.abc import Mapping
from math import hypot, inf, isinf
from typing import Any

from lenscalc.chain import Followed, back_focus_in_words, lens_in_words
from lenscalc.conditions import N_MEDIUM_IN_USE, TEMPERATURE_IN_USE_DEGC
from lenscalc.decision.adequacy import known_well_enough_text
from lenscalc.refractometer.sheet_lens import DIMENSIONS
from lenscalc.report.as_written import shown
from lenscalc.report.tree import Column, Figure, Group, Picture, Section, Table, printable
from lenscalc.report.what_was_read import figures_as_written
from lenscalc.report.which_index import budget_table, degrees, two_digits
from lenscalc.report.words import WORDS
from lenscalc.uncertainty import budget
from lenscalc.uncertainty.rounding import between, figure, signed

_NAMED = {"front_radius_mm": "front radius", "back_radius_mm": "back radius", "center_thickness_mm": "centre thickness"}


def how_strong(followed: Followed, data: Mapping[str, Any]) -> Section:
    """The power with its interval and budget, the lens as measured and as used, drawn to scale."""
    only = followed.evaluation.only
    power_D, u_D = only("power_D"), only("u_power_D")
    exact = {name: round(followed.row[name], 3) for name in DIMENSIONS}
    lens = lens_in_words({**followed.row, **exact}).replace("-", "−")
    figures = [Figure("power_D", "power in the eye's medium", figure(power_D, u_D, "D"))]
    if only("interval_lower_D") is not None:
        ends = between(only("interval_lower_D"), only("interval_upper_D"), u_D, "D").replace("-", "−")
        figures.append(Figure("interval_D", "95 % interval", f"{ends}{degrees(only('dof_power') or inf)}"))
    if u_D:
        figures += [
            Figure("u_power_common_D", "of which common to the lot", _part_u(only("u_power_common_D"))),
            Figure("u_power_individual_D", "of which each lens's own", _part_u(only("u_power_individual_D"))),
        ]
    figures.append(Figure("back_focal_length_mm", "back focal length", back_focus_in_words(followed)))
    if only("edge_thickness_mm") is not None:
        figures.append(Figure("edge_thickness_mm", "edge thickness", f"{signed(only('edge_thickness_mm'), 3)} mm"))
    lines = budget(followed.evaluation.estimates["power_D"])
    largest = f" Most of it comes from: {lines[0].source}." if lines else ""
    return Section(
        "How strong is a lens of it?",
        says=(f"In a medium of {N_MEDIUM_IN_USE} exactly, by convention, if it were cut to {lens}.",),
        groups=(Group("", tuple(figures)), *_measured_medium(followed), *_lens_as_stated(data["lens"])),
        pictures=(
            Picture("lens", f"The lens hydrated at {TEMPERATURE_IN_USE_DEGC:g} °C, to scale in both directions. H and H′: its principal planes."),
            *((Picture("power_budget", f"Share of each source in u² of the power.{largest}"),) if lines else ()),
        ),
        tables=(_dimensions(followed, data["lens"]), *budget_table(lines, "Budget of the power", "power_D", "D")),
    )


def _part_u(u_D: float) -> str:
    return f"u {two_digits(u_D)} D" if u_D else "none"


def _lens_as_stated(lens: Mapping[str, Any]) -> tuple[Group, ...]:
    gauges = tuple(
        Figure("u_scale_relative", f"relative u of the scale of {printable(name)}", shown(g["u_scale_relative"]))
        for name, g in lens.get("gauge", {}).items()
    )
    figures = (*figures_as_written(lens, "lens"), *gauges)
    return (Group("The lens, as stated", figures),) if figures else ()


def _measured_medium(followed: Followed) -> tuple[Group, ...]:
    only = followed.evaluation.only
    if only("power_in_measured_medium_D") is None:
        return ()
    name = printable((followed.sheet.medium or {}).get("name", "the measured medium"))
    there = figure(only("power_in_measured_medium_D"), only("u_power_in_measured_medium_D"), "D")
    return (Group("Another number, never decided on", (Figure("power_in_measured_medium_D", f"power in: {name}", there),)),)


def _dimensions(followed: Followed, lens: Mapping[str, Any]) -> Table:
    rows = []
    for name in DIMENSIONS:
        d = lens[name]
        u = next((f", {WORDS[f'lens.{name}'][k][0] if k != 'u' else 'u'} {shown(d[k], unit)}" for k, unit in (
            ("u", "mm"), ("u_curvature_per_mm", "1/mm"), ("u_sag_mm", "mm"),
        ) if k in d), "")  # fmt: skip
        by = shown(d["instrument"]) if "instrument" in d else ""
        measured, state = f"{shown(d['value'], 'mm')}{u}", f"{shown(d['state'])}, {shown(d['temperature_degC'], '°C')}"
        rows.append((_NAMED[name], measured, state, by, _in_use(followed, name)))
    columns = (
        Column("", "dimension"), Column("dimension_mm", "as measured", True), Column("", "state"), Column("", "by"),
        Column("dimension_in_use_mm", f"in use: hydrated, {TEMPERATURE_IN_USE_DEGC:g} °C", True),
    )  # fmt: skip
    return Table("Its dimensions", columns, tuple(rows))


def _in_use(followed: Followed, name: str) -> str:
    value = float(followed.row[name])
    if isinf(value):
        return "plano"
    u = hypot(*(effects.get(name, 0.0) for effects in followed.sources.values()))
    return figure(value, u, "mm") if u else f"{value:.6g} mm, taken as exact".replace("-", "−")


def index_off(followed: Followed) -> Section:
    """How the power follows the index, and how well the index must be known for a decision."""
    only = followed.evaluation.only
    slope, u_n = only("d_power_d_n_lens"), float(followed.index.n.u[0])
    step = signed(slope / 1000.0, 3)
    figures = [
        Figure("d_power_d_n_lens", "0.001 more index", f"{step if step.startswith('−') else f'+{step}'} D"),
        Figure("index_part_of_u_power_D", f"u of the index, {two_digits(u_n)}, is worth", f"{two_digits(abs(slope) * u_n)} D"),
    ]
    labelled = "labelled_power_D" in followed.row
    if labelled:
        largest = known_well_enough_text(
            only("largest_u_n_lens"), only("power_D"), only("lower_limit_D"), only("upper_limit_D"), str(only("verdict"))
        )
        figures.append(Figure("largest_u_n_lens", "for a decision it must be known to", largest))
    ends = "Where it leaves the band, it would be off its label." if labelled else "Without a label there are no limits."
    return Section(
        "What if the index is off?",
        groups=(Group("", tuple(figures)),),
        pictures=(Picture("power_against_index", f"The line is this lens with other indices. {ends}"),),
    )
