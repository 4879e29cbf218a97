"""The kinds about how readings scatter: mountings, sessions, drying, a pooled history, the grid of the scale."""

from __future__ import annotations

import numpy as np

from simulated.lab import Lab
from simulated.materials import IN_USE_DEGC, IN_USE_NM


def mountings(lab: Lab) -> None:
    lab.state_scale(share=0.3)
    M, re_reads = int(lab.random.integers(3, 6)), 3
    mountings = lab.random.normal(0.0, lab.scale * 4e-4, M)
    labels = np.repeat(np.arange(M), re_reads)
    lab.degC = IN_USE_DEGC
    lab.data["reading"] = [lab.reading(IN_USE_NM, lab.degC, mountings[labels], u_nm=0.0, mounting=labels.tolist())]
    lab.dn_dt()


def sessions(lab: Lab) -> None:
    lab.state_scale(operator=False, share=0.3)
    S = int(lab.random.integers(3, 5))
    session = np.repeat(np.arange(S), 4)
    mounting = np.repeat(np.arange(2 * S), 2)
    also = lab.random.normal(0.0, lab.scale * 4e-4, S)[session] + lab.random.normal(0.0, lab.scale * 1e-4, 2 * S)[mounting]
    lab.degC = IN_USE_DEGC
    lab.data["reading"] = [lab.reading(IN_USE_NM, lab.degC, also, u_nm=0.0, session=session.tolist(), mounting=mounting.tolist())]
    lab.dn_dt()


def drying(lab: Lab) -> None:
    lab.state_scale(share=0.5)
    M = int(lab.random.integers(3, 5))
    minutes, labels = np.tile([1.0, 2.0, 4.0, 6.0, 8.0], M), np.repeat(np.arange(M), 5)
    per_minute = float(lab.random.uniform(-5e-5, 5e-5))
    also = lab.random.normal(0.0, lab.scale * 1e-4, M)[labels] + per_minute * minutes
    lab.degC = IN_USE_DEGC
    keys = {"mounting": labels.tolist(), "minutes_after_mounting": minutes.tolist()}
    lab.data["reading"] = [lab.reading(IN_USE_NM, lab.degC, also, u_nm=0.0, **keys)]
    lab.dn_dt()


def drying_over_sessions(lab: Lab) -> None:
    lab.state_scale(operator=False, share=0.3)
    S = int(lab.random.integers(2, 4))
    minutes = np.tile([1.0, 2.0, 4.0, 6.0], 2 * S)
    session, mounting = np.repeat(np.arange(S), 8), np.repeat(np.arange(2 * S), 4)
    also = lab.random.normal(0.0, lab.scale * 4e-4, S)[session] + lab.random.normal(0.0, lab.scale * 1e-4, 2 * S)[mounting]
    lab.degC = IN_USE_DEGC
    keys = {"session": session.tolist(), "mounting": mounting.tolist(), "minutes_after_mounting": minutes.tolist()}
    also = also + float(lab.random.uniform(-5e-5, 5e-5)) * minutes
    lab.data["reading"] = [lab.reading(IN_USE_NM, lab.degC, also, u_nm=0.0, **keys)]
    lab.dn_dt()


def pooled(lab: Lab) -> None:
    lab.state_scale(share=0.3)
    s, dof = lab.scale * 2e-4, int(lab.random.integers(6, 15))
    lab.degC = IN_USE_DEGC
    history = {"u_repeatability": s * float(lab.random.chisquare(dof) / dof) ** 0.5, "dof_repeatability": dof}
    lab.data["reading"] = [lab.reading(IN_USE_NM, lab.degC, np.zeros(lab.random.integers(1, 3)), u_nm=0.0, s=s, **history)]
    lab.dn_dt()


def grid(lab: Lab) -> None:
    lab.state_scale(share=0.1)
    lab.degC = IN_USE_DEGC
    d = lab.instrument.resolution = 5e-5 if lab.fine else 2e-4
    s = d * float(lab.random.uniform(0.0, 1.0 / 3.0))
    lab.data["instrument"] |= {"resolution": d, "u_operator": 0.0}
    lab.instrument.operator, lab.instrument.u_T = 0.0, 0.02
    lab.instrument.thermometer *= 0.02 / (0.1 if lab.fine else 0.2)
    lab.data["reading"] = [lab.reading(IN_USE_NM, lab.degC, np.zeros(5), u_nm=0.0, s=s)]
    lab.dn_dt()
