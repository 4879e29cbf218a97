"""Quadrature over panels: what Gauss–Legendre of 16 nodes takes exactly, where panels begin, and that a case does not know of the others."""

from itertools import pairwise

import numpy as np
import pytest
from numpy.polynomial.legendre import legval

from lenscalc.uncertainty.panels import about, over_panels


def test_a_polynomial_of_degree_31_is_exact_and_the_next_is_not():
    """∫ xⁿ over −1 … 1 is 2/(n + 1) for even n. Of the squared Legendre polynomial of degree 16, whose integral is 2/33, the nodes see nothing."""
    points = np.array([[-1.0], [1.0]])
    assert over_panels(lambda x: x**30, points)[0] == pytest.approx(2 / 31, rel=1e-13, abs=0.0)
    assert over_panels(lambda x: legval(x, [0.0] * 16 + [1.0]) ** 2, points)[0] == pytest.approx(0.0, abs=1e-25)
    assert over_panels(lambda x: legval(x, [0.0] * 15 + [1.0]) ** 2, points)[0] == pytest.approx(2 / 31, rel=1e-13, abs=0.0)


def test_points_about_a_place_rise_on_both_sides_until_the_law_has_vanished():
    place, *around = about(3.0, 0.5)
    below, above = around[::2], around[1::2]
    assert place == 3.0
    assert [3.0 - x for x in below] == [x - 3.0 for x in above]
    assert all(a < b for a, b in pairwise([place, *above]))
    assert np.exp(-(((above[-1] - place) / 0.5) ** 2) / 2) < 1e-300


def test_a_normal_law_between_its_points_by_erf():
    """Φ(1) − Φ(−∞) where a limit cuts the law: a jump at a point of its own costs no digits."""
    points = np.array([[p] for p in [*about(0.0, 1.0), 1.0]])
    inside = over_panels(lambda x: np.exp(-x * x / 2) / np.sqrt(2 * np.pi) * (x < 1.0), points)
    assert inside[0] == pytest.approx(0.8413447460685429, abs=1e-15)


@pytest.mark.parametrize("many", [2, 3, 3000, 20_000])
def test_a_case_has_the_same_bits_alone_and_among_others(many):
    """20,000 cases are more than the abscissae that are taken at once; of 3000 five rows are."""
    points = np.random.default_rng(1).normal(size=(5, many))
    alone = [over_panels(np.cos, points[:, i : i + 1])[0] for i in (0, many - 1)]
    among = over_panels(np.cos, points)
    assert [among[0], among[-1]] == alone
    assert among[0] == pytest.approx(np.sin(points[:, 0].max()) - np.sin(points[:, 0].min()), abs=1e-15)


def test_several_tables_and_no_case_at_all():
    two = over_panels(lambda x: np.array([x, x * x]), np.array([[0.0, 0.0], [1.0, 2.0]]))
    assert two == pytest.approx(np.array([[1 / 2, 2.0], [1 / 3, 8 / 3]]))
    assert over_panels(np.cos, np.zeros((3, 0))).shape == (0,)
    assert over_panels(np.cos, np.ones((3, 2))).tolist() == [0.0, 0.0]


@pytest.mark.parametrize(("panels", "cases", "rows"), [(400, 3, [5461, 939]), (1200, 1, [16384, 2816]), (2, 20_000, [1] * 32), (3, 0, [])])
def test_tables_are_no_larger_than_memory_should_hold(panels, cases, rows):
    """2¹⁴ abscissae at once, or one row where there are more cases: of 400 panels with 16 nodes and three cases 5461 rows, then the rest."""
    seen = []

    def counted(x):
        seen.append(len(x))
        return x

    points = np.linspace(0.0, 1.0, panels + 1)[:, None] * np.ones(cases)
    assert over_panels(counted, points) == pytest.approx(np.full(cases, 0.5), abs=1e-13)
    assert seen == rows
