"""The uncertainty of a toric lens: what follows from its scale alone, Gullstrand's equation differentiated by hand, and differences of the powers."""

import numpy as np
import pytest

from lenscalc.errors import InputError
from lenscalc.lens import powers_of, toric_estimates, toric_lens
from lenscalc.uncertainty import Estimate, Source, estimate

GAUGE, MARK = Source("gauge", scope="instrument"), Source("axis mark", scope="lens")
N, M, T = 1.49, 1.336, 0.9


def test_a_gauge_of_all_dimensions_scales_every_power():
    """All lengths larger by 0.1 %: every power is smaller by that, the cylinder too, and the axis stays."""
    R, back, across, t = (estimate(x, 1e-3 * x, GAUGE) for x in (15.0, -15.0, -12.5, T))
    p = toric_estimates(R, back, t, N, back_radius_across_mm=across, axis_deg=30.0)
    for name in ("power_along_D", "power_across_D", "sphere_D", "cylinder_D", "mean_power_D", "j0_D", "j45_D"):
        one = getattr(p, name)
        assert float(one.parts[GAUGE]) == pytest.approx(-1e-3 * float(one.value), rel=1e-9, abs=0.0), name
    assert float(p.axis_deg.u) == 0.0


def test_radii_of_their_own_by_hand():
    """F = F1 + F2 − (t/n)·F1·F2, so ∂F/∂R2 = −(F2/R2)·(1 − (t/n)·F1); the two back radii are independent, and the cylinder has both of them."""
    along, across = Source("back along"), Source("back across")
    p = toric_estimates(15.0, estimate(-15.0, 0.02, along), T, N, back_radius_across_mm=estimate(-12.5, 0.01, across), axis_deg=90.0)
    F1 = 1000 * (N - M) / 15.0
    by = {R: -1000 * (M - N) / R**2 * (1 - T / N / 1000 * F1) for R in (-15.0, -12.5)}
    one, other = by[-15.0] * 0.02, by[-12.5] * 0.01
    assert float(p.power_along_D.u) == pytest.approx(abs(one), rel=1e-12, abs=0.0)
    assert float(p.sphere_D.u) == pytest.approx(abs(one), rel=1e-12, abs=0.0)
    assert float(p.cylinder_D.u) == pytest.approx(np.hypot(one, other), rel=1e-12, abs=0.0)
    assert float(p.mean_power_D.u) == pytest.approx(np.hypot(one, other) / 2, rel=1e-12, abs=0.0)
    assert float(p.j0_D.u) == pytest.approx(np.hypot(one, other) / 2, rel=1e-12, abs=0.0)  # cos 180° = −1
    assert float(p.j45_D.u) == pytest.approx(0.0, abs=1e-15)


def test_a_front_that_is_toric_by_hand():
    """∂F/∂R1 = −(F1/R1)·(1 − (t/n)·F2): where the front has two radii, each moves its own meridian alone."""
    across = Source("front across")
    p = toric_estimates(15.0, -15.0, T, N, front_radius_across_mm=estimate(12.5, 0.01, across), axis_deg=0.0)
    by = 1000 * (N - M) / 12.5**2 * (1 - T / N / 1000 * (1000 * (M - N) / -15.0))
    assert float(p.power_across_D.u) == pytest.approx(by * 0.01, rel=1e-12, abs=0.0)
    assert float(p.cylinder_D.u) == pytest.approx(by * 0.01, rel=1e-12, abs=0.0)
    assert float(p.power_along_D.u) == 0.0


