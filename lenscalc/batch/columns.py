"""Which column is which: a quantity, perhaps in another unit; a label; a column of one's own; or a misspelling."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from functools import lru_cache
from typing import Any

from lenscalc.batch.block import Block
from lenscalc.batch.legend import PART, legend
from lenscalc.batch.units import Conversion, conversion, units_of
from lenscalc.chain.table import CHOICES, DIMENSIONS, INPUT_COLUMNS, LABELS
from lenscalc.conditions import TEMPERATURE_IN_USE_DEGC, WAVELENGTH_IN_USE_NM
from lenscalc.errors import FileError, InputError, UnknownNameError
from lenscalc.quantities import RESULTS, is_quantity, quantity

NEAR = 0.82  # difflib's ratio: above it a name is taken for a misspelling of ours. "front_radius" has 0.89, "n_lense" 0.92, "lens" 0.80
KEEP = "if the column is your own, let its name begin with note_"
IN_USE = f"the index at {WAVELENGTH_IN_USE_NM} nm, {TEMPERATURE_IN_USE_DEGC:g} °C, hydrated"
_LONG_NAME = 40
MOST_NAMED = 8  # of the names that the results have, in a sentence
_COMPUTED = {"problem", "warning", "power_D", "u_power_D", *(q.name for q in RESULTS)}
# what somebody knows of the calibration's part in a value that he brings: no row is computed of it, a ranking takes it
PARTS = tuple(f"{PART}{n}" for n in INPUT_COLUMNS if is_quantity(n) and not n.startswith("u_") and f"{PART}{n}" not in _COMPUTED)
_BRACKETS = re.compile(r"(?P<name>.*?)\s*(?:\[(?P<square>[^\]]*)\]|\((?P<round>[^)]*)\))")
_OF_A_TORIC_LENS = {"sphere_D", "cylinder_D", "axis_deg", "j0_D", "j45_D", "front_radius_across_mm", "back_radius_across_mm"}
_OF_U = {"u", "unc", "uncert", "uncertainty", "sigma", "std", "stdev", "stddev", "sd", "se", "sem", "err", "error", "deviation"}
_WORD = re.compile(r"[A-Z]+(?![a-z])|[A-Z]?[a-z]+")
_OWN_ENDINGS = ("_kg_per_m3", "_per_mm", "_per_K", "_degC", "_mm", "_nm", "_D")


@dataclass(frozen=True)
class Heading:
    """The first line, understood: the name of every column as it goes on, what converts it, and which columns are somebody's own."""

    names: dict[str, str]
    conversions: dict[str, Conversion]
    own: tuple[str, ...]

    @property
    def in_words(self) -> tuple[str, ...]:
        """The headings that are a label and no name."""
        return tuple(n for n, name in self.names.items() if n != name and _BY_LABEL.get(_plain(_without_unit(n))) == name)

    @property
    def perhaps_u(self) -> tuple[str, ...]:
        """One's own columns whose names speak of an uncertainty."""
        return tuple(n for n in self.own if speaks_of_u(n))

    def table(self, block: Block) -> dict[str, Any]:
        """The block's columns under the names of the quantities and in their units; one's own untouched."""
        return {
            self.names[n]: self.conversions[n].apply(c) if n in self.conversions else c for n, c in block.columns.items()
        }  # fmt: skip

    def known(self, table: dict[str, Any]) -> dict[str, Any]:
        """The columns that the chain takes."""
        return {n: c for n, c in table.items() if n in INPUT_COLUMNS}


@lru_cache(maxsize=64)
def heading_of(names: tuple[str, ...], constants: tuple[str, ...] = ()) -> Heading:
    """Sort out the names of a first line.

    The name of a quantity, or one with another unit in brackets or at its end ("center_thickness_mm [µm]", "center_thickness_um"), is that quantity.
    So is its label as the pages head a column with it, "Centre thickness, mm", whatever its case and blanks.
    Labels (id, name, candidate …) and note_… travel. A name that is nearly one of ours, that begins with u_, or that a computed column bears is an
    error, and all such names are told at once; any other travels untouched.

    Raises
    ------
    UnknownNameError, InputError, FileError
        for such a name, a unit that the quantity cannot have, a column that is missing or stands there twice.
    """
    found: dict[str, str] = {}
    conversions: dict[str, Conversion] = {}
    own: list[str] = []
    for n in names:
        name, converted = _understood(n)
        found[n] = name or n
        if converted and converted.changes:
            conversions[n] = converted
        if name is None and not _is_label(n):
            own.append(n)
    _complain_of_doubles(found)
    if len(own) < len(names) or len({*names, *constants}) > len(DIMENSIONS):  # else it is a title, whatever its words are near to
        _complain_of(own)
    _complain_of_missing(set(found.values()) | set(constants), own, titled=len(own) == len(names))
    return Heading(found, conversions, tuple(own))


