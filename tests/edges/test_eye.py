"""Refraction and its small differences: the eye as matrices of height and index·slope, in 60 digits."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from measured import Case, Rows, accuracy_holds
from mpmath import diff, mpf

from lenscalc import eye
from lenscalc.eye import TEACHING_EYE, Plane, published_eye

A = Rows(120)
FOUR = {"P": A.even(0, 40, 0.0, 1e-300), "K": A.even(38, 48), "gap": A.even(3, 6), "length": A.even(12, 20)}
LE_GRAND = published_eye("le_grand_full")
IMPLANT = {"front_radius_mm": A.even(8, 40), "back_radius_mm": -A.even(8, 40), "center_thickness_mm": A.even(0, 1.5, 0.0), "n_lens": A.even(1.4, 1.6)}


def through(steps):
    """The matrix of powers and ways (F, d/n in metres), light going on."""
    a, b, c, d = mpf(1), mpf(0), mpf(0), mpf(1)
    for power, way in steps:
        c, d = c - power * a, d - power * b
        a, b = a + way * c, b + way * d
    return a, b, c, d


def to_retina(steps):
    """A ray of vergence L on the first plane ends on the axis there when L = A/B."""
    a, b, _, _ = through(steps)
    return a / b


def teaching(P):
    K, L, d, n, v = (mpf(x) for x in TEACHING_EYE)
    return to_retina([(0, v / 1000), (K, d / (1000 * n)), (P, (L - d) / (1000 * n))])


def four(P, K, gap, length):
    n = mpf(1.336)
    return [(mpf(0), mpf(12) / 1000), (K, gap / (1000 * n)), (P, length / (1000 * n))]


def planes(P, K, gap, length):
    return [Plane("spectacles", 0.0, 12.0, 1.0), Plane("cornea", K, gap, 1.336), Plane("implant", P, length, 1.336)]


def with_implant(front_radius_mm, back_radius_mm, center_thickness_mm, n_lens):
    """Le Grand's eye with an implant whose front stands 4.5 mm behind the cornea: surface by surface from its printed radii and indices."""
    outer, inner = LE_GRAND.cornea
    nc, na, nv = mpf(outer.n_behind), mpf(inner.n_behind), mpf(LE_GRAND.n_vitreous)
    thick = mpf(outer.thickness_mm)
    behind = mpf(LE_GRAND.axial_length_mm) - mpf(4.5) - center_thickness_mm
    return [
        (mpf(0), mpf(12) / 1000), (1000 * (nc - 1) / mpf(outer.radius_mm), thick / (1000 * nc)),
        (1000 * (na - nc) / mpf(inner.radius_mm), (mpf(4.5) - thick) / (1000 * na)),
            (1000 * (n_lens - na) / front_radius_mm, center_thickness_mm / (1000 * n_lens)),
        (1000 * (nv - n_lens) / back_radius_mm, behind / (1000 * nv)),
    ]  # fmt: skip


def rows(of):
    """Functions of one implant of plain numbers, a row at a time."""
    def each(**x):
        found = [of(eye.implanted(LE_GRAND, **dict(zip(x, row, strict=True)))) for row in zip(*(v.tolist() for v in x.values()), strict=True)]
        return tuple(np.array(part) for part in zip(*found, strict=True)) if isinstance(found[0], tuple) else np.array(found)

    return each


def image_size(**x):
    iris = mpf(LE_GRAND.lens_depth_mm)
    _, outer, inner, front, back = with_implant(**x)
    na = mpf(LE_GRAND.n_aqueous)
    thick = mpf(LE_GRAND.cornea[0].thickness_mm)
    before = through([outer, (inner[0], (iris - thick) / (1000 * na))])
    after = through([(mpf(0), (mpf(4.5) - iris) / (1000 * na)), front, back])
    return 1000 * after[1] / before[0]


def index_error(error):
    def of(front_radius_mm, back_radius_mm, center_thickness_mm, n_lens):
        moved = mpf(float(n_lens) + error)  # the sum as a number has it
        lens = (front_radius_mm, back_radius_mm, center_thickness_mm)
        return to_retina(with_implant(*lens, moved)) - to_retina(with_implant(*lens, n_lens))

    return of


TEN = Rows(40, seed=2)
SMALL = {"power_D": TEN.even(5, 30, 20.0, 0.0), "labelled_power_D": 20.0 + TEN.log(1e-9, 5) * TEN.signs()}
ONE = mpf(1)

