"""A whole number may be written as a float, and of no case there is no risk."""

import numpy as np
import pytest

from lenscalc import InputError
from lenscalc.uncertainty import Estimate, Input, Source, global_risks, interval_by_trials, run_trials, sobol_indices

ONE = {"a": Input(1.0, 0.1), "b": Input(2.0, 0.2)}


def test_trials_as_a_float():
    assert run_trials(lambda a, b: a + b, ONE, trials=1e4).u == run_trials(lambda a, b: a + b, ONE, trials=10_000).u
    assert sobol_indices(lambda a, b: a + b, ONE, trials=32e3).first == sobol_indices(lambda a, b: a + b, ONE, trials=32_000).first
    e = Estimate(1.0, {Source("one"): 0.1})
    assert interval_by_trials(e, trials=1e4) == interval_by_trials(e, trials=10_000)


@pytest.mark.parametrize("trials", [np.nan, 10])
def test_no_number_of_trials(trials):
    for call in (lambda: run_trials(lambda a, b: a + b, ONE, trials=trials), lambda: sobol_indices(lambda a, b: a + b, ONE, trials=trials),
                 lambda: interval_by_trials(Estimate(1.0, {Source("one"): 0.1}), trials=trials)):  # fmt: skip
        with pytest.raises(InputError, match=f"trials = {trials}"):
            call()


def test_no_case_has_no_risk():
    found = global_risks([], 1.0, 0.5, -1.0, 1.0, acceptance_lower=-1.0, acceptance_upper=1.0)
    assert [x.shape for x in found] == [(0,)] * 5


def test_a_process_spread_over_everything_is_refused():
    with pytest.raises(InputError, match="process_sd must be finite"):
        global_risks(0.0, np.inf, 0.5, -1.0, 1.0, acceptance_lower=-1.0, acceptance_upper=1.0)
