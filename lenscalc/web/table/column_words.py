"""A column of a table in words, with its unit or within a sentence."""

from __future__ import annotations

from lenscalc.batch.legend import legend
from lenscalc.chain.table import INPUT_COLUMNS
from lenscalc.quantities import is_quantity, quantity
from lenscalc.web.fields.number_field import label_of
from lenscalc.web.fields.page_words import in_page_words, label_of_key


def column_title(name: str) -> str:
    """A column in words, with its unit.

    >>> column_title("power_D"), column_title("index_basis"), column_title("note_own")
    ('Power, D', 'Basis of the index', 'note_own')
    """
    return label_of(quantity(name)) if is_quantity(name) else label_of_key(name) or name


def column_words(name: str) -> str:
    """A column in words within a sentence.

    >>> column_words("power_D"), column_words("u_n_lens"), column_words("calibration_part_abbe_d")
    ('power', 'u of the index of the lens', "calibration's part of the Abbe number")
    """
    return legend([name])[0].in_words.replace("standard uncertainty of", "u of", 1)


def with_unit(name: str, text: str) -> str:
    """A number of a column with its unit.

    >>> with_unit("power_D", "20.5"), with_unit("n_lens", "1.49")
    ('20.5 D', '1.49')
    """
    return f"{text} {quantity(name).unit}" if is_quantity(name) and quantity(name).unit else text


def in_a_file(name: str) -> str:
    """What the head of a column is in a file: said once, at the end of its help."""
    return f"in a file: {name}"


def told_of_file(sentence: str) -> str:
    """What the core says of a whole file: its columns as they may be headed in it, anything else as of a field.

    >>> told_of_file("missing columns back_radius_mm, n_lens"), told_of_file("wavelength_nm = 0 nm: must be 300 or more")
    ('missing columns “Back radius, mm”, “Index of the lens”', 'Wavelength = 0 nm: must be 300 or more')
    """
    return in_page_words(sentence, {n: column_title(n) for n in INPUT_COLUMNS} if "column" in sentence else {})
