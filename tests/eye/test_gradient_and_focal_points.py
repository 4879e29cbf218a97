"""A gradient along the axis is a length, and light from the front focal point leaves parallel."""

import numpy as np
import pytest

from lenscalc.eye import cardinal_points_of, planes_with_implant, published_eyes, ray_transfer_of, thin_implanted
from lenscalc.eye.published import Layer, _slices


# n = n0 + n1·z: the reduced length is ∫dz/n = ln((n0 + n1·L)/n0)/n1, and no light is bent
@pytest.mark.parametrize("n1", [0.02, -0.015])
def test_a_gradient_along_the_axis_alone_is_a_reduced_length(n1):
    n0, length = 1.37, 3.0
    m = ray_transfer_of(_slices(Layer(length, (n0, n1), 0.0)), to_retina=True)
    assert m.b == pytest.approx(np.log((n0 + n1 * length) / n0) / n1 / 1000.0, rel=2e-9, abs=0.0)
    assert m.c == 0.0


@pytest.mark.parametrize("key", ["le_grand_full", "navarro_1985", "bennett_rabbetts"])
def test_light_from_the_front_focal_point_leaves_parallel(key):
    eye = published_eyes()[key]
    planes = planes_with_implant(eye, thin_implanted(eye, 20.0))[1:]  # without the spectacles
    points = cardinal_points_of(planes)
    vergence = 1000.0 / points.front_focal_point_mm  # a point so many mm in front of the cornea, in air
    assert vergence < 0
    for plane in planes[:-1]:
        behind = vergence + plane.power_D
        vergence = 1.0 / (1.0 / behind - plane.distance_mm / 1000.0 / plane.n_behind)
    assert vergence + planes[-1].power_D == pytest.approx(0.0, abs=1e-9)
    assert points.front_focal_point_mm == pytest.approx(points.front_principal_point_mm - 1000.0 / points.power_D, rel=1e-12, abs=0.0)