def is_ours(name: str) -> bool:
    """Whether a heading names a quantity, a choice or a label."""
    try:
        return _understood(name)[0] is not None or _is_label(name)
    except InputError:
        return True  # one of ours, with a unit that it cannot have


def speaks_of_u(name: str) -> bool:
    """Whether a column of somebody's own is called as an uncertainty is called elsewhere.

    >>> [speaks_of_u(name) for name in ("sigma_n", "U(n_lens)", "stdN", "n ±", "σ n", "s_n", "colour", "supplier", "time_s")]
    [True, True, True, True, True, True, False, False, False]
    """
    return bool(_OF_U & {word.lower() for word in _WORD.findall(name)}) or bool({"±", "σ"} & set(name)) or name.startswith("s_")


def not_read_as_u(names: Iterable[str], of: str) -> str:
    """What is said of columns whose names speak of an uncertainty and that nothing reads; `of` is a quantity whose u would be read."""
    return (
        f"Not read, although their names speak of an uncertainty: {', '.join(names)}. A column of standard uncertainties "
        f"has a name like u_{of} (of an expanded U write U/k), and a quantity without one counts as exact."
    )


def is_number_column(name: str) -> bool:
    """Whether the cells below a heading are numbers of a quantity, one that results have or one that they come from."""
    try:
        known = _understood(name)[0] or name
    except InputError:
        return False
    return is_quantity(known) or known in PARTS


def _is_label(name: str) -> bool:
    return name in LABELS or name.startswith("note_")


@lru_cache(maxsize=1024)
def _understood(heading: str) -> tuple[str | None, Conversion | None]:
    if heading in INPUT_COLUMNS or heading in PARTS:
        return heading, None
    if _is_label(heading):
        return None, None
    in_brackets = _BRACKETS.fullmatch(heading)
    if in_brackets:
        stem, unit = in_brackets["name"], in_brackets["square"] if in_brackets["square"] is not None else in_brackets["round"]
        name = stem if stem in INPUT_COLUMNS else _STEMS.get(stem) or _BY_LABEL.get(_plain(stem))
        return (None, None) if name is None or not is_quantity(name) else (name, _in_unit(heading, name, unit))
    label, comma, unit = heading.rpartition(",")
    name = _BY_LABEL.get(_plain(label if comma else heading))
    if name is not None and comma and is_quantity(name):
        return name, _in_unit(heading, name, unit)
    if name is not None and not comma and not (is_quantity(name) and quantity(name).unit):  # a number has a unit, or needs none
        return name, None
    for name, stem in _BY_STEM:
        if heading.startswith(f"{stem}_"):
            found = conversion(quantity(name), heading[len(stem) + 1 :])
            if found is not None and heading[len(stem) + 1 :] not in ("", "-", "1"):
                return name, found
    return None, None


def _in_unit(heading: str, name: str, unit: str) -> Conversion:
    found = conversion(quantity(name), unit)
    if found is None:
        can = ", ".join(units_of(quantity(name))) or "none, it is a plain number"
        raise InputError(f"column {heading!r}: {name} cannot be in {unit.strip()!r}; units that are understood: {can}", quantity=name)
    return found


def _without_unit(heading: str) -> str:
    bare = _BRACKETS.fullmatch(heading)
    return bare["name"] if bare else heading.rpartition(",")[0] or heading


def _plain(label: str) -> str:
    """A label with neither capitals nor blanks, a standard uncertainty as u."""
    return "".join(label.casefold().split()).replace("standarduncertaintyof", "uof", 1)


