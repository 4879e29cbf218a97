"""Ways to a curvature and to a conic constant: wanted values on paper, ends of what can be reached, first steps."""

from importlib import import_module

import numpy as np
import pytest


@pytest.mark.parametrize(("a", "b"), [(1.0, -1.0), (0.0, 1.0), (2.0, 0.5)])
def test_the_power_lies_where_the_line_has_it(a, b):
    """Both curvatures begin off 0; in the lens of what is found Gullstrand's F1 + F2 − (t/n)·F1·F2 is the power again."""
    n, m1, m2, t = 1.49, 1.336, 1.0, 5.0
    x = import_module("lenscalc.lens.curvature_line").curvature_for(20.0, 0.05, a, -0.03, b, t, n, m1, m2)
    F1, F2 = 1000.0 * (n - m1) * (0.05 + a * x), 1000.0 * (m2 - n) * (-0.03 + b * x)
    assert F1 + F2 - t / (1000.0 * n) * F1 * F2 == pytest.approx(20.0, rel=1e-12, abs=0.0)


@pytest.mark.parametrize("at", [0, 10, -1])
@pytest.mark.parametrize("held", [{}, {"front_radius_mm": np.array([10.0])}])
def test_the_search_finds_a_power_that_a_sampled_curvature_has(held, at):
    """Also at both ends of what can be reached, whether the power rises or falls along the line.

    A centre within 1e-6 mm of nothing is nothing there, which moves F by F1·F2·1e-6/1490: at −9 D with F1 = 15.4, F2 = −24.5 D by 2.5e-7.
    """
    module, one = import_module("lenscalc.lens.curvature_line"), np.ones(1)
    case = module.RecutCase(
        n=1.49 * one, m1=1.336 * one, m2=1.336 * one, t=np.nan * one, h=3.0 * one, edge=0.3 * one, q1=0 * one, q2=0 * one, rise=0 * one
    )
    line = module.line_of(held, (1,))
    with np.errstate(divide="ignore", invalid="ignore"):
        x, power = module.stretch(0, line, case)
        x, power = x[np.isfinite(power)], power[np.isfinite(power)]
        found = module._searched(0, power[at : at + 1 or None], line, case)
        assert module._power_and_slope(np.array([found]), line, case)[0] == pytest.approx(power[at], abs=2.5e-7)


def test_a_centre_that_is_nothing_everywhere_ends_nowhere():
    module, one = import_module("lenscalc.lens.curvature_line"), np.ones(1)
    case = module.RecutCase(
        n=1.49 * one, m1=1.336 * one, m2=1.336 * one, t=0 * one, h=3.0 * one, edge=np.nan * one, q1=0 * one, q2=0 * one, rise=0 * one
    )
    with np.errstate(divide="ignore", invalid="ignore"):
        x, power = module.stretch(0, module.line_of({}, (1,)), case)
    assert x.size == power.size == module.SEARCHED
    assert np.all(np.isfinite(power))


def test_the_first_step_to_a_conic_is_newtons_and_the_second_a_chords():
    """3·(k − 2) has its root a step of the slope 3 away. From 1, 3·k by a slope of 3.3 leaves 1/11, and the chord of a line ends at 0."""
    module, tried = import_module("lenscalc.lens.shape"), []

    def missed(k, root=2.0):
        tried.append(float(k[0]))
        return 3.0 * (k - root)

    assert module._secant(missed, np.array([0.0]), np.array([3.0]), "front").tolist() == [2.0]
    assert tried == [0.0, 2.0, 2.0]
    tried.clear()
    found = module._secant(lambda k: missed(k, 0.0), np.array([1.0]), np.array([3.0 * (1.0 + 1e-10)]), "front")
    assert found == pytest.approx(0.0, abs=1e-15)
    assert tried == pytest.approx([1.0, 1e-10, 0.0], abs=1e-15)  # a step of 1e-10 is the last


@pytest.mark.parametrize("k", [0.0, -1.0, -3.0, -20.0])
def test_the_place_where_a_centre_vanishes_is_looked_at(k):
    """Equi-concave with an edge of 0.3 mm at 3 mm: nothing is left where each surface is 0.15 mm deep, c = 2s/(h² + (1 + k)s²)."""
    module, one = import_module("lenscalc.lens.curvature_line"), np.ones(1)
    case = module.RecutCase(
        n=1.49 * one, m1=1.336 * one, m2=1.336 * one, t=np.nan * one, h=3.0 * one, edge=0.3 * one, q1=k * one, q2=k * one, rise=0 * one
    )
    with np.errstate(divide="ignore", invalid="ignore"):
        x, power = module.stretch(0, module.line_of({}, (1,)), case)
    c = -0.3 / (9.0 + (1.0 + k) * 0.15**2)
    nearest = np.argmin(np.abs(x - c))
    assert x[nearest] == pytest.approx(c, rel=1e-4, abs=0.0)
    assert power[nearest] == pytest.approx(2.0 * 154.0 * c, rel=1e-4, abs=0.0)  # without thickness both powers add
    assert np.isnan(power[nearest - 1])
    assert np.all(np.diff(x) > 0.0)
