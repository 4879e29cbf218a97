"""What to compute of a table, asked in words: everything that costs little, and on request what costs more or needs more."""

from __future__ import annotations

from typing import Any, NamedTuple

from lenscalc.chain.by_trials import BY_TRIALS
from lenscalc.chain.decision_columns import ON_REQUEST
from lenscalc.chain.image import BY_DIFFRACTION, BY_RAYS
from lenscalc.chain.power_columns import RECUT
from lenscalc.chain.table import CHOICES
from lenscalc.conditions import WAVELENGTH_IN_USE_NM
from lenscalc.lens.image_quality import CRITERION_FREQUENCY_PER_MM, CRITERION_PUPIL_MM
from lenscalc.quantities import plain
from lenscalc.web.fields.choice_field import choice_field, several_field
from lenscalc.web.fields.number_field import number_field
from lenscalc.web.shown.note import note

ALL, POWER = "Everything that follows from the table", "The power and its uncertainty alone"
_POWER = ("power_D", "u_power_D", "calibration_part_power_D")
_START = {"pupil_diameter_mm": CRITERION_PUPIL_MM, "wavelength_nm": WAVELENGTH_IN_USE_NM, "frequency_per_mm": CRITERION_FREQUENCY_PER_MM}
_AS_IN_TABLE = "as the table says"


class OnRequest(NamedTuple):
    """Results that are computed only where somebody wants them: what they ask for beside the table, and what a row of them costs."""

    results: tuple[str, ...]
    asks: tuple[str, ...]
    ms_a_row: float


# milliseconds as measured on one core, for an estimate of the time alone
BESIDES = {
    "How well the index must be known": OnRequest(ON_REQUEST, (), 0.1),
    "The radii that would give the label": OnRequest(RECUT, (), 0.01),
    "Coloured focus (needs the Abbe number)": OnRequest(("chromatic_difference_D",), (), 0.01),
    "Spherical aberration by exact rays": OnRequest(BY_RAYS, ("pupil_diameter_mm",), 0.5),
    "Sharpness (MTF)": OnRequest(BY_DIFFRACTION, ("pupil_diameter_mm", "wavelength_nm", "frequency_per_mm"), 0.8),
    "The power by random trials (slow)": OnRequest(BY_TRIALS, (), 14.0),
}
ON_DEMAND = tuple(name for group in BESIDES.values() for name in group.results)
_MS_A_ROW = 0.05


class Wanted(NamedTuple):
    """Names of results as the batch takes them, values that hold for every row, and what a row costs."""

    compute: tuple[str, ...]
    constants: dict[str, str]
    ms_a_row: float


def ask_what() -> Wanted:
    """Draw the fields and read them."""
    base = choice_field("What to compute", (ALL, POWER), key="compute")
    besides = several_field("and besides", list(BESIDES), key="besides", placeholder="nothing more")
    asked = dict.fromkeys(name for words in besides for name in BESIDES[words].asks)
    constants: dict[str, str] = {}
    if asked:
        choices = (*CHOICES["beam"], _AS_IN_TABLE)
        beam = choice_field("In which light", choices, key="table_beam", among="list", first=choices[1])
        if beam != _AS_IN_TABLE:
            constants["beam"] = beam
        for name in asked:
            value = number_field(name, key=f"table_{name}", value=_START[name], in_address=True)
            if value is not None:
                constants[name] = plain(value)
        note("These hold for every row; leave a field empty where the table has a column of its own. The indices must be those at this wavelength.")
    return wanted(base, tuple(besides), constants)


def wanted(base: str, besides: tuple[str, ...], constants: dict[str, Any] | None = None) -> Wanted:
    """What the words mean for the batch.

    >>> wanted(ALL, ()).compute, wanted(ALL, ("How well the index must be known",)).compute
    ((), ('*', 'largest_u_n_lens'))
    """
    named = tuple(name for words in besides for name in BESIDES[words].results)
    first = _POWER if base == POWER else ("*",) if named else ()
    return Wanted((*first, *named), dict(constants or {}), _MS_A_ROW + sum(BESIDES[words].ms_a_row for words in besides))
