"""The limits of this room's quantities belong to them; just beyond, the sentence guesses a mistake only where undoing it gives a usual value."""

import re

import pytest

from lenscalc import InputError
from lenscalc.material import Dispersion
from lenscalc.material.limits import (
    DENSITY,
    DENSITY_WATER,
    FRACTION,
    INDEX,
    MASS,
    MOLAR_MASS,
    REFRACTION,
    WATER_DRY,
    parts_of_one,
    together,
)
from lenscalc.quantities import within


@pytest.mark.parametrize(
    ("quantity", "lower", "upper", "below", "above"),
    [
        (INDEX, 1.0, 3.0, 0.999, 3.001),
        (FRACTION, 0.0, 1.0, -1e-3, 1.001),
        (WATER_DRY, 0.0, 20.0, -1e-3, 20.01),
        (DENSITY, 500.0, 5000.0, 499.9, 5000.1),
        (DENSITY_WATER, 900.0, 1200.0, 899.9, 1200.1),
        (MASS, 1e-9, 1e6, 0.9e-9, 1e6 + 0.5),
        (REFRACTION, 1.0, 1000.0, 0.99, 1000.1),
        (MOLAR_MASS, 1.0, 1e5, 0.99, 100000.5),
    ],
)
def test_limits_belong_to_a_quantity(quantity, lower, upper, below, above):
    assert within(quantity, [lower, upper]).tolist() == [lower, upper]
    for value in (below, above):
        with pytest.raises(InputError, match=re.escape(f"must be {lower:g} to {upper:g}")) as refused:
            within(quantity, value)
        assert refused.value.limits == (lower, upper)


ONE, TWO = "is the decimal point one place off?", "is the decimal point two places off?"
PERCENT, GRAMS = "is it a percentage? write it as a fraction", "is it in g/cm³? write it in kg/m³"


@pytest.mark.parametrize(
    ("quantity", "hint", "first", "last", "beside"),
    [
        (INDEX, ONE, 13.01, 17.99, (12.99, 18.01)),
        (INDEX, TWO, 130.1, 179.9, (129.9, 180.1)),
        (FRACTION, PERCENT, 1.01, 100.0, (-1.0, 100.1)),
        (WATER_DRY, PERCENT, 20.1, 900.0, (-1.0, 901.0)),
        (DENSITY, GRAMS, 0.8, 2.5, (0.7995, 2.5005)),
        (DENSITY_WATER, GRAMS, 0.95, 1.1, (0.9495, 1.1005)),
    ],
)
def test_a_mistake_is_guessed_where_undoing_it_gives_a_usual_value(quantity, hint, first, last, beside):
    def told(value):
        with pytest.raises(InputError) as refused:
            within(quantity, value)
        return str(refused.value)

    assert told(first).endswith(f"; {hint}")
    assert told(last).endswith(f"; {hint}")
    assert all("; is" not in told(value) for value in beside)


@pytest.mark.parametrize(("left", "enough"), [(0.9e-9, True), (-0.9e-9, True), (1.1e-9, False), (-1.1e-9, False)])
def test_parts_are_one_to_a_thousand_millionth(left, enough):
    if enough:
        assert len(parts_of_one([0.4, 0.6 + left], "w")) == 2
    else:
        with pytest.raises(InputError, match=r"w sums to .*: must sum to 1$") as refused:
            parts_of_one([0.4, 0.6 + left], "w")
        assert (refused.value.limits, refused.value.row) == ((1.0, 1.0), None)


def test_of_rows_that_do_not_sum_to_one_the_first_is_named():
    with pytest.raises(InputError, match=r"^row 2: w sums to 0\.9: must sum to 1$") as refused:
        parts_of_one([[0.5, 0.4, 0.4], [0.5, 0.5, 0.4]], "w")
    assert (refused.value.value, refused.value.row) == (pytest.approx(0.9), 2)
    with pytest.raises(InputError, match=r"^row 1: w sums to 0\.8: must sum to 1$"):
        parts_of_one([[0.4, 0.5], [0.4, 0.5]], "w")


def test_columns_that_do_not_fit_are_told_by_their_shapes():
    with pytest.raises(InputError, match=r"^columns of different lengths cannot be combined: \(2,\), \(3,\)$"):
        together(1.0, [1.0, 2.0], [1.0, 2.0, 3.0])


@pytest.mark.parametrize(("u", "allowed"), [(1.0, True), (1.001, False)])
def test_the_uncertainty_of_a_reading_is_1_at_most(u, allowed):
    nm, n = [486.1, 587.6, 656.3], [1.4965, 1.4906, 1.4881]
    if allowed:
        assert Dispersion.fit(nm, n, u_n=u).u_n(587.6) > 0.5
    else:
        with pytest.raises(InputError, match=r"u_n = 1\.001: must be 0 to 1$"):
            Dispersion.fit(nm, n, u_n=u)
