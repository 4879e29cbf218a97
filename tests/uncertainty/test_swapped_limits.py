"""Limits that were written the wrong way round: every function says which, with both values."""

import numpy as np
import pytest

from lenscalc import decision, uncertainty
from lenscalc.errors import InputError

SWAPPED = {
    "conformance": lambda lower, upper: uncertainty.conformance_probability(20.5, 0.1, lower, upper),
    "nonconformance": lambda lower, upper: uncertainty.nonconformance_probability(20.5, 0.1, lower, upper),  # 2 before: both tails whole
    "acceptance": lambda lower, upper: uncertainty.acceptance_limits(lower, upper, 0.1),
    "acceptance at": lambda lower, upper: uncertainty.acceptance_limits_at(lower, upper, 0.1, probability=0.95),
    "risks": lambda lower, upper: uncertainty.global_risks(20.5, 0.1, 0.1, lower, upper, acceptance_lower=20.2, acceptance_upper=20.8),
    "capability": lambda lower, upper: uncertainty.measurement_capability(lower, upper, 0.1),
    "capability of a process": lambda lower, upper: uncertainty.process_capability(lower, upper, 20.5, 0.1),
    "lot": lambda lower, upper: decision.expected_yield(20.5, 0.1, 0.1, lower, upper),
}


@pytest.mark.parametrize("name", SWAPPED)
def test_swapped_limits_are_told_with_their_values(name):
    with pytest.raises(InputError, match=r"lower(_D)? = 20\.9, lies above the upper limit, upper(_D)? = 20\.1: write the smaller one as lower"):
        SWAPPED[name](20.9, 20.1)


def test_of_many_the_first_is_told():
    with pytest.raises(InputError, match=r"lower = 3, lies above the upper limit, upper = 2\.5:") as told:
        uncertainty.conformance_probability(0.0, 0.1, np.array([1.0, 3.0, 9.0]), np.array([2.0, 2.5, 1.0]))
    assert told.value.value == 3.0


def test_swapped_acceptance_limits_and_a_missing_limit_are_told_apart():
    with pytest.raises(InputError, match=r"acceptance_lower = 20\.8, lies above the upper limit, acceptance_upper = 20\.2"):
        uncertainty.global_risks(20.5, 0.1, 0.1, 20.1, 20.9, acceptance_lower=20.8, acceptance_upper=20.2)
    for lower, upper in ((np.nan, 20.9), (20.1, np.nan)):
        with pytest.raises(InputError, match=r"lower or upper is missing \(nan\): write inf where there is no limit"):
            uncertainty.global_risks(20.5, 0.1, 0.1, lower, upper, acceptance_lower=20.2, acceptance_upper=20.8)
        with pytest.raises(InputError, match=r"no acceptance zone \(its limits are nan\)"):
            uncertainty.global_risks(20.5, 0.1, 0.1, 20.1, 20.9, acceptance_lower=lower, acceptance_upper=upper)
