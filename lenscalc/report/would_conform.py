"""The questions of a determination about the decision: would it conform, what would make that surer, what would the eye notice?"""

from __future__ import annotations

from lenscalc.chain import Followed, improve_first
from lenscalc.decision import REQUIRED_PROBABILITY, RULE, lot_forecast
from lenscalc.eye import TEACHING_EYE, in_words
from lenscalc.report.tree import Column, Figure, Group, Section, Table, printable
from lenscalc.report.which_index import two_digits
from lenscalc.uncertainty import budget, probability_text
from lenscalc.uncertainty.rounding import as_stated, between, figure, percent, signed

_MOST = 8


def would_conform(followed: Followed) -> Section:
    """The verdict in words, what it stands on, its rule and its risks; without a label the nearest step, as a proposal only."""
    only, row = followed.evaluation.only, followed.row
    question = "Would it conform?"
    if "labelled_power_D" not in row:
        proposed = Figure("proposed_label_D", "nearest half dioptre", f"{signed(only('proposed_label_D'), 1)} D, a proposal only")
        says = "There is no label to decide on. A label that is decided on must be given independently of the reading."
        return Section(question, (says,), (Group("", (proposed,)),), is_decision=True)
    lower, upper, p = only("lower_limit_D"), only("upper_limit_D"), only("conformance_probability")
    required = row.get("required_probability", REQUIRED_PROBABILITY)
    figures = [
        Figure("labelled_power_D", "label", f"{as_stated(row['labelled_power_D'])} D"),
        Figure("limits_D", "limits about it", f"{as_stated(lower)} to {as_stated(upper)} D"),
    ]
    if p is None:
        said = "No decision. " + " ".join(f"{_capital(sentence)}." for sentence in followed.evaluation.warnings_of())
    else:
        said = f"{_capital(only('verdict'))}."
        figures += _probabilities(followed, p, required)
    notes = (f"Tolerance: {printable(followed.tolerance_from)}.", f"Rule: {RULE}.")
    return Section(question, (printable(said),), (Group("", tuple(figures)),), notes=notes, is_decision=True)


def _probabilities(followed: Followed, p: float, required: float) -> list[Figure]:
    only = followed.evaluation.only
    common = followed.evaluation.estimates["power_D"].dof_where(lambda source: source.is_common)[0]
    lot = lot_forecast(
        only("power_D"), only("u_power_common_D"), only("u_power_individual_D"), only("lower_limit_D"), only("upper_limit_D"),
        dof_common=float(common),
    )  # fmt: skip
    zone = "none: the uncertainty leaves no zone between them"
    if only("acceptance_lower_D") is not None:
        zone = between(only("acceptance_lower_D"), only("acceptance_upper_D"), only("u_power_D"), "D").replace("-", "−")
    return [
        Figure("conformance_probability", "conformance probability", f"{probability_text(p, required=required)} (required: {required:g})"),
        Figure("risk_if_accepted", "risk if it were accepted: it is off", probability_text(1.0 - p)),
        Figure("risk_if_rejected", "risk if it were rejected: it is good", probability_text(p)),
        Figure("lot_off_probability", "probability that the lot is off", probability_text(only("lot_off_probability"))),
        Figure("expected_yield", "expected yield of a lot", probability_text(float(lot.expected_yield))),
        Figure("yield_quantile", "yield of the worst lot in twenty", probability_text(float(lot.yield_quantile))),
        Figure("acceptance_limits_D", "guarded acceptance limits", zone),
    ]


def what_improves(followed: Followed) -> Section | None:
    """What stands in the way of a decision, and what each source would bring; None where nothing is uncertain."""
    question, only = "What to improve first?", followed.evaluation.only
    if followed.sheet.lens is None or only("conformance_probability") is None:
        lines = budget(followed.index.n if followed.sheet.lens is None else followed.evaluation.estimates["power_D"])
        if not lines:
            return None
        what = "index" if followed.sheet.lens is None else "power"
        return Section(question, (f"The largest source of the {what} is {printable(lines[0].source)}, with {percent(lines[0].share)} of u².",))
    first = improve_first(followed)
    if first is None:
        return None
    columns = (
        Column("", "source"), Column("share", "of u²", True), Column("u_halved_D", "u, halved", True), Column("u_without_D", "u, without", True),
        Column("probability_halved", "p, halved", True), Column("probability_without", "p, without", True),
    )  # fmt: skip
    table = Table("u of the power and conformance probability p with half of one source, and without it", columns, tuple(
        (
            printable(c.source), percent(c.share), f"{two_digits(c.u_halved_D)} D", f"{two_digits(c.u_without_D)} D",
            probability_text(c.probability_halved), probability_text(c.probability_without),
        )
        for c in first.sources[:_MOST]
    ))  # fmt: skip
    return Section(question, tuple(printable(sentence) for sentence in (first.answer, *first.more)), tables=(table,))


def eye_notices(followed: Followed) -> Section | None:
    """How far the refraction moves from what the label promises, in a schematic eye; None without a label."""
    only = followed.evaluation.only
    shift, u = only("refraction_shift_D"), only("u_refraction_shift_D")
    if shift is None:
        return None
    side = "to the more myopic side" if shift < 0 else "to the more hyperopic side"
    about = side if abs(shift) > u else "no more than its uncertainty"
    figures = (Figure("refraction_shift_D", "shift of the refraction", f"{figure(shift, u, 'D')}: {about}"),)
    says = "At spectacles, against a lens that has its labelled power exactly."
    return Section("What would the eye notice?", (says,), (Group("", figures),), notes=(f"{_capital(in_words(TEACHING_EYE))}. Nobody's eye.",))


def _capital(sentence: str) -> str:
    return sentence[:1].upper() + sentence[1:]
