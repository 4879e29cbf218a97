"""What a ranking found: in sentences first, then one picture for each question, the table last."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
import streamlit as st

from lenscalc.batch import Ranked
from lenscalc.batch.ranked_told import conforms_text, has_verdicts, label_text, rule_of, weighed, who_conforms
from lenscalc.charts.candidates_scatter import MOST, candidates_scatter
from lenscalc.charts.ranking import rank_bars
from lenscalc.charts.signs import SIGNS, legend
from lenscalc.decision import ASSUMED, ASSUMED_SEPARATE, COMPARED, NORMALISED, Criterion, departure
from lenscalc.decision.decide import UNDECIDED, WOULD, WOULD_NOT
from lenscalc.quantities import counted
from lenscalc.uncertainty import probability_text
from lenscalc.uncertainty.rounding import percent
from lenscalc.web.fields.page_words import in_page_words
from lenscalc.web.ranking.ranking_form import LABEL, Asked, in_words
from lenscalc.web.shown.as_text import as_text, plain_table
from lenscalc.web.shown.figures import figure, kept_together
from lenscalc.web.shown.note import note
from lenscalc.web.shown.picture import ground, picture
from lenscalc.web.table.batch_results import kinds_of
from lenscalc.web.table.column_words import column_title, column_words, with_unit

SHOWN = 20
FIRST = 3  # of whose verdicts a reader must know before all else
UNBEATEN = "ringed and blue: nobody beats it; grey: another is as good in all and better in something"
_PROBABILITY = "conformance_probability"
_BESIDE = " Beside each name stands its own label."


def in_sentences(found: Ranked, asked: Asked) -> str:
    """The ranking, told."""
    names, columns = [as_text(name) for name in found.names[:14]], found.columns
    by = as_text(" and ".join(in_words(c) for c in asked.criteria)) + (f", {weighed(asked.criteria)}" if weighed(asked.criteria) else "")
    alone = len(found.names) == 1
    then = f", then {' and '.join(names[1:FIRST])}" if len(names) > 1 else ""
    told = [f"**{names[0]}** {'is the only one left' if alone else f'comes first{then}'}, by {by}{_first_conform(found)}."]
    p = columns["better_than_next_probability"]
    if not alone and p[0] == p[0]:
        told.append(f"{names[0]} is better than {names[1]} with a probability of **{probability_text(float(p[0]))}**{_before_all(found)}.")
        unsure = [f"{names[i]} and {names[i + 1]} ({probability_text(float(p[i]))})" for i in range(1, min(len(names) - 1, 12)) if p[i] < 0.8]
        if unsure:
            told.append(f"Hardly to be told apart, by what is known: {', '.join(unsure[:4])}.")
    elif not alone:
        told.append("Nothing of what counts here has an uncertainty in the table: how sure the order is cannot be said.")
    return " ".join(told)


def _first_conform(found: Ranked) -> str:
    """That the first by rank would all conform; whether one of them may not stands before all else."""
    many = min(FIRST, len(found.names))
    if not has_verdicts(found) or any(verdict != WOULD for verdict in found.columns["verdict"][:many]):
        return ""
    return f"; {('it', 'both', 'all three')[many - 1]} would conform"


def _before_all(found: Ranked) -> str:
    trials = found.ranking.trials
    return f", and before all others at once in {percent(float(trials.probability[0, 0]))} of the trials" if trials and len(found.names) > 2 else ""


def who_took_part(found: Ranked) -> str:
    """How many were ranked, and why not the others."""
    told = [f"{len(found.names):,} of {counted(found.rows, 'row', how=',')} {'is' if len(found.names) == 1 else 'are'} ranked"]
    told += [f"{found.outside:,} outside the limits"] if found.outside else []
    told += [f"{count:,} left out: {as_text(in_page_words(reason))}" for reason, count in found.left_out.items()]
    return "; ".join(told) + "."


def the_first_may_not(found: Ranked, asked: Asked) -> None:
    """Before all else, whether the first by rank would conform: the order alone does not ask for it."""
    many = min(FIRST, len(found.names))
    if told := _may_not(found, range(many)):
        of = "the only one ranked" if many == len(found.names) == 1 else f"the first {many} by rank"
        limited = any(limit.name == _PROBABILITY for limit in asked.limits)
        way = "" if limited else " The order does not ask for it: a limit on the *Conformance probability* does, under *Limits to keep, on*."
        st.markdown(f"Of {of}: {told}.{way}")


def do_they_conform(found: Ranked, whose: str) -> None:
    """Which of them would conform to their labels, and `whose` numbers these are."""
    told = as_text(who_conforms(found))
    st.markdown(f"Would they conform? {told[0].upper()}{told[1:]}.{whose}")


def nobody_beats(found: Ranked, asked: Asked) -> None:
    """The Pareto set of two criteria or more, and where it lies in the first two."""
    st.header("Which does nobody beat in everything?")
    best = [as_text(name) for name, stands in zip(found.names, found.ranking.pareto, strict=True) if stands]
    named = ", ".join(best[:12]) + (f" and {len(best) - 12:,} more" if len(best) > 12 else "")
    st.markdown(
        f"**{named}**: {len(best):,} of {len(found.names):,}. Whoever does not want to weigh one thing against another chooses among these; each of "
        f"the others is as good or worse in all that counts, and worse in something, than one of them. This is by the values alone.{_mind(found)}"
    )
    x, y = asked.criteria[1], asked.criteria[0]
    many = min(len(found.names), MOST)
    kinds, all_kinds = _decided(found, many)
    (across, x_title), (up, y_title) = (_drawn(found, c, many) for c in (x, y))
    chart = candidates_scatter(
        _with_labels(found, many, 24), across, up, kinds, x_title=x_title, y_title=y_title, all_kinds=all_kinds, ringed=found.ranking.pareto[:many],
        selectable=False, ground=ground(),
    )  # fmt: skip
    drawn = f" The first {many:,} by rank are drawn." if many < len(found.names) else ""
    others = as_text(", ".join(in_words(c) for c in asked.criteria[2:]))
    rest = f" The other criteria ({others}) are not in this picture." if others else ""
    picture(chart, f"{legend(all_kinds)}; {UNBEATEN}.{_BESIDE if LABEL in found.columns else ''}{rest}{drawn}")


def _mind(found: Ranked) -> str:
    """Who of those that nobody beats may not conform, or would not: to be unbeaten asks for no verdict."""
    told = _may_not(found, np.flatnonzero(found.ranking.pareto))
    return f" Mind: {told}." if told else ""


def _may_not(found: Ranked, rows: Any) -> str:
    """Who of these would not conform or is not decided; empty where none, or where the table has no verdicts."""
    if not has_verdicts(found):
        return ""
    told = []
    for verdict, sentence in ((UNDECIDED, "whether **{}** would conform is not decided"), (WOULD_NOT, "**{}** would not conform")):
        if who := [as_text(found.names[i]) for i in rows if found.columns["verdict"][i] == verdict]:
            told.append(sentence.format(", ".join(who[:12]) + (f" and {len(who) - 12:,} more" if len(who) > 12 else "")))
    return "; ".join(told)


def _with_labels(found: Ranked, many: int, longest: int) -> list[str]:
    """The names for a picture, each with its label where the table has them."""
    labels = [label_text(float(d)) for d in found.columns[LABEL][:many]] if LABEL in found.columns else [""] * many
    return [f"{name[:longest]} ({label} D)" if label else name[:longest] for name, label in zip(found.names[:many], labels, strict=True)]


def _decided(found: Ranked, many: int) -> tuple[list[str], tuple[str, ...]]:
    """What was decided of the first, and all that may have been, in the order of the signs; one kind alone where the table has no verdicts."""
    return kinds_of(found.columns["verdict"][:many]) if has_verdicts(found) else (["candidate"] * many, ("candidate",))


def _drawn(found: Ranked, c: Criterion, many: int) -> tuple[Any, str]:
    """What a criterion is drawn as, and its title: the values, or their distance from what they should be near to."""
    values = found.columns[c.name][:many]
    if c.direction != "near":
        return values, f"{column_title(c.name)} ({'more' if c.direction == 'high' else 'less'} is better)"
    target = found.columns[c.target][:many] if isinstance(c.target, str) else c.target
    to = "its label" if c.target == LABEL else column_words(c.target) if isinstance(c.target, str) else with_unit(c.name, f"{c.target:g}")
    return departure(values, "near", target), with_unit(c.name, f"{column_words(c.name)}: distance from {to},").rstrip(",") + " (less is better)"


def how_sure(found: Ranked, asked: Asked) -> None:
    """The distribution of the ranks."""
    trials = found.ranking.trials
    if trials is None:
        return
    st.header("How sure is the order?")
    many = len(trials.probability)
    names, (kinds, all_kinds) = _with_labels(found, many, 16), _decided(found, many)
    if has_verdicts(found):  # an order does not say who would conform
        names = [f"{SIGNS[all_kinds.index(kind)]} {name}" for kind, name in zip(kinds, names, strict=True)]
    picture(
        rank_bars.drawing(names, trials.probability, ground=ground()),
        f"How often each candidate has which rank, in {trials.trials:,} trials in which every value is drawn anew within its uncertainty. "
        "The order is that of the values themselves: that of mean ranks may be another where candidates are hardly told apart."
        f"{_BESIDE if LABEL in found.columns else ''}{f' {legend(all_kinds)}.' if has_verdicts(found) else ''}",
    )
    note(f"{COMPARED[0].upper()}{COMPARED[1:]}.")
    note(f"Assumed: {ASSUMED if asked.one_instrument else ASSUMED_SEPARATE}.")


def in_order(found: Ranked, asked: Asked) -> None:
    """The table of the first by rank."""
    st.header("In the order of the score")
    st.table(plain_table(short_table(found, asked)))
    if len(found.names) > SHOWN:
        st.markdown(f"The first {SHOWN} of {len(found.names):,} are shown; the file holds them all.")
    weights = ", ".join(f"{column_words(n)} {percent(w)}" for n, w in found.ranking.weights.items())
    note(f"Score: {NORMALISED}. Weights: {as_text(weights)}.")
    if has_verdicts(found):
        rule = rule_of(found.columns.get("required_probability", ()))
        note(f"Would conform: {rule}. The order does not ask for it; a limit on the conformance probability does.")


def short_table(found: Ranked, asked: Asked) -> pd.DataFrame:
    """The first by rank, as text."""
    columns, many = found.columns, min(SHOWN, len(found.names))
    table: dict[str, Any] = {"rank": [str(r) for r in columns["rank"][:many]], "candidate": found.names[:many]}
    if has_verdicts(found):  # in sight on a narrow page too
        table["would conform"] = [conforms_text(found, i) for i in range(many)]
    if LABEL in columns:
        table["label"] = [f"{text} D" if (text := label_text(float(d))) else "" for d in columns[LABEL][:many]]
    for c in asked.criteria:
        u = columns.get(f"u_{c.name}", np.zeros(many))
        table[column_title(c.name)] = [
            kept_together(figure(float(v), float(e))) if e > 0 else f"{v:.5g}".replace("-", "−")
            for v, e in zip(columns[c.name][:many], u[:many], strict=True)
        ]
    table["score"] = [f"{s:.3f}" for s in columns["score"][:many]]
    table["beaten by nobody"] = list(columns["pareto"][:many])
    p = columns["better_than_next_probability"][:many]
    if np.isfinite(p).any():
        table["better than the next"] = ["" if v != v else probability_text(float(v)) for v in p]
    return pd.DataFrame(table).set_index("rank")
