"""Where the exit pupil of a stop at the first vertex lies, by the imaging equation of the surfaces behind it."""

import numpy as np
import pytest

from lenscalc.light import Surface, System, paraxial_image


# front vertex seen through the back surface: m/s' = −n/t + (m − n)/R2, s' from the back vertex
@pytest.mark.parametrize(("R2", "t", "n", "m"), [(-15.0, 0.9, 1.49, 1.336), (20.0, 2.0, 1.55, 1.0), (np.inf, 1.2, 1.43, 1.336)])
def test_the_exit_pupil_is_the_image_of_the_first_vertex(R2, t, n, m):
    found = paraxial_image(System([Surface(12.0), Surface(R2)], [1.0, n, m], [t]))
    assert found.exit_pupil_mm == pytest.approx(m / (-n / t + (m - n) / R2), rel=1e-12)


def test_of_a_single_surface_it_is_the_vertex():
    assert paraxial_image(System([Surface(12.0)], [1.0, 1.5])).exit_pupil_mm == 0.0
