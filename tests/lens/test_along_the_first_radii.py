"""What stands without being said: a meridian is that of the first two radii; a rotation is named."""

import pytest

from lenscalc.lens import power_vector
from lenscalc.lens.toric import toric_edge_thickness_mm, turned


def test_an_edge_without_a_meridian_is_that_of_the_first_radii():
    """t − 2s with s = R − √(R² − h²), for 15 mm at 3 mm: 0.9 − 2·0.303062 = 0.293877; the radii across take no part in it."""
    assert toric_edge_thickness_mm(15.0, -15.0, 0.9, 6.0, front_radius_across_mm=8.0, back_radius_across_mm=-9.0) == pytest.approx(
        0.9 - 2.0 * (15.0 - (15.0**2 - 3.0**2) ** 0.5), abs=1e-12
    )


def test_a_rotation_is_named():
    with pytest.raises(TypeError, match="positional"):
        turned(power_vector(20.0, cylinder_D=2.0, axis_deg=10.0), 30.0)
