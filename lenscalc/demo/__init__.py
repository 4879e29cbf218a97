"""Demo data: two invented reading sheets, six invented candidates, and one sheet of published readings."""

from __future__ import annotations

from importlib.resources import files
from importlib.resources.abc import Traversable

FIRST_SHEET = "copolymer_c.toml"


def demo_files() -> list[Traversable]:
    """Every file of the demo, in the package.

    >>> sorted(f.name for f in demo_files())
    ['candidates.csv', 'copolymer_c.toml', 'copolymer_e.toml', 'pmma_published.toml']
    """
    return [f for f in files("lenscalc.demo").iterdir() if f.name.endswith((".toml", ".csv"))]


def demo_text(name: str) -> str:
    """The text of one demo file."""
    return (files("lenscalc.demo") / name).read_text(encoding="utf-8")
