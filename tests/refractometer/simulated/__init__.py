"""A refractometer that reads polymers whose index is known: the physics told a second time, without a line of the package under test.

A `Polymer` has a true index at any wavelength and temperature, dry and with water in it. A `Refractometer` reads it with errors of its own. A sheet
is what the lab would write down: readings, and for every cause of error the standard uncertainty from which that error was drawn.
`simulated(kind, seed)` gives the sheet as a TOML reader would, and the true index of the lens in use: 546.07 nm, 35 °C, wet, relative to air. All
of it is invented, but for the published dispersions.

`materials` and `instrument` are the physics, `lab` writes down what any sheet holds; then come the kinds: `carried_over`, `scatter`, `scale`,
`references`.

What is drawn anew for every sheet
- The polymer: one of three published resonance forms, strengths varied by 1 % and resonances by 5 % (normal), with 0 to 35 % by volume of water (dry
  ones take up 1 to 10 %) by the rule of Lorentz and Lorenz. The molar refraction stays, the volume expands at a constant rate: dn/dT and its change
  with wavelength and temperature follow. Truth is therefore never of the form that the package fits, and not on a straight line with temperature.
- What a sheet states with a standard uncertainty (scale, certificate, lamp, thermometer, dn/dT, Abbe number, hydration shift, operator, specimen
  against lens, compensation, prism, water): a normal error of that size. The thermometer's is half one error of the whole sheet, half one for each
  setting of a temperature (in variance): one for all lines of the specimen, one for each reading of a reference. One lamp a line serves all.
- What is counted by its spread (readings, mountings, sessions): normal, few of each, so that means have t. A pooled history is s·√(χ²/ν).
- What a grid does: every reading is rounded to the resolution; nothing else is rounded.
- What is rectangular by nature: the place of the readings between a first and a second check of the zero; the direction in which a lens is cut from
  an oriented block.
- Coarse instruments (1e-4) and fine ones (1e-5) by turns.

The kinds, as many sheets of each
- in use: one line at 546.07 nm and 35 °C, the scale's u stated
- Abbe number: the D line at 20 to 24 °C, Abbe number and dn/dT stated
- two lines: D and F, dn/dT stated
- four lines: C, D, F and g through a Cauchy form of two terms (coarse) or three (fine)
- temperatures: the D line at two or three temperatures up to 35 °C, the slope fitted
- temperatures below: the same at 20 and 30, or 20, 25 and 30 °C, and carried on to 35 °C
- mountings: three to five mountings read three times each
- sessions: three or four sessions of two mountings, each read twice
- drying: three or four mountings read at five times, the reading moving by up to 5e-5 a minute
- pooled: one or two readings and a pooled history
- grid: readings that scatter by up to a third of the resolution, and a scale known far better than that
- water: water as the one reference, an offset; the slope's share is stated as u_calibration
- water and certified: water and a certified piece, offset and slope
- two lines, calibrated: two lines of helium, each with water and the certified piece read at that line; one certificate's error for both
- dry: read dry, the shift on hydration measured
- directions: an oriented block read in three directions
- compensated: a scale that takes itself to 20 °C with a sugar solution's slope
- another line: a scale made for D read at 546.07 nm through a prism
- zero checked: a check piece before and after, and a zero that moves between
- dense flint: a lamp known to 3 nm, a contact prism with its dispersion, and a piece of dense flint as the one reference
- drying over sessions: two or three sessions of two mountings, each read four times while the reading moves
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from simulated import carried_over, references, scale, scatter
from simulated.lab import Lab
from simulated.materials import FORMS, IN_USE_DEGC, IN_USE_NM, D, Polymer, water

__all__ = ["FORMS", "KINDS", "D", "Polymer", "Simulated", "simulated", "water"]

KINDS = {  # their places are in the seeds
    "in use": carried_over.in_use,
    "Abbe number": carried_over.abbe_number,
    "two lines": carried_over.two_lines,
    "four lines": carried_over.four_lines,
    "temperatures": carried_over.temperatures,
    "temperatures below": carried_over.temperatures_below,
    "mountings": scatter.mountings,
    "sessions": scatter.sessions,
    "drying": scatter.drying,
    "pooled": scatter.pooled,
    "grid": scatter.grid,
    "water": references.water_alone,
    "water and certified": references.water_and_certified,
    "two lines, calibrated": references.two_lines_calibrated,
    "dry": carried_over.dry,
    "directions": scale.directions,
    "compensated": scale.compensated,
    "another line": scale.another_line,
    "zero checked": scale.zero_checked,
    "dense flint": references.dense_flint,
    "drying over sessions": scatter.drying_over_sessions,
}


@dataclass(frozen=True)
class Simulated:
    kind: str
    data: dict[str, Any]
    n_in_use: float


def simulated(kind: str, seed: int) -> Simulated:
    """One sheet of a kind and the true index in use."""
    lab = Lab(np.random.default_rng([list(KINDS).index(kind), seed]), kind, fine=bool(seed % 2))
    KINDS[kind](lab)
    truth = lab.wet.n(IN_USE_NM, IN_USE_DEGC)
    if kind == "dry":  # wet at the temperature of the reading, then the wet slope
        truth = lab.read.n(IN_USE_NM, lab.degC) + lab.shift + lab.wet.n(IN_USE_NM, IN_USE_DEGC) - lab.wet.n(IN_USE_NM, lab.degC)
    u_lens = lab.scale * (1e-5 if kind == "grid" else 5e-5)
    lab.data["specimen"]["u_specimen_to_lens"] = u_lens
    return Simulated(kind, lab.data, truth + lab.error(u_lens) + lab.cut)
