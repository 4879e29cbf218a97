"""What the core says of a sheet, for who fills it in on the page: tables and keys give way to labels of fields and heads of columns."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from functools import cache

from lenscalc.quantities import is_quantity
from lenscalc.refractometer.schema import SCHEMA, Number, Numbers
from lenscalc.web.fields.page_words import in_page_words, label_of_key
from lenscalc.web.reading.sheet_words import GAUGE_HEADS, LENS_PARTS, PRISM_HEADS, READING_HEADS, REFERENCE_HEADS, WORDS, Words
from lenscalc.web.shown.as_text import as_text

_HEADS = {
    "reading": READING_HEADS, "instrument.prism": PRISM_HEADS, "calibration.reference": REFERENCE_HEADS, "lens.gauge": GAUGE_HEADS,
    **{f"lens.{name}": {
        "u": label_of_key(f"u_{name}"), "state": "Its dimensions were measured", "temperature_degC": "Its dimensions were measured at",
        "instrument": f"{part}: gauge that measured it",
    } for name, part in LENS_PARTS.items()},
}  # fmt: skip
_ROWS = {"reading": "reading", "instrument.prism": "row of the prism", "calibration.reference": "reference"}
_NOUNS = {  # of a table that is the subject of a sentence
    "reading": "the table of readings", "lens": "the lens", "hydration": "what is said of the water", "medium": "the measured medium",
    "calibration": "the calibration", "instrument": "the refractometer", "dispersion": "the dispersion", "temperature": "the step to 35 °C",
    "specimen": "the specimen", "instrument.prism": "the table of the prism", "lens.gauge": "the table of gauges",
    "calibration.reference": "the table of references",
    **{f"lens.{name}": f"the {label_of_key(name).lower()}" for name in LENS_PARTS},
}  # fmt: skip
_TABLE = re.compile(r"\[\[?(?P<table>[a-z]\w*(?:\.\w+)*)(?: (?P<i>\d+))?\]\]?(?: (?P<key>[A-Za-z]\w*)(?:\[(?P<entry>\d+)\])?)?")
_TWICE = re.compile(r"^(\[[^\]]*\] \w+(?:\[\d+\])?): \w+ = ")
_IN_THE_HEAD = re.compile(r", (nm|°C|1/K|apart by blanks)$")
_BARE = {  # keys without a sign that they are some
    "list n": "list", "readings n ": "readings ", "or n, the": "or the", "provenance is missing at the top of the sheet":
    "“Where the numbers come from” is empty", "say so with mounting":
    "open “Their u, and more columns”, tick “More columns” and say so in the column “mounting”",
}  # fmt: skip
_IS_SUBJECT = ("is", "must", "stands", "holds", "at")
_TICKED = re.compile(r"(where )?(“[^”]*”) = true")


def sheet_told(sentence: str) -> str:
    """The sentence as the page shows it: in the words of its form, and as plain text.

    >>> sheet_told("this sheet: [lens.front_radius_mm] value is missing")
    '“Front radius” is missing'
    >>> sheet_told("[dispersion] u_abbe_d is missing beside abbe_d: an Abbe number has an uncertainty")
    '“u of the Abbe number” is missing beside “Abbe number”: an Abbe number has an uncertainty'
    """
    sentence = _TWICE.sub(r"\1 = ", sentence.removeprefix("this sheet: "))
    first = _TABLE.search(sentence)
    table = of_schema(first["table"]) if first else ""
    words = _TABLE.sub(lambda found: _place(sentence, found), sentence).lstrip()
    for written, told in _BARE.items():
        words = words.replace(written, told)
    told = in_page_words(words, _vocabulary(table))
    return as_text(_TICKED.sub(lambda found: f"where {found[2]} is ticked" if found[1] else f"{found[2]} ticked", told))


def label_of_sheet(place: Sequence[str]) -> str:
    """What the value at a place of a sheet is called on the page.

    >>> label_of_sheet(("lens", "back_radius_mm", "u")), label_of_sheet(("temperature", "dn_dt_per_K"))
    ('u of the back radius', 'Change of index with temperature')
    """
    *table, key = place
    return _vocabulary(of_schema(".".join(table))).get(key, key)


def _place(sentence: str, found: re.Match[str]) -> str:
    """A table, with its key where one follows, in words."""
    table, i, key, entry = of_schema(found["table"]), found["i"], found["key"], found["entry"]
    if table not in SCHEMA:
        return found[0]  # brackets of somebody's own
    opens = found.start() == 0
    one = f"{_ROWS[table]} {i}" if i and table in _ROWS else ""
    if key and key in SCHEMA.get(table, {}):
        label = _vocabulary(table)[key] + (f", entry {entry}" if entry else "")
        with_value = opens and sentence[found.end() :].startswith(" = ")
        return f"{f'{one}: ' if one else ''}{label if with_value else f'“{label}”'}"
    rest = f" {key}" if key else ""
    if not opens or key in _IS_SUBJECT:
        return (one or _NOUNS.get(table, "the sheet")) + rest
    return f"{one}:{rest}" if one else rest.lstrip()


def of_schema(table: str) -> str:
    """The schema's name of a table: gauges have names of their own, and share one schema."""
    return "lens.gauge" if table.startswith("lens.gauge") else table


@cache
def _vocabulary(table: str) -> Mapping[str, str]:
    """What keys are called where a sentence is about this table; those of the other tables by what they are called there."""
    words: dict[str, str] = {"n_reading": "index", "reading_wavelength_nm": "line", "reading_temperature_degC": "temperature"}
    for name in (table, *sorted(SCHEMA, key=_HEADS.__contains__)):  # a field's label before the head of a column
        for key, kind in SCHEMA.get(name, {}).items():
            own = WORDS.get(f"{name}.{key}" if name else key, Words(""))
            label = _HEADS.get(name, {}).get(key) or own.label or (kind.quantity if isinstance(kind, Number | Numbers) else "")
            if label:
                words.setdefault(key, _as_it_stands(label, is_head=name in _HEADS))
    return words


def _as_it_stands(label: str, *, is_head: bool) -> str:
    if is_quantity(label):
        return label_of_key(label)
    label = _IN_THE_HEAD.sub("", label)
    return label if is_head or label.startswith("u of") else label[0].upper() + label[1:]
