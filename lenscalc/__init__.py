"""lenscalc: from a refractometer's reading of a lens polymer to the power of the lens, its uncertainty and the decision.

Public names are imported on first use, so that `import lenscalc` costs nothing.

>>> import lenscalc
>>> round(lenscalc.thick_lens(15, -15, 0.9, 1.49).power_D, 6)
20.469666
"""

from __future__ import annotations

import sys
from importlib import import_module
from typing import Any

__version__ = "0.1.0"

if "IPython" in sys.modules:  # in a notebook results show themselves
    import_module("lenscalc.notebook").show_results()

_HOMES = {
    "Dispersion": "material",
    "Estimate": "uncertainty",
    "Input": "uncertainty",
    "InputError": "errors",
    "LenscalcError": "errors",
    "RangeWarning": "errors",
    "Source": "uncertainty",
    "aqueous_index": "material",
    "conformance_probability": "uncertainty",
    "coverage_factor": "uncertainty",
    "evaluate": "chain",
    "follow": "chain",
    "mix": "material",
    "mtf": "light",
    "power_sensitivity": "lens",
    "power_tolerance_D": "decision",
    "ladder": "lens",
    "propagate": "uncertainty",
    "published_eye": "eye",
    "read_sheet": "refractometer",
    "recut": "lens",
    "refraction_change": "eye",
    "refraction_shift_D": "eye",
    "run_trials": "uncertainty",
    "saline_index": "material",
    "sobol_indices": "uncertainty",
    "sucrose_index": "material",
    "thick_lens": "lens",
    "trace": "light",
    "water_index": "material",
}

__all__ = sorted(_HOMES)


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module 'lenscalc' has no attribute {name!r}")
    return getattr(import_module(f"lenscalc.{_HOMES[name]}"), name)


def __dir__() -> list[str]:
    return [*__all__, "__version__"]
