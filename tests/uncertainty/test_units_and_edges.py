"""Answers that must not depend on the unit, and what happens right at an edge."""

import numpy as np
import pytest
from scipy.stats import gamma, norm

from lenscalc import InputError
from lenscalc.uncertainty import (
    Input,
    acceptance_limits,
    acceptance_limits_at,
    fit_line,
    process_capability,
    propagate,
    run_trials,
    sobol_indices,
)
from lenscalc.uncertainty.histogram import BINS, Histogram
from lenscalc.uncertainty.kept_trials import KeptBlocks
from lenscalc.uncertainty.risk import global_risks, guard_band_at_global_risk
from lenscalc.uncertainty.rounding import distance, percent, probability_text


@pytest.mark.parametrize("process", ["normal", "gamma"])
@pytest.mark.parametrize("upper", [2.0, np.inf])
def test_a_guard_band_has_the_unit_of_its_limits(process, upper):
    """The same inspection in millimetres, and in units that are 10⁹ times as large and 1000 times as small."""
    case = np.array([1.0, 0.5, 0.25, 0.5, upper])
    in_mm, in_large, in_small = (guard_band_at_global_risk(*(case * s), consumers_risk=0.005, process=process) / s for s in (1.0, 1e-9, 1e3))
    assert in_mm > 0.05
    assert in_large == pytest.approx(in_mm, rel=1e-8, abs=0.0)
    assert in_small == pytest.approx(in_mm, rel=1e-8, abs=0.0)


def test_limits_that_meet_have_no_capability():
    with pytest.raises(InputError, match="two finite limits"):
        process_capability(10.0, 10.0, 10.0, 0.1)


def test_the_usual_probability_is_95_per_cent():
    found = propagate(lambda a: a, {"a": Input(0.0, 1.0)})
    assert found.coverage_factor() == pytest.approx(norm.ppf(0.975), rel=1e-12, abs=0.0)
    assert found.interval() == pytest.approx((norm.ppf(0.025), norm.ppf(0.975)), rel=1e-12, abs=0.0)
    assert found.expanded() == found.interval()[1]


def test_correlations_that_sum_to_nothing_are_possible_and_beyond_are_not():
    """Three alike by −½: u² of their sum is 3 − 6·½ = 0. At −0.51 it would be below 0."""
    three = {x: Input(0.0, 1.0) for x in "abc"}
    pairs = [("a", "b"), ("a", "c"), ("b", "c")]
    assert propagate(lambda a, b, c: a + b + c, three, dict.fromkeys(pairs, -0.5)).u == pytest.approx(0.0, abs=1e-7)
    with pytest.raises(InputError, match="positive semi-definite"):
        propagate(lambda a, b, c: a + b + c, three, dict.fromkeys(pairs, -0.51))
    many = {f"x{i}": Input(0.0, 1.0) for i in range(60)}  # all one: their sum has 60 times the u
    assert propagate(lambda **x: sum(x.values()), many, np.ones((60, 60))).u == pytest.approx(60.0, rel=1e-12, abs=0.0)


@pytest.mark.parametrize("probability", [0.99991, 1.0])
def test_trials_go_no_further_than_they_can_count(probability):
    with pytest.raises(InputError, match=r"at or below 0\.9999"):
        run_trials(lambda a: a, {"a": Input(0.0, 1.0)}, probability=probability, trials=10_000)
    assert run_trials(lambda a: a, {"a": Input(0.0, 1.0)}, probability=0.9999, trials=10_000).interval[1] == pytest.approx(3.7, abs=0.4)


