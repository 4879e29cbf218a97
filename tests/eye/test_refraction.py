"""The schematic eye against worked values, and against light followed forwards."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lenscalc import refraction_shift_D
from lenscalc.eye import TEACHING_EYE, SchematicEye, comes_from_in_front, refraction, refraction_of

eyes = st.builds(
    SchematicEye, st.floats(38.0, 48.0), st.floats(21.0, 27.0), st.floats(3.5, 6.5), st.sampled_from([1.3346, 1.336]), st.sampled_from([0.0, 12.0])
)


def retina_mm(R, P, eye):
    """Where light ends that a spectacle lens of R dioptres corrects: followed forwards, distances instead of vergences."""
    K, _, d, n, v = eye

    def on(F, to):  # a beam of vergence F, `to` millimetres further on, in index m: distance of its focus shrinks
        return lambda m: F if F == 0 else 1000.0 * m / (1000.0 * m / F - to)

    at_cornea = on(R, v)(1.0) + K
    at_implant = on(at_cornea, d)(n) + P
    return d + 1000.0 * n / at_implant


# depth of the implant → the power that leaves no refraction, and dR/dP there: worked outside the package (cornea 43.08 D, 23.5 mm, 1.336, 12 mm)
@pytest.mark.parametrize(("depth", "power", "slope"), [(4.0, 19.053, -0.759), (5.0, 20.855, -0.704), (6.0, 22.929, -0.650)])
def test_emmetropic_powers(depth, power, slope):
    r = refraction(power, eye=TEACHING_EYE._replace(implant_depth_mm=depth))
    assert r.refraction_D == pytest.approx(0.0, abs=0.0005 * abs(slope))
    assert r.d_refraction_d_power == pytest.approx(slope, abs=0.0005)


@given(eyes, st.floats(5.0, 34.0))
def test_light_through_the_corrected_eye_ends_on_the_retina(eye, P):
    R = refraction(P, eye=eye).refraction_D
    assert retina_mm(R, P, eye) == pytest.approx(eye.axial_length_mm, rel=1e-9, abs=0.0)


@given(eyes, st.floats(5.0, 34.0))
def test_the_derivative_is_that_of_a_complex_step(eye, P):
    stepped = refraction_of(P + 1e-30j, *eye[:4], eye.vertex_distance_mm)
    assert refraction(P, eye=eye).d_refraction_d_power == pytest.approx(stepped.refraction_D.imag / 1e-30, rel=1e-12, abs=0.0)


@given(st.floats(5.0, 34.0), st.floats(0.01, 2.0))
def test_a_stronger_implant_is_more_myopic(label, more):
    shift = refraction_shift_D(label + more, label)
    assert -2.0 * more < shift < 0.0
    assert refraction_shift_D(label, label + more) == -shift


def test_at_the_cornea_the_refraction_is_the_ocular_one():
    r = refraction(21.0, eye=TEACHING_EYE._replace(vertex_distance_mm=0.0))
    assert r.refraction_D == r.ocular_refraction_D


def test_light_that_crosses_before_the_cornea_does_not_come_from_in_front():
    """A far point at the very spectacles has a refraction of −1000/vertex distance at the cornea: a little nearer and the light has met a focus."""
    at = -1000.0 / TEACHING_EYE.vertex_distance_mm
    r = refraction_of(20.0, *TEACHING_EYE)._replace(before_implant_D=40.0)
    assert bool(comes_from_in_front(r._replace(ocular_refraction_D=0.95 * at), TEACHING_EYE))
    assert not bool(comes_from_in_front(r._replace(ocular_refraction_D=1.05 * at), TEACHING_EYE))
