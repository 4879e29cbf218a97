"""The refractometer and whoever reads it, with errors that are set once a sheet."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np


@dataclass
class Refractometer:
    """What one instrument and its operator do to an index; its errors are set once a sheet. `u_T` is the thermometer's stated u."""

    random: np.random.Generator
    resolution: float
    s_reading: float
    u_T: float
    offset: float = 0.0
    slope: float = 0.0
    slope_about: float = 1.4
    operator: float = 0.0
    compensation_per_K: float = 0.0
    thermometer: float = field(init=False)

    def __post_init__(self) -> None:
        self.thermometer = self.error(self.u_T / 2.0**0.5)

    def error(self, u: float) -> float:
        return float(self.random.normal(0.0, u)) if u > 0 else 0.0

    def temperature(self, stated_degC: float) -> float:
        """What the specimen's temperature truly is when it is set once."""
        return stated_degC + self.thermometer + self.error(self.u_T / 2.0**0.5)

    def shows(self, n: float, stated_degC: float, also: Any = 0.0, count: int | None = None, s: float | None = None) -> list[float]:
        """Readings of a true index; `also` is what else moves each of them."""
        moved = np.broadcast_to(np.asarray(also, dtype=float), (count,) if count else np.shape(also))
        noise = self.random.normal(0.0, self.s_reading if s is None else s, moved.shape)
        scale = n + self.offset + self.slope * (n - self.slope_about) + self.compensation_per_K * (20.0 - stated_degC)
        return [round(float(k) * self.resolution, 6) for k in np.round((scale + moved + noise) / self.resolution)]
