"""What to look at when a chart signals: a sentence for each pattern, for an instrument and for a material. Common practice, no source."""

from __future__ import annotations

from types import MappingProxyType
from typing import Final, Literal

Watched = Literal["instrument", "material"]
WATCHED: Final = ("instrument", "material")

LOOK_AT: Final = MappingProxyType({
    "instrument": MappingProxyType({
        "jump":
            "Repeat the check now: clean the prism, take fresh water, wait for the temperature. If it comes back, note what was "
            "wrong; if it stays, read nothing until the scale has been checked against a reference.",
        "shift":
            "Something has changed and stayed: compare the thermometer with another, ask whether lamp, contact liquid, prism or "
            "water were changed or cleaned at that time, then calibrate anew.",
        "trend":
            "Something moves slowly: the thermometer or the thermostat drifts, the lamp ages, the contact liquid evaporates or "
            "creeps, a film grows on the prism. Clean, check the temperature, then calibrate anew.",
        "alternating":
            "Two conditions take turns: two operators, two rooms or times of day, two bottles of water or of contact liquid. Chart "
            "them apart.",
        "spread":
            "The readings scatter more, or differ more from one check to the next: look at the temperature while reading, at "
            "cleaning and mounting, at the contact liquid, and at who read.",
        "less spread":
            "The readings scatter less than before: fine if the procedure became better; else ask whether values were copied or "
            "rounded.",
    }),
    "material": MappingProxyType({
        "jump":
            "One lot stands apart: read it again from a fresh mounting, on the instrument's own water check of that day. Then look "
            "at its drying or equilibration, its composition, and whether the specimen was mixed up.",
        "shift":
            "The lots have moved and stayed: look for a change of monomer or cross-linker batch, of cure, of drying or "
            "equilibration time, of the temperature of reading, or of operator; and whether the instrument's own chart moved too.",
        "trend":
            "The lots move slowly: a monomer ages, a composition creeps, equilibration gets shorter, or the instrument drifts. Look"
            " at its own chart first.",
        "alternating":
            "Two conditions take turns: two operators, two moulds, ovens or batches, two temperatures. Chart them apart.",
        "spread":
            "The specimens of a lot, or neighbouring lots, differ more: look at drying and equilibration, at mixing and cure, at "
            "the temperature, and at who mounted and read.",
        "less spread":
            "The specimens differ less than before: fine if the process became better; else ask whether values were copied or "
            "rounded.",
    }),
})  # fmt: skip
