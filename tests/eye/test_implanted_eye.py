"""Implants in the published eyes: thick and thin, principal planes, forwards and back; all results are differences."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from lenscalc.errors import InputError
from lenscalc.eye import (
    TEACHING_EYE,
    Plane,
    eye_sensitivities,
    implant_path,
    implanted,
    index_error_behind,
    largest_u_n_lens_for,
    light_path_of,
    planes_with_implant,
    published_eye,
    published_eyes,
    refraction,
    refraction_change,
    refraction_of_index_error,
    refraction_slope,
    thin_implanted,
)
from lenscalc.lens import thick_lens
from lenscalc.uncertainty import Estimate, Input, Source

EYES = tuple(published_eyes().values())
ONE_MEDIUM = published_eye("bennett_rabbetts")
LE_GRAND = published_eye("le_grand_full")
radii, thicknesses, indices = st.floats(9.0, 40.0), st.floats(0.1, 1.5), st.floats(1.42, 1.56)


def made(eye=ONE_MEDIUM, **more):
    return implanted(eye, **{"front_radius_mm": 15.0, "back_radius_mm": -18.0, "center_thickness_mm": 0.9, "n_lens": 1.49, **more})


def with_thin(eye, s, power, depth, shorter):
    """The eye with a thin lens of this power at a depth, and the retina nearer by `shorter`: worked with planes only."""
    spectacles, *cornea = planes_with_implant(eye, s)[:-2]
    to_lens = depth - sum(p.distance_mm for p in cornea[:-1])
    lens = Plane("thin", power, eye.axial_length_mm + s.longer_mm - depth - shorter, s.n_vitreous)
    return light_path_of([spectacles, *cornea[:-1], cornea[-1]._replace(distance_mm=to_lens), lens])


@given(radii, radii, thicknesses, indices)
def test_a_thick_lens_is_a_thin_one_at_its_principal_planes(R1, R2, t, n):
    s = made(front_radius_mm=R1, back_radius_mm=-R2, center_thickness_mm=t, n_lens=n)
    p = thick_lens(R1, -R2, t, n, 1.336)
    apart = t + p.back_principal_plane_mm - p.front_principal_plane_mm
    thin = with_thin(ONE_MEDIUM, s, p.power_D, s.depth_mm + p.front_principal_plane_mm, apart)
    assert implant_path(ONE_MEDIUM, s).refraction_D == pytest.approx(thin.refraction_D, abs=1e-11)


@given(radii, radii, thicknesses, indices)
def test_moving_the_lens_by_its_principal_plane_shift_does_the_analytic_amount(R1, R2, t, n):
    """dR/dd = h²·(L′² − L²)/n: both principal planes go together, L before the front one and L′ behind the back one, h the ray's height there."""
    s = made(front_radius_mm=R1, back_radius_mm=-R2, center_thickness_mm=t, n_lens=n)
    p = thick_lens(R1, -R2, t, n, 1.336)
    apart = t + p.back_principal_plane_mm - p.front_principal_plane_mm
    thin = with_thin(ONE_MEDIUM, s, p.power_D, s.depth_mm + p.front_principal_plane_mm, apart)
    analytic = thin.heights[-1] ** 2 * (thin.behind_D[-1] ** 2 - thin.before_D[-1] ** 2) / (1000.0 * 1.336)
    assert refraction_slope(ONE_MEDIUM, s, "depth_mm") == pytest.approx(analytic, rel=1e-9, abs=0.0)
    # bending: a lens of the same power whose planes lie elsewhere does what the shift of the planes says, to first order in the shift
    H = p.front_principal_plane_mm
    moved = with_thin(ONE_MEDIUM, s, p.power_D, s.depth_mm + H + 0.001, apart)
    assert moved.refraction_D - thin.refraction_D == pytest.approx(0.001 * analytic, rel=5e-3, abs=1e-8)