def test_an_axis_moves_the_power_vector_alone():
    """J0 = −(C/2)·cos 2α: at 22.5° both crossed cylinders move by C·sin 45° = C/√2 a radian; 2 D and 1° make 0.0247 D."""
    p = toric_estimates(15.0, -15.0, T, N, back_radius_across_mm=-12.5, axis_deg=estimate(22.5, 1.0, MARK))
    C = float(p.cylinder_D.value)
    assert [float(p.j0_D.parts[MARK]), float(p.j45_D.parts[MARK])] == pytest.approx(
        [C / 2**0.5 * np.pi / 180, -C / 2**0.5 * np.pi / 180], rel=1e-12, abs=0.0
    )
    assert float(p.axis_deg.u) == 1.0
    assert float(p.cylinder_D.u) == float(p.mean_power_D.u) == 0.0


@pytest.mark.parametrize("across", [-12.5, -18.0])
@pytest.mark.parametrize("behind", [None, 1.33])
def test_every_input_as_its_difference(across, behind):
    """Central differences of the powers themselves, for a cylinder of either sign along the named meridian, media alike or not."""
    values = {
        "front_radius_mm": 15.0, "back_radius_mm": -15.0, "center_thickness_mm": T, "n_lens": N, "back_radius_across_mm": across,
        "axis_deg": 20.0, "n_medium": M,
    } | ({} if behind is None else {"n_medium_behind": behind})  # fmt: skip
    sources = {name: Source(name) for name in values}
    p = toric_estimates(**{name: estimate(x, 1.0, sources[name]) for name, x in values.items()})
    for name, x in values.items():
        up, down = (np.array(toric_lens(**values | {name: x + h})) for h in (1e-5, -1e-5))
        parts = [float(one.parts.get(sources[name], 0.0)) for one in p]
        assert parts == pytest.approx(((up - down) / 2e-5).tolist(), rel=1e-6, abs=1e-7), name


def test_arrays_and_a_plano_surface():
    index = estimate(np.array([1.46, 1.49]), 5e-4, Source("index"))
    p = toric_estimates(np.inf, -15.0, T, index, back_radius_across_mm=-12.5)
    one = toric_lens(np.inf, -15.0, T, [1.46, 1.49], back_radius_across_mm=-12.5)
    assert p.power_along_D.value == pytest.approx(one.power_along_D)
    assert p.power_along_D.u == pytest.approx(np.full(2, 1000 / 15.0 * 5e-4), rel=1e-12, abs=0.0)  # F = (n − m)/15 mm
    assert p.cylinder_D.u == pytest.approx(np.full(2, (1000 / 12.5 - 1000 / 15.0) * 5e-4), rel=1e-12, abs=0.0)  # shared by both meridians


def test_equal_radii_have_no_cylinder_but_its_uncertainty():
    p = toric_estimates(15.0, -15.0, T, N, back_radius_across_mm=estimate(-15.0, 0.02, Source("across")), axis_deg=estimate(10.0, 1.0, MARK))
    by = powers_of(15.0, -15.0 + 1e-6, T, N, M, M).power_D - powers_of(15.0, -15.0 - 1e-6, T, N, M, M).power_D
    assert float(p.cylinder_D.value) == 0.0
    assert float(p.cylinder_D.u) == pytest.approx(abs(by) / 2e-6 * 0.02, rel=1e-6, abs=0.0)
    assert MARK not in p.cylinder_D.parts


def test_a_spherical_lens_goes_elsewhere():
    with pytest.raises(InputError, match="a spherical lens goes to thick_lens"):
        toric_estimates(Estimate(15.0, {}), -15.0, T, N)


def test_a_medium_behind_that_is_no_number_is_refused():
    with pytest.raises(InputError, match="leave it out"):
        toric_estimates(15.0, -15.0, T, N, back_radius_across_mm=-12.5, n_medium_behind=np.nan)


def test_an_axis_that_nobody_names_is_0():
    given = {"front_radius_mm": 15.0, "back_radius_mm": -15.0, "center_thickness_mm": T, "n_lens": N, "back_radius_across_mm": -12.5}
    unsaid, said = toric_estimates(**given), toric_estimates(**given, axis_deg=0.0)
    assert [float(x.value) for x in unsaid] == [float(x.value) for x in said]
