"""Ends that belong to what is allowed, lenses whose power comes from their thickness alone, and surfaces that cross in between."""

from math import acos, pi

import numpy as np
import pytest

from lenscalc import InputError, recut, thick_lens
from lenscalc.lens import volume_mm3
from lenscalc.lens.chromatic_focus import chromatic_difference_D
from lenscalc.lens.image_quality import CRITERION_MTF, MODEL_EYE_VERGENCE_D, image_quality, lens_system


@pytest.mark.parametrize("n_medium", [1.32, 1.36])
def test_the_ends_of_an_aqueous_belong_to_it(n_medium):
    assert chromatic_difference_D(15.0, -15.0, 0.9, 1.49, abbe_d=58.0, n_medium=n_medium) > 0.0
    with pytest.raises(InputError):
        chromatic_difference_D(15.0, -15.0, 0.9, 1.49, abbe_d=58.0, n_medium=n_medium + np.copysign(1e-9, n_medium - 1.34))


@pytest.mark.parametrize(
    ("held", "m2", "of_x"), [({"curvature_ratio": 2.0}, 1.375, (1.0, 2.0)), ({"shape_factor": -7.0}, 1.3125, (-3.0, -4.0))]
)
def test_power_of_thickness_alone_between_two_media(held, m2, of_x):
    """n = 1.5 in 1.25: s1 = 250, and s2 = 1000(m2 − 1.5), with c1 = a·x and c2 = b·x: a·s1 + b·s2 = 0, so that F = −t/(1000n)·s1·s2·a·b·x²."""
    (a, b), s1, s2, t = of_x, 250.0, 1000.0 * (m2 - 1.5), 0.9
    assert a * s1 + b * s2 == 0.0
    F = 1e-3
    x = (F / (-t / 1500.0 * s1 * s2 * a * b)) ** 0.5
    made = recut(F, 1.5, n_medium=1.25, n_medium_behind=m2, center_thickness_mm=t, **held)
    assert [abs(float(r)) for r in (made.front_radius_mm, made.back_radius_mm)] == pytest.approx(
        [abs(1.0 / (a * x)), abs(1.0 / (b * x))], rel=1e-12, abs=0.0
    )
    back = thick_lens(made.front_radius_mm, made.back_radius_mm, t, 1.5, n_medium=1.25, n_medium_behind=m2)
    assert back.power_D == pytest.approx(F, rel=1e-9, abs=0.0)


def test_flat_rims_reach_beyond_a_sphere():
    """Radii of 2.9 mm at a rim of 3: an ellipsoid of k = −½ has there s = ch²/(1 + √(1 − ch·ch/2)); its lens, made back from power and edge."""
    c = 1.0 / 2.9
    s = 9.0 * c / (1.0 + (1.0 - 0.5 * 9.0 * c * c) ** 0.5)
    given = {"n_lens": 1.40, "front_conic": -0.5, "back_conic": -0.5, "optic_diameter_mm": 6.0, "wanted_edge_thickness_mm": 0.3}
    power = thick_lens(2.9, -2.9, 0.3 + 2.0 * s, 1.40).power_D
    made = recut(power, **given)
    assert [float(made.front_radius_mm), float(made.center_thickness_mm)] == pytest.approx([2.9, 0.3 + 2.0 * s], rel=1e-9, abs=0.0)


def test_a_front_that_crosses_the_back_between_centre_and_edge():
    """At 1.5 mm: front 0.45/(1 + √1.81) = 0.1919 of R = 5, k = −10, back 0.28125/(1 + √0.96484) = 0.1419 of R = 8; at 5 mm 1.201, 1.755."""
    for surfaces in ((5.0, 8.0, {"front_conic": -10.0}), (-8.0, -5.0, {"back_conic": -10.0})):
        front, back, conic = surfaces
        assert volume_mm3(front, back, 0.06, 10.0, **conic) > 0.0
        with pytest.raises(InputError, match="the surfaces cross at a height of"):
            volume_mm3(front, back, 0.02, 10.0, **conic)


def test_a_lens_is_of_spheres_unless_said_otherwise():
    assert [s.conic for s in lens_system(15.0, back_radius_mm=-15.0, center_thickness_mm=0.9, n_lens=1.49).surfaces] == [0.0, 0.0]


def test_the_imaging_criterion_lies_within_what_light_can_do():
    """A perfect lens in the model eye at 100/mm: ν = λ·f/(d·n) of its cut-off, MTF = 2/π·(arccos ν − ν√(1 − ν²)); strong aberration is below."""
    lens = {"back_radius_mm": -15.0, "center_thickness_mm": 0.9, "n_lens": 1.49, "vergence_D": MODEL_EYE_VERGENCE_D}
    found = image_quality(15.0, **lens)
    v = 100.0 / found.cut_off_per_mm
    perfect = 2.0 / pi * (acos(v) - v * (1.0 - v * v) ** 0.5)
    assert found.diffraction_mtf == pytest.approx(perfect, abs=1e-6)
    assert image_quality(15.0, **lens | {"pupil_diameter_mm": 6.0}).mtf < CRITERION_MTF < perfect


def test_a_held_tool_may_have_the_smallest_radius():
    """Thin, n − m = 0.01: a front of 0.5 mm has 20 D; of 30 D the back has 10 D, R2 = −1 mm."""
    found = recut(30.0, 1.346, n_medium=1.336, front_radius_mm=0.5, center_thickness_mm=0.0)
    assert (found.problem, found.front_radius_mm, found.back_radius_mm) == ("", 0.5, pytest.approx(-1.0, rel=1e-12, abs=0.0))


def test_a_held_tool_may_have_the_longest_radius():
    """Thin: a front of 10⁷ mm has 154/10⁷ D, and is no plano one; the back has the rest."""
    found = recut(20.0, 1.49, front_radius_mm=1e7, center_thickness_mm=0.0)
    assert (found.problem, found.front_radius_mm) == ("", 1e7)
    assert found.back_radius_mm == pytest.approx(-154.0 / (20.0 - 154e-7), rel=1e-12, abs=0.0)
