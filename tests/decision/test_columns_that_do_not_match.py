"""A ranking of columns that are missing, infinite or of other lengths is refused by a sentence, and the last bit decides nothing."""

import numpy as np
import pytest

from lenscalc import InputError
from lenscalc.decision import (
    Criterion,
    instrument_adequacy,
    mountings_worth,
    rank_candidates,
    rank_trials,
    remeasured,
    replicates_worth,
    toric_conformity,
)

nan, inf = np.nan, np.inf
HIGH, NEAR = Criterion("a", "high"), Criterion("a", "near", "t")


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"u": [nan, 1.0]}, "an uncertainty is missing or infinite"),  # the first had the last rank for certain
        ({"u": [inf, 1.0]}, "an uncertainty is missing or infinite"),
        ({"u": 1.0, "calibration_part": [nan, 0.0]}, "an uncertainty is missing or infinite"),
        ({"u": 1.0, "weights": nan}, "a weight is missing or infinite"),
        ({"u": 1.0, "weights": [1.0, 2.0]}, "weights: 2 for 1 criterion"),
        ({"u": 1.0, "directions": ["low", "high"]}, "directions: 2 for 1 criterion"),
        ({"u": 1.0, "directions": []}, "directions: 0 for 1 criterion"),
        ({"u": 1.0, "directions": "near", "targets": []}, "targets: 0 for 1 criterion"),
        ({"u": 1.0, "directions": "near", "targets": [[1.0, 2.0, 3.0]]}, "does not go with 2 candidates"),
        ({"u": 1.0, "trials": nan}, "trials = nan: must be a whole number"),
        ({"u": 1.0, "seed": nan}, "seed = nan: must be a whole number"),
    ],
)
def test_ranks_by_trials_of_what_does_not_match(given, told):
    with pytest.raises(InputError, match=told):
        rank_trials([1.0, 2.0], **given)


def test_a_whole_number_of_trials_may_be_written_as_a_float():
    as_float, as_int = (rank_trials([1.0, 2.0], u=1.0, trials=n, seed=s) for n, s in ((1e4, 2.0), (10_000, 2)))
    assert as_float.probability.tolist() == as_int.probability.tolist()


@pytest.mark.parametrize("weight", [-1.0, 0.0, nan, inf])
def test_a_weight_is_above_0(weight):
    """Of −1 the worst came first where it stood beside another criterion, of nan nothing was ordered."""
    with pytest.raises(InputError, match=r"weight of a = .*: must be above 0"):
        rank_candidates({"a": [1.0, 2.0], "b": [1.0, 2.0]}, [HIGH._replace(weight=weight), Criterion("b", "high")])


@pytest.mark.parametrize(
    ("values", "criterion", "more", "told"),
    [
        ({"a": [1.0, 2.0, 3.0], "t": [1.0, 2.0]}, NEAR, {}, "columns of different lengths cannot be ranked: 2, 3"),
        ({"a": [1.0, 2.0, 3.0], "t": []}, NEAR, {}, "columns of different lengths cannot be ranked: 0, 3"),  # it ended in a ValueError
        ({"a": [1.0, 2.0, 3.0]}, HIGH, {"u": {"a": [1.0] * 4}}, "an uncertainty of a for 4 candidates, and there are 3"),
        ({"a": [1.0, 2.0, 3.0]}, HIGH, {"u": {"a": [1.0, 2.0]}}, "an uncertainty of a for 2 candidates, and there are 3"),
        ({"a": [1.0, 2.0, 3.0]}, HIGH, {"u": {"a": 1.0}, "calibration_part": {"a": [0.1]}}, "an uncertainty of a for 1 candidate, and there are 3"),
        ({"a": [1.0, 2.0, 3.0]}, HIGH, {"u": {"a": 1.0}, "among": -1}, "among = -1: must be a whole number, 1 or more"),
        ({"a": [1.0, 2.0, 3.0]}, HIGH, {"u": {"a": 1.0}, "among": 0}, "among = 0"),
    ],
)
def test_columns_of_other_lengths(values, criterion, more, told):
    with pytest.raises(InputError, match=told):
        rank_candidates(values, [criterion], **more)


def test_one_target_for_all_may_stand_in_a_column_of_one():
    assert rank_candidates({"a": [1.0, 3.0, 2.0], "t": [2.0]}, [NEAR]).order.tolist()[0] == 2


def test_measuring_again_takes_no_u_below_0():
    with pytest.raises(InputError, match="u_n_lens_then must be 0 or more"):
        remeasured(20.5, 0.2, 0.05, 20.1, 20.9, d_power_d_n_lens=100.0, u_n_lens=0.0015, u_n_lens_then=-0.0015)
    two = remeasured(20.5, 0.2, 0.05, 20.1, 20.9, d_power_d_n_lens=100.0, u_n_lens=[0.0015, 0.001], u_n_lens_then=[0.0015, 0.001])
    assert two.saved_per_1000 == pytest.approx([0.0, 0.0], abs=1e-9)


@pytest.mark.parametrize(("s", "rest"), [(1e200, 1e-3), (1e-3, 1e-200), (inf, 1.0), (1.0, 5e-324)])
def test_readings_that_scatter_beyond_all_reason_are_told(s, rest):
    with pytest.raises(InputError, match="replicates would be needed"):
        replicates_worth(s, rest)


@pytest.mark.parametrize("s", [nan, -1.0])
def test_a_spread_that_cannot_be_is_not_enough_at_two(s):
    with pytest.raises(InputError, match="a standard deviation must be 0 or more"):
        mountings_worth(s, 1.0)


@pytest.mark.parametrize(("sphere", "cylinder", "axis"), [(20.3, 3.0, 10.0), (20.0, 3.3, 10.0), (20.0, 2.7, 9.7), (19.7, 3.0, 10.3)])
def test_a_toric_lens_on_its_tolerance_keeps_it(sphere, cylinder, axis):
    """20.3 − 20.0 is 0.3000000000000007 in doubles. The mean power moves by half the cylinder's difference."""
    found = toric_conformity(
        sphere - (cylinder - 3.0) / 2.0, cylinder_D=cylinder, axis_deg=axis, labelled_sphere_D=20.0, labelled_cylinder_D=3.0, labelled_axis_deg=10.0,
        tolerance_mean_power_D=0.3, tolerance_cylinder_D=0.3, tolerance_axis_deg=0.3,
    )  # fmt: skip
    assert found.within_tolerance
    beyond = toric_conformity(
        20.0, cylinder_D=3.3000001, axis_deg=10.0, labelled_sphere_D=20.0, labelled_cylinder_D=3.0, labelled_axis_deg=10.0,
        tolerance_mean_power_D=0.3, tolerance_cylinder_D=0.3, tolerance_axis_deg=0.3,
    )  # fmt: skip
    assert not beyond.within_tolerance


@pytest.mark.parametrize("k", [0.0, -2.0, nan])
def test_the_instrument_is_asked_with_a_coverage_factor_above_0(k):
    with pytest.raises(InputError, match="a coverage factor must be above 0"):
        instrument_adequacy(132.5, tolerance_D=0.4, resolution=1e-4, k=k)