@pytest.mark.parametrize("eye", [LE_GRAND, ONE_MEDIUM], ids=lambda e: e.key)
@pytest.mark.parametrize(("R1", "R2"), [(15.0, -18.0), (8.0, 12.0), (np.inf, -10.0), (-15.0, 18.0), (12.0, 8.0), (np.inf, 10.0)])
def test_a_dioptre_counts_where_the_principal_planes_are(R1, R2, eye):
    """They lie H = n_a·t·F2/(n·F) behind the front vertex and H' = −n_v·t·F1/(n·F) behind the back one, wherever the lens is bent to; the power alone
    is moved.
    """
    n, t = 1.49, 1.5
    front, back = 1000.0 * (n - eye.n_aqueous) / R1, 1000.0 * (eye.n_vitreous - n) / R2
    power = front + back - t / (1000.0 * n) * front * back
    H, H_back = eye.n_aqueous * t * back / (n * power), -eye.n_vitreous * t * front / (n * power)
    s = made(eye, front_radius_mm=R1, back_radius_mm=R2, center_thickness_mm=t, n_lens=n)
    stepped = with_thin(eye, s, power + 1e-30j, s.depth_mm + H, t + H_back - H).refraction_D
    assert stepped.real == pytest.approx(implant_path(eye, s).refraction_D, abs=1e-11)
    assert eye_sensitivities(eye, s).per_dioptre == pytest.approx(stepped.imag / 1e-30, rel=1e-12, abs=0.0)


# in one medium both ways round have one power
@pytest.mark.parametrize("eye", [e for e in EYES if e.n_aqueous == e.n_vitreous], ids=lambda e: e.key)
def test_a_plano_convex_lens_turned_round_shifts_by_its_principal_planes(eye):
    forwards = made(eye, front_radius_mm=10.0, back_radius_mm=np.inf)
    turned = made(eye, front_radius_mm=np.inf, back_radius_mm=-10.0)
    change = refraction_change(eye, forwards, turned).refraction_change_D.value
    # its front principal plane goes from the vertex to t·m/n behind it (0.807 mm for 1.336); the slope is that in the middle of the way
    shift = 0.9 * eye.n_aqueous / 1.49
    by_shift = shift * 0.5 * (refraction_slope(eye, forwards, "depth_mm") + refraction_slope(eye, turned, "depth_mm"))
    assert change == pytest.approx(by_shift, rel=1e-3, abs=0.0)
    assert change > 0.5


@given(st.floats(5.0, 34.0), st.sampled_from(EYES))
def test_thin_and_thick_agree_in_the_limit(power, eye):
    thin = implant_path(eye, thin_implanted(eye, power)).refraction_D
    radius = 2000.0 * (1.49 - 1.336) / power
    for t in (1e-3, 1e-6, 0.0):
        thick = made(eye, front_radius_mm=radius, back_radius_mm=-radius, center_thickness_mm=t)
        # a lens half as thick as this stands about so much deeper: below 2 D a millimetre
        assert abs(implant_path(eye, thick).refraction_D - thin) < 2.0 * t + 1e-12


@given(st.floats(5.0, 34.0), st.floats(-1.0, 1.0))
def test_a_thin_implant_does_in_one_medium_what_the_teaching_eye_says(power, deeper):
    """A published eye of one surface and one medium is the teaching eye with other numbers."""
    eye = ONE_MEDIUM
    same = TEACHING_EYE._replace(corneal_power_D=336.0 / 7.8, axial_length_mm=24.09, implant_depth_mm=4.5 + deeper)
    path = implant_path(eye, thin_implanted(eye, power, deeper_mm=deeper))
    r = refraction(power, eye=same)
    assert path.refraction_D == pytest.approx(r.refraction_D, abs=1e-11)
    assert eye_sensitivities(eye, thin_implanted(eye, power, deeper_mm=deeper)).per_dioptre == pytest.approx(
        r.d_refraction_d_power, rel=1e-11, abs=0.0
    )


