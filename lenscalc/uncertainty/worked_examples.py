"""The worked examples of the guides: models with their inputs, for the reference cases and for whoever wants to see how a model is written.

Where each number was read stands in reference_cases/guides_trials.toml.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

import numpy as np

from lenscalc.uncertainty.input import Input


class Example(NamedTuple):
    """A model, its inputs, and their correlations."""

    model: Callable[..., Any]
    inputs: Mapping[str, Input]
    correlation: Any = None


def gauge_block() -> Example:
    """JCGM 100:2008, H.1: l = ls + d − ls(da·θ + as·dt), nm; the linear law's inputs."""

    def length(ls: Any, d: Any, a_s: Any, theta: Any, da: Any, dt: Any) -> Any:
        return ls + d - ls * (da * theta + a_s * dt)

    inputs = {
        "ls": Input.from_certificate(50000623.0, 75.0, k=3.0, dof=18.0), "d": Input(215.0, 9.7, dof=25.6),
        "a_s": Input.from_half_width(11.5e-6, 2e-6), "theta": Input(-0.1, 0.41), "da": Input(0.0, 0.58e-6, dof=50.0),
        "dt": Input(0.0, 0.029, dof=2.0),
    }  # fmt: skip
    return Example(length, inputs)


# JCGM 100:2008, table H.2: voltage V, current mA, phase rad, read five times together
VOLTAGE = (5.007, 4.994, 5.005, 4.990, 4.999)
CURRENT = (19.663, 19.639, 19.640, 19.685, 19.678)
PHASE = (1.0456, 1.0438, 1.0468, 1.0428, 1.0433)


def impedance(part: str) -> Example:
    """JCGM 100:2008, H.2: resistance, reactance or impedance from readings taken together, Ω, with the correlations of the readings."""
    models = {
        "resistance": lambda V, J, phi: 1000.0 * V / J * np.cos(phi),
        "reactance": lambda V, J, phi: 1000.0 * V / J * np.sin(phi),
        "impedance": lambda V, J, phi: 1000.0 * V / J + 0.0 * phi,
    }
    inputs = {"V": Input.from_data(VOLTAGE), "J": Input.from_data(CURRENT), "phi": Input.from_data(PHASE)}
    return Example(models[part], inputs, np.corrcoef([VOLTAGE, CURRENT, PHASE]))


def sum_of_four(distribution: Any = "normal", widest: float = 1.0) -> Example:
    """JCGM 101:2008, 9.2: Y = X1 + X2 + X3 + X4 with u = 1, or the last wider."""
    return Example(lambda a, b, c, d: a + b + c + d, {x: Input(0.0, widest if x == "d" else 1.0, distribution) for x in "abcd"})


def mass_calibration() -> Example:
    """JCGM 101:2008, 9.3: calibration of a weight, deviation from its nominal mass, mg."""

    def deviation(m_rc: Any, dm: Any, r_a: Any, r_w: Any, r_r: Any) -> Any:
        return (m_rc + dm) * (1.0 + (r_a - 1.2) * (1.0 / r_w - 1.0 / r_r)) - 100000.0

    inputs = {
        "m_rc": Input(100000.0, 0.050), "dm": Input(1.234, 0.020), "r_a": Input.from_half_width(1.2, 0.1),
        "r_w": Input.from_half_width(8000.0, 1000.0), "r_r": Input.from_half_width(8000.0, 50.0),
    }  # fmt: skip
    return Example(deviation, inputs)


def comparison_loss(x1: float, r: float = 0.0) -> Example:
    """JCGM 101:2008, 9.4: comparison loss of a microwave power meter, Y = X1² + X2², u = 0.005, in units of 1e-6."""
    return Example(lambda x1, x2: 1e6 * (x1 * x1 + x2 * x2), {"x1": Input(x1, 0.005), "x2": Input(0.0, 0.005)}, {("x1", "x2"): r} if r else None)


def gauge_block_causes() -> Example:
    """JCGM 101:2008, 9.5: the end gauge of H.1 with a distribution for every cause, deviation from 50 mm in nm.

    Temperatures and expansions with uncertain limits are curvilinear trapezoids, the swing of the bath an arcsine law.
    """

    def deviation(ls: Any, d: Any, d1: Any, d2: Any, a_s: Any, theta: Any, swing: Any, da: Any, dt: Any) -> Any:
        return ls + d + d1 + d2 - ls * (da * (theta + swing) + a_s * dt) - 50e6

    inputs = {
        "ls": Input(50000623.0, 25.0, "t", 18.0), "d": Input(215.0, 6.0, "t", 24.0), "d1": Input(0.0, 4.0, "t", 5.0), "d2": Input(0.0, 7.0, "t", 8.0),
        "a_s": Input.from_half_width(11.5e-6, 2e-6), "theta": Input(-0.1, 0.2), "swing": Input.from_half_width(0.0, 0.5, "arcsine"),
        "da": Input.from_half_width(0.0, 1e-6, "curvilinear trapezoid", limits_known_to=0.1e-6),
        "dt": Input.from_half_width(0.0, 0.05, "curvilinear trapezoid", limits_known_to=0.025),
    }  # fmt: skip
    return Example(deviation, inputs)


def logarithm() -> Example:
    """NPL report DEM-ES-011, 9.2: y = ln x with x between 0.1 and 1.1, where the linear law fails."""
    return Example(lambda x: np.log(x), {"x": Input.from_half_width(0.6, 0.5)})


def ishigami(a: float = 7.0, b: float = 0.1) -> Example:
    """Ishigami's function sin x1 + a sin²x2 + b x3⁴ sin x1, x within ±π: x3 acts through x1 alone."""
    pi = float(np.pi)

    def f(x1: Any, x2: Any, x3: Any) -> Any:
        s1, s2 = np.sin(x1), np.sin(x2)
        return s1 + a * s2 * s2 + b * x3 * x3 * x3 * x3 * s1

    return Example(f, {x: Input.from_half_width(0.0, pi) for x in ("x1", "x2", "x3")})


EXAMPLES: dict[str, Callable[..., Example]] = {
    "gauge_block": gauge_block, "impedance": impedance, "sum_of_four": sum_of_four, "mass_calibration": mass_calibration,
    "comparison_loss": comparison_loss, "gauge_block_causes": gauge_block_causes, "logarithm": logarithm, "ishigami": ishigami,
}  # fmt: skip
