"""Demo data: three invented reading sheets and one of published readings, a day's readings with what they share, six candidates,
a series of water checks.
"""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable

FIRST_SHEET = "copolymer_c.toml"
SHARED_OF_A_DAY = "day.toml"  # tables of a sheet, and no sheet by itself
WATER_CHECKS = "water_checks.csv"


def demo_files() -> list[Traversable]:
    """Every file of the demo, in the package.

    >>> sorted(f.name for f in demo_files())
    ['candidates.csv', 'copolymer_b.toml', 'copolymer_c.toml', 'copolymer_e.toml', 'day.csv', 'day.toml', 'pmma_published.toml', 'water_checks.csv']
    """
    return [f for f in files("lenscalc.demo").iterdir() if f.name.endswith((".toml", ".csv"))]


def demo_sheets() -> list[str]:
    """The names of the reading sheets of the demo.

    >>> demo_sheets()
    ['copolymer_b.toml', 'copolymer_c.toml', 'copolymer_e.toml', 'pmma_published.toml']
    """
    return sorted(f.name for f in demo_files() if f.name.endswith(".toml") and f.name != SHARED_OF_A_DAY)


@cache
def demo_titles() -> dict[str, str]:
    """What each reading sheet of the demo calls itself.

    >>> demo_titles()["copolymer_c.toml"]
    'Copolymer C, lot 7: read hydrated'
    """
    return {name: tomllib.loads(demo_text(name))["title"] for name in demo_sheets()}


def demo_text(name: str) -> str:
    """The text of one demo file."""
    return (files("lenscalc.demo") / name).read_text(encoding="utf-8")