@given(st.floats(-8.0, 6.0), st.floats(-0.5, 1.0), st.sampled_from([e for e in EYES if e.n_aqueous == e.n_vitreous]))
def test_forwards_and_back_agree_to_1e_9(wanted, deeper, eye):
    """The power that leaves a wanted refraction, worked from the front with distances; then the refraction with it."""
    s = thin_implanted(eye, 20.0, deeper_mm=deeper)
    vergence, here = wanted, planes_with_implant(eye, s)[:-2]
    for p in here:
        vergence += p.power_D
        vergence = 1000.0 * p.n_behind / (1000.0 * p.n_behind / vergence - p.distance_mm) if vergence else 0.0
    power = 1000.0 * s.n_vitreous / (eye.axial_length_mm - s.depth_mm) - vergence
    assume(1.0 < power < 60.0)
    in_1336 = power * (1.49 - 1.336) / (1.49 - s.n_aqueous)
    assert implant_path(eye, thin_implanted(eye, in_1336, deeper_mm=deeper)).refraction_D == pytest.approx(wanted, abs=1e-9)


@given(st.floats(-0.02, 0.02), indices, st.sampled_from(EYES))
def test_an_index_error_and_back(error, n, eye):
    s = made(eye, n_lens=n)
    shift = refraction_of_index_error(eye, s, error)
    assert index_error_behind(eye, s, shift) == pytest.approx(error, abs=1e-12)
    assert shift * error <= 0


@pytest.mark.parametrize("eye", EYES, ids=lambda e: e.key)
def test_slopes_are_those_of_small_steps(eye):
    s, by = made(eye), eye_sensitivities(eye, made(eye))
    steps = {"n_lens": (0.001, by.per_0001_of_index), "depth_mm": (0.1, by.per_tenth_mm_of_position), "longer_mm": (0.1, by.per_tenth_mm_of_length)}
    for name, (unit, told) in steps.items():
        a, b = (implant_path(eye, s._replace(**{name: getattr(s, name) + sign * 1e-4})).refraction_D for sign in (1, -1))
        assert told == pytest.approx(unit * (a - b) / 2e-4, rel=1e-6, abs=0.0)


# common practice, no source: at the spectacles about 0.7 D per dioptre of the implant, 1.3 D per mm of its place, 2.7 D per mm of the eye, 1 D per
# dioptre of the cornea; 0.001 of the index of a 20 D lens of 1.49 is 0.13 D at the lens and so about 0.09 D
@pytest.mark.parametrize("eye", EYES, ids=lambda e: e.key)
def test_the_rules_of_thumb_are_near(eye):
    by = eye_sensitivities(eye, thin_implanted(eye, 20.0))
    assert -0.85 < by.per_dioptre < -0.6
    assert 1.0 < 10.0 * by.per_tenth_mm_of_position < 1.7
    assert -3.1 < 10.0 * by.per_tenth_mm_of_length < -2.3
    assert -1.15 < by.per_dioptre_of_cornea < -0.9
    assert -0.11 < by.per_0001_of_index < -0.08


# steps of half a dioptre scatter the refraction by 0.11 to 0.12 D (Langenbucher et al., Br. J. Ophthalmol. 108 (2024) 793, abstract, over many eyes)
@pytest.mark.parametrize("eye", EYES, ids=lambda e: e.key)
def test_half_dioptre_steps_scatter_as_published(eye):
    assert 0.095 < 0.5 / 12**0.5 * -eye_sensitivities(eye, thin_implanted(eye, 21.0)).per_dioptre < 0.125


