"""Every quantity once: name, symbol, unit, label, limits, decimals, meaning, scope."""

from lenscalc.quantities.check import (
    FloatArray,
    as_given,
    as_number,
    checked,
    complaint,
    given_back,
    how_to_write,
    impossible,
    in_numbers,
    in_row,
    is_numeric,
    not_a_number,
    number_in_text,
    numbers,
    plain,
    readings_of,
    remark,
    single_numbers,
    unusual,
    within,
)
from lenscalc.quantities.counted import counted
from lenscalc.quantities.missing import is_missing, text_of
from lenscalc.quantities.quantity import Quantity, Scope
from lenscalc.quantities.registry import DESIGN, IMAGE_INPUTS, INPUTS, QUESTIONS, RESULTS, is_quantity, quantity
from lenscalc.quantities.whole_number import whole_number

__all__ = [
    "DESIGN", "IMAGE_INPUTS", "INPUTS", "QUESTIONS", "RESULTS", "FloatArray", "Quantity", "Scope", "as_given", "as_number", "checked", "complaint",
    "counted", "given_back", "how_to_write", "impossible", "in_numbers", "in_row", "is_missing", "is_numeric", "is_quantity", "not_a_number",
    "number_in_text", "numbers", "plain", "quantity", "readings_of", "remark", "single_numbers", "text_of", "unusual", "whole_number", "within",
]  # fmt: skip