def _stem(name: str) -> str:
    return next((name.removesuffix(e) for e in _OWN_ENDINGS if name.endswith(e)), name)


_BY_STEM = tuple((n, _stem(n)) for n in INPUT_COLUMNS if n not in CHOICES)
_STEMS = {stem: name for name, stem in _BY_STEM}
_LOWER = {n.lower(): _STEMS.get(n, n) for n in (*INPUT_COLUMNS, *_STEMS)}
_BY_LABEL = {_plain(line.in_words): line.column for line in legend((*INPUT_COLUMNS, *PARTS, *LABELS))}


def _complain_of_doubles(found: dict[str, str]) -> None:
    seen: dict[str, str] = {}
    for n, name in found.items():
        if name in seen:
            raise FileError(f"the columns {seen[name]!r} and {n!r} are both {name}: leave one of them out")
        seen[name] = n


def _complain_of(own: list[str]) -> None:
    """Every name that cannot be somebody's own, in one sentence or two."""
    told = [(n, sentence) for n in own if (sentence := _complaint(n))]
    if computed := [n for n in own if n in _COMPUTED]:
        many = "" if len(computed) == 1 else "s"
        named = ", ".join(repr(n) for n in computed[:MOST_NAMED]) + (f" and {len(computed) - MOST_NAMED} more" if len(computed) > MOST_NAMED else "")
        told.append((computed[0], f"column{many} {named}: the results have {'a column' if many == '' else 'columns'} of this name"))
    if not told:
        return
    text = ""
    for sentence in (*(sentence for _, sentence in told), KEEP):
        text += f" {sentence[0].upper()}{sentence[1:]}" if text.endswith("?") else f"; {sentence}" if text else sentence
    raise InputError(text, quantity=told[0][0])


def _complaint(own: str) -> str:
    """Why a name is not taken for somebody's own; empty where it is."""
    if own in _OF_A_TORIC_LENS:
        return (
            f"column {own!r}: a row is a lens with one power in all meridians, and would be decided as such; `lenscalc.lens.toric_lens` takes a "
            "toric one in Python, or give each principal meridian a row of its own"
        )
    if own in _COMPUTED:
        return ""  # told together
    if near := _near(_without_unit(own).lower(), _LOWER) or _near(_plain(_without_unit(own)), _BY_LABEL):
        return f"unknown column {own!r}; did you mean {near}?"
    if own[:2] == "u(" and (bare := f"u_{own[2:].rstrip(')')}") in INPUT_COLUMNS:
        return f"unknown column {own!r}; did you mean {bare}?"
    if own.startswith(("u_", "u(")):
        begun = sorted((n for n in INPUT_COLUMNS if n.startswith(f"u_{own[2:].rstrip(')')}_")), key=len)[:3]
        hint = f"; is it {' or '.join(begun)}? A" if begun else "; a"
        return f"{UnknownNameError(own, INPUT_COLUMNS, what='uncertainty')}{hint} name that begins with u_ is a standard uncertainty"
    return ""


def _near(name: str, among: Mapping[str, str]) -> str:
    return next((among[n] for n in get_close_matches(name, among, n=1, cutoff=NEAR)), "")


def _complain_of_missing(given: set[str], own: list[str], *, titled: bool) -> None:
    missing = [n for n in DIMENSIONS if n not in given]
    if "n_lens" not in given and "n_reading" not in given:
        missing.append("n_lens")
    if not missing:
        return
    near = [(n, get_close_matches(n, own, n=1, cutoff=0.5)) for n in missing]
    hints = "".join(f"; {found[0]!r} stands there: is it {n}?" for n, found in near if found)
    hinted = {found[0] for _, found in near if found}
    unknown = ", ".join([repr(n[:_LONG_NAME]) for n in own if titled or n not in hinted][:MOST_NAMED])
    if titled:
        hints = f"; no name in the first line is known ({unknown}): part names by commas, rename what is meant, or take out what stands above"
    elif unknown:
        hints += f"; not known here: {unknown}"
    reading = f" (or n_reading with its wavelength and temperature; n_lens is {IN_USE})" if "n_lens" in missing else ""
    raise InputError(f"missing column{'s' if len(missing) > 1 else ''} {', '.join(missing)}{reading}{hints}", quantity=missing[0])
