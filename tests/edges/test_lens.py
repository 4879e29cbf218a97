"""The lens at the edges of what can be: equal radii, hardly any power, the medium's own index, plano, thin, toric; in 60 digits."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from measured import Case, Rows, accuracy_holds
from mpmath import atan2, cos, diff, inf, mpf, nan, pi, quad, sin, sqrt

from lenscalc import InputError, lens
from lenscalc.lens import PowerVector

A = Rows(200)
WIDE = {
    "front_radius_mm": A.log(0.5, 1e7, 15.0, 15.0, np.inf, 0.5, 1e7, 15.0, np.inf, 15.0) * A.signs(),
    "back_radius_mm": A.log(0.5, 1e7, 15.0, np.inf, -9.0, -0.5, 1e7, 15.0000001, np.inf, -15.0) * A.signs(),
    "center_thickness_mm": A.even(0, 5, 0.9, 0.9, 0.9, 100.0, 0.0, 1e-30, 0.9, 1e-30),
    "n_lens": A.even(1, 3, 1.49, 1.49, 1.336, 3.0, 1.0, 1.336 + 1e-9, 1.49, 1.336 + 2.0**-52),
    "n_medium": A.even(1, 2, 1.336, 1.336, 1.336, 1.0, 1.0, 1.336, 1.336, 1.336),
    "n_medium_behind": A.even(1, 2, 1.336, 1.336, 1.336, 1.0, 1.0, 1.336, 1.336, 1.0),
}
ONE = {name: x for name, x in WIDE.items() if name != "n_medium_behind"}
USUAL = {
    "front_radius_mm": A.even(5, 40), "back_radius_mm": -A.even(5, 40), "center_thickness_mm": A.even(0, 1.5, 0.0), "n_lens": A.even(1.4, 1.6),
    "n_medium": A.even(1.3, 1.35),
}  # fmt: skip
SHAPE = {"front_radius_mm": A.log(5, 1e7), "back_radius_mm": -A.log(5, 1e7), "center_thickness_mm": A.even(2, 3), "optic_diameter_mm": A.even(1, 6)}


def surfaces(R1, R2, n, m1, m2):
    return 1000 * (n - m1) / R1, 1000 * (m2 - n) / R2


def powers(front_radius_mm, back_radius_mm, center_thickness_mm, n_lens, n_medium, n_medium_behind):
    """The lens as matrices of height and index·slope: F = −C, the vertex powers from C/A and C/D."""
    R1, R2, t, n, m1, m2 = front_radius_mm, back_radius_mm, center_thickness_mm, n_lens, n_medium, n_medium_behind
    F1, F2 = surfaces(R1, R2, n, m1, m2)
    gap = t / (1000 * n)
    a, b = 1 - gap * F1, gap
    c, d = -F1 - F2 * a, 1 - F2 * b
    F = -c
    none = inf if F1 else nan  # of a window no plane is principal
    ends = (inf, inf, inf, none, none) if F == 0 else (1000 * m2 / F, -1000 * m1 * d / F, 1000 * m2 * a / F, 1000 * m1 * (1 - d) / F,
        1000 * m2 * (a - 1) / F)
    return F, F1, F2, F / d, F / a, *ends


def lost(**x):
    """How much is lost where the surfaces' powers cancel: their sum of magnitudes over the power."""
    F, F1, F2, *_ = powers(**x)
    gap = x["center_thickness_mm"] / (1000 * x["n_lens"])
    a, d = abs(1 - gap * F1), abs(1 - gap * F2)
    A, D = 1 + abs(gap * F1), 1 + abs(gap * F2)
    all_of_it = abs(F1) + abs(F2) + abs(gap * F1 * F2)
    amplified = all_of_it / abs(F) if F else mpf(1)
    P = powers(**x)
    return (
        all_of_it, abs(F1), abs(F2), abs(P[3]) * (amplified + D / d), abs(P[4]) * (amplified + A / a), abs(P[5]) * amplified,
        abs(P[6]) * (amplified + D / d), abs(P[7]) * (amplified + A / a), abs(P[8]) * amplified, abs(P[9]) * amplified,
    )  # fmt: skip


def bare(**x):
    with np.errstate(divide="ignore", invalid="ignore"):
        return tuple(lens.powers_of(*x.values()))


