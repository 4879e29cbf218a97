"""The materials that a lecture compares: published polymers of the library, and the six invented copolymers of the demo."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any, NamedTuple

from lenscalc.conditions import LINES_NM, WAVELENGTH_IN_USE_NM
from lenscalc.demo import demo_text
from lenscalc.material import by_abbe_number
from lenscalc.material.polymer_library import shipped_polymers
from lenscalc.material.polymer_record import Polymer

SHORT = {
    "poly(methyl methacrylate)": "PMMA", "polydimethylsiloxane elastomer": "PDMS", "bisphenol A polycarbonate": "polycarbonate",
    "poly(vinyl alcohol)": "PVA", "poly(vinylpyrrolidone)": "PVP", "poly(methyl methacrylate-co-styrene)": "MMA-styrene",
    "cellulose (laboratory specimen)": "cellulose", "cyclic olefin polymer": "cyclic olefin",
}  # fmt: skip
PUBLISHED = "as published, dry, at the temperature of its paper"
INVENTED = "invented for the demo, index in use"


class Copolymer(NamedTuple):
    """A copolymer of the demo: its index in use and its Abbe number."""

    n_in_use: float
    abbe_d: float

    def n(self, wavelength_nm: Any) -> Any:
        """The index at these wavelengths, by the two-parameter Cauchy form."""
        return by_abbe_number(self.n_in_use, WAVELENGTH_IN_USE_NM, self.abbe_d, wavelength_nm).n


class Shown(NamedTuple):
    """One material: its key, a short and a whole name, the index at 546.07 nm, where it comes from, where it is known, and the curve itself."""

    key: str
    short: str
    name: str
    n_lens: float
    abbe_d: float | None
    source: str
    range_nm: tuple[float, float]
    dispersion: Polymer | Copolymer


@cache
def show_materials() -> Mapping[str, Shown]:
    """Every material whose index at 546.07 nm is known, by key; the copolymers first, then by index.

    >>> found = show_materials()
    >>> [key for key in found][:2], round(found["pmma_beadie_2015"].n_lens, 4), found["pmma_beadie_2015"].short
    (['copolymer_A', 'copolymer_B'], 1.4945, 'PMMA 2015')
    """
    published = [_published(p) for p in shipped_polymers().values() if p.covers(WAVELENGTH_IN_USE_NM)]
    return {m.key: m for m in (*_invented(), *sorted(published, key=lambda m: m.n_lens))}


def _published(p: Polymer) -> Shown:
    letter = p.key.split("_")[1].upper()
    which = f" {letter}" if len(letter) == 1 else ""  # two elastomers of one paper
    short = f"{SHORT.get(p.material, p.material)}{which} {p.source.year}"
    return Shown(
        p.key, short, f"{p.material}, {p.paper}", float(p.n(WAVELENGTH_IN_USE_NM)), p.abbe_d, p.source.in_words, p.range_nm, p
    )  # fmt: skip


def _invented() -> list[Shown]:
    from lenscalc.batch import evaluate_block, read_csv_text  # pandas and pyarrow, once

    columns = evaluate_block(read_csv_text(demo_text("candidates.csv"), "candidates.csv"))
    found = []
    for name, n, V in zip(columns["candidate"], columns["n_lens"], columns["abbe_d"], strict=True):
        made = Copolymer(float(n), float(V))
        short = f"copolymer {name}"
        found.append(Shown(f"copolymer_{name}", short, f"{short}, {INVENTED}", made.n_in_use, made.abbe_d, INVENTED, (400.0, 700.0), made))
    return found


def covers_visible(m: Shown) -> bool:
    """Whether the curve is known from the line F to the line C."""
    return m.range_nm[0] <= LINES_NM["F"] and m.range_nm[1] >= LINES_NM["C"]
