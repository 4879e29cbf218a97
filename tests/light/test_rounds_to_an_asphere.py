"""Newton's method doubles its digits: a ray near the axis meets an asphere within a handful of rounds, and the iteration ends with them."""

import sys

import numpy as np

from lenscalc.light import Surface, System, trace


def test_rays_meet_an_ordinary_asphere_in_a_handful_of_rounds(monkeypatch):
    module, rounds = sys.modules["lenscalc.light.ray_columns"], []
    whole = module._sag_and_slope
    monkeypatch.setattr(module, "_sag_and_slope", lambda *given: (rounds.append(1), whole(*given))[1])
    trace(System([Surface(15.0, 0.0, {4: -2e-4})], [1.336, 1.49]), x_mm=np.linspace(0.0, 3.0, 50), vergence_D=10.0)
    assert 2 < len(rounds) <= 7  # one of them for the place where they ended
