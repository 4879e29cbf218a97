"""What the scale of an instrument means: the line that it was made for, and a temperature compensation that is taken off again."""

from __future__ import annotations

from typing import Any

import numpy as np

from lenscalc.errors import InputError
from lenscalc.quantities import in_numbers


def prism_reading_index(n_prism: Any, apex_deg: Any, exit_angle_deg: Any) -> Any:
    """Index from the exit angle β of the border behind a prism of apex φ, grazing entry: n = sin φ·√(N² − sin² β) − cos φ·sin β.

    β counts positive where the border leaves on the base's side of the normal, so that the critical angle inside is θ = φ − asin(sin β/N); then
    n = N·sin θ (worked from Snell's law; the light grazes the entry face towards the apex).

    Accuracy: 5e-16 relative, over exit angles −15 to 15°.

    >>> round(float(prism_reading_index(1.75, 60.0, 2.858)), 4)
    1.49
    """
    phi, s = np.deg2rad(apex_deg), np.sin(np.deg2rad(exit_angle_deg))
    return np.sin(phi) * np.sqrt(np.square(n_prism) - s * s) - np.cos(phi) * s


def prism_exit_angle_deg(n: Any, n_prism: Any, apex_deg: Any) -> Any:
    """Exit angle of the border for a specimen of this index: the inverse of `prism_reading_index`.

    Accuracy: 8e-16 relative to the apex, over indices 1.35 to 1.65.

    Raises
    ------
    InputError
        where the specimen is not below the prism, or the border does not leave it.

    >>> round(float(prism_exit_angle_deg(1.49, 1.75, 60.0)), 3)
    2.858
    """
    n, n_prism, apex_deg = in_numbers("n", n), in_numbers("n_prism", n_prism), in_numbers("apex_deg", apex_deg)
    if np.any(np.asarray(n) >= np.asarray(n_prism)):
        raise InputError(f"n = {n} is not below n_prism = {n_prism}: no border can be read; use a prism of higher index")
    inside = np.deg2rad(apex_deg) - np.arcsin(np.asarray(n, dtype=np.float64) / n_prism)
    s = n_prism * np.sin(inside)
    if np.any(np.abs(s) > 1):
        raise InputError(f"n = {n}: the border does not leave a prism of {n_prism} with an apex of {apex_deg}°")
    return np.rad2deg(np.arcsin(s))


def index_at_line(n_shown: Any, *, n_prism_scale: Any, n_prism_line: Any, apex_deg: Any = None) -> Any:
    """The index at the line of a reading whose scale was made for another line.

    The border stands at an angle; the scale turned it into an index with the prism's index at the scale's line, and the prism's index at the
    line of the light is another. `apex_deg` None: the angle is measured inside (a hemisphere or half-cylinder) and n = n_shown·N_line/N_scale.

    Accuracy: 5e-16 relative, over indices 1.35 to 1.65.

    >>> round(float(index_at_line(1.49, n_prism_scale=1.7500, n_prism_line=1.7559)), 4)      # D scale, e line: not a small matter
    1.495
    """
    if apex_deg is None:
        return n_shown * n_prism_line / n_prism_scale
    return prism_reading_index(n_prism_line, apex_deg, prism_exit_angle_deg(n_shown, n_prism_scale, apex_deg))


def without_compensation(n_shown: Any, temperature_degC: Any, *, per_K: Any, to_degC: Any) -> Any:
    """The index at the specimen's own temperature from a reading that the instrument has moved to `to_degC` with `per_K` of its own.

    The instrument showed n + per_K·(to − T): the step is taken off again, whatever substance it was meant for.

    Accuracy: 2e-16 relative, over 10–40 °C.

    >>> round(float(without_compensation(1.4903, 25.0, per_K=-1.9e-4, to_degC=20.0)), 5)
    1.48935
    """
    return n_shown - per_K * (to_degC - temperature_degC)
