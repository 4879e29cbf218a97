"""Chromatic focus, and spherical aberration in third order against an exact ray."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lenscalc import Dispersion, InputError
from lenscalc.lens import chromatic_focus, conic_for_aberration, least_aberration_shape_factor, third_order_aberration

PMMA = Dispersion.from_abbe(1.490595, 58.0)
POLYSTYRENE = Dispersion.from_abbe(1.591630, 29.53)


def test_the_line_in_use_has_the_power_in_use():
    c = chromatic_focus(15.0, -15.0, 0.9, dispersion=PMMA, n_lens=1.49, lines=[546.07])
    assert float(c.power_D[0]) == pytest.approx(20.469666, abs=6e-7)
    assert (float(c.power_shift_D[0]), float(c.focus_shift_mm[0])) == (0.0, 0.0)


def test_blue_is_stronger_and_a_low_abbe_number_spreads_more():
    for dispersion in (PMMA, POLYSTYRENE):
        c = chromatic_focus(15.0, -15.0, 0.9, dispersion=dispersion)
        assert c.power_D[0] < c.power_D[1] < c.power_D[2]
        assert c.back_focal_length_mm[0] > c.back_focal_length_mm[2]
    spread = [float(np.ptp(chromatic_focus(15.0, -15.0, 0.9, dispersion=d).power_D)) for d in (PMMA, POLYSTYRENE)]
    assert spread[1] > 3 * spread[0]


def test_the_medium_disperses_too():
    # thin: 1000·(c1 − c2)·((n_F − n_C) − (m_F − m_C)), the medium's 0.0066 by the published curve, the lens's 0.490595/58
    c = chromatic_focus(15.0, -15.0, 0.0, dispersion=PMMA)
    assert float(c.power_D[2] - c.power_D[0]) == pytest.approx(1000.0 * 2 / 15 * (0.490595 / 58.0 - 0.00664), abs=0.01)


def test_arrays_of_lenses_carry_the_lines_last():
    c = chromatic_focus([15.0, 12.0], [-15.0, np.inf], 0.9, dispersion=PMMA, n_lens=[1.49, 1.50], lines=("C", "e", "d", "F"))
    assert c.power_D.shape == (2, 4)
    assert c.n_lens.shape == (2, 4)
    alone = chromatic_focus(12.0, np.inf, 0.9, dispersion=PMMA, n_lens=1.50, lines=("C", "e", "d", "F"))
    assert c.power_D[1].tolist() == alone.power_D.tolist()


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"lines": ("C", "x")}, "unknown line 'x'"), ({"lines": ()}, "lines is empty"), ({"lines": [0.546]}, "wavelength"),
        ({"lines": [1000.0]}, "400"), ({"n_medium": 1.0}, "aqueous"), ({"n_lens": 14.9}, "decimal point"),
    ],
)  # fmt: skip
def test_a_line_outside_the_known_range_is_refused(change, told):
    with pytest.raises(InputError, match=told):
        chromatic_focus(15.0, -15.0, 0.9, **{"dispersion": PMMA, **change})


def marginal_less_paraxial(R1, R2, t, n, m, y, L=0.0):
    """Longitudinal aberration [mm] of an exact meridional ray through two spheres, aimed at height y of the front vertex plane: vectors and Snell."""

    def refract(point, direction, center, R, before, after):
        p = (point[0] - center, point[1])
        b = p[0] * direction[0] + p[1] * direction[1]
        root = math.sqrt(b * b - (p[0] ** 2 + p[1] ** 2 - R * R))
        length = -b - math.copysign(root, R)
        hit = (p[0] + length * direction[0], p[1] + length * direction[1])
        normal = (-hit[0] / R, -hit[1] / R)  # towards +z
        cos_in = direction[0] * normal[0] + direction[1] * normal[1]
        mu = before / after
        cos_out = math.sqrt(1 - mu * mu * (1 - cos_in * cos_in))
        out = (mu * direction[0] + (cos_out - mu * cos_in) * normal[0], mu * direction[1] + (cos_out - mu * cos_in) * normal[1])
        return (hit[0] + center, hit[1]), out

    slope = -y * L / (1000.0 * m)
    start = (1.0 / math.hypot(1.0, slope), slope / math.hypot(1.0, slope))
    point, direction = refract((-10.0, y - 10.0 * slope), start, R1, R1, m, n)
    point, direction = refract(point, direction, t + R2, R2, n, m)
    # vergences step by step
    inside = L + 1000.0 * (n - m) / R1
    behind = inside / (1.0 - t / (1000.0 * n) * inside) + 1000.0 * (m - n) / R2
    return point[0] - point[1] * direction[0] / direction[1] - t - 1000.0 * m / behind


@given(
    st.floats(10.0, 40.0), st.floats(-40.0, -10.0), st.floats(0.3, 2.0), st.floats(1.42, 1.6), st.sampled_from([1.0, 1.336]), st.floats(0.0, 40.0)
)  # fmt: skip
def test_a_ray_near_the_axis_has_the_third_order_aberration(R1, R2, t, n, m, L):
    y = 0.2
    third = third_order_aberration(R1, R2, t, n, pupil_diameter_mm=2 * y, n_medium=m, vergence_D=L).longitudinal_spherical_aberration_mm
    assert third < 0
    assert marginal_less_paraxial(R1, R2, t, n, m, y, L) == pytest.approx(third, rel=5e-3, abs=1e-8)


def test_at_three_millimetres_an_exact_ray_differs_by_half_a_percent():
    third = third_order_aberration(15.0, -15.0, 0.9, 1.49, pupil_diameter_mm=3.0)
    exact = marginal_less_paraxial(15.0, -15.0, 0.9, 1.49, 1.336, 1.5)
    assert exact / third.longitudinal_spherical_aberration_mm == pytest.approx(1.0046, abs=2e-4)
    assert third.best_focus_shift_mm / third.longitudinal_spherical_aberration_mm == pytest.approx(2 / 3)


def test_the_zernike_coefficient_by_projection():
    """W040·ρ⁴ projected onto √5(6ρ⁴ − 6ρ² + 1), mean over the disc."""
    a = third_order_aberration(15.0, -15.0, 0.9, 1.49, pupil_diameter_mm=3.0)
    r2 = (np.arange(200_000) + 0.5) / 200_000  # equal areas
    mean = np.mean(a.wavefront_w040_um * r2 * r2 * math.sqrt(5) * (6 * r2 * r2 - 6 * r2 + 1))
    assert a.zernike_4_0_um == pytest.approx(float(mean), rel=1e-6, abs=0.0)


def test_the_cartesian_surface_has_no_aberration():
    # light from within n focused in m by one surface: k = −(n/m)²: a plano-convex lens whose back surface is the hyperboloid
    k = conic_for_aberration(np.inf, -15.0, 1.0, 1.49, surface="back", pupil_diameter_mm=5.0)
    assert k == pytest.approx(-((1.49 / 1.336) ** 2), rel=1e-12, abs=0.0)
    a = third_order_aberration(np.inf, -15.0, 1.0, 1.49, pupil_diameter_mm=5.0, back_conic=k)
    assert a.wavefront_w040_um == pytest.approx(0.0, abs=1e-12)


@given(st.sampled_from(["front", "back"]), st.floats(-0.3, 0.3), st.floats(-10.0, 40.0), st.floats(-5.0, 2.0))
def test_the_conic_leaves_what_was_wanted(surface, wanted, vergence, other):
    lens = (15.0, -12.0, 1.0, 1.49)
    k = conic_for_aberration(*lens, surface=surface, pupil_diameter_mm=4.0, zernike_4_0_um=wanted, vergence_D=vergence, other_conic=other)
    conics = {"front_conic": k, "back_conic": other} if surface == "front" else {"front_conic": other, "back_conic": k}
    again = third_order_aberration(*lens, pupil_diameter_mm=4.0, vergence_D=vergence, **conics)
    assert again.zernike_4_0_um == pytest.approx(wanted, abs=1e-12)


def test_the_best_bending_is_a_least():
    X = least_aberration_shape_factor(1.49)
    total = 20.0 / 154.0

    def aberration(shape):
        return third_order_aberration(2 / (total * (1 + shape)), 2 / (total * (shape - 1)), 0.0, 1.49, pupil_diameter_mm=3.0).wavefront_w040_um

    assert aberration(X) < min(aberration(X - 0.02), aberration(X + 0.02))
    assert aberration(X - 0.02) == pytest.approx(aberration(X + 0.02), rel=1e-9, abs=0.0)


def test_what_cannot_be_is_refused():
    with pytest.raises(InputError, match="plano surface"):
        conic_for_aberration(np.inf, -15.0, 1.0, 1.49, surface="front", pupil_diameter_mm=3.0)
    with pytest.raises(InputError, match="did you mean front"):
        conic_for_aberration(15.0, -15.0, 1.0, 1.49, surface="frond", pupil_diameter_mm=3.0)
    with pytest.raises(InputError, match="pupil_diameter_mm = 3000"):
        third_order_aberration(15.0, -15.0, 0.9, 1.49, pupil_diameter_mm=3000.0)
