"""Where the exit pupil of a stop at the first vertex lies, by the imaging equation of the surfaces behind it; the points that stand for a pupil."""

import numpy as np
import pytest

from lenscalc.errors import InputError
from lenscalc.light import Surface, System, paraxial_image
from lenscalc.light.pupil import disc, disc_for, ever_finer
from lenscalc.light.zernike import zernike_index


# front vertex seen through the back surface: m/s' = −n/t + (m − n)/R2, s' from the back vertex
@pytest.mark.parametrize(("R2", "t", "n", "m"), [(-15.0, 0.9, 1.49, 1.336), (20.0, 2.0, 1.55, 1.0), (np.inf, 1.2, 1.43, 1.336)])
def test_the_exit_pupil_is_the_image_of_the_first_vertex(R2, t, n, m):
    found = paraxial_image(System([Surface(12.0), Surface(R2)], [1.0, n, m], [t]))
    assert found.exit_pupil_mm == pytest.approx(m / (-n / t + (m - n) / R2), rel=1e-12, abs=0.0)


def test_the_exit_pupil_of_three_surfaces_is_an_image_of_an_image():
    """The back two surfaces, one after the other: n'/s' = n/s + (n' − n)/R, then on by the distance."""
    behind = 1.6 / (1.49 / -0.9 + (1.6 - 1.49) / -15.0)
    last = 1.336 / (1.6 / (behind - 1.3) + (1.336 - 1.6) / 25.0)
    found = paraxial_image(System([Surface(12.0), Surface(-15.0), Surface(25.0)], [1.0, 1.49, 1.6, 1.336], [0.9, 1.3]))
    assert found.exit_pupil_mm == pytest.approx(last, rel=1e-12, abs=0.0)


def test_of_a_single_surface_it_is_the_vertex():
    assert str(paraxial_image(System([Surface(12.0)], [1.0, 1.5])).exit_pupil_mm) == "0.0"  # and not -0.0


def test_discs_double_their_rings_and_have_twice_as_many_spokes():
    """2·rings² points of 16 to 256 rings; the mean of ρ⁴ over a disc is a third, of x² a quarter."""
    found = list(ever_finer())
    assert [x.size for x, _, _ in found] == [512, 2048, 8192, 32768, 131072]
    for x, y, weight in found:
        assert weight @ (x * x + y * y) ** 2 == pytest.approx(1 / 3, rel=1e-12, abs=0.0)
        assert weight @ (x * x) == pytest.approx(1 / 4, rel=1e-12, abs=0.0)


@pytest.mark.parametrize(("order", "points"), [(0, 16 * 32), (11, 16 * 32), (12, 16 * 34), (13, 17 * 36), (20, 24 * 50)])
def test_a_disc_grows_with_the_order_of_the_polynomials(order, points):
    assert disc_for(order)[0].size == points
    assert disc()[0].size == 16 * 32
    assert disc(1, 2000)[0].size == 2000
    assert disc(1, 3)[0].size == 3
    for rings, spokes in ((1, 2001), (1001, 3), (0, 3), (1, 2)):
        with pytest.raises(InputError, match="must be a whole number"):
            disc(rings, spokes)


@pytest.mark.parametrize(("rings", "spokes"), [(4, 6), (16, 32)])
def test_a_disc_is_exact_as_far_as_it_says(rings, spokes):
    """ρ^(4·rings − 2) has the mean 2/(4·rings); cos of as many turns as spokes is the first that it takes for something: −1 at its half steps."""
    x, y, weight = disc(rings, spokes)
    rho = np.hypot(x, y)
    assert weight @ rho ** (4 * rings - 2) == pytest.approx(1 / (2 * rings), rel=1e-12, abs=0.0)
    turn = np.arctan2(y, x)
    assert weight @ np.cos((spokes - 1) * turn) == pytest.approx(0.0, abs=1e-13)
    assert weight @ np.cos(spokes * turn) == pytest.approx(-1.0, rel=1e-12, abs=0.0)


@pytest.mark.parametrize(("n", "m"), [(-2, 0), (-2, -2), (2, 4), (2, -4), (3, 2), (0, 1)])
def test_orders_that_no_polynomial_has(n, m):
    with pytest.raises(InputError, match="n must be 0 or more"):
        zernike_index(n, m)
