"""A lab: it has a polymer and an instrument, reads, and writes down what a sheet holds."""

from __future__ import annotations

from typing import Any

import numpy as np

from simulated.instrument import Refractometer
from simulated.materials import FORMS, IN_USE_DEGC, IN_USE_NM, D, Polymer


class Lab:
    """Draws a polymer and an instrument, reads, and writes the sheet."""

    def __init__(self, random: np.random.Generator, kind: str, *, fine: bool) -> None:
        self.random, self.fine = random, fine
        self.scale = 0.2 if fine else 1.0
        self.shift = self.cut = 0.0
        self.lamps: dict[float, float] = {}
        self.settings: dict[float, float] = {}
        b, c, expansion = FORMS[random.integers(len(FORMS))]
        own = Polymer(
            tuple(x * (1.0 + random.normal(0.0, 0.01)) for x in b), tuple(x * (1.0 + random.normal(0.0, 0.05)) for x in c),
            expansion * (1.0 + random.normal(0.0, 0.1)),
        )  # fmt: skip
        share = float(random.uniform(0.01, 0.1) if kind == "dry" else random.uniform(0.0, 0.35))
        self.wet = own.with_water(share, own.expansion_per_K * (1.0 + float(random.uniform(0.0, 0.3))))
        self.read = own if kind == "dry" else self.wet
        s = self.scale * float(random.uniform(0.3e-4, 1e-4))
        self.instrument = Refractometer(random, 1e-5 if fine else 1e-4, s, u_T=0.1 if fine else 0.2)
        self.u_calibration = self.scale * 1.5e-4
        self.degC = float(random.choice([20.0, 21.5, 24.0]))
        self.data: dict[str, Any] = {
            "provenance": "invented: a simulated instrument",
            "specimen": {"material": "simulated polymer", "state": "dry" if kind == "dry" else "hydrated"},
            "instrument": {
                "kind": "prism contact", "resolution": self.instrument.resolution, "n_contact_liquid": 1.74, "n_prism": 1.85,
                "scale_wavelength_nm": D,
            },
        }  # fmt: skip
        if kind != "another line":
            del self.data["instrument"]["scale_wavelength_nm"]

    def error(self, u: float) -> float:
        return self.instrument.error(u)

    def stated(self, true: float, u: float) -> tuple[float, float]:
        return true + self.error(u), u

    def state_scale(self, *, operator: bool = True, share: float = 1.0) -> None:
        """No references: the lab states how good its scale is, half of it an offset and half a slope (in variance), at the specimen's index."""
        u = self.u_calibration * share
        self.instrument.slope_about = self.read.n(D, self.degC) - 0.15
        self.instrument.offset = self.error(u / 2.0**0.5)
        self.instrument.slope = self.error(u / 2.0**0.5 / 0.15)
        self.data["instrument"]["u_calibration"] = u
        if operator:
            self.operator()

    def unknown_scale(self) -> None:
        """An offset and a slope that nobody states, for the references to find."""
        self.instrument.offset, self.instrument.slope = self.error(5e-4), self.error(2e-3)
        self.operator()

    def operator(self) -> None:
        u = self.scale * 5e-5
        self.data["instrument"]["u_operator"] = u
        self.instrument.operator = self.error(u)

    def lamp(self, nm: float, u_nm: float) -> float:
        """The lamp's true line: one lamp a line, whatever is read with it."""
        return nm + self.lamps.setdefault(nm, self.error(u_nm))

    def setting(self, degC: float) -> float:
        """The specimen's true temperature: set once, and all lines are read then."""
        return self.settings.setdefault(degC, self.instrument.temperature(degC))

    def reading(
        self, nm: float, degC: float, also: Any, *, u_nm: float = 0.3, of: Any = None, s: float | None = None, setting: float | None = None,
        **keys: Any,
    ) -> dict[str, Any]:  # fmt: skip
        """Replicates at one line and temperature; `also` is one movement a reading (mounting, session, drift)."""
        n = (of or self.read.n)(self.lamp(nm, u_nm), self.setting(degC) if setting is None else setting)
        shown = self.instrument.shows(n, degC, np.asarray(also) + self.instrument.operator, s=s)
        lamp = {"u_wavelength_nm": u_nm} if u_nm else {}
        place = {"wavelength_nm": nm, "temperature_degC": degC, "u_temperature_degC": self.instrument.u_T, "basis": "air"}
        return {**place, **lamp, "n": shown, **keys}

    def replicates(self, nm: float, degC: float, **keys: Any) -> dict[str, Any]:
        """Four to six readings, each mounted anew."""
        s_mounting = self.scale * 5e-5
        return self.reading(nm, degC, self.random.normal(0.0, s_mounting, self.random.integers(4, 7)), **keys)

    def one_line(self) -> None:
        self.data["reading"] = [self.replicates(D, self.degC)]
        self.abbe()

    def abbe(self) -> None:
        V = self.read.abbe(self.degC)
        value, u = self.stated(V, 0.01 * V)
        self.data["dispersion"] = {"abbe_d": value, "u_abbe_d": u}

    def dn_dt(self, u: float | None = None) -> None:
        """The mean slope of the wet polymer between the reading and 35 °C, as a lab would measure it."""
        span = IN_USE_DEGC - self.degC
        true = (self.wet.n(IN_USE_NM, IN_USE_DEGC) - self.wet.n(IN_USE_NM, self.degC)) / span if span else self.wet.slope(IN_USE_NM, IN_USE_DEGC)
        value, u = self.stated(true, u or self.scale * 1e-5)
        self.data["temperature"] = {"dn_dt_per_K": value, "u_dn_dt_per_K": u, "state": "hydrated"}
