"""The thick lens against ray-transfer matrices worked here, and against what physics guarantees."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lenscalc import InputError, power_sensitivity, recut, thick_lens

radii = st.one_of(st.just(np.inf), st.floats(4.0, 200.0), st.floats(-200.0, -4.0))
thickness = st.floats(0.0, 5.0)
lens_index = st.floats(1.30, 1.75)
medium_index = st.floats(1.0, 1.45)


def by_matrices(R1, R2, t, n, m1, m2):
    """Power, vertex powers, focal lengths and planes from [[A, B], [C, D]] of height and reduced angle (any text of matrix optics)."""

    def surface(before, after, R):
        return np.array([[1.0, 0.0], [-(after - before) / (R / 1000.0), 1.0]])

    gap = np.array([[1.0, t / 1000.0 / n], [0.0, 1.0]])
    (A, _), (C, D) = surface(n, m2, R2) @ gap @ surface(m1, n, R1)
    return {
        "power_D": -C,
        "back_vertex_power_D": -C / A,
        "front_vertex_power_D": -C / D,
        "equivalent_focal_length_mm": -1000.0 * m2 / C,
        "back_focal_length_mm": -1000.0 * m2 * A / C,
        "front_focal_length_mm": 1000.0 * m1 * D / C,
        "front_principal_plane_mm": 1000.0 * m1 * (D - 1.0) / C,
        "back_principal_plane_mm": 1000.0 * m2 * (1.0 - A) / C,
    }


@pytest.mark.parametrize(
    "lens",
    [
        (15.0, -15.0, 0.9, 1.49, 1.336, 1.336),
        (15.0, -15.0, 0.9, 1.49, 1.0, 1.336),
        (12.0, np.inf, 0.8, 1.46, 1.336, 1.3346),
        (np.inf, -12.0, 0.8, 1.46, 1.0, 1.0),
        (-20.0, -9.0, 0.5, 1.49, 1.336, 1.336),
        (9.0, 20.0, 0.5, 1.49, 1.336, 1.40),
        (-12.0, 14.0, 0.6, 1.55, 1.336, 1.336),
        (15.0, -15.0, 0.9, 1.30, 1.336, 1.336),
        (8.0, -8.0, 4.0, 1.60, 1.40, 1.0),
    ],
    ids=["biconvex", "air in front", "plano behind", "plano in front", "meniscus", "meniscus, two media", "diverging", "below the medium", "thick"],
)
def test_every_result_is_that_of_the_matrices(lens):
    powers = thick_lens(*lens)
    for name, expected in by_matrices(*lens).items():
        assert getattr(powers, name) == pytest.approx(expected, rel=1e-11, abs=1e-12), name


@given(radii, radii, thickness, lens_index, medium_index, medium_index)
def test_power_is_that_of_the_matrices_everywhere(R1, R2, t, n, m1, m2):
    p = thick_lens(R1, R2, t, n, m1, m2)
    scale = abs(p.front_surface_power_D) + abs(p.back_surface_power_D)
    assert p.power_D == pytest.approx(by_matrices_power(R1, R2, t, n, m1, m2), abs=1e-13 * scale + 1e-300)


def by_matrices_power(*lens):
    with np.errstate(divide="ignore", invalid="ignore"):
        return by_matrices(*lens)["power_D"]


# (R1, R2, t, n) in 1.336 → F, F in air. Gullstrand's equation, worked outside the package, to 1e-6.
@pytest.mark.parametrize(
    ("lens", "in_1336", "in_air"),
    [
        ((15, -15, 0.9, 1.49), 20.469666, 64.688770),
        ((20, -20, 0.6, 1.55), 21.355681, 54.707258),
        ((10, -10, 1.2, 1.43), 18.725852, 84.448392),
        ((12, "plano", 0.8, 1.46), 10.333333, 38.333333),
    ],
)
def test_worked_powers(lens, in_1336, in_air):
    assert thick_lens(*lens).power_D == pytest.approx(in_1336, abs=6e-7)
    assert thick_lens(*lens, n_medium=1.0).power_D == pytest.approx(in_air, abs=6e-7)


# (lens, media) → F, F'v, Fv, BFL, H1, H2. Worked outside the package, to 1e-6.
@pytest.mark.parametrize(
    ("lens", "expected"),
    [
        ((12, -24, 1.0, 1.49), (19.194733, 19.361493, 19.277753, 69.002941, 0.299742, -0.599484)),
        ((-20, -9, 0.5, 1.49), (9.455324, 9.430956, 9.509930, 141.661145, 0.811320, 0.365094)),
        ((15, -15, 0.9, 1.49, 1.0, 1.336), (42.730756, 43.590871, 42.997398, 30.648619, 0.145126, -0.616917)),
    ],
)
def test_worked_vertex_powers_and_planes(lens, expected):
    p = thick_lens(*lens)
    seen = (
        p.power_D, p.back_vertex_power_D, p.front_vertex_power_D, p.back_focal_length_mm, p.front_principal_plane_mm, p.back_principal_plane_mm
    )  # fmt: skip
    assert seen == pytest.approx(expected, abs=6e-7)


def test_textbook_biconvex():
    """Hecht, Optics, section 6.1: R 20 and 40 cm, 1 cm thick, n 1.5 in air: f 26.8 cm, planes 0.22 and −0.44 cm (from memory, to be confirmed)."""
    p = thick_lens(200, -400, 10, 1.5, n_medium=1.0)
    assert p.equivalent_focal_length_mm == pytest.approx(268, abs=0.5)
    assert p.front_principal_plane_mm == pytest.approx(2.2, abs=0.05)
    assert p.back_principal_plane_mm == pytest.approx(-4.4, abs=0.1)  # one unit of the last digit: the text seems to cut it, not to round


@given(radii, radii, thickness, lens_index, medium_index, medium_index)
def test_reversing_a_lens_with_its_media_keeps_its_power_and_swaps_its_vertex_powers(R1, R2, t, n, m1, m2):
    p, q = thick_lens(R1, R2, t, n, m1, m2), thick_lens(-R2, -R1, t, n, m2, m1)
    scale = abs(p.front_surface_power_D) + abs(p.back_surface_power_D) + 1e-300
    assert q.power_D == pytest.approx(p.power_D, abs=1e-13 * scale)
    assert q.front_vertex_power_D == pytest.approx(p.back_vertex_power_D, abs=1e-12 * scale)
    assert q.back_vertex_power_D == pytest.approx(p.front_vertex_power_D, abs=1e-12 * scale)
    assert q.front_surface_power_D == p.back_surface_power_D


@given(radii, radii, lens_index, medium_index)
def test_thin_limit_is_the_lensmakers_equation(R1, R2, n, m):
    lensmaker = 1000.0 * (n - m) * (1.0 / R1 - 1.0 / R2)
    p = thick_lens(R1, R2, 0.0, n, m)
    assert p.power_D == pytest.approx(lensmaker, rel=1e-12, abs=1e-10)
    assert p.back_vertex_power_D == p.power_D == p.front_vertex_power_D


@given(radii, radii, thickness, lens_index, medium_index, st.sampled_from([0.5, 2.0, 4.0]))
def test_a_lens_k_times_as_large_is_k_times_weaker(R1, R2, t, n, m, k):
    assert thick_lens(k * R1, k * R2, k * t, n, m).power_D == pytest.approx(thick_lens(R1, R2, t, n, m).power_D / k, rel=1e-12, abs=1e-12)


@given(radii, radii, thickness, medium_index)
def test_a_lens_of_the_index_of_its_medium_does_nothing(R1, R2, t, m):
    p = thick_lens(R1, R2, t, m, m)
    assert (p.power_D, p.front_surface_power_D, p.back_surface_power_D) == (0.0, 0.0, 0.0)


@pytest.mark.parametrize("lens", [("plano", "plano", 0.9, 1.49, 1.336), (62.5, 31.25, 62.5, 2.0, 1.0)], ids=["plate", "telescope in one piece"])
def test_afocal_has_infinite_focal_lengths(lens):
    # the telescope: 16 D and −32 D with t/n = 1/32 m, 16 − 32 + 16 = 0, exact in binary
    p = thick_lens(*lens)
    assert p.power_D == 0.0
    assert np.isinf([p.equivalent_focal_length_mm, p.back_focal_length_mm, p.front_focal_length_mm]).all()


def test_all_but_afocal_has_a_focus_beyond_all_numbers():
    p = thick_lens(4.0, 4.0, 1e-310, 1.5, n_medium=1.0)
    assert 0.0 < p.power_D < 1e-300
    assert p.equivalent_focal_length_mm == np.inf


def test_numbers_arrays_and_columns_give_the_same():
    R1, R2 = [15.0, 20.0, np.inf], [-15.0, -20.0, -12.0]
    array = thick_lens(np.array(R1), np.array(R2), 0.9, 1.49)
    column = thick_lens(pd.Series(R1), pd.Series(R2), pd.Series([0.9] * 3), 1.49)
    grid = thick_lens(np.array(R1)[:, None], np.array(R2)[None, :], 0.9, 1.49)
    for name in array._fields:
        alone = [getattr(thick_lens(a, b, 0.9, 1.49), name) for a, b in zip(R1, R2, strict=True)]
        assert all(isinstance(x, float) for x in alone)
        np.testing.assert_array_equal(getattr(array, name), alone)
        np.testing.assert_array_equal(getattr(column, name), alone)
        np.testing.assert_array_equal(np.diag(getattr(grid, name)), alone)
    assert grid.power_D.shape == (3, 3)


def test_integers_and_text_numbers_are_numbers():
    assert thick_lens(15, -15, 1, 2).power_D == thick_lens(15.0, -15.0, 1.0, 2.0).power_D == thick_lens("15", "-15", "1", "2").power_D
    assert thick_lens(np.array([15]), np.array([-15]), 1, 2).power_D[0] == thick_lens(15, -15, 1, 2).power_D


def test_nan_behind_means_the_medium_in_front():
    both = thick_lens(15, -15, 0.9, 1.49, n_medium=1.0, n_medium_behind=np.array([np.nan, 1.336])).power_D
    assert both.tolist() == [thick_lens(15, -15, 0.9, 1.49, 1.0).power_D, thick_lens(15, -15, 0.9, 1.49, 1.0, 1.336).power_D]


GOOD = {"front_radius_mm": 15.0, "back_radius_mm": -15.0, "center_thickness_mm": 0.9, "n_lens": 1.49}


@pytest.mark.parametrize(
    ("quantity", "value", "unit", "hint"),
    [
        ("front_radius_mm", 0.0, "mm", "plano"),
        ("back_radius_mm", 0.0, "mm", "plano"),
        ("front_radius_mm", 0.015, "mm", "metres"),
        ("back_radius_mm", -0.015, "mm", "metres"),
        ("n_lens", 0.9, "", "1 to 3"),
        ("n_lens", 14.9, "", "decimal point"),
        ("n_medium", 0.0, "", "1 to 3"),
        ("n_medium_behind", 13.36, "", "decimal point"),
        ("center_thickness_mm", -0.1, "mm", "0 to 100"),
        ("center_thickness_mm", np.inf, "mm", "0 to 100"),
        ("n_lens", np.nan, "", "missing"),
        ("front_radius_mm", np.nan, "mm", "missing"),
    ],
)
def test_an_impossible_value_is_refused_by_name(quantity, value, unit, hint):
    with pytest.raises(InputError, match=quantity) as caught:
        thick_lens(**{**GOOD, quantity: value})
    error = caught.value
    assert hint in str(error)
    assert error.quantity == quantity
    assert error.value == value or (np.isnan(error.value) and np.isnan(value))
    assert error.unit == unit
    lower, upper = error.limits
    size = abs(value) if "radius" in quantity else value
    assert not lower <= size <= upper


@pytest.mark.parametrize("value", ["thick", "1,49", "", None, [1.49, "x"]])
def test_text_is_refused_by_name(value):
    with pytest.raises(InputError, match="n_lens") as caught:
        thick_lens(**{**GOOD, "n_lens": value})
    assert caught.value.quantity == "n_lens"


def test_the_row_of_a_bad_value_is_told():
    with pytest.raises(InputError, match="row 3") as caught:
        thick_lens(15.0, -15.0, 0.9, np.array([1.49, 1.5, 0.9]))
    assert caught.value.row == 3


def test_columns_of_different_lengths_are_refused():
    with pytest.raises(InputError, match="different lengths"):
        thick_lens(np.array([15.0, 16.0]), np.array([-15.0, -16.0, -17.0]), 0.9, 1.49)


@pytest.mark.parametrize("value", ["1,336", "water", [1.336, "x"]])
def test_text_for_the_medium_behind_is_refused_by_name(value):
    for refuses in (thick_lens, power_sensitivity):
        with pytest.raises(InputError, match="n_medium_behind"):
            refuses(**GOOD, n_medium_behind=value)
    with pytest.raises(InputError, match="n_medium_behind"):
        recut(20.0, 1.49, center_thickness_mm=0.9, n_medium_behind=value)


def test_a_medium_behind_as_text_is_its_number():
    assert thick_lens(**GOOD, n_medium_behind="1.34") == thick_lens(**GOOD, n_medium_behind=1.34)
    assert power_sensitivity(**GOOD, n_medium_behind="1.34") == power_sensitivity(**GOOD, n_medium_behind=1.34)


@pytest.mark.parametrize("behind", [[1.34, 1.34, 1.34], [1.34, 1.34, np.nan]])
def test_media_of_different_lengths_are_refused(behind):
    for refuses in (thick_lens, power_sensitivity):
        with pytest.raises(InputError, match="different lengths"):
            refuses(**GOOD, n_medium=[1.336, 1.336], n_medium_behind=behind)
    with pytest.raises(InputError, match="different lengths"):
        recut(20.0, 1.49, center_thickness_mm=0.9, n_medium=[1.336, 1.336], n_medium_behind=behind)
