"""Readings without any error, a resonance just beyond the red, an index of exactly 1: what must come back is what was put in."""

from dataclasses import replace

import numpy as np
import pytest

from lenscalc.errors import InputError
from lenscalc.material import Dispersion
from lenscalc.material.dispersion_fit import Form, _inverse, form_of, least_squares
from lenscalc.material.dispersion_found import _check_fall


def test_a_resonance_a_little_beyond_the_red_comes_back():
    """At 0.72 µm, c = 0.5184 µm², of readings up to 0.7 µm: beyond them, though below 0.7 as a number."""
    nm = np.array([400.0, 440.0, 480.0, 520.0, 560.0, 600.0, 650.0, 700.0])
    L2 = (nm / 1000.0) ** 2
    n = np.sqrt(1.0 + 1.2 * L2 / (L2 - 0.01) + 0.0005 * L2 / (L2 - 0.5184))
    found = Dispersion.fit(nm, n, form="sellmeier", terms=2, u_n=1e-5)
    assert found.parameters == pytest.approx([1.2, 0.01, 0.0005, 0.5184], rel=1e-6, abs=0.0)


def test_readings_that_are_exact_may_be_stated_either_way():
    """A covariance of zeros is u_n = 0: two readings and two parameters, both as exact as the readings."""
    of_zeros = Dispersion.fit([486.1, 656.3], [1.4978, 1.4892], covariance=np.zeros((2, 2)))
    assert of_zeros.covariance.tolist() == [[0.0, 0.0], [0.0, 0.0]]
    assert of_zeros.covariance.tolist() == Dispersion.fit([486.1, 656.3], [1.4978, 1.4892], u_n=0.0).covariance.tolist()


def test_an_index_of_1_is_one_still():
    """A + B/L² with 3/4 and 1/4 at 1 µm: the limits of an index, 1 to 3, belong to it."""
    fit = Dispersion.fit([486.1, 656.3], [1.4978, 1.4892], u_n=1e-4)
    assert replace(fit, parameters=np.array([0.75, 0.25])).n(1000.0) == 1.0
    with pytest.raises(InputError, match="the form gives no index there"):
        replace(fit, parameters=np.array([0.75, 0.25])).n(1000.1)


@pytest.mark.parametrize(("b", "c", "nm", "beyond"), [(0.01, 0.0625, 250.0, 249.0), (-1e-4, 1.0, 1000.0, 1001.0)])
def test_nothing_is_said_at_a_resonance_itself(b, c, nm, beyond):
    """n² = 1 + b·L²/(L² − c), c of 0.25 and 1 µm squared: on this side of them it is a number."""
    fit = replace(Dispersion.fit([400.0, 500.0, 700.0], [1.51, 1.5, 1.49], form="sellmeier"), parameters=np.array([b, c]))
    for refused in (nm, beyond):
        with pytest.raises(InputError, match=f"^wavelength_nm = {refused:g} nm: the fit has a resonance at {nm:g} nm"):
            fit.n(refused)
    L2 = ((2.0 * nm - beyond) / 1000.0) ** 2
    assert fit.n(2.0 * nm - beyond) == pytest.approx((1.0 + b * L2 / (L2 - c)) ** 0.5, rel=1e-12, abs=0.0)


def test_a_strength_is_no_resonance():
    """b = 0.19, whose root is 0.436: at 420 nm n² = 1 + Σ b·L²/(L² − c)."""
    b, c, L2 = (0.99, 0.19), (0.008, 0.022), 0.42 * 0.42
    nm = np.array([450.0, 500.0, 550.0, 600.0, 650.0, 700.0])
    fit = Dispersion.fit(nm, [1.506, 1.5, 1.496, 1.493, 1.49, 1.488], form="sellmeier")
    fit = replace(fit, terms=2, parameters=np.array([b[0], c[0], b[1], c[1]]))
    assert fit.n(420.0) == pytest.approx((1.0 + sum(x * L2 / (L2 - y) for x, y in zip(b, c, strict=True))) ** 0.5, rel=1e-14, abs=0.0)


def test_a_parameter_that_moves_no_reading_is_not_determined():
    with pytest.raises(InputError, match="the readings do not determine the 2 parameters"):
        _inverse(form_of("cauchy", 2), np.array([[1.0, 0.0], [1.0, 0.0], [1.0, 0.0]]))


def test_a_form_that_stays_level_does_not_rise():
    level = np.array([1.5, 0.0])
    _check_fall(form_of("cauchy", 2), level, np.array([0.48, 0.66]))
    with pytest.raises(InputError, match="rises with the wavelength near 481 nm"):
        _check_fall(form_of("cauchy", 2), np.array([1.5, -1e-12]), np.array([0.48, 0.66]))


def test_a_series_for_the_square_of_the_index_is_found_at_once(monkeypatch):
    """n² = 2.2 + 0.01/L² without any error is linear in its parameters: the first step on n itself finds nothing to do, a second does not come."""
    nm = np.array([450.0, 500.0, 550.0, 600.0, 650.0])
    steps, whole = [], Form.jacobian
    monkeypatch.setattr(Form, "jacobian", lambda form, *given: (steps.append(1), whole(form, *given))[1])
    p, _ = least_squares(form_of("schott", 2), nm / 1000.0, np.sqrt(2.2 + 0.01 / (nm / 1000.0) ** 2), np.eye(5))
    assert p == pytest.approx([2.2, 0.01], rel=1e-12, abs=0.0)
    assert len(steps) <= 3  # one of them for how readings move parameters
