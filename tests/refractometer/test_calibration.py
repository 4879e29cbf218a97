"""Calibration: against generalised least squares with the full covariance matrix, by simulation, and what lens and medium share."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from lenscalc.errors import InputError
from lenscalc.refractometer import Reference, calibrate
from lenscalc.refractometer.calibration import stated_calibration
from lenscalc.uncertainty import Estimate, Source, combine, coverage_factor

BOTH = "offset and slope"
TRUE = [1.33299, 1.3811, 1.4200, 1.46945]
U_READ, U_TRUE = [3e-5, 5e-5, 4e-5, 2e-5], [1e-5, 2e-5, 2e-5, 3e-5]

indices = st.lists(st.floats(1.30, 1.60), min_size=2, max_size=6)
errors = st.lists(st.floats(-5e-4, 5e-4), min_size=6, max_size=6)
spreads = st.lists(st.floats(1e-5, 2e-4), min_size=6, max_size=6)


def reference(i, n, error, u_read, u_true=0.0, **shared):
    read = {Source(f"replicates of {i}"): u_read, **{Source(name): part for name, part in shared.items()}}
    return Reference(f"reference {i}", Estimate(n + error, read), Estimate(n, {Source(f"certificate of {i}"): u_true}))


def least_squares(x, y, V, slope):
    """Generalised least squares with the covariance matrix V of y; offset at x = 0."""
    X = np.column_stack([np.ones(len(x)), x]) if slope else np.ones((len(x), 1))
    covariance = np.linalg.inv(X.T @ np.linalg.solve(V, X))
    return covariance @ X.T @ np.linalg.solve(V, y), covariance


@given(indices, errors, spreads, spreads, st.booleans())
def test_against_generalised_least_squares(n, error, u_read, u_true, slope):
    k = len(n)
    assume(np.ptp(n) > 0.02)
    error, V = np.array(error[:k]), np.diag(np.square(u_read[:k]) + np.square(u_true[:k]))
    c = calibrate([reference(i, *row) for i, row in enumerate(zip(n, error, u_read[:k], u_true[:k], strict=True))], model=BOTH if slope else "offset")
    (offset, *b), covariance = least_squares(np.array(n) - c.n0, error, V, slope)
    assert c.offset == pytest.approx(offset, abs=1e-12)
    assert c.u_offset == pytest.approx(covariance[0, 0] ** 0.5, rel=1e-6, abs=0.0)
    for x in (1.30, 1.49, 1.60):
        found = c.corrected(Estimate(x, {}))  # n of shown = n + a + b·(n − n0), so ∂n/∂a = −1/(1 + b) and ∂n/∂b = −(n − n0)/(1 + b)
        g = np.array([1.0, found.value - c.n0])[: 1 + slope] / (1.0 + c.slope)
        assert found.u == pytest.approx((g @ covariance @ g) ** 0.5, rel=1e-6, abs=0.0)
    if slope:
        assert c.slope == pytest.approx(b[0], abs=1e-10)
        assert c.u_slope == pytest.approx(covariance[1, 1] ** 0.5, rel=1e-6, abs=0.0)
        assert covariance[0, 1] / (c.u_offset * c.u_slope) == pytest.approx(0.0, abs=1e-8)  # what the two sources rest on
    assert (c.lowest, c.highest) == (min(n), max(n))
    assert c.dof_offset == c.dof_slope == np.inf


@given(indices, errors, st.floats(1e-5, 2e-4), st.floats(1e-5, 2e-4))
def test_an_error_that_all_references_share_joins_the_offset_alone(n, error, u, shared):
    """A thermometer's error, say, equal in every reading: in the full matrix a constant; the slope does not feel it."""
    k = len(n)
    assume(np.ptp(n) > 0.02)
    c = calibrate([reference(i, n[i], error[i], u, thermometer=shared) for i in range(k)], model=BOTH)
    solution, covariance = least_squares(np.array(n) - c.n0, np.array(error[:k]), u * u * np.eye(k) + shared * shared, True)
    assert (c.offset, c.slope) == (pytest.approx(solution[0], abs=1e-11), pytest.approx(solution[1], abs=1e-9))
    assert [c.u_offset, c.u_slope] == pytest.approx(np.diag(covariance) ** 0.5, rel=1e-6, abs=0.0)
    alone = calibrate([reference(i, n[i], error[i], u) for i in range(k)], model=BOTH)
    assert c.u_slope == pytest.approx(alone.u_slope, rel=1e-9, abs=0.0)
    assert c.u_offset == pytest.approx(np.hypot(alone.u_offset, shared), rel=1e-9, abs=0.0)


