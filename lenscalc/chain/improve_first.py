"""What to improve first: other radii where the power itself is off, a source of uncertainty where that stands in the way, or nothing."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from lenscalc.chain.follow import Followed
from lenscalc.chain.radii_for_label import RadiiForLabel, radii_for_label
from lenscalc.decision import REQUIRED_PROBABILITY, more_mountings_text, mountings_worth, work_on_first
from lenscalc.decision.decide import SIDE_OPEN, UNDECIDED, outside_text
from lenscalc.decision.instrument import Contribution
from lenscalc.uncertainty import budget, conformance_probability, decimals_for, probability_text
from lenscalc.uncertainty.rounding import as_stated, distance, figure, percent

SMALL = 0.05  # a share of u² below which nobody need work
_SPREAD = {"replicates at": "readings", "mountings at": "mountings", "sessions at": "sessions"}  # by the names of their sources


class ImproveFirst(NamedTuple):
    """`answer` in a sentence or two, `more` sentences after it; the radii that give the label, where they would help; the sources of u in order."""

    answer: str
    more: tuple[str, ...]
    radii: RadiiForLabel | None
    sources: list[Contribution]


def improve_first(followed: Followed) -> ImproveFirst | None:
    """What stands in the way of a decision on a sheet's lens, in words; None where nothing is decided or nothing is uncertain.

    Readings that scatter too widely come first, then a power outside its limits, which no better measurement brings in, then the largest source.

    >>> from lenscalc.chain import follow
    >>> from lenscalc.demo import demo_text
    >>> from lenscalc.refractometer import sheet_from_text
    >>> print(improve_first(follow(sheet_from_text(demo_text("copolymer_c.toml")))).answer)
    Nothing needs improving: the lens would conform as it is known now, with a probability above 0.999 where 0.95 is required.
    """
    only = followed.evaluation.only
    p, lower, upper = only("conformance_probability"), only("lower_limit_D"), only("upper_limit_D")
    if p is None or lower is None or upper is None:
        return None
    sources = work_on_first(followed.evaluation.estimates["power_D"], lower, upper)
    if not sources:
        return None
    required = followed.row.get("required_probability", REQUIRED_PROBABILITY)
    spread = _spread(followed)
    if p >= required:
        answer = f"Nothing needs improving: the lens would conform as it is known now, with a probability {_of(p)} where {required:g} is required."
        best = sources[0]
        halved = f"{_its(best, sources)} u halved would bring u of the power from {_u(only('u_power_D'))} to {_u(best.u_halved_D)}"
        return ImproveFirst(answer, (f"{_largest(sources)}; {halved}.", spread.told), None, sources)
    is_off = not lower <= only("power_D") <= upper
    found = _off(followed, sources, required) if is_off else _undecided(followed, sources, p, required)
    if spread.is_too_wide:
        told = () if is_off else (found.answer,)  # neither radii for their mean nor how far it lies outside would serve anybody
        return ImproveFirst(f"The readings themselves. {spread.told}", told, None, sources)
    return found if is_off else found._replace(more=(*found.more, spread.told))


def _undecided(followed: Followed, sources: list[Contribution], p: float, required: float) -> ImproveFirst:
    """Inside the limits, and not known well enough."""
    best, *others = sources
    now, then = probability_text(p), probability_text(best.probability_halved)
    moved = f", and the probability that the lens conforms from {now} to {then}" if now != then else ""
    answer = (
        f"{_capital(best.source)}, which holds {percent(best.share)} of u²: its u halved would bring u of the power from "
        f"{_u(followed.evaluation.only('u_power_D'))} to {_u(best.u_halved_D)}{moved}."
    )
    more = []
    if followed.evaluation.only("largest_u_n_lens") == 0:
        more.append("No better index alone would decide: the other uncertainties are too large by themselves.")
    after = [f"{c.source} ({percent(c.share)}, halved: u {_u(c.u_halved_D)})" for c in others[:2] if c.share >= SMALL]
    if after:
        more.append(f"After it: {'; '.join(after)}.")
    on_label, made = _on_label(followed), _radii(followed)
    if made is not None and on_label >= required:
        more.append(f"Or other radii: on its label, {made.in_words()}, it would conform with a probability {_of(on_label)}.")
    return ImproveFirst(answer, tuple(more), made if on_label >= required else None, sources)


def _off(followed: Followed, sources: list[Contribution], required: float) -> ImproveFirst:
    """The power itself lies outside: no measurement mends that, though a better one may decide on which side it is."""
    only = followed.evaluation.only
    power, lower, upper = only("power_D"), only("lower_limit_D"), only("upper_limit_D")
    side, limit = ("below the lower", lower) if power < lower else ("above the upper", upper)
    verdict, by = str(only("verdict")), distance(abs(power - limit))
    near = f", {SIDE_OPEN}" if verdict == UNDECIDED else ""
    label, made, on_label = f"{as_stated(followed.row['labelled_power_D'])} D", _radii(followed), _on_label(followed)
    answer = (
        f"The power itself: a lens cut to these dimensions has {figure(power, only('u_power_D'), 'D')}, and that lies "
        f"{by} D {side} limit of {as_stated(limit)} D{near}. {outside_text(verdict, by_radii=made is not None)}"
    )
    if made is None:
        return ImproveFirst(answer, (f"No radii with this thickness and diameter give {label} either.", f"{_largest(sources)}."), None, sources)
    told = f"For exactly {label} with this index: {made.in_words()}; it would conform with a probability {_of(on_label)}"
    if on_label >= required:
        return ImproveFirst(answer, (f"{told}.", f"{_largest(sources)}."), made, sources)
    then = f", and {required:g} is required: after the radii comes what is uncertain, first of all {sources[0].source}."
    return ImproveFirst(answer, (told + then,), made, sources)


def _radii(followed: Followed) -> RadiiForLabel | None:
    return next((way for way in radii_for_label(followed) if not way.problem), None)


def _on_label(followed: Followed) -> float:
    """The conformance probability of a lens whose power is the label exactly, and as uncertain as it is."""
    only, power = followed.evaluation.only, followed.evaluation.estimates["power_D"]
    dof = float(np.atleast_1d(power.dof)[0])
    return float(conformance_probability(followed.row["labelled_power_D"], only("u_power_D"), only("lower_limit_D"), only("upper_limit_D"), dof))


class _Spread(NamedTuple):
    told: str
    is_too_wide: bool


def _spread(followed: Followed) -> _Spread:
    """Whether further mountings of the specimen would help, by the share that the spread of the readings has in u² of the index."""
    n = followed.index.n
    lines = [line for line in budget(n) if line.scope == "lot" and line.source.startswith(tuple(_SPREAD))]
    if not lines:
        by_history = "The spread of the readings stands in the budget by its history: more shrink u of the index only where that part is large."
        return _Spread(by_history, is_too_wide=False)
    share, one = sum(line.share for line in lines), lines[0]
    if share < SMALL:
        told = f"More readings of the specimen would bring next to nothing: their spread holds {percent(share)} of u² of the index."
        return _Spread(told, is_too_wide=False)
    count, u_n = round(one.dof) + 1, float(np.atleast_1d(n.u)[0])
    enough = mountings_worth(abs(one.part) * count**0.5, max(u_n * u_n - one.part * one.part, 0.0) ** 0.5)
    of = next(name for start, name in _SPREAD.items() if one.source.startswith(start))
    return _Spread(more_mountings_text(enough, count=count, share=share, of=of), is_too_wide=enough is None)


def _largest(sources: list[Contribution]) -> str:
    largest = max(sources, key=lambda c: c.share)
    return f"The largest part of u² comes from {largest.source}, {percent(largest.share)}"


def _its(best: Contribution, sources: list[Contribution]) -> str:
    """The source that brings most is nearly always the largest; not where two of them take each other off."""
    return "its" if best.share == max(c.share for c in sources) else f"that of {best.source}, its"


def _of(p: float) -> str:
    text = probability_text(p)
    return text if text[0].isalpha() else f"of {text}"


def _u(u_D: float) -> str:
    return f"{u_D:.{decimals_for(u_D)}f} D"


def _capital(sentence: str) -> str:
    return sentence[:1].upper() + sentence[1:]
