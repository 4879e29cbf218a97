"""The page of a series: has the instrument, or the material, moved?"""

from __future__ import annotations

from typing import Any

import streamlit as st

from lenscalc.charts import control_chart_drawing
from lenscalc.control import ALL_RULES, FOUR_RULES, GROUPED, LIMITS_ONLY, WATCHED, ControlChart, as_toml, control_chart, limits_from_toml
from lenscalc.control.limits import RANGES
from lenscalc.errors import FileError, InputError
from lenscalc.quantities import Quantity, counted
from lenscalc.web.fields.beside import note_drawn, place_below, tell
from lenscalc.web.fields.choice_field import choice_field
from lenscalc.web.fields.number_field import number_field
from lenscalc.web.fields.text_field import text_field
from lenscalc.web.fields.uploaded_name import uploaded_name
from lenscalc.web.records.control_computed import Options, Typed, control_computed
from lenscalc.web.records.control_source import series_source, text_of
from lenscalc.web.records.control_tables import as_csv, how_soon, limits_table, signals_table
from lenscalc.web.shown.as_text import as_text
from lenscalc.web.shown.caution import caution
from lenscalc.web.shown.note import note
from lenscalc.web.shown.picture import ground, picture

CHARTS = {
    "Single points, with their moving range": "individuals",
    "Group means, with ranges": "xbar-r",
    "Group means, with standard deviations": "xbar-s",
    "Weighted average (EWMA)": "ewma",
    "Cumulative sum (CUSUM)": "cusum",
}
RULE_SETS = {
    "Four: 3 sigma; 2 of 3; 4 of 5; 8 on one side": FOUR_RULES,
    "One point beyond three sigma alone": LIMITS_ONLY,
    "Six: with 6 rising or falling, 14 alternating": ALL_RULES,
}


def _setting(name: str, label: str, meaning: str, decimals: int, step: float) -> Quantity:
    lower, upper = (RANGES | {"head_start_sigma": (0.0, RANGES["h_sigma"][1])})[name]
    return Quantity(name, name, "", label, meaning, lower, upper, lower, upper, decimals, "convention", step)


SETTINGS: dict[str, tuple[tuple[Quantity, float], ...]] = {
    "ewma": (
        (_setting("weight", "weight of the newest point, λ", "how much the newest point counts in the average", 3, 0.05), 0.2),
        (_setting("width_sigma", "distance of the limits, L", "in sigma of the average", 3, 0.1), 3.0),
    ),
    "cusum": (
        (_setting("k_sigma", "allowance k, in sigma", "what a point may be off without adding to a sum", 2, 0.1), 0.5),
        (_setting("h_sigma", "decision interval h, in sigma", "the sum that signals", 2, 0.5), 5.0),
        (_setting("head_start_sigma", "start of the sums, in sigma", "above 0 they signal sooner after a start", 2, 0.5), 0.0),
    ),
}  # fmt: skip
_ALL_SETTINGS = tuple(q.name for settings in SETTINGS.values() for q, _ in settings)
DEMO_BASELINE = "25"
LEVEL, SPREAD = "the points", "their spread"
SHOWN = 60


def control_page() -> None:
    """Draw the page."""
    st.title("Has the instrument or the material moved?")
    st.markdown("A series of dated values, such as water checks or the index of lot after lot, between limits from a stretch when all was well.")
    top = st.container()
    form, answers = st.columns([4, 7], gap="large")
    try:
        with form:
            chart, typed, chosen = _form()
    except (InputError, FileError) as error:
        with top:
            tell(error)
        return
    with top:
        st.markdown(f"In short: **{as_text(chart.sentence)}** {chart.chance_sentence}")
        caution()
        for remark in chart.remarks:
            st.info(as_text(f"{remark[0].upper()}{remark[1:]}."), icon=":material/info:")
    with answers:
        _answers(chart)
        control_computed(chart, typed, chosen)