def test_two_references_by_hand():
    """1.3 reads 1e-4 too much, 1.5 reads 3e-4 too much, u 1e-4 each: slope 1e-3 ± √2·1e-4/0.2, at 1.4 an offset of 2e-4 ± 1e-4/√2."""
    c = calibrate([reference(0, 1.3, 1e-4, 1e-4), reference(1, 1.5, 3e-4, 1e-4)], model=BOTH)
    assert (c.n0, c.offset, c.slope) == (pytest.approx(1.4), pytest.approx(2e-4), pytest.approx(1e-3))
    assert (c.u_offset, c.u_slope) == (pytest.approx(1e-4 / 2**0.5), pytest.approx(2**0.5 * 5e-4))
    assert np.isnan(c.chance)
    # the references themselves come out as they are
    for n, error in ((1.3, 1e-4), (1.5, 3e-4)):
        assert c.corrected(Estimate(n + error, {})).value == pytest.approx(n, abs=1e-15)
    # a scale that is too long by 1e-3 makes the scatter of a reading so much too large
    own = Source("own")
    assert c.corrected(Estimate(1.49, {own: 1e-4})).parts[own] == pytest.approx(1e-4 / 1.001, rel=1e-12, abs=0.0)


@pytest.mark.parametrize("model", ["offset", BOTH])
def test_what_lens_and_medium_share(model):
    c = calibrate([reference(i, n, 1e-4, u) for i, (n, u) in enumerate(zip(TRUE, U_READ, strict=True))], model=model)
    lens = c.corrected(Estimate(1.4903, {Source("lens, replicates"): 5e-5}))
    medium = c.corrected(Estimate(1.3362, {Source("medium, replicates"): 4e-5}))
    difference = combine(lens.value - medium.value, [(1.0, lens), (-1.0, medium)])
    own = np.hypot((1 - c.slope) * 5e-5, (1 - c.slope) * 4e-5)
    shared = float(difference.u_where(lambda source: source.name not in ("lens, replicates", "medium, replicates")))
    assert shared == pytest.approx(c.u_slope * (1.4903 - 1.3362), rel=1e-12, abs=0.0)  # nothing at all where an offset is all there is
    assert difference.u == pytest.approx(np.hypot(own, c.u_slope * (1.4903 - 1.3362)), rel=1e-12, abs=0.0)
    V = np.diag(np.square(U_READ))
    _, covariance = least_squares(np.array(TRUE) - c.n0, np.zeros(4), V, model == BOTH)
    a, b = (np.array([1.0, x - 1e-4 - c.n0])[: len(covariance)] for x in (1.4903, 1.3362))  # the error belongs to the true index
    assert lens.covariance(medium) == pytest.approx(a @ covariance @ b, rel=1e-6, abs=0.0)


def test_every_reading_gets_equal_sources():
    """Sources are equal by name, scope and degrees of freedom: what one calibration gives to two readings is found as one."""
    c = calibrate([reference(0, 1.33299, 0.0, 3e-5)])
    assert set(c.corrected(Estimate(1.49, {})).parts) == set(c.corrected(Estimate(1.34, {})).parts)


def test_extrapolation_grows():
    c = calibrate([reference(i, *row) for i, row in enumerate(zip(TRUE[:2], [1e-4] * 2, U_READ[:2], strict=True))], model=BOTH)
    u = [float(c.corrected(Estimate(n + 1e-4, {})).u) for n in (c.n0, 1.40, 1.45, 1.50, 1.55)]
    assert u == sorted(u)
    assert u[0] == pytest.approx(c.u_offset, rel=1e-12, abs=0.0)
    assert u[-1] > 3 * u[0]
    assert u[-1] == pytest.approx(c.u_slope * (1.55 - c.n0), rel=0.1, abs=0.0)  # far away the slope rules
    assert [c.covers(n) for n in (1.32, 1.34, 1.38, 1.39)] == [False, True, True, False]


def test_one_reference_covers_its_neighbourhood():
    c = calibrate([reference(0, 1.45, 0.0, 1e-5)])
    assert [c.covers(n) for n in (1.39, 1.41, 1.49, 1.51)] == [False, True, True, False]


@pytest.mark.parametrize(("model", "slope"), [("offset", 0.0), (BOTH, 2e-3)])
@pytest.mark.parametrize("n", [1.34, 1.49, 1.55])
def test_the_interval_of_a_corrected_reading_covers_the_truth(model, slope, n):
    """4,000 calibrations of an instrument whose error is known here, and a reading of its own scatter after each: 94–96 %."""
    random = np.random.default_rng(11)
    k, inside = coverage_factor(0.95), 0
    own = Source("replicates of the lens")
    for _ in range(4000):
        scatter = np.array(U_READ) * random.standard_normal(4)
        wrong = np.array(U_TRUE) * random.standard_normal(4)
        references = [
            Reference(
                str(i),
                Estimate(TRUE[i] + 3e-4 + slope * (TRUE[i] - 1.4) + scatter[i], {Source(f"a{i}"): U_READ[i]}),
                Estimate(TRUE[i] + wrong[i], {Source(f"b{i}"): U_TRUE[i]}),
            )
            for i in range(4)
        ]
        shown = n + 3e-4 + slope * (n - 1.4) + 2e-5 * random.standard_normal()
        found = calibrate(references, model=model).corrected(Estimate(shown, {own: 2e-5}))
        inside += abs(float(found.value) - n) <= k * float(found.u)
    assert 0.94 <= inside / 4000 <= 0.96


