"""Trials of very many candidates go row by row where the memory should hold no more."""

import sys

from lenscalc.decision import rank_trials


def test_a_row_that_is_longer_than_a_block_is_a_block(monkeypatch):
    module, taken = sys.modules["lenscalc.decision.rank_trials"], []
    whole = module.in_order
    monkeypatch.setattr(module, "_DRAWS", 2)
    monkeypatch.setattr(module, "in_order", lambda task, sizes, workers: whole(task, (taken.append(s) or s for s in sizes), workers))
    rank_trials([20.0, 20.1, 20.3], u=0.1, trials=5)
    assert taken == [1] * 5
