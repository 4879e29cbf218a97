"""Newton's method doubles its digits: from three right ones 53 bits are there within five rounds, and one more sees that nothing moves."""

import sys

import pytest

from lenscalc.lens import recut


@pytest.mark.parametrize(("power_D", "n_lens"), [(10.0, 1.46), (20.0, 1.49), (30.0, 1.55)])
def test_an_ordinary_lens_with_a_wanted_edge_takes_few_rounds(monkeypatch, power_D, n_lens):
    module, rounds = sys.modules["lenscalc.lens.curvature_line"], []
    whole = module._power_and_slope
    monkeypatch.setattr(module, "_power_and_slope", lambda *given: (rounds.append(1), whole(*given))[1])
    recut(power_D, n_lens, wanted_edge_thickness_mm=0.3, optic_diameter_mm=6.0)
    assert 2 < len(rounds) <= 8  # one of them to see what was missed
