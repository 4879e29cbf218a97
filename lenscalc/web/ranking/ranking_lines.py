"""The command and the Python lines that give what the page of the ranking shows."""

from __future__ import annotations

from json import dumps
from shlex import quote

from lenscalc.quantities import plain
from lenscalc.web.ranking.ranking_form import Asked, criterion_text


def rank_command(results: str, asked: Asked, trials: int) -> str:
    """What to type.

    >>> from lenscalc.decision import Criterion, Limit
    >>> rank_command("results.csv", Asked((Criterion("abbe_d", "high", None, 2.0),), (Limit("power_D", ">=", 19.0),), True), 20000)
    "lenscalc rank results.csv --best abbe_d:high --weight abbe_d=2 --where 'power_D>=19' --trials 20000"
    """
    told = [f"--best {quote(criterion_text(c))}" for c in asked.criteria]
    told += [f"--weight {quote(f'{c.name}={plain(c.weight)}')}" for c in asked.criteria if c.weight != 1.0]
    told += [f"--where {quote(f'{n}{sign}{plain(number)}')}" for n, sign, number in asked.limits]
    told += [] if asked.one_instrument else ["--separate-instruments"]
    return " ".join(["lenscalc rank", quote(results), *told, f"--trials {trials}"])


def rank_python(results: str, asked: Asked, trials: int) -> str:
    """The same in Python."""
    criteria = ", ".join(
        f"read_criterion({dumps(criterion_text(c))}{f', {plain(c.weight)}' if c.weight != 1.0 else ''})" for c in asked.criteria
    )  # fmt: skip
    limits = ", ".join(f"read_limit({dumps(f'{n}{sign}{plain(number)}')})" for n, sign, number in asked.limits)
    more = "" if asked.one_instrument else ", one_instrument=False"
    return (
        "from lenscalc.batch import rank_file\nfrom lenscalc.decision import read_criterion, read_limit\n\n"
        f"found = rank_file({dumps(results)}, [{criteria}], [{limits}]{more}, trials={trials})\nfound.columns"
    )
