"""The correction of a sugar reading by temperature, entry by entry: index and its slope are smooth, so the table is."""

import numpy as np
import pytest

from lenscalc.errors import InputError
from lenscalc.material import sucrose_index, sucrose_mass_fraction
from lenscalc.material.sucrose import _COLUMNS_AT, _ROWS_AT, _correction

READINGS = np.arange(0.0, 71.0, 5.0)
DEGC = np.arange(10.0, 31.0)


def corrections():
    reading, T = np.meshgrid(READINGS, DEGC)
    return reading, T, _correction(reading, T)


def test_the_table_has_every_degree_and_every_fifth_part():
    assert np.array_equal(_ROWS_AT, DEGC)
    assert np.array_equal(_COLUMNS_AT, READINGS)


def test_no_entry_is_astray():
    """A surface that is 0 at 20 °C, of second degree in what is left of the temperature and fourth in the reading, goes by every entry by 0.02."""
    reading, T, table = corrections()
    x, t = reading.ravel() / 70.0, (T.ravel() - 20.0) / 10.0
    terms = np.column_stack([t ** (i + 1) * x**j for i in range(3) for j in range(5)])
    left = table.ravel() - terms @ np.linalg.lstsq(terms, table.ravel(), rcond=None)[0]
    assert np.max(np.abs(left)) < 0.02


def test_a_warm_solution_reads_low_and_nothing_is_added_at_20():
    _, T, table = corrections()
    assert np.array_equal(np.sign(table), np.sign(T - 20.0))
    assert np.all(np.diff(table, axis=0) > 0)


def test_between_entries_it_is_their_mean_and_beyond_them_the_last():
    _, _, table = corrections()
    middle = _correction(*np.meshgrid(READINGS[:-1] + 2.5, DEGC[:-1] + 0.5))
    np.testing.assert_allclose(middle, (table[:-1, :-1] + table[1:, :-1] + table[:-1, 1:] + table[1:, 1:]) / 4.0, atol=1e-12)
    beyond = _correction(np.array([80.0, -0.5]), np.array([10.0, 10.0]))  # "70 and more" and 0 in the GOST text, table A.1
    assert beyond.tolist() == [-0.79, -0.50]


def test_the_scale_holds_to_its_end():
    assert sucrose_mass_fraction(sucrose_index(0.85)) == pytest.approx(0.85, abs=1e-12)
    assert sucrose_index(0.0, 20.0) == 1.33299


def test_of_several_cold_solutions_beyond_the_scale_the_first_is_named():
    """At 10 °C 0.79 would be added to a reading beyond 70 g/100 g, at 12 °C 0.63: 0.85 would read 85.79 and 85.63."""
    with pytest.raises(InputError, match="at 10 °C the solution would read beyond") as caught:
        sucrose_index([0.10, 0.85, 0.848], [20.0, 10.0, 12.0])
    assert caught.value.value == 0.85


def test_of_several_indices_outside_the_scale_the_first_is_named():
    with pytest.raises(InputError, match=r"n = 1\.505 at 21 °C lies outside") as caught:
        sucrose_mass_fraction([1.34, 1.505, 1.51], [20.0, 21.0, 25.0])
    assert caught.value.value == 1.505


@pytest.mark.parametrize("T", [9.5, 30.5])
def test_the_correction_is_known_from_10_to_30_degrees(T):
    for call in (sucrose_index, sucrose_mass_fraction):
        with pytest.raises(InputError, match="is known from 10 to 30 °C"):
            call(1.36 if call is sucrose_mass_fraction else 0.1, T)
