"""A sentence of the core for who reads a page: the keys of files and commands give way to the labels that stand on it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType

from lenscalc.batch.legend import legend
from lenscalc.quantities import Quantity, is_quantity, quantity

_KEY = re.compile(r"(?<!['\w])[A-Za-z]\w*_\w+\b|^\w+(?= = )")  # not what somebody wrote, which is in quotation marks
_BESIDE_ITS_WORDS = re.compile(r" \(([A-Za-z]\w*_\w+)\)")
_PLANO = (", or inf (plano)", "a flat surface is plano (inf), never 0"), ("", "a flat surface is plano, never 0")


def in_page_words(sentence: str, labels: Mapping[str, str] = MappingProxyType({})) -> str:
    """The sentence with every key as its label; what is neither on the page nor in the registry nor a column of a table stays as it is.

    Parameters
    ----------
    sentence : str
    labels : mapping of keys to labels without a unit
        of the fields that stand on the page; other quantities take the label that their field would have.

    >>> in_page_words("front_radius_mm = 0.1 mm: must be 0.5 to 1e+07 mm in magnitude, or inf (plano)")
    'Front radius = 0.1 mm: must be 0.5 to 1e+07 mm in magnitude'
    >>> in_page_words("dn_dt_per_K is missing: give the wet polymer's with its u", {"dn_dt_per_K": "dn/dT of it"})
    "“dn/dT of it” is missing: give the wet polymer's with its u"
    >>> in_page_words("give a pooled u of one reading (u_repeatability)", {"u_repeatability": "pooled u of one reading"})
    'give a pooled u of one reading'
    >>> in_page_words("index_state = 'wet': must be dry or hydrated; u_abbe_d = -1: must be 0 or more")
    "State of the index = 'wet': must be dry or hydrated; u of the Abbe number = -1: must be 0 or more"
    """
    for written, told in zip(*_PLANO, strict=True):
        sentence = sentence.replace(written, told)
    bare = _BESIDE_ITS_WORDS.sub(lambda found: "" if _label(found[1], labels) else found[0], sentence)
    return _KEY.sub(lambda found: _told(bare, found, labels), bare)


def label_without_unit(q: Quantity, label: str | None = None) -> str:
    """What a field of this quantity is called.

    >>> label_without_unit(quantity("front_radius_mm")), label_without_unit(quantity("u_front_radius_mm"))
    ('Front radius', 'u of the front radius')
    """
    text = label or q.label.replace("standard uncertainty of", "u of", 1)
    return text if text.startswith("u of") else text[0].upper() + text[1:]


def label_of_key(key: str) -> str:
    """What a field of the quantity, or a column of a table, of this name is called; nothing where neither has it.

    >>> label_of_key("u_abbe_d"), label_of_key("index_state"), label_of_key("batch_no")
    ('u of the Abbe number', 'State of the index', '')
    """
    if is_quantity(key):
        return label_without_unit(quantity(key))
    words = legend([key])[0].in_words
    return "" if words == key else f"{words[0].upper()}{words[1:]}"


def _label(key: str, labels: Mapping[str, str]) -> str:
    return labels.get(key) or label_of_key(key)


def _told(sentence: str, found: re.Match[str], labels: Mapping[str, str]) -> str:
    """A label is in quotation marks, but for one that opens a sentence with its value."""
    label = _label(found[0], labels)
    opens = found.start() == 0 or sentence[: found.start()].endswith((": ", "; "))
    bare = opens and sentence[found.end() :].startswith(" = ") and not label.endswith("?")
    return found[0] if not label else label if bare else f"“{label}”"