def test_the_noise_of_an_end_is_that_of_a_quantile():
    """The p-quantile of M draws has s = √(p(1 − p)/M)/φ(z) (any text of statistics); with two correlated inputs, u = √(1 + 1 + 2·0.5)."""
    found = run_trials(lambda a, b: a + b, {"a": Input(0.0, 1.0), "b": Input(0.0, 1.0)}, {("a", "b"): 0.5}, trials=4_000_000, seed=2)
    u, z = 3.0**0.5, norm.ppf(0.975)
    s = u * (0.025 * 0.975 / found.trials) ** 0.5 / norm.pdf(z)
    assert found.u == pytest.approx(u, rel=2e-3, abs=0.0)
    assert found.noise["lower"] == pytest.approx(2.0 * s, rel=0.08, abs=0.0)
    assert found.noise["upper"] == pytest.approx(2.0 * s, rel=0.08, abs=0.0)
    assert found.noise["mean"] == pytest.approx(2.0 * u / found.trials**0.5, rel=0.08, abs=0.0)
    assert (found.stopped, found.stop_reason) == (False, "")


@pytest.mark.parametrize("y", [-3.0, 0.7, 1.0, 5.0])
def test_a_bin_is_as_wide_as_it_says(y):
    """Counted: how many bins lie between two places far enough apart to count, near enough for one width."""
    h = Histogram(0.7, 0.25)
    step = 200 * h.width_at(y)
    low, high = h.bins(np.array([y - step, y + step]) - h.middle)
    assert 2.0 * step / (high - low) == pytest.approx(h.width_at(y), rel=0.02, abs=0.0)


def test_a_value_beyond_all_bins_is_counted():
    h = Histogram(0.0, 1.0)
    y = np.array([0.0] * 9 + [1e300])
    h.add(np.bincount(h.bins(y), minlength=BINS + 1), y.min(), y.max())
    (_, upper), _ = h.intervals(0.9)  # 5 % of ten values lie beyond 9.5 of them
    assert upper == 1e300
    assert h.intervals(0.5)[0][1] < 1e-3


def test_a_probability_is_in_words_from_half_a_digit_on():
    """Half a unit of the third decimal either side: at 0.0005 three decimals are 0.001, at 0.9995 they would be 1.000, which nobody may read."""
    assert [probability_text(p) for p in (0.0005, 0.000499, 0.9995, 0.99949, 1.0, 0.0)] == [
        "0.001", "below 0.001", "above 0.999", "0.999", "above 0.999", "below 0.001"
    ]  # fmt: skip


@pytest.mark.parametrize("probability", [0.0, -0.5, 1.0])
def test_no_coverage_factor_for_what_is_no_probability(probability):
    with pytest.raises(InputError, match="between 0 and 1"):
        propagate(lambda a: a, {"a": Input(0.0, 1.0)}).coverage_factor(probability)


def test_limits_that_meet_accept_what_is_exact_and_nothing_else():
    assert acceptance_limits(20.0, 20.0, 0.0).exists
    assert not acceptance_limits(20.0, 20.0, 0.1).exists
    assert not acceptance_limits(19.6, 20.4, 0.4).exists  # a single value is no zone


def test_degrees_of_freedom_between_one_and_two_are_one():
    """t(0.975) of one degree of freedom is 12.706 (JCGM 100:2008, table G.2); below one there is no lower whole number."""
    for dof, k in ((1.5, 12.7062), (1.0, 12.7062), (2.9, 4.30265), (3.0 - 1e-14, 3.18245)):
        assert propagate(lambda a: a, {"a": Input(1.0, 0.1, dof=dof)}).coverage_factor() == pytest.approx(k, abs=1e-4)
    few = propagate(lambda a: a, {"a": Input(1.0, 0.1, dof=0.5)})
    assert few.coverage_factor() > 100.0


@pytest.mark.parametrize(
    ("share", "text"),
    [(0.0095, "1 %"), (0.00949, "0.9 %"), (0.0005, "0.05 %"), (0.00049, "below 0.05 %"), (0.015, "2 %"), (0.00555, "0.6 %")],
)
def test_shares_at_the_steps_of_their_digits(share, text):
    assert percent(share) == text


def test_a_block_holds_a_hundred_trials_beyond_the_interval_at_least():
    """JCGM 101:2008, 7.2.1, asks for M much larger than 1/(1 − p): a block has 100 times as many, and at least 10 000; told after every eight."""
    for probability, block in ((0.998, 50_000), (0.95, 10_000)):
        told = []
        one = {"x": Input(0.0, 1.0)}
        run_trials(lambda x: x, one, probability=probability, trials=16 * block, on_progress=lambda n, _, told=told: told.append(n))
        assert told == [8 * block, 16 * block]


