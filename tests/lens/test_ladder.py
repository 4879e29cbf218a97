"""A ladder of powers, its tools, and tools for an index that has moved."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lenscalc import InputError, thick_lens
from lenscalc.lens import ladder, retool


def test_a_ladder_of_six_candidates_is_one_call():
    n = [1.42, 1.44, 1.46, 1.49, 1.52, 1.55]
    found = ladder(n, from_power_D=5, to_power_D=34, step_D=0.5, wanted_edge_thickness_mm=0.3, optic_diameter_mm=6.0, radius_increment_mm=0.01)
    assert found.front_radius_mm.shape == (6, 59)
    assert found.wanted_power_D[[0, 1, -1]].tolist() == [5.0, 5.5, 34.0]
    assert np.all(found.problem == "")
    again = thick_lens(found.front_radius_mm, found.back_radius_mm, found.center_thickness_mm, np.array(n)[:, None]).power_D
    assert np.max(np.abs(again - found.wanted_power_D)) < 1e-9


def test_rounding_goes_to_the_nearest_tool_and_says_what_it_costs():
    found = ladder(1.536, from_power_D=20.0, to_power_D=21.0, step_D=1.0, center_thickness_mm=0.0, radius_increment_mm=0.5)
    # thin, n − m = 0.2: R = 400/F: 20 and 19.0476, tools 20 and 19; 400/19 = 21.0526
    assert found.front_tool_mm[0].tolist() == [20.0, 19.0]
    assert found.back_tool_mm[0].tolist() == [-20.0, -19.0]
    assert found.rounding_cost_D[0] == pytest.approx([0.0, 400.0 / 19.0 - 21.0], abs=1e-12)


def test_a_held_tool_and_a_plano_surface_are_not_rounded():
    found = ladder(1.49, from_power_D=20.0, to_power_D=20.0, step_D=0.5, center_thickness_mm=0.9, front_radius_mm=15.123, radius_increment_mm=0.1)
    assert found.front_tool_mm[0, 0] == 15.123
    assert found.back_tool_mm[0, 0] * 10 == pytest.approx(round(found.back_tool_mm[0, 0] * 10))
    flat = ladder(1.49, from_power_D=20.0, to_power_D=20.0, step_D=0.5, center_thickness_mm=0.9, shape_factor=1.0, radius_increment_mm=0.1)
    assert flat.back_tool_mm[0, 0] == np.inf


def test_a_ladder_tells_what_the_index_leaves_in_each_power():
    """A thin equi-convex lens has F = (n − m)·K, so u(F) = F·u(n)/(n − m); the thick one of 15 mm is 0.1325 D for 0.001 (README)."""
    found = ladder([1.46, 1.49], from_power_D=10.0, to_power_D=20.0, step_D=10.0, center_thickness_mm=0.0, u_n_lens=[1e-3, 5e-4])
    assert found.u_power_D == pytest.approx(np.array([[10.0, 20.0]]) * np.array([[1e-3 / 0.124], [5e-4 / 0.154]]), rel=1e-9, abs=0.0)
    for_all = ladder([1.46, 1.49, 1.52], from_power_D=10.0, to_power_D=20.0, step_D=10.0, center_thickness_mm=0.0, u_n_lens=1e-3)
    assert for_all.u_power_D == pytest.approx(1e-3 * np.array([[10.0, 20.0]]) / (np.array([[1.46], [1.49], [1.52]]) - 1.336), rel=1e-12, abs=0.0)
    one = ladder(1.49, from_power_D=20.469666, to_power_D=20.469666, step_D=1.0, center_thickness_mm=0.9, u_n_lens=1e-3)
    assert float(one.u_power_D[0, 0]) == pytest.approx(0.1325, abs=5e-5)
    assert np.isnan(ladder(1.49, from_power_D=20.0, to_power_D=20.0, step_D=1.0, center_thickness_mm=0.9).u_power_D).all()
    with pytest.raises(InputError, match="one for all candidates, or one each"):
        ladder([1.46, 1.49], from_power_D=10.0, to_power_D=20.0, step_D=10.0, center_thickness_mm=0.9, u_n_lens=[1e-3, 1e-3, 1e-3])


def test_a_ladder_keeps_what_cannot_be_made():
    found = ladder(1.40, from_power_D=20.0, to_power_D=60.0, step_D=20.0, wanted_edge_thickness_mm=0.3, optic_diameter_mm=6.0)
    assert found.problem[0, 0] == ""
    assert "cannot be reached" in found.problem[0, -1]
    assert np.isnan(found.front_radius_mm[0, -1])


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        ({"from_power_D": 20, "to_power_D": 10, "step_D": 0.5}, "the last power is not below the first"),
        ({"from_power_D": 20, "to_power_D": 30, "step_D": 0.0}, "step_D = 0"),
        ({"from_power_D": -300, "to_power_D": 1000, "step_D": 0.001}, "1 to 100000"),
        ({"from_power_D": [20, 21], "to_power_D": 30, "step_D": 1}, "give numbers, not arrays"),
    ],
)
def test_a_ladder_that_leads_nowhere_is_refused(arguments, told):
    with pytest.raises(InputError, match=told):
        ladder(1.49, center_thickness_mm=0.9, **arguments)


@given(st.floats(8.0, 60.0), st.floats(-60.0, -8.0), st.floats(0.0, 2.0), st.floats(1.44, 1.6), st.floats(-0.005, 0.005))
def test_tools_for_a_moved_index_give_the_old_power(R1, R2, t, n, shift):
    for hold in ("curvature ratio", "front radius", "back radius"):
        try:
            new = retool(R1, R2, t, n_lens_before=n, n_lens=n + shift, hold=hold)
        except InputError:
            continue  # the other surface cannot be curved enough
        again = thick_lens(new.front_radius_mm, new.back_radius_mm, t, n + shift).power_D
        assert abs(again - thick_lens(R1, R2, t, n).power_D) < 1e-9
        assert new.front_radius_change_mm == pytest.approx(new.front_radius_mm - R1, abs=1e-12)
    ratio = retool(R1, R2, t, n_lens_before=n, n_lens=n + shift)
    assert ratio.front_radius_mm / ratio.back_radius_mm == pytest.approx(R1 / R2, rel=1e-9, abs=0.0)


def test_a_plano_surface_stays_plano_and_equal_radii_stay_equal():
    flat = retool(12.0, "plano", 0.9, n_lens_before=1.49, n_lens=1.4915)
    # one surface: R·(n' − m)/(n − m)
    assert (flat.front_radius_mm, flat.back_radius_mm, flat.back_radius_change_mm) == (pytest.approx(12.0 * 0.1555 / 0.154), np.inf, 0.0)
    flat = retool("plano", -12.0, 0.9, n_lens_before=1.49, n_lens=1.4915)
    assert (flat.front_radius_mm, flat.front_radius_change_mm, flat.back_radius_mm) == (np.inf, 0.0, pytest.approx(-12.0 * 0.1555 / 0.154))
    meniscus = retool([10.0, 12.0], [10.0, 12.0], 0.9, n_lens_before=1.49, n_lens=1.4915)
    # a ratio of 1000 is the last that stands beside nearly equal radii: that lens has the radii that it has alone
    beside, alone = (retool(R1, 10.0, 0.9, n_lens_before=1.49, n_lens=1.4915) for R1 in ([1e4, 10.0], 1e4))
    assert beside.front_radius_mm[0] == pytest.approx(alone.front_radius_mm, rel=1e-12, abs=0.0)
    assert meniscus.front_radius_mm == pytest.approx(meniscus.back_radius_mm, rel=1e-12, abs=0.0)
    with pytest.raises(InputError, match="did you mean front radius"):
        retool(10.0, -10.0, 0.9, n_lens_before=1.49, n_lens=1.5, hold="front radios")
