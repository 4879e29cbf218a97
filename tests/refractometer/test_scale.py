"""The scale of an instrument: the prism against a ray followed in space, the way between two lines, compensation taken off."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from lenscalc.errors import InputError
from lenscalc.material import sucrose_index
from lenscalc.refractometer import critical_angle_index, index_at_line, prism_exit_angle_deg, prism_reading_index, without_compensation

APEX = st.floats(30.0, 80.0)
PRISM = st.floats(1.6, 1.95)
SPECIMEN = st.floats(1.3, 1.58)


def refracted(direction, normal, n1, n2):
    """Snell's law in space: what of the direction lies in the face is scaled by n1/n2. None where all is reflected."""
    along = n1 / n2 * (direction - (direction @ normal) * normal)
    left = 1.0 - along @ along
    return None if left < 0 else along + np.sqrt(left) * normal


def exit_angle(n, N, apex_deg):
    """The border behind a prism with its apex up, on its two sides the specimen (left) and air (right); degrees, positive below the normal."""
    a = np.deg2rad(apex_deg) / 2
    into, out = np.array([np.cos(a), -np.sin(a)]), np.array([np.cos(a), np.sin(a)])
    up_the_face = np.array([np.sin(a), np.cos(a)])  # grazing entry, from the base towards the apex
    inside = refracted(up_the_face, into, n, N)
    ray = refracted(inside, out, N, 1.0)
    return None if ray is None else np.rad2deg(np.arctan2(out[0] * -ray[1] + out[1] * ray[0], out @ ray))


@given(SPECIMEN, PRISM, APEX)
def test_the_prism_against_a_ray_followed_face_by_face(n, N, apex):
    assume(n + 0.01 < N)
    angle = exit_angle(n, N, apex)
    if angle is None:
        with pytest.raises(InputError, match="does not leave a prism"):
            prism_exit_angle_deg(n, N, apex)
        return
    assume(abs(angle) < 89.9)
    assert prism_exit_angle_deg(n, N, apex) == pytest.approx(angle, abs=1e-7)
    assert prism_reading_index(N, apex, angle) == pytest.approx(n, abs=1e-9)


def test_the_border_lies_on_the_bases_side_for_a_low_index():
    """60°, N = 1.75: inside, n = 1.45 is at 56° to the entry face's normal, less than the apex, so the ray falls below the normal of the exit."""
    assert prism_exit_angle_deg(1.45, 1.75, 60.0) > 0 > prism_exit_angle_deg(1.55, 1.75, 60.0)
    assert prism_exit_angle_deg(1.75 * np.sin(np.pi / 3), 1.75, 60.0) == pytest.approx(0.0, abs=1e-12)


@given(PRISM, APEX, st.floats(-60.0, 60.0))
def test_angle_and_index_both_ways(N, apex, angle):
    n = prism_reading_index(N, apex, angle)
    inside = apex - np.rad2deg(np.arcsin(np.sin(np.deg2rad(angle)) / N))
    assume(0 < inside < 89.9)  # beyond, no border has this angle
    assert n == pytest.approx(critical_angle_index(N, inside), abs=1e-12)
    assert prism_exit_angle_deg(n, N, apex) == pytest.approx(angle, abs=1e-5)


@given(SPECIMEN, PRISM, st.floats(0.001, 0.03), st.one_of(st.none(), st.floats(50.0, 70.0)))
def test_another_line_against_the_same_ray(n, N, more, apex):
    """The border of a specimen at the line of the light, read on a scale that was made with the prism's index at another line."""
    assume(n + 0.02 < N)
    N_line = N + more
    if apex is None:
        shown = n * N / N_line  # the angle inside is kept: sin θ = n/N_line = shown/N
    else:
        angle = exit_angle(n, N_line, apex)
        assume(angle is not None and abs(angle) < 85)
        # the scale's own meaning: the index whose border would stand there at its own line, found among borders followed with N
        low, high = 1.0, N
        for _ in range(80):
            shown = (low + high) / 2
            there = exit_angle(shown, N, apex)
            low, high = (shown, high) if there is None or there > angle else (low, shown)
    assert index_at_line(shown, n_prism_scale=N, n_prism_line=N_line, apex_deg=apex) == pytest.approx(n, abs=1e-9)


@given(SPECIMEN, PRISM, st.floats(-0.02, 0.02), st.one_of(st.none(), st.floats(50.0, 70.0)))
def test_to_another_line_and_back(n, N, more, apex):
    assume(n + 0.06 < N)
    if apex is not None:
        assume(abs(exit_angle(n, N, apex) or 90.0) < 70)
    there = index_at_line(n, n_prism_scale=N, n_prism_line=N + more, apex_deg=apex)
    assert (there > n) == (more > 0) or more == pytest.approx(0, abs=1e-12)
    assert index_at_line(there, n_prism_scale=N + more, n_prism_line=N, apex_deg=apex) == pytest.approx(n, abs=1e-10)


def test_lists_are_taken_as_they_stand():
    n = np.array([1.4, 1.45, 1.5])
    angles = prism_exit_angle_deg(n, 1.75, 60.0)
    assert prism_reading_index(1.75, 60.0, angles) == pytest.approx(n, abs=1e-12)
    assert angles.tolist() == [float(prism_exit_angle_deg(x, 1.75, 60.0)) for x in n]


@pytest.mark.parametrize(
    ("n", "N", "apex", "told"), [(1.75, 1.75, 60.0, "not below"), (1.8, 1.75, 60.0, "higher index"), (1.3, 1.95, 80.0, "does not leave")]
)
def test_a_border_that_cannot_be_read_says_why(n, N, apex, told):
    with pytest.raises(InputError, match=told):
        prism_exit_angle_deg(n, N, apex)
    with pytest.raises(InputError, match=told):
        index_at_line(n, n_prism_scale=N, n_prism_line=N + 0.01, apex_deg=apex)


@given(SPECIMEN, st.floats(10.0, 40.0), st.floats(-5e-4, 0.0), st.sampled_from([20.0, 25.0]))
def test_a_compensation_is_taken_off_whatever_the_substance(n, T, per_K, to):
    shown = n + per_K * (to - T)
    assert without_compensation(shown, T, per_K=per_K, to_degC=to) == pytest.approx(n, abs=1e-15)
    assert without_compensation(shown, to, per_K=per_K, to_degC=to) == shown


@pytest.mark.parametrize("mass_fraction", [0.1, 0.3, 0.5])
@pytest.mark.parametrize("T", [15.0, 24.0, 28.0])
def test_a_sugar_solution_on_an_instrument_made_for_it(mass_fraction, T):
    """The instrument shows the index at 20 °C; with the solution's own mean slope the index at its temperature comes back."""
    at_20, at_T = (float(sucrose_index(mass_fraction, x)) for x in (20.0, T))
    per_K = (at_T - at_20) / (T - 20.0)
    assert per_K < 0
    assert without_compensation(at_20, T, per_K=per_K, to_degC=20.0) == pytest.approx(at_T, abs=1e-12)


def test_a_polymer_on_a_compensation_for_sugar():
    """By hand: at 25 °C a polymer of 1.4900 is shown 5 × 1.9e-4 too high by an instrument that means sugar; nothing of the polymer's own enters."""
    assert without_compensation(1.49095, 25.0, per_K=-1.9e-4, to_degC=20.0) == pytest.approx(1.4900, abs=1e-12)