def test_the_band_between_limits_is_what_is_taken_off_each():
    for u in (0.05, 0.2):
        a = acceptance_limits_at(20.1, 20.9, u, probability=0.95)
        assert a.guard_band == pytest.approx(a.acceptance_lower - 20.1, rel=1e-12, abs=0.0)
        assert a.guard_band == pytest.approx(20.9 - a.acceptance_upper, rel=1e-9, abs=0.0)
    assert float(acceptance_limits_at(20.1, 20.9, 0.05, probability=0.95).guard_band) == pytest.approx(1.6448536 * 0.05, rel=1e-6, abs=0.0)


@pytest.mark.parametrize("base", [0.0, 2.0, -3.0])
def test_small_powers_hold_at_a_base_of_nothing(base):
    """x⁰ = 1, x¹ = x, x² and x³: value, slope, half the second and a sixth of the third derivative in the middle."""
    for p, (value, slope, bend) in enumerate(((1.0, 0.0, 0.0), (base, 1.0, 0.0), (base**2, 2 * base, 2.0), (base**3, 3 * base**2, 6 * base))):
        second = propagate(lambda x, p=p: x**p, {"x": Input(base, 0.1)}, second_order=True)
        assert (second.value, second.sensitivities["x"]) == pytest.approx((value, slope))
        assert second.mean_shift == pytest.approx(0.5 * bend * 0.01, abs=1e-15)


def test_a_gamma_process_has_nothing_at_or_below_zero():
    from lenscalc.uncertainty.gamma_process import gamma_density

    for shape in (0.5, 1.0, 4.0, 40.0):  # mean 1, s = 1/√shape
        none = global_risks(1.0, shape**-0.5, 0.1, -2.0, 0.0, acceptance_lower=-2.0, acceptance_upper=0.0, process="gamma")
        assert none.conforming == none.producers_risk == 0.0
        y = np.array([1e-3, 0.3, 1.0, 1.4, 3.0])
        assert gamma_density(y, np.array(1.0), np.array(shape**-0.5)) == pytest.approx(gamma(shape, scale=1 / shape).pdf(y), rel=1e-12, abs=0.0)


def test_points_that_lie_too_close_to_be_told_apart_have_no_slope():
    """Squares of 1e-200 are nothing."""
    for x, told in (([1e-200, 2e-200, 3e-200], "the largest x is 3e-200: its square"), ([2.0, 2.0, 2.0], "all points stand at the same x")):
        with pytest.raises(InputError, match=told):
            fit_line(np.array(x), np.array([1.0, 2.0, 3.0]))


@pytest.mark.parametrize("probability", [0.0, 1.0, -0.5, 95.0])
def test_a_certificates_probability_lies_between_nothing_and_one(probability):
    with pytest.raises(InputError, match=r"must lie between 0 and 1 \(0\.95, not 95\)"):
        Input.from_certificate(1.0, 0.1, probability=probability)


def test_fewer_than_a_thousand_trials_a_batch_say_little():
    one = {"x": Input(0.0, 1.0)}
    assert sobol_indices(lambda x: x, one, 32_000).first["x"] == pytest.approx(1.0, abs=0.1)
    with pytest.raises(InputError, match="32000 or more; fewer say little"):
        sobol_indices(lambda x: x, one, 31_999)


def test_three_hundred_and_twenty_thousand_trials_unless_it_is_said_otherwise():
    """Two sets and one more an input."""
    found = sobol_indices(lambda x, y: x + y, {"x": Input(0.0, 1.0), "y": Input(0.0, 1.0)})
    assert found.evaluations == 320_000 * (2 + 2)
    assert sobol_indices(lambda x: x, {"x": Input(0.0, 1.0)}, 32_040).evaluations == 32_032 * 3


