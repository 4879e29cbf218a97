"""The kinds that carry a reading from its line, its temperature and the dry state to the index in use."""

from __future__ import annotations

from simulated.lab import Lab
from simulated.materials import IN_USE_DEGC, IN_USE_NM, C, D, F, G


def in_use(lab: Lab) -> None:
    lab.degC = IN_USE_DEGC
    lab.state_scale()
    lab.data["reading"] = [lab.replicates(IN_USE_NM, lab.degC, u_nm=0.0)]
    lab.dn_dt()


def abbe_number(lab: Lab) -> None:
    lab.state_scale()
    lab.one_line()
    lab.dn_dt(lab.scale * 2e-5)


def two_lines(lab: Lab) -> None:
    lab.state_scale()
    lab.data["reading"] = [lab.replicates(nm, lab.degC) for nm in (D, F)]
    lab.dn_dt()


def four_lines(lab: Lab) -> None:
    lab.state_scale()
    lab.data["reading"] = [lab.replicates(nm, lab.degC) for nm in (C, D, F, G)]
    lab.data["dispersion"] = {"form": "cauchy", "terms": 3 if lab.fine else 2}
    lab.dn_dt()


def temperatures(lab: Lab) -> None:
    _over(lab, (21.5, 28.0, 35.0) if lab.random.integers(2) else (21.5, 35.0))


def temperatures_below(lab: Lab) -> None:
    _over(lab, (20.0, 25.0, 30.0) if lab.random.integers(2) else (20.0, 30.0))


def _over(lab: Lab, temperatures: tuple[float, ...]) -> None:
    lab.state_scale(share=0.3)
    lab.data["reading"] = [lab.replicates(D, T) for T in temperatures]
    lab.degC = temperatures[-1]
    lab.abbe()


def dry(lab: Lab) -> None:
    lab.state_scale(share=0.5)
    lab.one_line()
    lab.shift = lab.wet.n(IN_USE_NM, lab.degC) - lab.read.n(IN_USE_NM, lab.degC)
    value, u = lab.stated(lab.shift, lab.scale * 2e-4)
    lab.data["hydration"] = {"hydration_shift": value, "u_hydration_shift": u}
    lab.dn_dt(lab.scale * 5e-6)