def slopes(front_radius_mm, back_radius_mm, center_thickness_mm, n_lens, n_medium, n_medium_behind):
    """Derivatives of the matrices' power by a difference in 60 digits."""
    x = {"front_radius_mm": front_radius_mm, "back_radius_mm": back_radius_mm, "center_thickness_mm": center_thickness_mm, "n_lens": n_lens,
         "n_medium": n_medium, "n_medium_behind": n_medium_behind}  # fmt: skip
    return tuple(
        diff(lambda v, name=name: powers(**{**x, name: v})[0], x[name])
        for name in ("n_lens", "n_medium", "n_medium_behind", "front_radius_mm", "back_radius_mm", "center_thickness_mm")
    )


def of_slopes(**x):
    s = lens.power_sensitivity(**x)
    return (s.d_power_d_n_lens, s.d_power_d_n_medium, s.d_power_d_n_medium_behind, s.d_power_d_front_radius_mm, s.d_power_d_back_radius_mm,
            s.d_power_d_center_thickness_mm)  # fmt: skip


def slope_scale(**x):
    first = slopes(**x)
    R1, R2 = x["front_radius_mm"], x["back_radius_mm"]
    return (1000 / abs(R1) + 1000 / abs(R2), *(abs(s) for s in first[1:]))


def equi_convex(power_D, n_lens, center_thickness_mm):
    """R of a lens of two equal surfaces with this power: R·R·F − 2R·s + t·s²/(1000·n) = 0 in R, s = 1000(n − m)."""
    s = 1000 * (n_lens - mpf(1.336))
    return (s + sqrt(s * s - power_D * center_thickness_mm * s * s / (1000 * n_lens))) / power_D


def meniscus(power_D, n_lens, center_thickness_mm):
    """Equal radii: F = t·s²/(1000·n·R²)."""
    return 1000 * (n_lens - mpf(1.336)) * sqrt(center_thickness_mm / (1000 * n_lens * power_D))


def edge(front_radius_mm, back_radius_mm, center_thickness_mm, optic_diameter_mm):
    h2 = optic_diameter_mm**2 / 4
    return center_thickness_mm - (front_radius_mm - sqrt(front_radius_mm**2 - h2)) + (back_radius_mm + sqrt(back_radius_mm**2 - h2))


def volume(front_radius_mm, back_radius_mm, center_thickness_mm, optic_diameter_mm):
    """The thickness at every height, integrated over the disc; Legendre to 30 digits."""
    return 2 * pi * quad(lambda r: r * edge(front_radius_mm, back_radius_mm, center_thickness_mm, 2 * r), [0, optic_diameter_mm / 2])


def toric(sphere_D, cylinder_D, axis_deg):
    a = 2 * axis_deg * pi / 180
    return sphere_D + cylinder_D / 2, -cylinder_D / 2 * cos(a), -cylinder_D / 2 * sin(a)


def of_residual(C, angle):
    return lens.rotation_residual(C, axis_deg=30.0, rotation_deg=angle).cylinder_D


def chromatic(R, t, n, V):
    """Power at F less power at C of an equi-convex lens: indices by the two-parameter Cauchy form, the aqueous by its published curve."""
    from test_material import C, F, aqueous, by_abbe

    e = mpf(546.07)
    at = []
    for line in (F, C):
        m = mpf(1.336) + aqueous(line) - aqueous(e)
        at.append(powers(R, -R, t, by_abbe(n, e, V, line), m, m)[0])
    return at[0] - at[1]


def seidel(front_radius_mm, back_radius_mm, center_thickness_mm, n_lens):
    """W040 [mm] of collimated light by the two surfaces' −A²·y·Δ(u/n), 3 mm wide."""
    R1, R2, t, n, m, h = front_radius_mm, back_radius_mm, center_thickness_mm, n_lens, mpf(1.336), mpf(1.5)
    u1 = -h * (n - m) / R1 / n
    first = -((m * h / R1) ** 2) * h * (u1 / n)
    y = h + t * u1
    u2 = (n * u1 - y * (m - n) / R2) / m
    return 1000 * (first - (n * (u1 + y / R2)) ** 2 * y * (u2 / m - u1 / n)) / 8


