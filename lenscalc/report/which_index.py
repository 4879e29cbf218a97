"""The question that a determination is made for: which index will the lens have in the eye?"""

from __future__ import annotations

from itertools import pairwise
from math import isinf

import numpy as np

from lenscalc.chain import Followed
from lenscalc.quantities import counted
from lenscalc.refractometer import IndexInUse, Step
from lenscalc.report.tree import Column, Figure, Group, Picture, Section, Table, printable
from lenscalc.uncertainty import BudgetLine, budget, coverage_factor, decimals_for
from lenscalc.uncertainty.budget import WHOSE
from lenscalc.uncertainty.rounding import figure, percent, signed

WITHOUT_NOTE = {"hydrated": "the measured shift on hydration", "relative to air": "from the basis of the reading"}


def which_index(followed: Followed) -> Section:
    """The index in use, the steps to it with value, u and share of u², and its budget."""
    use = followed.index
    n, u, dof = (float(x[0]) for x in (use.n.value, use.n.u, use.n.dof))
    k = float(coverage_factor(0.95, dof))
    lines = budget(use.n)
    conditions = f"At {use.wavelength_nm:g} nm and {use.temperature_degC:g} °C, hydrated, {use.basis}."
    first = f" To know the index better, work on the largest source first: {lines[0].source}." if lines else ""
    return Section(
        "Which index will the lens have in the eye?",
        says=(conditions,),
        groups=(Group("", (
            Figure("n_lens", "index in use", figure(n, u)),
            Figure("expanded_u_n_lens", "U for 95 %", f"{two_digits(k * u)}, with k {k:.2f}{degrees(dof)}"),
            *_abbe(followed),
        )),),
        pictures=(Picture("index_budget", f"Share of each source in u² of the index.{first}"),) if lines else (),
        tables=(steps_table(use), *budget_table(lines, "Budget of the index in use", "n_lens", "")),
    )  # fmt: skip


def degrees(dof: float) -> str:
    """The degrees of freedom in words, none where there are as good as infinitely many."""
    return f" ({counted(dof, 'degree of freedom', 'degrees of freedom', '.3g')})" if dof < 1000 else ""


def _abbe(followed: Followed) -> tuple[Figure, ...]:
    d = followed.read.dispersion
    if d is None or len({r.wavelength_nm for r in followed.sheet.readings}) < 2 or not d.u_abbe_d:  # one line: as stated
        return ()
    return (Figure("abbe_d", "Abbe number V_d", figure(float(d.abbe_d), float(d.u_abbe_d))),)


def steps_table(use: IndexInUse) -> Table:
    """The steps to an index in use: value and u after each, its share of the final u², and what it was done by; the first case of several."""
    ways: list[tuple[Step | None, Step]] = [(None, use.steps[0]), *pairwise(use.steps)]
    rows = tuple(
        (printable(s.name), figure(_one(s.n.value), _one(s.n.u), decimals_if_exact=5), percent(share) if share else "none", _by(before, s))
        for (before, s), share in zip(ways, use.shares(), strict=True)
    )
    columns = Column("", "step"), Column("n_lens", "index after it", True), Column("share", "of u² at the end", True), Column("", "by")
    return Table("How the reading became the index in use", columns, rows)


def _by(before: Step | None, step: Step) -> str:
    if before is None:
        return printable("the mean of what the refractometer showed" + (f", {step.note}" if step.note else ""))
    if _one(before.n.value) == _one(step.n.value) and _one(before.n.u) == _one(step.n.u):
        return "nothing to change"
    return printable(step.note or WITHOUT_NOTE.get(step.name, ""))


def budget_table(lines: list[BudgetLine], caption: str, of: str, unit: str) -> tuple[Table, ...]:
    """A budget as a table: source, whose it is, distribution, degrees of freedom, signed part, share of u²; none where all is exact."""
    rows = tuple(
        (
            printable(b.source), WHOSE.get(b.scope, b.scope), b.distribution, "∞" if isinf(b.dof) else f"{b.dof:.3g}", part(b.part, unit),
            percent(b.share),
        )
        for b in lines
    )  # fmt: skip
    columns = (
        Column("", "source"), Column("", "whose"), Column("", "distribution"), Column("dof", "ν", True), Column(f"part_of_{of}", "c·u", True),
        Column("share", "of u²", True),
    )  # fmt: skip
    return (Table(caption, columns, rows),) if rows else ()


def part(value: float, unit: str = "") -> str:
    """A signed contribution to two significant digits.

    >>> part(-2.04e-4), part(0.0531, "D")
    ('−0.00020', '+0.053 D')
    """
    text = signed(value, decimals_for(abs(value)))
    return f"{text if text.startswith('−') else f'+{text}'} {unit}".rstrip()


def two_digits(u: float) -> str:
    """An uncertainty to two significant digits, its zeros kept.

    >>> two_digits(0.06), two_digits(0.000402), two_digits(0.0)
    ('0.060', '0.00040', '0')
    """
    return f"{u:.{decimals_for(u)}f}" if u else "0"


def _one(values: object) -> float:
    return float(np.atleast_1d(np.asarray(values))[0])
