"""A column of a table in words, with its unit or within a sentence."""

from __future__ import annotations

import re

from lenscalc.quantities import is_quantity, quantity
from lenscalc.web.fields.number_field import label_of

_PART = "calibration_part_"


def column_title(name: str) -> str:
    """A column in words, with its unit.

    >>> column_title("power_D"), column_title("note_own")
    ('Power, D', 'note_own')
    """
    return label_of(quantity(name)) if is_quantity(name) else name


def column_words(name: str) -> str:
    """A column in words within a sentence.

    >>> column_words("power_D"), column_words("u_n_lens"), column_words("calibration_part_abbe_d")
    ('power', 'u of the index of the lens', "calibration's part of the Abbe number")
    """
    if name.startswith(_PART) and not is_quantity(name):
        return f"calibration's part of the {column_words(name.removeprefix(_PART))}"
    return quantity(name).label.replace("standard uncertainty of", "u of", 1) if is_quantity(name) else name


def told_in_words(sentence: str) -> str:
    """A sentence of the core with its columns in words, for who reads no names of columns.

    >>> told_in_words("abbe_d is taken as exact: the table has no u_abbe_d")
    'the Abbe number is taken as exact: the table has no u of the Abbe number'
    """
    return re.sub(r"\b\w+_\w+\b", lambda found: _with_article(found[0]), sentence)


def _with_article(name: str) -> str:
    words = column_words(name)
    return words if words == name or name.startswith("u_") else f"the {words}"


def with_unit(name: str, text: str) -> str:
    """A number of a column with its unit.

    >>> with_unit("power_D", "20.5"), with_unit("n_lens", "1.49")
    ('20.5 D', '1.49')
    """
    return f"{text} {quantity(name).unit}" if is_quantity(name) and quantity(name).unit else text