CASES = [
    Case(lens.thick_lens, WIDE, powers, scale=lost, of=lambda **x: tuple(lens.thick_lens(**x))),
    Case(lens.powers_of, WIDE, powers, scale=lost, of=bare),
    Case(lens.power_sensitivity, USUAL | {"n_medium_behind": A.even(1, 1.35)}, slopes, of=of_slopes, scale=slope_scale),
    Case(lens.sensitivities_of, USUAL | {"n_medium_behind": A.even(1, 1.35)}, lambda **x: slopes(**x)[:3],
         of=lambda **x: tuple(lens.sensitivities_of(*x.values())[:3]), scale=lambda **x: slope_scale(**x)[:3]),
    Case(lens.recut, {"power_D": A.log(0.01, 60, 0.01, 60.0), "n_lens": A.even(1.35, 1.7), "center_thickness_mm": A.even(0, 1.5, 0.0)}, equi_convex,
         of=lambda **x: lens.recut(**x).front_radius_mm),
    Case(lens.index_from_power, USUAL, lambda n_lens, **x: n_lens,
         of=lambda n_lens, **x: lens.index_from_power(lens.thick_lens(n_lens=n_lens, **x).power_D, **x)),
    Case(lens.edge_thickness_mm, SHAPE, edge, scale=lambda center_thickness_mm, **_: center_thickness_mm),
    Case(lens.center_thickness_for_edge_mm, SHAPE, lambda center_thickness_mm, **x: center_thickness_mm - edge(center_thickness_mm=mpf(0), **x),
         of=lambda center_thickness_mm, **x: lens.center_thickness_for_edge_mm(wanted_edge_thickness_mm=center_thickness_mm, **x)),
    Case(lens.volume_mm3, {name: x[:15] for name, x in SHAPE.items()}, volume),
    Case(lens.mass_mg, {"volume_mm3": A.log(1e-3, 1e3), "density_kg_per_m3": A.even(900, 1500)},
         lambda volume_mm3, density_kg_per_m3: volume_mm3 * density_kg_per_m3 / 1000),
    Case(lens.reflection, {"n_lens": A.even(1.35, 1.7, 1.336 + 1e-9)}, lambda n_lens: ((1 - 2 * mpf(1.336) / (n_lens + mpf(1.336))) ** 2,) * 2,
         of=lambda n_lens: tuple(lens.reflection(n_lens)[:2])),
    Case(lens.power_vector, {"sphere_D": A.even(-30, 30), "cylinder_D": A.even(-9, 9), "axis_deg": A.even(0, 180, 0.0, 90.0, 180.0, 45.0, 1e-300)},
         toric, of=lambda **x: tuple(lens.power_vector(**x)),
             scale=lambda cylinder_D, sphere_D, **_: (abs(sphere_D) + abs(cylinder_D), *[abs(cylinder_D)] * 2)),
    Case(lens.sphere_cylinder, {"mean_power_D": A.even(-30, 30), "j0_D": A.log(1e-9, 5) * A.signs(), "j45_D": A.log(1e-9, 5) * A.signs()},
         lambda mean_power_D, j0_D, j45_D: (2 * sqrt(j0_D**2 + j45_D**2), (atan2(-j45_D, -j0_D) * 90 / pi) % 180),
         of=lambda **x: tuple(lens.sphere_cylinder(**x)[1:]), scale=lambda j0_D, j45_D, **_: (sqrt(j0_D**2 + j45_D**2), mpf(180))),
    Case(lens.turned, {"M": A.even(-30, 30), "j0": A.even(-5, 5), "j45": A.even(-5, 5), "angle": A.even(-180, 180, 0.0, 45.0, 90.0, 180.0)},
         lambda M, j0, j45, angle: (M, j0 * cos(angle * pi / 90) - j45 * sin(angle * pi / 90),
         j0 * sin(angle * pi / 90) + j45 * cos(angle * pi / 90)),
         of=lambda M, j0, j45, angle: tuple(lens.turned(PowerVector(M, j0, j45), rotation_deg=angle)),
         scale=lambda M, j0, j45, angle: (abs(M), *[abs(j0) + abs(j45)] * 2)),
    Case(lens.rotation_residual, {"C": A.even(0.5, 6), "angle": A.log(1e-9, 90, 90.0)}, lambda C, angle: 2 * C * sin(angle * pi / 180),
         of=of_residual),
    Case(lens.meridional_sag_mm, {"R": A.log(5, 1e7), "across": A.log(5, 1e7), "h": A.even(0.1, 4), "meridian": A.even(0, 180, 0.0, 90.0, 180.0)},
         lambda R, across, h, meridian: (lambda k, c: k / (1 + sqrt(1 - c)))(
             h * h * (cos(meridian * pi / 180) ** 2 / R + sin(meridian * pi / 180) ** 2 / across),
             h * h * (cos(meridian * pi / 180) ** 2 / R**2 + sin(meridian * pi / 180) ** 2 / across**2)),
         of=lambda R, across, h, meridian: lens.meridional_sag_mm(R, across, h, meridian_deg=meridian),
         scale=lambda R, across, h, meridian: h * h / min(R, across)),
    Case(lens.toric_edge_thickness_mm, SHAPE | {"meridian": A.even(0, 0)}, lambda meridian, **x: edge(**x),
         of=lambda meridian, **x: lens.toric_edge_thickness_mm(**x, front_radius_across_mm=9.0, meridian_deg=meridian),
         scale=lambda center_thickness_mm, **_: center_thickness_mm),
    Case(lens.toric_lens, USUAL, lambda **x: (powers(**x, n_medium_behind=x["n_medium"])[0], powers(**{**x,
         "back_radius_mm": mpf(-12)}, n_medium_behind=x["n_medium"])[0]),
         of=lambda **x: tuple(lens.toric_lens(**x, back_radius_across_mm=-12.0)[:2])),
    Case(lens.chromatic_difference_D, {"R": A.even(8, 30), "t": A.even(0, 1.5), "n": A.even(1.42, 1.6), "V": A.even(25, 70)}, chromatic,
         of=lambda R, t, n, V: lens.chromatic_difference_D(R, -R, t, n, abbe_d=V), scale=lambda R, t, n, V: 2000 * (n - mpf(1.336)) / R),
    Case(lens.least_aberration_shape_factor, {"n_lens": A.even(1.34, 1.8, 1.336 + 1e-9)},
         lambda n_lens: 2 * (n_lens - mpf(1.336)) * (n_lens + mpf(1.336)) / mpf(1.336) / (n_lens + 2 * mpf(1.336))),
    Case(lens.third_order_aberration, {name: x for name, x in USUAL.items() if name != "n_medium"}, seidel,
         of=lambda **x: lens.third_order_aberration(**x, pupil_diameter_mm=3.0).wavefront_w040_um),
    Case(lens.power_from_back_focal_length, {"focus": A.even(30, 90), "shift": A.even(-0.5, 0), "t": A.even(0, 1.5), "n": A.even(1.4, 1.6)},
         lambda focus, shift, t, n: 1336 * mpf(1.336) / 1336 * 1000 / (focus - shift) * (1 - t / n * (n - mpf(1.336)) / 15),
         of=lambda focus, shift, t, n: lens.power_from_back_focal_length(
             focus, best_focus_shift_mm=shift, focus_criterion="least rms spot", front_radius_mm=15.0, center_thickness_mm=t, n_lens=n,
                 n_medium=1.336,
         ).power_D.value),
    Case(lens.power_from_magnification, {"image": A.even(0.1, 5), "target": A.even(1, 20)}, lambda image, target: 1000 * target / (200 * image),
         of=lambda image, target: lens.power_from_magnification(image, target_height_mm=target, collimator_focal_length_mm=200.0).power_D.value),
]  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=str)
def test_accuracy(case):
    accuracy_holds(case)


