"""What was calibrated with two references gives these two references back, however far the scale is out."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lenscalc.refractometer import Reference, calibrate
from lenscalc.uncertainty import Estimate, Source

BOTH = "offset and slope"


def references(shown, true, u=1e-5):
    names = ("water", "oil")
    return [
        Reference(name, Estimate(s, {Source(f"{name} as read"): u}), Estimate(t, {Source(f"{name} as certified"): u}))
        for name, s, t in zip(names, shown, true, strict=True)
    ]


@given(st.floats(-2e-3, 2e-3), st.floats(-2e-3, 2e-3))
def test_a_reference_reads_as_it_truly_is(at_water, at_oil):
    """A straight line through two points goes through them: 1.1e-5 off before where water shows 0.001 too much and the oil 0.0005 too little."""
    true = (1.33299, 1.46945)
    shown = (true[0] + at_water, true[1] + at_oil)
    c = calibrate(references(shown, true), model=BOTH)
    for s, t in zip(shown, true, strict=True):
        assert float(c.corrected(Estimate(s, {})).value) == pytest.approx(t, abs=1e-14)
    middle = sum(shown) / 2.0
    assert float(c.corrected(Estimate(middle, {})).value) == pytest.approx(sum(true) / 2.0, abs=1e-14)  # halfway is halfway


def test_the_scale_of_an_instrument_is_turned_back():
    """A scale that shows n + 4e-4 − 0.012·(n − 1.4): by hand, of 1.49 it shows 1.49 + 4e-4 − 0.00108 = 1.48932."""

    def scale(n):
        return n + 4e-4 - 0.012 * (n - 1.4)

    c = calibrate(references((scale(1.333), scale(1.47)), (1.333, 1.47)), model=BOTH)
    assert scale(1.49) == pytest.approx(1.48932, abs=1e-12)
    assert float(c.corrected(Estimate(1.48932, {})).value) == pytest.approx(1.49, abs=1e-14)


@pytest.mark.parametrize("which", [0, 1, 2, 3])
def test_an_error_of_a_reference_moves_the_reading_by_its_part(which):
    """Every input moved by 1e-6 and all computed anew, against the signed part of its source; what stays is of second order."""
    shown, true = [1.3340, 1.46895], [1.33299, 1.46945]

    def at(step):
        moved = [np.array(shown), np.array(true)]
        moved[which // 2][which % 2] += step
        return calibrate(references(*moved), model=BOTH).corrected(Estimate(1.5, {}))

    source = Source(f"{('water', 'oil')[which % 2]} {('as read', 'as certified')[which // 2]}")
    by_hand = (float(at(1e-6).value) - float(at(-1e-6).value)) / 2e-6
    assert float(at(0.0).parts[source]) / 1e-5 == pytest.approx(by_hand, rel=0.02, abs=0.0)
