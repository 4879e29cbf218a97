"""One published polymer: its form with its coefficients and range, and the paper that they come from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from lenscalc.conditions import LINES_NM
from lenscalc.errors import InputError
from lenscalc.material.dispersion_forms import abbe_number
from lenscalc.material.polymer_form import FORMS
from lenscalc.quantities import numbers


@dataclass(frozen=True, eq=False)
class PolymerSource:
    """Who published a fit and where it was read (`seen`: read or quoted); of an own one who measured it, when and how."""

    authors: str
    year: int
    title: str
    journal: str | None = None
    doi: str | None = None
    read_in: str | None = None
    seen: str | None = None
    measured_on: str | None = None

    @property
    def in_words(self) -> str:
        """The source in one line."""
        where = [x for x in (self.journal, f"doi {self.doi}" if self.doi else None) if x]
        when = self.measured_on or str(self.year)
        told = f"; {'read' if self.seen == 'read' else 'quoted, seen'} in {self.read_in}" if self.read_in else ""
        return f"{self.authors} ({when}): {'; '.join((self.title, *where))}{told}"


@dataclass(frozen=True, eq=False)
class Polymer:
    """A polymer as one source has it. `u_n` is what the source states (None: nothing), `basis` air, vacuum or unknown."""

    key: str
    material: str
    form: str
    coefficients: Mapping[str, tuple[float, ...]]
    range_nm: tuple[float, float]
    temperature_degC: float | None
    basis: str
    u_n: float | None
    u_n_from: str | None
    note: str | None
    source: PolymerSource
    own: bool

    def n(self, wavelength_nm: Any) -> Any:
        """The index at these wavelengths (a number or an array, nm), on the basis of the source.

        Raises
        ------
        InputError
            outside the range of the fit, which it names with the paper; for what is not a number.

        >>> from lenscalc.material import polymer
        >>> round(float(polymer("pmma_szczurowski_2013").n(546.074)), 6)
        1.492611
        """
        lower, upper = self.range_nm
        (w,) = numbers(wavelength_nm=wavelength_nm)
        outside = ~((w >= lower) & (w <= upper))
        if outside.any():
            bad = float(w[outside].flat[0])
            hint = "; is it in µm? write it in nm" if lower <= bad * 1000.0 <= upper else ""
            raise InputError(
                f"wavelength_nm = {bad:.12g} nm: must be {lower:g} to {upper:g} nm, the range of {self.key} ({self.paper}); "
                f"nothing is extrapolated{hint}",
                quantity="wavelength_nm", value=bad, limits=self.range_nm, unit="nm",
            )  # fmt: skip
        # one number goes as an array of one: the same bits alone and in a column
        n = FORMS[self.form].index(np.atleast_1d(w), *(self.coefficients[name] for name in FORMS[self.form].coefficients))
        return n.reshape(w.shape)[()]

    def covers(self, *wavelengths_nm: float) -> bool:
        """Whether the range of the fit holds all of these."""
        return all(self.range_nm[0] <= w <= self.range_nm[1] for w in wavelengths_nm)

    @property
    def abbe_d(self) -> float | None:
        """V_d = (n_d − 1)/(n_F − n_C); None where the range of the fit leaves out one of the three lines.

        >>> from lenscalc.material import polymer
        >>> round(polymer("pmma_szczurowski_2013").abbe_d, 2), polymer("pva_bodurov_2016").abbe_d
        (58.0, None)
        """
        lines = [LINES_NM[line] for line in ("d", "F", "C")]
        return float(abbe_number(*(self.n(w) for w in lines))) if self.covers(*lines) else None

    @property
    def paper(self) -> str:
        """First author and year, as in "Beadie et al. 2015"."""
        first, *others = self.source.authors.split(", ")
        return f"{first}{' et al.' if others else ''} {self.source.year}"
