"""The kinds about the scale itself: directions of the specimen, a compensation, a prism and its line, a zero that moves."""

from __future__ import annotations

import numpy as np

from simulated.lab import Lab
from simulated.materials import IN_USE_DEGC, IN_USE_NM, D


def directions(lab: Lab) -> None:
    lab.state_scale(share=0.5)
    lab.degC = IN_USE_DEGC
    away = lab.random.normal(0.0, lab.scale * 3e-4, 3)
    away -= np.mean(away)
    lab.data["reading"] = [
        lab.replicates(IN_USE_NM, lab.degC, u_nm=0.0, of=lambda nm, T, a=a: lab.read.n(nm, T) + a, direction=name)
        for a, name in zip(away.tolist(), ("along", "across", "through"), strict=True)
    ]
    lab.cut = float(lab.random.uniform(-1.0, 1.0) * np.ptp(away) / 2.0)
    lab.dn_dt()


def compensated(lab: Lab) -> None:
    lab.degC = 24.0
    lab.state_scale(share=0.5)
    per_K, u = -1.5e-4, lab.scale * 5e-5
    lab.instrument.compensation_per_K = per_K + lab.error(u)
    lab.data["instrument"] |= {
        "temperature_compensation": "sugar", "compensation_per_K": per_K, "u_compensation_per_K": u, "compensation_to_degC": 20.0,
    }  # fmt: skip
    lab.one_line()
    lab.dn_dt(lab.scale * 5e-6)


def another_line(lab: Lab) -> None:
    lab.state_scale(share=0.5)
    lab.degC = IN_USE_DEGC
    apex, u = np.radians(60.0), lab.scale * 1e-4
    stated = {D: 1.8500, IN_USE_NM: 1.8574}
    true = {nm: N + lab.error(u) for nm, N in stated.items()}

    def on_the_scale(nm: float, degC: float) -> float:
        """The border inside the prism, refracted out of it at the light's line, and read back with the prism of the scale's line."""
        out = true[IN_USE_NM] * np.sin(apex - np.arcsin(lab.read.n(nm, degC) / true[IN_USE_NM]))
        return float(true[D] * np.sin(apex - np.arcsin(out / true[D])))

    lab.data["instrument"] |= {
        "prism_apex_deg": 60.0, "prism": [{"wavelength_nm": nm, "n_prism": N, "u_n_prism": u} for nm, N in stated.items()],
    }  # fmt: skip
    lab.data["reading"] = [lab.replicates(IN_USE_NM, lab.degC, u_nm=0.0, of=on_the_scale)]
    lab.dn_dt()


def zero_checked(lab: Lab) -> None:
    lab.state_scale(share=0.5)
    lab.degC = IN_USE_DEGC
    moved, when = lab.error(lab.scale * 3e-4), float(lab.random.uniform())
    check = 1.5168 + lab.error(1e-3)
    before, after = (lab.instrument.shows(check, lab.degC, m, count=4) for m in (0.0, moved))
    lab.data["reading"] = [lab.replicates(IN_USE_NM, lab.degC, u_nm=0.0, of=lambda nm, T: lab.read.n(nm, T) + when * moved)]
    lab.data["calibration"] = {"check_before": before, "check_after": after}
    lab.dn_dt()