CASES = [
    Case(eye.refraction, {"power_D": A.even(-10, 60, 0.0)}, lambda power_D: (teaching(power_D), diff(teaching, power_D)),
         of=lambda power_D: (eye.refraction(power_D).refraction_D, eye.refraction(power_D).d_refraction_d_power),
         scale=lambda power_D: (mpf(43), abs(diff(teaching, power_D)))),
    Case(eye.refraction_of, {"power_D": A.even(-10, 60, 0.0)}, lambda power_D: teaching(power_D),
         of=lambda power_D: eye.refraction_of(power_D, *TEACHING_EYE).refraction_D,
         scale=lambda power_D: mpf(43)),
    Case(eye.refraction_shift_D, SMALL, lambda power_D, labelled_power_D: teaching(power_D) - teaching(labelled_power_D)),
    Case(eye.shift_of, SMALL, lambda power_D, labelled_power_D: teaching(power_D) - teaching(labelled_power_D),
         of=lambda power_D, labelled_power_D: eye.shift_of(power_D, eye.refraction(power_D).d_refraction_d_power, labelled_power_D,
                                                           eye.refraction(labelled_power_D).d_refraction_d_power)),
    Case(eye.light_path_of, FOUR, lambda **x: to_retina(four(**x)), of=lambda **x: eye.light_path_of(planes(**x)).refraction_D,
         scale=lambda K, **_: K),
    Case(eye.refraction_by_matrix, FOUR, lambda **x: to_retina(four(**x)), of=lambda **x: eye.refraction_by_matrix(planes(**x)),
         scale=lambda K, **_: K),
    Case(eye.ray_transfer_of, FOUR, lambda **x: through([*four(**x)[:2], (x["P"], mpf(0))]), of=lambda **x: tuple(eye.ray_transfer_of(planes(**x))),
         scale=lambda K, P, **_: (ONE, ONE / 50, K + P, ONE)),
    Case(eye.far_light_of, FOUR, lambda **x: (lambda m: 1336 * m[0] / -m[2])(through([*four(**x)[:2], (x["P"], mpf(0))])),
         of=lambda **x: eye.far_light_of(planes(**x)).focus_mm),
    Case(eye.focus_of, FOUR, lambda **x: (lambda m: 1336 * m[0] / -m[2])(through([*four(**x)[:2], (x["P"], mpf(0))])),
         of=lambda **x: eye.focus_of(0.0, planes(**x))),
    Case(eye.cardinal_points_of, FOUR, lambda **x: (lambda m: (-m[2], -1000 / m[2], -1336 / m[2]))(through([*four(**x)[:2], (x["P"], mpf(0))])),
         of=lambda **x: (lambda p: (p.power_D, -p.front_focal_length_mm, p.back_focal_length_mm))(eye.cardinal_points_of(planes(**x)))),
    Case(eye.implant_path, IMPLANT, lambda **x: to_retina(with_implant(**x)), of=rows(lambda s: float(eye.implant_path(LE_GRAND, s).refraction_D)),
         scale=lambda **_: mpf(43)),
    Case(eye.refraction_slope, IMPLANT, lambda n_lens, **x: diff(lambda n: to_retina(with_implant(**x, n_lens=n)), n_lens),
         of=rows(lambda s: eye.refraction_slope(LE_GRAND, s, "n_lens"))),
    Case(eye.refraction_of_index_error, IMPLANT, index_error(1e-3), of=rows(lambda s: eye.refraction_of_index_error(LE_GRAND, s, 1e-3)),
         scale=lambda **_: mpf(43)),
    Case(eye.image_size_mm_per_radian, IMPLANT, image_size, of=rows(lambda s: float(eye.image_size_mm_per_radian(LE_GRAND, s)))),
]  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=str)
def test_accuracy(case):
    accuracy_holds(case)


@pytest.mark.parametrize("error", [1e-3, -1e-3, 1e-5])
def test_the_index_error_behind_a_shift_is_the_one_that_made_it(error):
    s = eye.implanted(LE_GRAND, front_radius_mm=15.0, back_radius_mm=-15.0, center_thickness_mm=0.9, n_lens=1.49)
    shift = float(index_error(error)(mpf(15), mpf(-15), mpf(0.9), mpf(1.49)))
    assert eye.index_error_behind(LE_GRAND, s, shift) == pytest.approx(error, abs=1e-14)


def test_light_without_vergence_keeps_none():
    """Vergence 0 through no power: 0 on every plane, and a focus at infinity that is told as such."""
    none = [Plane("nothing", 0.0, 10.0, 1.336), Plane("nothing", 0.0, 10.0, 1.336)]
    assert eye.far_light_of([Plane("nothing", 0.0, 10.0, 1.336), Plane("cornea", 40.0, 10.0, 1.336)]).before_D == (0.0, 0.0)
    with np.errstate(divide="ignore"):
        assert np.isinf(eye.focus_of(np.float64(0.0), none))


@given(power=st.floats(-10, 40), label=st.floats(-10, 40))
def test_a_shift_back_is_the_shift_negated(power, label):
    assert eye.refraction_shift_D(power, label) == -eye.refraction_shift_D(label, power)
    assert eye.refraction_shift_D(power, power) == 0.0


@given(power=st.floats(-5, 35), first=st.floats(1e-6, 3), second=st.floats(1e-6, 3))
def test_shifts_add_along_the_way(power, first, second):
    whole = eye.refraction_shift_D(power + first + second, power)
    parts = eye.refraction_shift_D(power + first, power) + eye.refraction_shift_D(power + first + second, power + first)
    assert parts == pytest.approx(whole, rel=1e-12, abs=1e-13)