def test_a_meniscus_of_equal_radii_is_recut_exactly():
    x = {"power_D": np.array([0.01, 0.1, 0.5, 1.0]), "n_lens": np.array([1.45, 1.49, 1.55, 1.6]),
        "center_thickness_mm": np.array([0.3, 0.9, 1.2, 0.5])}
    found = lens.recut(**x, curvature_ratio=1.0)
    for row in range(4):
        wanted = meniscus(*(mpf(float(v[row])) for v in x.values()))
        assert abs(found.front_radius_mm[row] / float(wanted) - 1.0) < 1e-14
        assert found.back_radius_mm[row] == found.front_radius_mm[row]


@pytest.mark.parametrize("power", [1e-9, -1e-9, 1e-6, -1e-6])
def test_hardly_any_power_would_need_a_radius_that_nobody_can_tell_from_plano(power):
    """At 1e-6 D the radius is 3e8 mm: no such lens is returned, and none of another power in its place."""
    with pytest.raises(InputError, match="nobody can tell apart"):
        lens.recut(power, 1.49, center_thickness_mm=0.9)


def test_no_power_at_all_is_a_window():
    assert lens.recut(0.0, 1.49, center_thickness_mm=0.9)[:2] == (np.inf, np.inf)


@pytest.mark.parametrize("axis", [0.0, 90.0, 180.0, -90.0, 360.0])
def test_a_toric_axis_on_a_quarter_turn_leaves_no_oblique_part(axis):
    assert lens.power_vector(20.0, cylinder_D=3.0, axis_deg=axis).j45_D == 0.0
    back = lens.sphere_cylinder(*[21.5], j0_D=lens.power_vector(20.0, cylinder_D=3.0, axis_deg=axis).j0_D, j45_D=0.0)
    assert (back.sphere_D, back.cylinder_D, back.axis_deg) == (20.0, 3.0, axis % 180.0)


