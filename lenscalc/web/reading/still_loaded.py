"""What of a sheet stands as it was loaded, while other values of it have been changed: no page here, so that it can be tested by itself."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Any, NamedTuple

from lenscalc.quantities import counted, plain
from lenscalc.refractometer.schema import SCHEMA
from lenscalc.refractometer.sheet_lens import DIMENSIONS
from lenscalc.web.reading.schema_table import asked
from lenscalc.web.reading.sheet_sections import CALIBRATION, LENS, MEDIUM, READ, REFRACTOMETER, SECTIONS, SPECIMEN, TO_THE_EYE
from lenscalc.web.reading.sheet_told import label_of_sheet, of_schema
from lenscalc.web.shown.as_text import as_text

_SECTIONS = {
    "reading": READ, "lens": LENS, "dispersion": TO_THE_EYE, "temperature": TO_THE_EYE, "hydration": TO_THE_EYE, "instrument": REFRACTOMETER,
    "calibration": CALIBRATION, "medium": MEDIUM, "specimen": SPECIMEN,
}  # fmt: skip
_IN_FEW_WORDS = (  # what stands at a place, or below it; in the order in which it is named, what is not on sight first
    ("calibration", ("instrument", "u_calibration")), ("calibration", ("calibration",)), ("dn/dT", ("temperature", "dn_dt_per_K")),
    ("Abbe number", ("dispersion", "abbe_d")), ("shift on hydration", ("hydration", "hydration_shift")),
    ("u of the specimen against its lens", ("specimen", "u_specimen_to_lens")),
    ("water content", ("hydration", "water_mass_fraction_wet")), ("water content", ("hydration", "mass_wet_g")),
    ("swelling", ("lens", "linear_swelling")), ("the refractometer", ("instrument", "resolution")), ("measured medium", ("medium",)),
    ("readings", ("reading", "n")), ("temperature of the readings", ("reading", "temperature_degC")), ("their line", ("reading", "wavelength_nm")),
    ("labelled power", ("lens", "labelled_power_D")), ("front radius", ("lens", "front_radius_mm", "value")),
    ("back radius", ("lens", "back_radius_mm", "value")), ("thickness", ("lens", "center_thickness_mm", "value")),
    ("optic diameter", ("lens", "optic_diameter_mm")),
)  # fmt: skip

_SAID_WITH = {"u_repeatability": "n", "u_session": "n", "u_operator": "resolution"}
_LISTS = ("n", "check_before", "check_after")


class Leaf(NamedTuple):
    """A place by names alone, its label, what stands there; of a list how many stand there now, where only some of them are as they were loaded."""

    place: tuple[str, ...]
    label: str
    value: Any
    of: int = 0


def still_loaded(now: Mapping[str, Any], loaded: Mapping[str, Any]) -> list[Leaf]:
    """The numbers of a sheet that stand as they were loaded, in its order; of a list the values that were in it, wherever they stand now.

    >>> [leaf.label for leaf in still_loaded({"lens": {"optic_diameter_mm": 6.0, "labelled_power_D": 21.0}},
    ...                                      {"lens": {"optic_diameter_mm": 6.0, "labelled_power_D": 20.5}})]
    ['Optic diameter']
    >>> still_loaded({"reading": [{"n": [1.4921, 1.4904]}]}, {"reading": [{"n": [1.4902, 1.4904, 1.4904]}]})[0][2:]
    ([1.4904], 2)
    """
    held = dict(_leaves(now))
    found = []
    for path, value in _leaves(loaded):
        there = held.get(path)
        if isinstance(value, list) and isinstance(there, list):
            common = list((Counter(there) & Counter(value)).elements())
            found += [Leaf(_names(path), label_of_sheet(_names(path)), common, 0 if len(common) == len(there) else len(there))] if common else []
        elif there is not None and there == value:
            found.append(Leaf(_names(path), label_of_sheet(_names(path)), value))
    return found


def in_few_words(still: list[Leaf]) -> str:
    """What they are, in one line: the u of a value goes with the value, and is named where it stands alone.

    >>> slope = ("temperature", "dn_dt_per_K")
    >>> in_few_words([Leaf(slope, "", -1e-4), Leaf(("temperature", "u_dn_dt_per_K"), "", 1e-5), Leaf(("medium", "name"), "", "x")])
    'dn/dT, measured medium'
    >>> in_few_words([Leaf(("dispersion", "u_abbe_d"), "", 2.0), Leaf(("lens", "back_radius_mm", "u"), "", 0.02)])
    'u of the Abbe number, u of the dimensions'
    >>> in_few_words([Leaf(("reading", "n"), "", [1.4901, 1.4904], 5)])
    '**2 of 5 readings**'
    """
    places = dict.fromkeys(leaf.place for leaf in still)
    some = {leaf.place: f"{len(leaf.value)} of {leaf.of} " for leaf in still if leaf.of}
    first = [f"**{some[start]}{words}**" for words, start in _IN_FEW_WORDS if start in some]  # a mean of the demo's and one's own
    named = [words for words, start in _IN_FEW_WORDS if start not in some and any(place[: len(start)] == start for place in places)]
    alone = [_of_u(place) for place in places if (of := _values_of(place)) and not any(value in places for value in of)]
    return ", ".join(dict.fromkeys([*first, *named, *alone]))


def in_one_word(still: list[Leaf]) -> str:
    """What of the reading itself and of the radii they are: whatever a verdict stands on first; where none is, the first of what is not on sight.

    >>> front, back = (("lens", f"{side}_radius_mm", "value") for side in ("front", "back"))
    >>> in_one_word([Leaf(front, "", 15.0), Leaf(back, "", -15.0)]), in_one_word([Leaf(("reading", "n"), "", [1.4901], 5), Leaf(back, "", -15.0)])
    ('radii', '1 of 5 readings and back radius')
    >>> in_one_word([Leaf((table, key), "", 1.0) for table, key in (("temperature", "dn_dt_per_K"), ("dispersion", "abbe_d"))])
    'dn/dT and Abbe number'
    """
    places = {leaf.place: leaf for leaf in still}
    read = places.get(("reading", "n"))
    radii = [f"{side} radius" for side in ("front", "back") if ("lens", f"{side}_radius_mm", "value") in places]
    named = [f"{len(read.value)} of {counted(read.of, 'reading')}" if read.of else "readings"] if read else []
    named += ["radii"] if len(radii) == 2 else radii
    if named or not still:
        return " and ".join(named)
    first, second, *more = [*in_few_words(still).split(", "), "", ""]
    return f"{first}{f', {second} and more' if any(more) else f' and {second}' if second else ''}"


def _values_of(place: tuple[str, ...]) -> list[tuple[str, ...]]:
    """The values that a u is said with: of a gauge's scale all dimensions; none for what is no u, or is named for itself."""
    *table, key = place
    if table[0] in ("calibration", "medium") or not (key == "u" or key.startswith("u_")):
        return []
    if table[0] == "lens" and len(table) > 1:
        return [("lens", name, "value") for name in (DIMENSIONS if table[1] == "gauge" else table[1:])]
    value = _SAID_WITH.get(key, key.removeprefix("u_"))
    return [(*table, value)] if value in SCHEMA[".".join(table)] else []


def _of_u(place: tuple[str, ...]) -> str:
    return "u of the dimensions" if place[0] == "lens" and len(place) > 2 else label_of_sheet(place)


def by_section(still: list[Leaf]) -> dict[str, str]:
    """All of them with their values, a line a section of the form."""
    told: dict[str, list[str]] = {}
    for place, label, value, _ in still:
        unit = asked(of_schema(".".join(place[:-1])), place[-1]).unit
        told.setdefault(_SECTIONS[place[0]], []).append(f"{label} {_written(value)}{' ' if unit else ''}{unit}")
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
    return "  ".join(_written(v) for v in value) if isinstance(value, list) else f"{Decimal(plain(value)):f}".replace("-", "−")
