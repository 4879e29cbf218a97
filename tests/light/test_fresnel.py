"""Fresnel: energy, Brewster's and the critical angle, and what the index does."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lenscalc.errors import InputError
from lenscalc.light import double_reflectance, fresnel, normal_reflectance

indices = st.floats(1.0, 3.0)


@given(indices, indices, st.floats(0.0, 90.0))
def test_nothing_is_lost_at_a_clear_surface(n1, n2, angle):
    f = fresnel(n1, n2, angle)
    for r, t in ((f.reflectance_s, f.transmittance_s), (f.reflectance_p, f.transmittance_p), (f.reflectance, f.transmittance)):
        if angle < 89.999 or n1 != n2:  # grazing between equals is 0/0
            assert abs(r + t - 1.0) < 1e-12
            assert -1e-15 <= r <= 1.0 + 1e-12


@given(indices, indices, st.floats(0.0, 89.0))
def test_light_sent_back_is_reflected_alike(n1, n2, angle):
    sine = n1 / n2 * np.sin(np.deg2rad(angle))
    if sine > 0.999:
        return
    back = fresnel(n2, n1, float(np.rad2deg(np.arcsin(sine))))
    assert np.allclose(fresnel(n1, n2, angle), back, atol=1e-9)


def test_brewsters_angle_has_no_p_reflection():
    # tan θ = n2/n1
    assert fresnel(1.0, 1.5, float(np.rad2deg(np.arctan(1.5)))).reflectance_p < 1e-30


def test_beyond_the_critical_angle_all_is_reflected():
    critical = float(np.rad2deg(np.arcsin(1.336 / 1.49)))
    assert fresnel(1.49, 1.336, critical + 0.01).reflectance_s == 1.0
    assert fresnel(1.49, 1.336, critical + 0.01).transmittance == 0.0
    assert fresnel(1.49, 1.336, critical - 0.01).reflectance < 1.0


def test_grazing_light_is_reflected():
    assert abs(fresnel(1.0, 1.5, 90.0).reflectance - 1.0) < 1e-12


def test_light_along_a_surface_without_a_step_is_not_lost():
    f = fresnel(1.336, 1.336, 90.0)
    assert (f.reflectance_s + f.transmittance_s, f.reflectance_p + f.transmittance_p, f.reflectance + f.transmittance) == (1.0, 1.0, 1.0)


def test_normal_incidence_by_hand():
    # (0.154/2.826)², (0.55/2.55)²; the ghost of a lens: (1 − R)²R²
    assert abs(normal_reflectance(1.336, 1.49) - (0.154 / 2.826) ** 2) < 1e-16
    assert abs(fresnel(1.0, 1.55).reflectance - (0.55 / 2.55) ** 2) < 1e-16
    R = (0.154 / 2.826) ** 2
    assert abs(double_reflectance(1.336, 1.49, 1.336) - (1 - R) ** 2 * R**2) < 1e-18


def test_reflection_rises_with_the_index():
    n = np.linspace(1.4, 1.6, 21)
    assert np.all(np.diff(normal_reflectance(1.336, n)) > 0)
    assert np.all(np.diff(double_reflectance(1.336, n, 1.336)) > 0)


@pytest.mark.parametrize(
    ("args", "told"),
    [((0.9, 1.5), "n1 = 0.9"), ((1.0, 1.5, 91.0), "angle_deg = 91"), ((1.0, "glass"), "n2 = 'glass'"), ((1.0, np.nan), "n2 is missing")],
)
def test_impossible_input_is_named(args, told):
    with pytest.raises(InputError) as error:
        fresnel(*args)
    assert told in str(error.value)
