"""Vergence, sag, refraction, reflection, exact rays: against the equations in 60 digits."""

import numpy as np
import pytest
from measured import Case, Rows, accuracy_holds
from mpmath import acos, asin, cos, inf, jacobi, mpf, pi, sin, sqrt

from lenscalc import light
from lenscalc.light import Beam, Surface, System


def degrees(x):
    return x * 180 / pi


def radians(x):
    return x * pi / 180


def sag(radius_mm, height_mm, conic):
    """From R² − (R − (1 + k)s)² = (1 + k)h², the conic solved for s; not the form of the code."""
    R, h, p = radius_mm, height_mm, 1 + conic
    if abs(R) == inf:
        return mpf(0)
    root = sqrt(R * R - p * h * h)
    return h * h / (2 * R) if p == 0 else (R - (root if R > 0 else -root)) / p


def conics(rows):
    R = rows.log(0.1, 1e7, 1e7, 0.1, np.inf, 15.0) * rows.signs()
    k = rows.even(-50, 5, -1.0, 0.0, -1.0 + 1e-12, -1000.0)
    end = np.where(np.isinf(R), 100.0, np.abs(R)) / np.sqrt(np.maximum(1 + k, 1e-3))
    return {"radius_mm": R, "conic": k, "height_mm": np.minimum(end * rows.even(0.001, 0.999), 100.0)}


def fresnel(n1, n2, angle_deg):
    """r by the angles: sin(θ2 − θ1)/sin(θ1 + θ2) and tan(θ2 − θ1)/tan(θ1 + θ2), T = 1 − R."""
    if n1 == n2:
        return (mpf(0),) * 3 + (mpf(1),) * 3
    a = radians(angle_deg)
    if n1 * sin(a) / n2 > 1:
        return (mpf(1),) * 3 + (mpf(0),) * 3
    if angle_deg == 0:
        s = p = ((n1 - n2) / (n1 + n2)) ** 2
    elif angle_deg == 90:
        s = p = mpf(1)
    else:
        b = asin(n1 * sin(a) / n2)
        s = (sin(b - a) / sin(a + b)) ** 2
        p = s * (cos(a + b) / cos(a - b)) ** 2
    return s, p, (s + p) / 2, 1 - s, 1 - p, 1 - (s + p) / 2


def fresnel_scale(n1, n2, angle_deg):
    s, p, r, *through = fresnel(n1, n2, angle_deg)
    return s, max(p, ((n1 - n2) / (n1 + n2)) ** 2), r, *through  # at Brewster's angle p is nothing


def paths(rows):
    n1 = rows.even(1.0, 1.5, 1.0, 1.336, 1.4, 1.336, 1.336, 1.336, 1.49)
    n2 = n1 + np.maximum(rows.log(1e-9, 1.0, 0.5, 1e-9, 0.0, 0.154, 0.154, 1e-9, 0.01), 0)
    return {"n1": n1, "n2": n2, "angle_deg": 90.0 - rows.log(1e-6, 90.0, 34.0, 1e-6, 1e-3, 90.0, 1e-9, 45.0, 1e-5)}