def test_a_negative_power_is_a_reciprocal():
    """1/x at 2: slope −1/4, half the second derivative 1/8; the mean shifts by 0.01/8."""
    found = propagate(lambda x: x**-1, {"x": Input(2.0, 0.1)}, second_order=True)
    assert (found.value, found.sensitivities["x"], found.mean_shift) == pytest.approx((0.5, -0.25, 0.01 / 8))


def test_a_certificate_may_state_a_standard_uncertainty():
    assert Input.from_certificate(1.0, 0.1, k=1.0).u == 0.1
    assert Input.from_certificate(1.0, 0.1, k=0.5).u == 0.2
    with pytest.raises(InputError, match="a coverage factor must be above 0"):
        Input.from_certificate(1.0, 0.1, k=0.0)


def test_what_is_exact_may_have_few_degrees_of_freedom():
    inputs = {"x": Input(0.0, 1.0), "exact": Input(1.0, 0.0, "t", dof=1.0)}
    assert run_trials(lambda x, exact: x + exact, inputs, trials=20_000).mean == pytest.approx(1.0, abs=0.05)
    with pytest.raises(InputError):
        run_trials(lambda x, exact: x + exact, {**inputs, "exact": Input(1.0, 0.1, "t", dof=1.0)}, trials=20_000)


def test_a_run_that_has_settled_is_told_to_take_one_trial_more_at_least():
    """No noise at all asks for none of the trials that there were; noise of twice what is allowed for four times as many."""
    kept = KeptBlocks(Histogram(0.0, 1.0), (-1.0, 1.0), 10, 0.95)
    kept.trials, kept.squares, kept.blocks = 1000, 999.0, 2
    assert kept.estimate(10**6, None, 2, 1.0) == 1001
    kept.about = np.array([2.0 * (2 * 0.05 / 2) ** 2, 0.0, 0.0, 0.0])  # 2s = 2·√(about/2) = 0.1, twice δ = 0.05 of u = 1.0
    assert kept.estimate(10**6, None, 2, 1.0) == pytest.approx(4000, abs=1)
    assert kept.estimate(3000, None, 2, 1.0) == 3000
    assert kept.estimate(3000, 77, 2, 1.0) == 77


@pytest.mark.parametrize("at", [0.0, 5.0, -1e6])
def test_a_model_that_loses_the_step_is_refused_wherever_its_input_lies(at):
    """|x − at + 1| is a slope of 1 at its input, which a complex step does not see; (x − at)⁴ has none there and is taken as it is."""
    with pytest.raises(InputError, match="loses the complex step in x"):
        propagate(lambda x: abs(x - at + 1.0), {"x": Input(at, 0.1)})
    assert propagate(lambda x: (x - at) ** 4, {"x": Input(at, 0.1)}).u == 0.0


@pytest.mark.parametrize("dof", [np.inf, 4.0])
@pytest.mark.parametrize("lower", [20.1, 0.0, -0.3])
def test_what_is_exact_is_accepted_on_its_limits_too(lower, dof):
    """A tolerance interval has its limits among its values (JCGM 106:2012, 3.3.5, from memory): at 0 it began at 8.6e-24, at -0.3 a double above."""
    assert acceptance_limits_at(lower, 20.9, 0.0, probability=0.95, dof=dof) == (lower, 20.9, 0.0, True)


def test_a_probability_beside_the_one_required_is_told_from_it_by_eight_decimals_at_most():
    """1e-8 is told by the eighth, 1e-9 by none of them, and then three are enough."""
    texts = [probability_text(p, required=0.95) for p in (0.95000001, 0.950000001, 0.04999999, 0.049999999, 0.95)]
    assert texts == ["0.95000001", "0.950", "0.04999999", "0.050", "0.950"]


def test_a_distance_that_five_decimals_show_is_shown():
    assert (distance(1e-5), distance(0.99e-5)) == ("0.00001", "less than 0.00001")


def test_what_is_far_from_the_probability_required_is_said_in_words():
    assert [probability_text(p, required=0.95) for p in (0.99999, 0.00001)] == ["above 0.999", "below 0.001"]
