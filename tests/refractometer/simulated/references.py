"""The kinds that are calibrated with references: water, a certified piece, dense flint."""

from __future__ import annotations

from typing import Any

import numpy as np

from simulated.lab import Lab
from simulated.materials import HELIUM, U_WATER, C, D, F, water


class References:
    """Water and a certified piece of the lab, each with its error."""

    def __init__(self, lab: Lab) -> None:
        self.lab = lab
        self.water_error, self.piece_slope_error = lab.error(U_WATER), lab.error(1e-6)
        self.u_certified = lab.scale * 4e-4
        self.certificate_error = lab.error(self.u_certified)
        self.level = float(lab.random.uniform(1.50, 1.62))

    def piece(self, nm: float, degC: float) -> float:
        return self.level + 4.5e-3 * (1e6 / nm**2 - 1e6 / D**2) + 3e-6 * (degC - 20.0)

    def water(self, nm: float) -> dict[str, Any]:
        return {"name": "water", "kind": "water", **read(self.lab, nm, lambda lamp, T: water(lamp, T) + self.water_error)}

    def certified(self, nm: float, piece: Any = None) -> dict[str, Any]:
        piece = piece or self.piece
        keys = {"n_certified": piece(nm, 20.0) + self.certificate_error, "u_certified": self.u_certified}
        keys |= {"certified_temperature_degC": 20.0, "certified_basis": "air", "dn_dt_per_K": 3e-6 + self.piece_slope_error, "u_dn_dt_per_K": 1e-6}
        return {"name": "certified piece", "kind": "certified", **keys, **read(self.lab, nm, piece)}


def read(lab: Lab, nm: float, n: Any) -> dict[str, Any]:
    """A reference is read with the operator's habit as zero: he sees its border as he should."""
    habit, lab.instrument.operator = lab.instrument.operator, 0.0
    r = lab.reading(nm, lab.degC, np.zeros(5), of=n, setting=lab.instrument.temperature(lab.degC))
    lab.instrument.operator = habit
    return {k: v for k, v in r.items() if k not in ("basis", "u_wavelength_nm")}


def water_alone(lab: Lab) -> None:
    lab.unknown_scale()
    references = References(lab)
    u = lab.scale * 1e-4
    lab.instrument.slope = lab.error(u) / (lab.read.n(D, lab.degC) - water(D, lab.degC))
    lab.data["instrument"]["u_calibration"] = u
    lab.one_line()
    lab.data["calibration"] = {"model": "offset", "reference": [references.water(D)]}
    lab.dn_dt(lab.scale * 5e-6)


def water_and_certified(lab: Lab) -> None:
    lab.unknown_scale()
    references = References(lab)
    lab.one_line()
    lab.data["calibration"] = {"model": "offset and slope", "reference": [references.water(D), references.certified(D)]}
    lab.dn_dt(lab.scale * 5e-6)


def two_lines_calibrated(lab: Lab) -> None:
    lab.unknown_scale()
    references = References(lab)
    lab.data["reading"] = [lab.replicates(nm, lab.degC) for nm in HELIUM]
    pairs = [r for nm in HELIUM for r in (references.water(nm), references.certified(nm))]
    lab.data["calibration"] = {"model": "offset and slope", "reference": pairs}
    lab.dn_dt(lab.scale * 5e-6)


def dense_flint(lab: Lab) -> None:
    lab.unknown_scale()
    references = References(lab)
    lab.instrument.slope = 0.0
    level, strength = float(lab.random.uniform(1.68, 1.74)), float(lab.random.uniform(0.011, 0.014))  # Abbe number 27 to 35

    def cauchy(level: float, strength: float, nm: float) -> float:
        return level + strength * (1e6 / nm**2 - 1e6 / D**2)

    def prism(nm: float) -> float:
        return cauchy(1.85, 0.0185, nm)

    def through_prism(of: Any) -> Any:
        """The border's angle inside under the lamp's true line, on a scale that takes the prism's index at the line it is made for."""
        return lambda nm, degC: of(nm, degC) * prism(D) / prism(nm)

    def flint(nm: float, degC: float) -> float:
        return cauchy(level, strength, nm) + 3e-6 * (degC - 20.0)

    lab.data["instrument"] |= {
        "angle_measured_inside": True,
        "prism": [{"wavelength_nm": nm, "n_prism": prism(nm), "u_n_prism": 0.0} for nm in (D, F)],
    }  # fmt: skip
    lab.data["reading"] = [lab.replicates(D, lab.degC, u_nm=3.0, of=through_prism(lab.read.n))]
    lab.abbe()
    references.u_certified = lab.scale * 5e-5
    references.certificate_error = lab.error(references.u_certified)
    keys = references.certified(D, flint) | read(lab, D, through_prism(flint))
    abbe = (flint(HELIUM[0], 20.0) - 1.0) / (flint(F, 20.0) - flint(C, 20.0))
    lab.data["calibration"] = {"model": "offset", "reference": [keys | {"abbe_d": abbe}]}
    lab.dn_dt(lab.scale * 5e-6)