@pytest.mark.parametrize("model", ["offset", BOTH])
def test_references_that_agree_are_called_wrong_as_often_as_the_level_says(model):
    random = np.random.default_rng(4)
    chances = [
        calibrate([reference(i, TRUE[i], U_READ[i] * random.standard_normal(), U_READ[i]) for i in range(4)], model=model).chance
        for _ in range(2000)
    ]
    assert np.mean(np.array(chances) < 0.05) == pytest.approx(0.05, abs=0.02)  # four standard errors
    assert np.mean(chances) == pytest.approx(0.5, abs=0.026)


def test_references_that_disagree_have_a_small_chance():
    """The same four, one certificate off by six times its u; an offset alone where there is a slope."""
    off = [0.0, 0.0, 6 * 4e-5, 0.0]
    assert calibrate([reference(i, TRUE[i], off[i], U_READ[i]) for i in range(4)], model=BOTH).chance < 0.001
    tilted = [reference(i, TRUE[i], 3e-3 * (TRUE[i] - 1.4), U_READ[i]) for i in range(4)]
    assert calibrate(tilted).chance < 1e-6
    assert calibrate(tilted, model=BOTH).chance == pytest.approx(1.0)


def test_few_degrees_of_freedom_come_through():
    """One reference from four readings: ν = 3 of its reading, and what the certificate adds by Welch and Satterthwaite."""
    read = Estimate(1.3331, {Source("replicates", dof=3.0): 3e-5})
    c = calibrate([Reference("water", read, Estimate(1.33299, {Source("certificate"): 4e-5}))])
    assert (c.u_offset, c.dof_offset) == (pytest.approx(5e-5), pytest.approx(3 * (5 / 3) ** 4))
    assert c.corrected(Estimate(1.49, {})).dof == pytest.approx(c.dof_offset)


def test_what_the_lab_states_joins_the_offset():
    plain, stated = (calibrate([reference(0, 1.33299, 1e-4, 3e-5)], u_stated=u) for u in (0.0, 4e-5))
    assert stated.u_offset == pytest.approx(5e-5)
    assert stated.corrected(Estimate(1.49, {})).value == plain.corrected(Estimate(1.49, {})).value
    nothing = stated_calibration(2e-4).corrected(Estimate(1.49, {Source("own"): 1e-4}))
    assert (nothing.value, nothing.u) == (1.49, pytest.approx(np.hypot(2e-4, 1e-4)))


@pytest.mark.parametrize(
    ("references", "model", "told"),
    [
        ([], "offset", r"0 references: at least 1"),
        ([reference(0, 1.33, 0.0, 1e-5)], BOTH, r"1 reference: at least 2"),
        ([reference(0, 1.33, 0.0, 1e-5)], "slope", "must be offset or offset and slope"),
        ([reference(0, 1.33, 0.0, 0.0)], "offset", "reference 0: neither"),
        ([reference(0, 1.33, 0.0, np.nan)], "offset", "reference 0: neither"),
        ([reference(0, 1.33, 0.0, 1e-5), reference(1, 1.335, 0.0, 1e-5)], BOTH, "less than 0.01 apart"),
    ],
)
def test_what_cannot_calibrate_says_why(references, model, told):
    with pytest.raises(InputError, match=told):
        calibrate(references, model=model)


@pytest.mark.parametrize("u", [-1e-4, np.nan, np.inf])
def test_a_scale_is_stated_with_a_u(u):
    with pytest.raises(InputError, match=f"^u_stated = {u:g}: a standard uncertainty must be 0 or more, and finite$"):
        calibrate([reference(0, 1.33, 0.0, 1e-5)], u_stated=u)


def test_a_scale_that_is_only_stated():
    """Taken as right, with its u; without references there is no slope, no span and no chance."""
    c = stated_calibration(2e-4)
    assert (c.offset, c.u_offset, c.slope, c.u_slope) == (0.0, 2e-4, 0.0, 0.0)
    assert np.isnan([c.lowest, c.highest, c.chance]).all()
    assert float(c.corrected(Estimate(1.7, {})).value) == 1.7


def test_the_span_of_references_has_its_ends():
    """Certified at 1.33 and 1.47: both belong to what is covered; beside a single one what lies within 0.05."""
    two = calibrate([reference(i, n, 0.0, 1e-5) for i, n in enumerate((1.33, 1.47))])
    assert [two.covers(n) for n in (1.3299, 1.33, 1.47, 1.4701)] == [False, True, True, False]
    one = calibrate([reference(0, 1.40, 0.0, 1e-5)])
    assert [one.covers(n) for n in (1.3499, 1.3501, 1.4499, 1.4501)] == [False, True, True, False]