def zernike4(x, y):
    rho2, n, m = x * x + y * y, 8, 4
    radial = (-1) ** ((n - m) // 2) * rho2**2 * jacobi((n - m) // 2, m, 0, 1 - 2 * rho2)
    return sqrt(2 * (n + 1)) * radial * ((x * x - y * y) ** 2 - 4 * x * x * y * y) / (rho2 * rho2)


def ray(radii, indices, gap, height):
    """A meridional ray through two spheres by angles: where it stands behind the last vertex, and its slope angle."""
    (R1, R2), (n0, n1, n2) = radii, indices
    i = asin(height / R1)
    r = asin(n0 * height / R1 / n1)
    u = i - r  # towards the axis
    z = R1 - R1 * cos(i)
    # second surface: distance of the ray from its centre of curvature
    y_at_centre = height - (gap + R2 - z) * sin(u) / cos(u)
    j = asin(y_at_centre * cos(u) / R2)
    k = asin(n1 * sin(j) / n2)
    w = u + j - k
    # where it meets the sphere: at the angle u + j from the axis, seen from the centre
    y, z2 = R2 * sin(j + u), gap + R2 - R2 * cos(j + u)
    return y, z2 - gap, w


def focal(front_mm, back_mm, gap_mm, n_lens, height_mm):
    y, z, w = ray((front_mm, back_mm), (mpf(1.336), n_lens, mpf(1.336)), gap_mm, height_mm)
    return y, z, sin(w)


def paraxial(front_mm, back_mm, gap_mm, n_lens):
    m = mpf(1.336)
    F1, F2 = (n_lens - m) / front_mm, (m - n_lens) / back_mm
    F = F1 + F2 - gap_mm / n_lens * F1 * F2
    return m * (1 - gap_mm / n_lens * F1) / F, 1000 * F


def aberration(front_mm, back_mm, gap_mm, n_lens, height_mm):
    y, z, w = ray((front_mm, back_mm), (mpf(1.336), n_lens, mpf(1.336)), gap_mm, height_mm)
    return z + y * cos(w) / sin(w) - paraxial(front_mm, back_mm, gap_mm, n_lens)[0]


def lens(front_mm, back_mm, gap_mm, n_lens):
    return System([Surface(front_mm), Surface(back_mm)], [1.336, n_lens, 1.336], [gap_mm])


def lenses(rows, **more):
    return {"front_mm": rows.log(5, 200), "back_mm": -rows.log(5, 200), "gap_mm": rows.even(0.0, 2.0, 0.0), "n_lens": rows.even(1.4, 1.7), **more}


def traced(front_mm, back_mm, gap_mm, n_lens, height_mm):
    t = light.trace(lens(front_mm, back_mm, gap_mm, n_lens), x_mm=height_mm[:, np.newaxis])
    return t.x_mm[:, 0], t.z_mm[:, 0], -t.direction_x[:, 0]


A = Rows(200)
CASES = [
    Case(light.vergence_downstream, {"vergence_D": A.even(-100, 60, 0.0, 5e-324, 1e-300), "distance_mm": A.even(0, 10), "n_medium": A.even(1, 2)},
         lambda vergence_D, distance_mm, n_medium: 1 / (1 / vergence_D - distance_mm / (1000 * n_medium)) if vergence_D else mpf(0)),
    Case(light.vergence_upstream, {"vergence_D": A.even(-60, 100, 0.0, 5e-324, 1e-300), "distance_mm": A.even(0, 10), "n_medium": A.even(1, 2)},
         lambda vergence_D, distance_mm, n_medium: 1 / (1 / vergence_D + distance_mm / (1000 * n_medium)) if vergence_D else mpf(0)),
    Case(light.sag_mm, conics(A), sag),
    Case(light.aspheric_sag_mm, conics(A),
         lambda radius_mm, height_mm, conic: sag(radius_mm, height_mm, conic) + mpf(1e-4) * height_mm**4 - mpf(2e-6) * height_mm**6,
         of=lambda **a: light.aspheric_sag_mm(**a, aspheric={4: 1e-4, 6: -2e-6}),
         scale=lambda radius_mm, height_mm, conic: abs(sag(radius_mm, height_mm, conic)) + mpf(1e-4) * height_mm**4 + mpf(2e-6) * height_mm**6),
    Case(light.snell_deg, {"n1": A.even(1, 1.4), "n2": A.even(1.4, 2), "angle_deg": A.even(-90, 90, 0.0, 90.0, 1e-300, 89.999)},
         lambda n1, n2, angle_deg: degrees(asin(n1 * sin(radians(angle_deg)) / n2))),
    Case(light.fresnel, paths(A), fresnel, scale=fresnel_scale),
    Case(light.normal_reflectance, {"n1": A.even(1, 2, 1.0), "n2": A.even(1, 2, 1.0) + 1e-9}, lambda n1, n2: (1 - 2 * n2 / (n1 + n2)) ** 2),
    Case(light.double_reflectance, {"n_before": A.even(1, 1.4), "n_between": A.even(1.4, 1.7, 1.4), "n_behind": A.even(1, 1.4)},
         lambda n_before, n_between, n_behind: (1 - (1 - 2 * n_between / (n_before + n_between)) ** 2)
         * (1 - 2 * n_behind / (n_between + n_behind)) ** 2
         * (1 - 2 * n_between / (n_before + n_between)) ** 2 * (1 - (1 - 2 * n_behind / (n_between + n_behind)) ** 2)),
    Case(light.cut_off_per_mm, {"pupil_diameter_mm": A.even(1, 6), "convergence_D": A.log(1e-6, 100), "wavelength_nm": A.even(400, 700)},
         lambda pupil_diameter_mm, convergence_D, wavelength_nm: pupil_diameter_mm * convergence_D * 1000 / wavelength_nm),
    Case(light.diffraction_mtf, {"frequency_per_mm": A.even(0, 110, 0.0, 1e-9, 109.999999, 110.0, 120.0), "cut_off_per_mm": 110.0 + A.even(0, 0)},
         lambda frequency_per_mm, cut_off_per_mm: (2 * acos(s) - sin(2 * acos(s))) / pi if (s := frequency_per_mm / cut_off_per_mm) < 1 else mpf(0),
         scale=lambda **_: mpf(1)),
    Case(light.defocus_D, {"shift_mm": A.log(1e-12, 10) * A.signs(), "convergence_D": A.log(0.01, 60), "n_image": A.even(1, 1.5)},
         lambda shift_mm, convergence_D, n_image: 1000 * n_image / (1000 * n_image / convergence_D + shift_mm) - convergence_D),
    Case(light.zernike, {"x": A.even(-0.7, 0.7), "y": A.even(-0.7, 0.7)}, zernike4, of=lambda x, y: light.zernike(8, 4, x, y),
         scale=lambda **_: sqrt(mpf(18))),
    Case(light.paraxial_image, lenses(A), paraxial, of=lambda **a: light.paraxial_image(lens(**a))[:2]),
    Case(light.trace, lenses(A, height_mm=A.log(1e-6, 2.0)), focal, of=traced,
         scale=lambda height_mm, **_: (height_mm, height_mm**2 / 5, height_mm / 100)),
    Case(light.longitudinal_spherical_aberration_mm, lenses(A, height_mm=A.even(0.5, 2.0)), aberration,
         of=lambda height_mm, **a: light.longitudinal_spherical_aberration_mm(lens(**a), Beam(2.0 * height_mm)),
         scale=lambda height_mm, **a: paraxial(**a)[0]),
]  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=str)
def test_accuracy(case):
    accuracy_holds(case)


def test_norm_of_a_zernike_polynomial_is_that_of_the_statement():
    assert float(zernike4(mpf(1), mpf(0))) == pytest.approx(18**0.5)


@pytest.mark.parametrize("angle", [0.0, 30.0, 89.9, 89.9999999, 90.0])
@pytest.mark.parametrize("step", [0.0, 1e-12, 1e-9, 0.154])
def test_energy_is_kept_at_a_surface_whatever_the_step_of_index_and_the_angle(angle, step):
    for n1, n2 in ((1.336, 1.336 + step), (1.336 + step, 1.336)):
        f = light.fresnel(n1, n2, angle)
        for r, t in ((f.reflectance_s, f.transmittance_s), (f.reflectance_p, f.transmittance_p), (f.reflectance, f.transmittance)):
            if angle < 90.0 or step:
                assert r + t == pytest.approx(1.0, abs=1e-15)
