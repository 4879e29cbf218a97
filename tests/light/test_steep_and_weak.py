"""Surfaces and lenses at the ends of what is made, where geometry gives the number: steep aspheres, light that turns back, a lens of 5 mD."""

import numpy as np
import pytest

from lenscalc.light import Beam, Fate, Surface, System, mtf, paraxial_image, trace, trace_rays
from lenscalc.light.ray_kernel import beam_through_conics
from lenscalc.light.trace import _beam


def test_an_asphere_is_met_where_the_line_passes_its_sphere_by():
    """A sphere of 5 mm is 2 mm deep at 4 mm (3-4-5); −h⁴/256 takes 1 mm off. The line through (4, 1) at 45° stays 5.66 mm away from the centre."""
    flattened = System([Surface(5.0, 0.0, {4: -1.0 / 256.0})], [1.0, 1.5])
    ray = trace_rays(flattened, x_mm=-1.0, y_mm=0.0, z_mm=-4.0, direction_x=1.0, direction_y=0.0, direction_z=1.0)
    assert ray.fate == Fate.ARRIVED
    assert (ray.x_mm, ray.z_mm, ray.optical_path_mm) == pytest.approx((4.0, 1.0, 5.0 * 2.0**0.5), rel=1e-14, abs=0.0)


def test_a_steep_asphere_is_as_deep_as_its_sphere_and_its_term_together():
    """At 4 mm a sphere of 5 mm is 2 mm deep, and h⁴/256 another 1; along the axis the way there is the depth. Its slope there is 7/3."""
    deep = System([Surface(5.0, 0.0, {4: 1.0 / 256.0})], [1.0, 1.5])
    rays = trace(deep, x_mm=[0.0, 4.0], y_mm=[4.0, 0.0])
    assert rays.fate.tolist() == [Fate.ARRIVED, Fate.ARRIVED]
    assert rays.z_mm == pytest.approx([3.0, 3.0], rel=1e-14, abs=0.0)


def test_light_that_turned_back_at_one_surface_is_lost_at_the_next():
    """From index 1.9 at 64° to the axis onto a sphere of 10 mm at (6, 2), whose normal stands at 36.9°: out at 36.9° + asin(1.9·sin 27.1°) = 97°.

    It would meet the next sphere, of 7 mm and 1 mm behind the first, at (2.89, 1.62) and from its own side: but light travels +z.
    """
    steep, normal = np.deg2rad(64.0), np.arcsin(0.6)
    out = normal + np.arcsin(1.9 * np.sin(steep - normal))
    assert out > np.pi / 2.0
    start = np.array([[6.0 + 2.0 * np.tan(steep)]])
    row, v = System([Surface(10.0), Surface(7.0)], [1.9, 1.0, 1.0], [1.0]).row(), np.tan(steep) / start[0]
    plain, (loop, lost) = _beam(row, v, start, np.zeros((1, 1))), beam_through_conics(row, v, start, np.zeros((1, 1)))
    assert (plain[7].item(), plain[8].item()) == (Fate.MISSED, 2)
    assert lost.tolist() == [[True]]
    assert loop[0].item() == pytest.approx(2.885, abs=1e-3)
    alone = _beam(System([Surface(10.0)], [1.9, 1.0], []).row(), v, start, np.zeros((1, 1)))
    assert (alone[3].item(), alone[5].item()) == pytest.approx((-np.sin(out), np.cos(out)), rel=1e-12, abs=0.0)


def test_the_least_wavefront_of_a_lens_of_5_mD_lies_midway():
    """Third order: half the way from the paraxial to the marginal focus (Welford, Aberrations of Optical Systems, ch. 8; from memory, to be confirmed
    against the text), as vergences since both lie 250 m behind. The next order is 0.4 % of it."""
    meniscus = System([Surface(20.0), Surface(19.91)], [1.336, 1.49, 1.336], [1.0])
    paraxial = float(paraxial_image(meniscus).image_distance_mm)
    rim = trace(meniscus, x_mm=1.5)
    marginal = rim.z_mm - rim.x_mm * rim.direction_z / rim.direction_x
    best = paraxial + mtf(meniscus, Beam(3.0), frequency_per_mm=1e-3, wavelength_nm=546.07, focus="least_wavefront").focus_shift_mm
    assert paraxial == pytest.approx(257_300.0, rel=1e-3, abs=0.0)
    assert (1.0 / best - 1.0 / paraxial) / (1.0 / marginal - 1.0 / paraxial) == pytest.approx(0.5, rel=5e-3, abs=0.0)