RADIUS = st.one_of(st.just(np.inf), st.floats(0.5, 1e5), st.floats(-1e5, -0.5))
INDEX, THICK = st.floats(1.0, 2.0), st.floats(0.0, 3.0)


@given(front=RADIUS, back=RADIUS, t=THICK, n=INDEX, m1=INDEX, m2=INDEX)
def test_the_lens_and_the_light_turned_round_give_the_same_power(front, back, t, n, m1, m2):
    """Radii exchanged with their signs, media exchanged: the same lens, seen from behind; vertex powers and planes change places."""
    one = lens.thick_lens(front, back, t, n, m1, m2)
    other = lens.thick_lens(-back, -front, t, n, m2, m1)
    size = 1e-14 * (abs(one.front_surface_power_D) + abs(one.back_surface_power_D) + abs(t * one.front_surface_power_D * one.back_surface_power_D))
    assert other.power_D == pytest.approx(one.power_D, abs=size + 1e-300)
    if abs(one.power_D) > 1e-3 * (size / 1e-14) and size > 0:
        assert other.front_vertex_power_D == pytest.approx(one.back_vertex_power_D, rel=1e-9, abs=0.0)
        assert other.back_focal_length_mm == pytest.approx(-one.front_focal_length_mm, rel=1e-9, abs=0.0)
        assert other.front_principal_plane_mm == pytest.approx(-one.back_principal_plane_mm, rel=1e-9, abs=1e-12)


@given(front=st.floats(4, 100), back=st.floats(-100, -4), t=THICK, n=INDEX, m1=INDEX, m2=INDEX, power=st.integers(-3, 3))
def test_all_lengths_scaled_scale_the_power_inversely(front, back, t, n, m1, m2, power):
    s = 2.0**power
    one = lens.thick_lens(front, back, t, n, m1, m2)
    other = lens.thick_lens(s * front, s * back, s * t, n, m1, m2)
    assert other.power_D * s == pytest.approx(one.power_D, rel=1e-13, abs=1e-9)
    if one.power_D:
        assert other.back_focal_length_mm == pytest.approx(s * one.back_focal_length_mm, rel=1e-13, abs=0.0)


@given(front=RADIUS, back=RADIUS, n=INDEX, m1=INDEX, m2=INDEX)
def test_a_thin_lens_is_the_sum_of_its_surfaces(front, back, n, m1, m2):
    thin = lens.thick_lens(front, back, 0.0, n, m1, m2)
    assert thin.power_D == thin.front_surface_power_D + thin.back_surface_power_D
    assert thin.front_vertex_power_D == thin.back_vertex_power_D == thin.power_D
    nearly = lens.thick_lens(front, back, 1e-9, n, m1, m2)
    product = abs(thin.front_surface_power_D * thin.back_surface_power_D)
    assert nearly.power_D == pytest.approx(thin.power_D, abs=1e-12 * product + 1e-9)


@given(front=RADIUS, back=RADIUS, t=THICK, n=INDEX)
def test_a_lens_of_the_mediums_own_index_has_no_power(front, back, t, n):
    assert lens.thick_lens(front, back, t, n, n).power_D == 0.0


@given(n=st.floats(1.34, 1.8), radius=st.floats(4, 200), t=st.floats(0.01, 2.0))
def test_parallel_surfaces_keep_only_the_power_of_their_thickness(n, radius, t):
    """Equal radii: F1 + F2 = 0 to the last bit, and t·F1²/n is left, always positive."""
    found = lens.thick_lens(radius, radius, t, n)
    s = (n - 1.336) / radius
    assert found.power_D == pytest.approx(1000.0 * t * s * s / n, rel=1e-14, abs=0.0)
