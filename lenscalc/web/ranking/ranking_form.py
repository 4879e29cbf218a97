"""What a ranking is asked: what counts, what is good in it, how much it weighs, and which limits must be kept."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf
from typing import NamedTuple

import streamlit as st

from lenscalc.decision import Criterion, Limit
from lenscalc.quantities import Quantity, is_quantity, plain, quantity
from lenscalc.web.fields.beside import note_drawn
from lenscalc.web.fields.choice_field import choice_field, several_field, switch_field
from lenscalc.web.fields.number_field import number_field
from lenscalc.web.fields.slider_field import slider_field
from lenscalc.web.shown.as_text import as_text
from lenscalc.web.shown.note import note
from lenscalc.web.table.column_words import column_title, column_words, with_unit

LABEL = "labelled_power_D"
LOW, HIGH, TO_LABEL, TO_NUMBER = "low is good", "high is good", "near its own label", "near a number"
_GOOD_HIGH = ("abbe_d", "conformance_probability", "mtf", "edge_thickness_mm")
_FIRST = ("power_D", "abbe_d")
_LEAST, _MOST = 0.1, 5.0  # of a weight


class Asked(NamedTuple):
    """The criteria with their weights, the limits, and whether one instrument read all."""

    criteria: tuple[Criterion, ...]
    limits: tuple[Limit, ...]
    one_instrument: bool


def ask_how(names: Sequence[str], labelled: bool) -> Asked:
    """Draw the fields and read them.

    Parameters
    ----------
    names : sequence of str
        the columns that may count.
    labelled : bool
        whether the rows have labels to be near to.
    """
    start = [n for n in _FIRST if n in names] or list(names[:1])
    chosen = several_field("What counts?", names, key="rank_by", first=start, shown=column_title)
    criteria = [c for name in chosen if (c := _criterion(name, labelled)) is not None]
    limited = several_field("Limits to keep, on", names, key="rank_limits", shown=column_title, placeholder="nothing")
    limits = [limit for name in limited for limit in _limits(name)]
    shared = switch_field("All were read on one instrument", key="one_instrument", first=True)
    if shared:
        note("The error of its calibration is then shared, and makes no difference between them.")
    return Asked(tuple(criteria), tuple(limits), shared)


def _criterion(name: str, labelled: bool) -> Criterion | None:
    ways = [HIGH, LOW, TO_NUMBER]
    if labelled and name == "power_D":
        ways.insert(0, TO_LABEL)
    start = 0 if name in _GOOD_HIGH or TO_LABEL in ways else ways.index(TO_NUMBER if name == "power_D" else LOW)
    left, right = st.columns(2, vertical_alignment="bottom")
    with left:
        way = choice_field(column_title(name), ways, key=f"way_{name}", among="list", first=ways[start])
    with right:
        weight = slider_field(
            _weight_of(name), lower=_LEAST, upper=_MOST, value=1.0, step=_LEAST, key=f"weight_{name}", label=f"Weight of the {column_words(name)}"
        )
    note_drawn(f"near_{name}")
    if way == TO_LABEL:
        return Criterion(name, "near", LABEL, weight)
    if way != TO_NUMBER:
        return Criterion(name, "high" if way == HIGH else "low", None, weight)
    near = number_field(_of(name), key=f"near_{name}", label=f"near, for the {column_words(name)}", in_address=True)
    if near is None:
        note(f"{as_text(name)} does not count until it has a number to be near to.")
        return None
    return Criterion(name, "near", near, weight)


def _limits(name: str) -> list[Limit]:
    words = column_title(name).partition(",")[0]
    left, right = st.columns(2, vertical_alignment="bottom")
    with left:
        least = number_field(_of(name), key=f"least_{name}", label=f"{words} at least", in_address=True)
    with right:
        note_drawn(f"least_{name}")
        most = number_field(_of(name), key=f"most_{name}", label="at most", in_address=True)
    return [Limit(name, sign, number) for sign, number in ((">=", least), ("<=", most)) if number is not None]


def _of(name: str) -> Quantity:
    """The quantity of a column; a bare number for one that is the reader's own."""
    return quantity(name) if is_quantity(name) else Quantity(name, name, "", name, name, -inf, inf, -inf, inf, 4, "result")


def _weight_of(name: str) -> Quantity:
    meaning = "how much it counts beside the others; twice the weight counts twice"
    return Quantity(f"weight_{name}", "w", "", f"weight of {name}", meaning, _LEAST, _MOST, -inf, inf, 1, "result")


def criterion_text(c: Criterion) -> str:
    """A criterion as the command takes it.

    >>> criterion_text(Criterion("power_D", "near", 20.0)), criterion_text(Criterion("abbe_d", "high"))
    ('power_D:near=20', 'abbe_d:high')
    """
    if c.direction != "near":
        return f"{c.name}:{c.direction}"
    return f"{c.name}:near={c.target if isinstance(c.target, str) else plain(c.target or 0.0)}"


def in_words(c: Criterion) -> str:
    """A criterion as somebody says it.

    >>> in_words(Criterion("power_D", "near", "labelled_power_D")), in_words(Criterion("abbe_d", "high"))
    ('power near its own label', 'high Abbe number')
    """
    words = column_words(c.name)
    if c.direction != "near":
        return f"{c.direction} {words}"
    if isinstance(c.target, str):
        return f"{words} near its own {'label' if c.target == LABEL else column_words(c.target)}"
    return f"{words} near {with_unit(c.name, plain(c.target or 0.0))}"