def test_how_well_the_index_must_be_known():
    s = made()
    u = largest_u_n_lens_for(ONE_MEDIUM, s)
    assert 2.0 * u * abs(refraction_slope(ONE_MEDIUM, s, "n_lens")) == pytest.approx(0.25, rel=1e-12, abs=0.0)
    assert largest_u_n_lens_for(ONE_MEDIUM, s, coverage=1.0) == pytest.approx(2.0 * u)
    flat = made(front_radius_mm=np.inf, back_radius_mm=np.inf, center_thickness_mm=0.0)
    assert largest_u_n_lens_for(ONE_MEDIUM, flat) == np.inf


def test_the_uncertainty_comes_from_every_input():
    s = made()
    after = s._replace(n_lens=1.492)
    u = {"longer_mm": 0.3, "depth_mm": 0.2, "steeper_D": 0.5, "front_radius_mm": 0.05}
    change = refraction_change(ONE_MEDIUM, s, after, u=u, u_change={"n_lens": Input(0.0, 0.0004, dof=9)})
    found = change.refraction_change_D
    assert found.value == pytest.approx(refraction_of_index_error(ONE_MEDIUM, s, 0.002), abs=1e-12)
    assert {source.name for source in found.parts} == {*u, "change of n_lens"}
    own = abs(refraction_slope(ONE_MEDIUM, after, "n_lens")) * 0.0004
    assert found.u_where(lambda source: source.name == "change of n_lens") == pytest.approx(own, rel=1e-12, abs=0.0)
    assert found.u_of("lot") == pytest.approx(own, rel=1e-12, abs=0.0)
    # what both states share all but cancels: half a millimetre of the eye is over 1 D in each of them
    shared = found.u_where(lambda source: source.name != "change of n_lens")
    assert 0 < shared < 0.01
    assert found.dof < np.inf


@pytest.mark.parametrize("law", ["normal", "rectangular", "triangular", "arcsine", "trapezoid", "curvilinear trapezoid"])
def test_the_law_of_an_input_is_carried_where_a_source_of_a_budget_can(law):
    s = made()
    u = {"depth_mm": Input(0.0, 0.1, law, shape=0.5 if "trapezoid" in law else 0.0)}
    if "trapezoid" in law:
        with pytest.raises(InputError, match=f"u of depth_mm: a {law} has a shape"):
            refraction_change(ONE_MEDIUM, s, made(n_lens=1.5), u=u)
    else:
        found = refraction_change(ONE_MEDIUM, s, made(n_lens=1.5), u=u).refraction_change_D
        assert [source.distribution for source in found.parts] == [law]


def test_an_estimate_keeps_its_sources_on_the_way_to_the_spectacles():
    calibration, own = Source("calibration", scope="instrument"), Source("replicates", dof=4)
    n = Estimate(1.49, {calibration: 0.0003, own: -0.0004})
    s = made()
    found = refraction_change(ONE_MEDIUM, s, s, u_change={"n_lens": n, "depth_mm": 0.1}).refraction_change_D
    slope = refraction_slope(ONE_MEDIUM, s, "n_lens")
    assert found.value == 0
    assert found.parts[calibration] == pytest.approx(0.0003 * slope, rel=1e-12, abs=0.0)
    assert found.parts[own] == pytest.approx(-0.0004 * slope, rel=1e-12, abs=0.0)
    assert found.u_of("instrument") == pytest.approx(abs(0.0003 * slope), rel=1e-12, abs=0.0)
    assert len(found.parts) == 3


def test_shared_inputs_move_the_difference_as_two_computed_ones_do():
    s, after = made(), made(n_lens=1.5)
    slope = refraction_change(ONE_MEDIUM, s, after, u={"longer_mm": 1.0}).sensitivities["longer_mm"]
    differences = [
        implant_path(ONE_MEDIUM, after._replace(longer_mm=h)).refraction_D - implant_path(ONE_MEDIUM, s._replace(longer_mm=h)).refraction_D
        for h in (1e-4, -1e-4)
    ]
    assert slope == pytest.approx((differences[0] - differences[1]) / 2e-4, rel=1e-5, abs=0.0)
