"""Every derivative of the power against mpmath, on a power worked from matrices at 50 digits."""

import mpmath as mp
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lenscalc import InputError, power_sensitivity, thick_lens
from lenscalc.lens import powers_of, sensitivities_of

radii = st.one_of(st.just(np.inf), st.floats(4.0, 200.0), st.floats(-200.0, -4.0))
lenses = st.tuples(radii, radii, st.floats(0.0, 5.0), st.floats(1.30, 1.75))
media = st.floats(1.0, 1.45)


def matrix_power(c1, c2, t, n, m1, m2):
    """−C of the system matrix; curvatures in 1/mm, thickness in mm."""
    front = mp.matrix([[1, 0], [-1000 * (n - m1) * c1, 1]])
    gap = mp.matrix([[1, t / (1000 * n)], [0, 1]])
    back = mp.matrix([[1, 0], [-1000 * (m2 - n) * c2, 1]])
    return -(back * gap * front)[1, 0]


def expected(R1, R2, t, n, m1, m2):
    """(both media apart) derivatives by n, m1, m2, R1, R2, c1, c2, t."""
    with mp.workdps(50):
        at = [1 / mp.mpf(R1), 1 / mp.mpf(R2), *map(mp.mpf, (t, n, m1, m2))]

        def by(i):
            return mp.diff(lambda x: matrix_power(*at[:i], x, *at[i + 1 :]), at[i])

        def by_radius(i, R):
            return mp.mpf(0) if np.isinf(R) else mp.diff(lambda x: matrix_power(*at[:i], 1 / x, *at[i + 1 :]), mp.mpf(R))

        return [float(x) for x in (by(3), by(4), by(5), by_radius(0, R1), by_radius(1, R2), by(0), by(1), by(2))]


@settings(max_examples=60)
@given(lenses, media, media)
def test_two_media(lens, m1, m2):
    seen = power_sensitivity(*lens, m1, m2)
    for name, value, wanted in zip(seen._fields, seen, expected(*lens, m1, m2), strict=True):
        assert value == pytest.approx(wanted, rel=1e-10, abs=1e-11), name


@settings(max_examples=60)
@given(lenses, media)
def test_one_medium_moves_on_both_sides(lens, m):
    seen = power_sensitivity(*lens, m)
    by_n, by_front, by_back, *rest = expected(*lens, m, m)
    assert seen.d_power_d_n_lens == pytest.approx(by_n, rel=1e-10, abs=1e-11)
    assert seen.d_power_d_n_medium == pytest.approx(by_front + by_back, rel=1e-10, abs=1e-11)
    assert np.isnan(seen.d_power_d_n_medium_behind)
    assert list(seen[3:]) == pytest.approx(rest, rel=1e-10, abs=1e-11)


# dF/dn and dF/dm of lenses in 1.336, worked outside the package, D; last digit 1e-4
@pytest.mark.parametrize(
    ("lens", "by_n", "by_m"),
    [
        ((15, -15, 0.9, 1.49), 132.5492, -132.5065),
        ((20, -20, 0.6, 1.55), 99.6144, -99.5858),
        ((10, -10, 1.2, 1.43), 198.4742, -198.4224),
        ((12, "plano", 0.8, 1.46), 83.3333, -83.3333),
    ],
)
def test_worked_derivatives(lens, by_n, by_m):
    s = power_sensitivity(*lens)
    assert (s.d_power_d_n_lens, s.d_power_d_n_medium) == pytest.approx((by_n, by_m), abs=6e-5)


def test_worked_derivatives_by_dimension():
    s = power_sensitivity(15, -15, 0.9, 1.49)
    assert (s.d_power_d_front_radius_mm, s.d_power_d_back_radius_mm) == pytest.approx((-0.680200, 0.680200), abs=6e-7)
    assert s.d_power_d_center_thickness_mm == pytest.approx(-0.0707412, abs=6e-8)


def test_rows_with_and_without_a_medium_behind():
    s = power_sensitivity(15, -15, 0.9, 1.49, 1.336, np.array([np.nan, 1.336]))
    assert np.isnan(s.d_power_d_n_medium_behind).tolist() == [True, False]
    assert s.d_power_d_n_medium[0] == pytest.approx(s.d_power_d_n_medium[1] + s.d_power_d_n_medium_behind[1], rel=1e-14, abs=0.0)


def test_refuses_what_the_lens_refuses():
    with pytest.raises(InputError, match="front_radius_mm"):
        power_sensitivity(0.0, -15, 0.9, 1.49)


LENS = (15.0, -20.0, 0.9, 1.49, 1.0, 1.336)
BY = ("d_power_d_front_radius_mm", "d_power_d_back_radius_mm", "d_power_d_center_thickness_mm", "d_power_d_n_lens", "d_power_d_n_medium",
      "d_power_d_n_medium_behind")  # fmt: skip


@pytest.mark.parametrize("i", range(6))
def test_the_bodies_take_complex_steps(i):
    stepped = [x + 1e-30j if k == i else x for k, x in enumerate(LENS)]
    assert powers_of(*stepped).power_D.imag / 1e-30 == pytest.approx(getattr(sensitivities_of(*LENS), BY[i]), rel=1e-13, abs=0.0)
    assert sensitivities_of(*stepped).d_power_d_n_lens.real == pytest.approx(sensitivities_of(*LENS).d_power_d_n_lens, rel=1e-14, abs=0.0)


def test_the_bodies_take_mpmath_numbers():
    with mp.workdps(50):
        c1, c2, *rest = 1 / mp.mpf(15), -1 / mp.mpf(20), *map(mp.mpf, LENS[2:])
        power = powers_of(*map(mp.mpf, LENS)).power_D
        assert isinstance(power, mp.mpf)
        assert mp.almosteq(power, matrix_power(c1, c2, *rest), rel_eps=mp.mpf(10) ** -45)
        slope = sensitivities_of(*map(mp.mpf, LENS)).d_power_d_n_lens
        wanted = mp.diff(lambda n: matrix_power(c1, c2, rest[0], n, *rest[2:]), rest[1])
        assert mp.almosteq(slope, wanted, rel_eps=mp.mpf(10) ** -20)


@pytest.mark.parametrize("step", [0.0, 1e-30j], ids=["real", "complex"])
def test_the_bodies_take_arrays_with_plano(step):
    R1, R2 = np.array([15.0, np.inf, 15.0, -8.0]), np.array([np.inf, -20.0, -20.0, np.inf])
    n = np.full(4, 1.49) + step
    p, s = powers_of(R1, R2, 0.9, n, 1.336, 1.336), sensitivities_of(R1, R2, 0.9, n, 1.336, 1.336)
    assert all(np.isfinite(x).all() for x in (*p, *s))
    np.testing.assert_allclose(p.power_D.real, thick_lens(R1, R2, 0.9, 1.49).power_D, rtol=1e-15)
    np.testing.assert_allclose(s.d_power_d_n_lens.real, power_sensitivity(R1, R2, 0.9, 1.49).d_power_d_n_lens, rtol=1e-14)
