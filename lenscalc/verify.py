"""Runs the reference cases: every value beside the printed one, with its source.

A case is an entry of a TOML file: source, inputs, and the expected values as printed texts, whose last digit sets the tolerance.
"""

from __future__ import annotations

import tomllib
from collections import Counter
from collections.abc import Iterable, Iterator
from decimal import Decimal
from importlib.resources import files
from importlib.resources.abc import Traversable
from math import inf, isinf, isnan
from pathlib import Path
from typing import Any, NamedTuple

from lenscalc.verified import FUNCTIONS


class Line(NamedTuple):
    """One value: where it comes from, what is printed there, what is computed here."""

    subject: str
    case: str
    source: str
    kind: str
    seen: str
    quantity: str
    expected: str
    computed: float
    tolerance: float
    difference: float
    agrees: bool


class Worst(NamedTuple):
    """The least good agreement of one source, as a part of its tolerance."""

    source: str
    values: int
    agree: int
    worst: float


def run() -> list[Line]:
    """Every value of every reference case.

    >>> lines = run()
    >>> len(lines) > 60, all(line.agrees for line in lines)
    (True, True)
    """
    return [line for data in reference_files() for line in lines_of(data)]


def reference_files() -> list[dict[str, Any]]:
    """The case files, read, in the order of their names."""
    return [tomllib.loads(f.read_text(encoding="utf-8")) for f in sorted(_folder().iterdir(), key=lambda f: f.name) if f.name.endswith(".toml")]


def lines_of(data: dict[str, Any]) -> Iterator[Line]:
    """The values of one file."""
    for case in data["case"]:
        source = data["sources"][case["source"]]
        computed = FUNCTIONS[case["function"]](**case["inputs"])
        for quantity, printed in case["expected"].items():
            value = float(computed[quantity])
            tolerance = case.get("tolerance", {}).get(quantity, half_unit(printed))
            wanted = float(printed)
            difference = 0.0 if value == wanted else value - wanted  # "inf" agrees with inf alone
            # the half unit itself is not exact in binary
            agrees = value == wanted if isinf(wanted) else abs(difference) <= tolerance * (1.0 + 1e-9) + 2e-16 * abs(wanted)
            yield Line(
                data["subject"], case["name"], in_words(source, case["where"]), source["kind"], source["seen"], quantity, printed, value,
                tolerance, difference, agrees,
            )  # fmt: skip


def worst_by_source(lines: Iterable[Line]) -> list[Worst]:
    """The least good agreement of each source, the sources in the order of the files."""
    found: dict[str, list[Line]] = {}
    for line in lines:
        found.setdefault(line.source.split(" — ")[0], []).append(line)
    return [Worst(s, len(x), sum(line.agrees for line in x), max(abs(part_of_tolerance(line)) for line in x)) for s, x in found.items()]


def part_of_tolerance(line: Line) -> float:
    """Computed less printed as a part of the tolerance; infinite where nothing is tolerated, or nothing came out."""
    if line.difference == 0:
        return 0.0
    return inf if isnan(line.difference) or line.tolerance == 0 else line.difference / line.tolerance


def covering(functions: Iterable[str]) -> list[tuple[str, int]]:
    """The sources whose cases go through any of these functions, each with its number of cases; the richest first.

    >>> covering(["power_tolerance_D"])[0][1] > 3
    True

    Raises
    ------
    ValueError
        for a function that no case may name.
    """
    wanted = set(functions)
    if unknown := sorted(wanted - set(FUNCTIONS)):
        raise ValueError(f"no reference case may name {', '.join(unknown)}")
    found = Counter(
        in_words(data["sources"][case["source"]]) for data in reference_files() for case in data["case"] if case["function"] in wanted
    )
    return found.most_common()


def half_unit(printed: str) -> float:
    """Half a unit of the last printed digit; nothing for "inf".

    >>> half_unit("20.47"), half_unit("1e3"), half_unit("-7"), half_unit("inf")
    (0.005, 500.0, 0.5, 0.0)
    """
    if isinf(float(printed)):
        return 0.0
    exponent = Decimal(printed).as_tuple().exponent
    return float(Decimal((0, (5,), int(exponent) - 1)))


def in_words(source: dict[str, Any], where: str = "") -> str:
    """A source in one line, with the place in it where one is given.

    >>> in_words({"authors": "Tanaka et al.", "title": "Density of water", "year": 2001, "doi": "10/x"}, "table 2")
    'Tanaka et al., Density of water (2001), 10/x — table 2'
    """
    more = [str(source[k]) for k in ("standard", "doi", "version") if k in source]
    year = f" ({source['year']})" if "year" in source else ""
    return f"{source['authors']}, {source['title']}{year}{''.join(f', {m}' for m in more)}{f' — {where}' if where else ''}"


def _folder() -> Traversable:
    packaged = files("lenscalc") / "reference_cases"
    return packaged if packaged.is_dir() else Path(__file__).parents[1] / "reference_cases"  # the latter in an editable install