def _form() -> tuple[ControlChart, Typed, Options]:
    source = series_source()
    frozen = st.file_uploader("Limits that were frozen (TOML), in place of a baseline", type="toml", key="frozen_file")
    of: Any = source.of or choice_field("Whose values are they?", WATCHED, key="watched", horizontal=True)
    note_drawn("watched", "kind_of_chart", "rule_set", "part_of_chart", *(f"control_{name}" for name in _ALL_SETTINGS))
    if frozen is not None:
        limits = limits_from_toml(text_of(frozen.getvalue(), uploaded_name(frozen.name)), uploaded_name(frozen.name))
        grouped = limits.kind in GROUPED
        chart = control_chart(source.series(grouped), limits=limits, rules=_rules(limits.kind), of=of)
        return chart, source.typed(grouped), Options(limits.kind, None, True, {}, None if source.of else of)
    kind: Any = CHARTS[choice_field("Which chart?", list(CHARTS), key="kind_of_chart", among="list")]
    values = source.series(kind in GROUPED)
    baseline = text_field(
        "Baseline", value=DEMO_BASELINE if source.key == "demo" else "", key=f"baseline_{source.key}",
        told="Points that the limits come from, while nothing had moved: 25, 1:25 or 2026-01-05:2026-06-22. Empty: those the series marks, or all.",
    )  # fmt: skip
    place_below("baseline", f"baseline_{source.key}")
    settings: dict[str, Any] = {q.name: _number(q, start) for q, start in SETTINGS.get(kind, ())}
    chart = control_chart(values, kind=kind, baseline=baseline or None, rules=_rules(kind), of=of, **settings)
    return chart, source.typed(kind in GROUPED), Options(kind, baseline or None, False, settings, None if source.of else of)


def _rules(kind: str) -> tuple[str, ...]:
    if kind in SETTINGS:
        return FOUR_RULES  # they hold for points alone; these charts signal beyond their limits
    return RULE_SETS[choice_field("Which rules signal?", list(RULE_SETS), key="rule_set", among="list")]


def _number(q: Quantity, start: float) -> float:
    given = number_field(q, value=start, key=f"control_{q.name}", in_address=True)
    if given is None:
        raise InputError(f"{q.name} is missing: give a number from {q.limits_text}", quantity=q.name)
    return given


def _answers(chart: ControlChart) -> None:
    st.header("What does it look like?")
    part: Any = "level"
    if chart.spread is not None:
        part = "spread" if choice_field("Show", (LEVEL, SPREAD), key="part_of_chart", horizontal=True) == SPREAD else "level"
    picture(control_chart_drawing.drawing(chart, part=part, ground=ground()), _limits_in_words(chart, part))
    if chart.signals:
        st.header("What signals, and what to look at?")
        st.table(signals_table(chart, SHOWN))
        if len(chart.signals) > SHOWN:
            note(f"The first {SHOWN} of {len(chart.signals)} are shown; the file marks every point.")
    st.header("Which limits, and where do they come from?")
    st.table(limits_table(chart))
    left, right = st.columns(2)
    left.download_button("Save all points (CSV)", lambda: as_csv(chart).encode(), "control_chart.csv", mime="text/csv", on_click="ignore")
    right.download_button("Freeze these limits (TOML)", lambda: as_toml(chart.to_freeze).encode(), "limits.toml", on_click="ignore")
    note("Frozen limits judge next month by the same: load them above, with the new series.")
    st.header("How soon would it notice?")
    st.table(how_soon(chart))
    note(
        "Mean number of points until the level signals, if the mean moves by so many sigma of a point and stays there; independent normal points, "
        "centre and sigma taken as known. Without a move it is the wait for a false alarm."
    )


def _limits_in_words(chart: ControlChart, part: str) -> str:
    limits = chart.limits
    even = chart.level.upper[0] == chart.level.upper[-1] and not limits.settings
    dotted = " Dotted lines stand at one and two sigma." if even and part == "level" else ""
    return f"Limits from {counted(limits.points, 'point')}, {as_text(str(limits.first))} to {as_text(str(limits.last))}.{dotted}"
