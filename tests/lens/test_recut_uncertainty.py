"""What an uncertain index leaves of a re-cut."""

import numpy as np
import pytest

from lenscalc import InputError, power_sensitivity
from lenscalc.lens import recut, recut_estimates
from lenscalc.uncertainty import Source, estimate

LOT = Source("index of the lot", scope="lot")
KINDS = [
    {"center_thickness_mm": 0.9}, {"center_thickness_mm": 0.9, "front_radius_mm": 12.0}, {"center_thickness_mm": 0.9, "back_radius_mm": np.inf},
    {"center_thickness_mm": 1.1, "curvature_ratio": -0.4}, {"wanted_edge_thickness_mm": 0.3, "optic_diameter_mm": 6.0, "front_conic": -2.0},
    {"wanted_edge_thickness_mm": 0.3, "optic_diameter_mm": 6.0, "back_radius_mm": -20.0},
    {"wanted_edge_thickness_mm": 0.3, "optic_diameter_mm": 6.0, "shape_factor": 1.0}, {"center_thickness_mm": 0.9, "n_medium_behind": 1.34},
]  # fmt: skip


@pytest.mark.parametrize("held", KINDS, ids=str)
@pytest.mark.parametrize("power", [20.0, -8.0])
def test_the_parts_are_what_a_moved_index_does(held, power):
    if power < 0 and "front_radius_mm" in held:
        held = {**held, "front_radius_mm": -12.0}
    unit = recut_estimates(power, estimate(1.49, 1.0, LOT), **held)
    h = 1e-5
    up, down = recut(power, 1.49 + h, **held), recut(power, 1.49 - h, **held)
    for name in ("front_radius_mm", "back_radius_mm", "center_thickness_mm"):
        part = float(getattr(unit, name).parts.get(LOT, 0.0))
        here, there = getattr(up, name), getattr(down, name)
        assert part == pytest.approx(0.0 if here == there else (here - there) / (2 * h), rel=1e-6, abs=1e-6), name


@pytest.mark.parametrize("held", KINDS, ids=str)
def test_the_power_stays_uncertain_as_that_of_any_lens_of_these_dimensions(held):
    r = recut_estimates(20.0, estimate(1.49, 0.0005, LOT), **held)
    made = recut(20.0, 1.49, **held)
    behind = held.get("n_medium_behind")
    s = power_sensitivity(made.front_radius_mm, made.back_radius_mm, made.center_thickness_mm, 1.49, 1.336, behind)
    assert float(r.power_D.value) == pytest.approx(20.0, abs=1e-9)
    assert float(r.power_D.u) == pytest.approx(s.d_power_d_n_lens * 0.0005, rel=1e-12, abs=0.0)
    assert r.power_D.u_of("lot") == r.power_D.u


def test_columns_and_shared_sources():
    n = estimate(np.array([1.46, 1.49]), np.array([0.001, 0.0005]), LOT)
    r = recut_estimates([20.0, 10.0], n, center_thickness_mm=0.9)
    alone = recut_estimates(10.0, estimate(1.49, 0.0005, LOT), center_thickness_mm=0.9)
    assert r.front_radius_mm.u[1] == float(alone.front_radius_mm.u)
    # what the power has too much with these radii, the radii that are asked for take away
    assert np.all(r.power_D.covariance(r.front_radius_mm) > 0)


def test_a_plano_back_beside_a_curved_one_has_no_uncertainty():
    r = recut_estimates(20.0, estimate(1.49, 0.0005, LOT), center_thickness_mm=0.9, shape_factor=np.array([0.0, 1.0]))
    assert np.isinf(r.back_radius_mm.value).tolist() == [False, True]
    assert (r.back_radius_mm.parts[LOT] != 0.0).tolist() == [True, False]


def test_a_number_is_no_estimate():
    with pytest.raises(InputError, match="must be an Estimate"):
        recut_estimates(20.0, 1.49, center_thickness_mm=0.9)
    with pytest.raises(InputError, match="front_aspheric"):
        recut_estimates(20.0, estimate(1.49, 0.001, LOT), center_thickness_mm=0.9, front_aspheric={4: 1e-4})


def test_a_held_radius_of_minus_one_is_a_radius():
    """Held, it has no uncertainty; the other surface makes up for it: 20 D − F1 = (1 − (t/n)·F1)·F2 with F1 = −154 D."""
    made = recut_estimates(20.0, estimate(1.49, 1e-4, LOT), center_thickness_mm=0.9, front_radius_mm=-1.0)
    F2 = (20.0 + 154.0) / (1.0 + 0.9 / 1490.0 * 154.0)
    assert (float(made.front_radius_mm.value), float(made.front_radius_mm.u)) == (-1.0, 0.0)
    assert float(made.back_radius_mm.value) == pytest.approx(-154.0 / F2, rel=1e-12, abs=0.0)
    assert float(made.power_D.value) == pytest.approx(20.0, rel=1e-12, abs=0.0)
