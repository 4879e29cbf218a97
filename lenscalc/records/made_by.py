"""With what a result was computed: the version, the libraries its bits depend on, and what the processor can do. No name of a machine or a person."""

from __future__ import annotations

import platform
from importlib.metadata import version

import numpy as np

import lenscalc

BITS = ("numpy", "scipy", "system", "machine", "processor")  # where these and the version agree, the bits must


def made_by() -> dict[str, str]:
    """The fields of a record that say with what it was computed.

    >>> sorted(made_by())
    ['lenscalc', 'machine', 'numpy', 'processor', 'python', 'scipy', 'system']
    """
    return {
        "lenscalc": lenscalc.__version__,
        "python": platform.python_version(),
        "numpy": np.__version__,
        "scipy": version("scipy"),
        "system": platform.system(),
        "machine": platform.machine(),
        "processor": _extensions(),
    }


def _extensions() -> str:
    """What numpy found the processor able to do: on it depends which of its loops run."""
    found = np.show_config(mode="dicts") or {}
    extensions = found.get("SIMD Extensions", {})
    return " ".join([*extensions.get("baseline", []), *extensions.get("found", [])]) or "unknown"
