"""What of a sheet stands as it was loaded, while other values of it have been changed: no page here, so that it can be tested by itself."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from lenscalc.quantities import plain
from lenscalc.web.reading.sheet_sections import CALIBRATION, LENS, MEDIUM, READ, REFRACTOMETER, SECTIONS, TO_THE_EYE
from lenscalc.web.reading.sheet_told import label_of_sheet
from lenscalc.web.shown.as_text import as_text

_SECTIONS = {
    "reading": READ, "lens": LENS, "dispersion": TO_THE_EYE, "temperature": TO_THE_EYE, "hydration": TO_THE_EYE, "instrument": REFRACTOMETER,
    "calibration": CALIBRATION, "medium": MEDIUM,
}  # fmt: skip
_IN_FEW_WORDS = (  # what stands at a place, or below it; in the order in which it is named, what is not on sight first
    ("calibration", ("instrument", "u_calibration")), ("calibration", ("calibration",)), ("dn/dT", ("temperature", "dn_dt_per_K")),
    ("Abbe number", ("dispersion", "abbe_d")), ("shift on hydration", ("hydration", "hydration_shift")),
    ("water content", ("hydration", "water_mass_fraction_wet")), ("water content", ("hydration", "mass_wet_g")),
    ("swelling", ("lens", "linear_swelling")), ("the refractometer", ("instrument", "resolution")), ("measured medium", ("medium",)),
    ("readings", ("reading", "n")), ("temperature of the readings", ("reading", "temperature_degC")), ("their line", ("reading", "wavelength_nm")),
    ("labelled power", ("lens", "labelled_power_D")), ("front radius", ("lens", "front_radius_mm", "value")),
    ("back radius", ("lens", "back_radius_mm", "value")), ("thickness", ("lens", "center_thickness_mm", "value")),
    ("optic diameter", ("lens", "optic_diameter_mm")),
)  # fmt: skip

_LISTS = ("n", "check_before", "check_after")

Leaf = tuple[tuple[str, ...], str, Any]  # its place by names alone, its label, what stands there


def still_loaded(now: Mapping[str, Any], loaded: Mapping[str, Any]) -> list[Leaf]:
    """The numbers of a sheet that stand as they were loaded, in the order of the sheet.

    >>> [label for _, label, _ in still_loaded({"lens": {"optic_diameter_mm": 6.0, "labelled_power_D": 21.0}},
    ...                                        {"lens": {"optic_diameter_mm": 6.0, "labelled_power_D": 20.5}})]
    ['Optic diameter']
    """
    held = dict(_leaves(now))
    return [(_names(path), label_of_sheet(_names(path)), value) for path, value in _leaves(loaded) if path in held and held[path] == value]


def in_few_words(still: list[Leaf]) -> str:
    """What they are, in one line: the u of a value goes with the value.

    >>> in_few_words([(("temperature", "dn_dt_per_K"), "", -1e-4), (("temperature", "u_dn_dt_per_K"), "", 1e-5), (("medium", "name"), "", "x")])
    'dn/dT, measured medium'
    """
    places = [place for place, _, _ in still]
    return ", ".join(dict.fromkeys(words for words, start in _IN_FEW_WORDS if any(place[: len(start)] == start for place in places)))


def by_section(still: list[Leaf]) -> dict[str, str]:
    """All of them with their values, a line a section of the form."""
    told: dict[str, list[str]] = {}
    for place, label, value in still:
        told.setdefault(_SECTIONS[place[0]], []).append(f"{label} {_written(value)}")
    return {section: as_text("; ".join(dict.fromkeys(told[section]))) for section in SECTIONS if section in told}


def _leaves(sheet: Mapping[str, Any]) -> Iterator[tuple[tuple[str | int, ...], Any]]:
    for name, table in sheet.items():
        if name in _SECTIONS:
            yield from _below((name,), table)


def _below(path: tuple[str | int, ...], held: Any) -> Iterator[tuple[tuple[str | int, ...], Any]]:
    """Numbers, and lists of numbers, below a place; words and choices are nobody's measurement."""
    if isinstance(held, Mapping):
        for key, value in held.items():
            yield from _below((*path, key), value)
    elif isinstance(held, list) and held and isinstance(held[0], Mapping):
        for i, value in enumerate(held):
            yield from _below((*path, i), value)
    elif path[-1] in _LISTS or (isinstance(held, int | float) and not isinstance(held, bool)):
        yield path, held


def _names(path: tuple[str | int, ...]) -> tuple[str, ...]:
    return tuple(step for step in path if isinstance(step, str))


def _written(value: Any) -> str:
    return "  ".join(_written(v) for v in value) if isinstance(value, list) else plain(value).replace("-", "−")
