"""Sag, volume, mass and feasibility of conics and even aspheres; quadrature and figures of revolution as the other way round."""

from math import pi

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from lenscalc import InputError
from lenscalc.lens import center_thickness_for_edge_mm, edge_thickness_mm, mass_mg, refuse_other_kinds, volume_mm3, why_not
from lenscalc.light import aspheric_sag_mm

radii = st.one_of(st.just(np.inf), st.floats(6.0, 200.0), st.floats(-200.0, -6.0))
conics = st.floats(-8.0, 1.5)  # 6 mm of radius and 1 + k = 2.5 end at a height of 3.8
terms = st.dictionaries(st.sampled_from([4, 6, 8]), st.floats(-1e-5, 1e-5), max_size=3)


def on_conic(z, R, k, h):
    """The equation of a conic through its vertex: h² = 2Rz − (1 + k)z²."""
    return 2.0 * R * z - (1.0 + k) * z * z - h * h


@given(radii.filter(np.isfinite), conics, st.floats(0.0, 3.0))
def test_the_sag_lies_on_the_conic(R, k, h):
    assert on_conic(float(aspheric_sag_mm(R, h, conic=k)), R, k, h) == pytest.approx(0.0, abs=1e-12)


def test_aspheric_terms_are_added():
    # paraboloid of 10 mm at 2 mm: 0.2; 1e-3·16 − 1e-4·64 = 0.0096
    assert float(aspheric_sag_mm(10.0, 2.0, conic=-1.0, aspheric={4: 1e-3, 6: -1e-4})) == pytest.approx(0.2096, abs=1e-15)


@pytest.mark.parametrize(
    ("aspheric", "told"),
    [
        ({2: 1e-3}, "terms start at 4"), ({5: 1e-3}, "the powers are even"), ({0: 1e-3}, "the powers are even"), ({4: "x"}, "is not a number"),
        ({4: np.nan}, "must be finite"), ({4.5: 1.0}, "the powers are even"),
    ],
)  # fmt: skip
def test_a_term_that_cannot_be_is_refused(aspheric, told):
    with pytest.raises(InputError, match=told):
        aspheric_sag_mm(15.0, 3.0, aspheric=aspheric)


@given(radii, radii, st.floats(2.5, 5.0), conics, conics, terms, terms)
def test_volume_is_the_integral_of_the_thickness(R1, R2, t, k1, k2, a1, a2):
    surfaces = {"front_conic": k1, "back_conic": k2, "front_aspheric": a1, "back_aspheric": a2}

    def ring(h):
        return 2.0 * pi * h * float(edge_thickness_mm(R1, R2, t, 2.0 * h, **surfaces))

    assert volume_mm3(R1, R2, t, 6.0, **surfaces) == pytest.approx(quad(ring, 0.0, 3.0, epsabs=1e-11)[0], abs=1e-9)


@given(radii, radii, st.floats(2.5, 5.0), st.floats(0.1, 1.0))
def test_volume_is_positive_and_grows_with_the_centre_by_its_cylinder(R1, R2, t, more):
    thin, thick = volume_mm3(R1, R2, t, 6.0), volume_mm3(R1, R2, t + more, 6.0)
    assert thin > 0
    assert thick - thin == pytest.approx(9.0 * pi * more, rel=1e-9, abs=0.0)


def test_a_lens_and_its_mirror_image_hold_the_same():
    assert volume_mm3(12.0, -20.0, 1.0, 6.0, front_conic=-2.0) == pytest.approx(
        volume_mm3(20.0, -12.0, 1.0, 6.0, back_conic=-2.0), rel=1e-15, abs=0.0
    )


def test_a_lens_split_at_a_plane_holds_the_same():
    whole = volume_mm3(15.0, -15.0, 0.9, 6.0)
    assert volume_mm3(15.0, np.inf, 0.5, 6.0) + volume_mm3(np.inf, -15.0, 0.4, 6.0) == pytest.approx(whole, rel=1e-14, abs=0.0)


def test_arrays_of_lenses_broadcast():
    v = volume_mm3([15.0, np.inf], [[-15.0], [-20.0]], 0.9, 6.0)
    assert v.shape == (2, 2)
    assert v[0, 0] == volume_mm3(15.0, -15.0, 0.9, 6.0)


@pytest.mark.parametrize(
    ("lens", "surfaces", "told"),
    [
        ((5.0, -5.0, 1.5, 6.0), {}, "edge thickness -0.500 mm"),
        ((5.0, -5.2, 1.5, 10.5), {}, "too wide: the front radius of 5 mm must be 5.25 mm or more in magnitude and the back radius of -5.2 mm must"),
        ((5.0, np.inf, 5.0, 8.0), {"front_conic": 1.0}, "the front radius of 5 mm with front_conic = 1 must be 5.65685 mm or more in magnitude"),
        (([15.0, 5.0], -15.0, 0.9, 6.0), {}, "row 2: edge thickness"),
        ((15.0, -15.0, 0.0009, 6.0), {}, "edge thickness"),
        ((np.nan, -15.0, 0.9, 6.0), {}, "front_radius_mm is missing or not a number"),
        ((15.0, -15.0, "thick", 6.0), {}, "center_thickness_mm = 'thick' is not a number"),
    ],
)
def test_a_lens_that_cannot_be_has_no_volume(lens, surfaces, told):
    with pytest.raises(InputError, match=told):
        volume_mm3(*lens, **surfaces)


def test_surfaces_that_cross_between_centre_and_edge_are_found():
    # plano-plano of 0.1 mm whose front rises by 0.05·h⁴ − 0.0054·h⁶: 0.38 at 2.5 mm, 0.11 at 3 mm: the edge is whole, the zone is not
    terms = {4: 0.05, 6: -0.0054}
    assert float(edge_thickness_mm(np.inf, np.inf, 0.2, 6.0, front_aspheric=terms)) > 0
    sentence = why_not(np.inf, np.inf, 0.2, 6.0, front_aspheric=terms)
    assert sentence.startswith("the surfaces cross at a height of 2.")
    with pytest.raises(InputError, match="the surfaces cross"):
        volume_mm3(np.inf, np.inf, 0.2, 6.0, front_aspheric=terms)


def test_mass_is_volume_times_density():
    assert mass_mg([10.0, 20.0], 1200.0).tolist() == [12.0, 24.0]
    with pytest.raises(InputError, match="is it in g/cm³"):
        mass_mg(10.0, 1.19)


@given(radii, radii, st.floats(0.1, 1.0), conics, conics)
def test_the_centre_follows_from_the_edge(R1, R2, edge, k1, k2):
    surfaces = {"front_conic": k1, "back_conic": k2}
    try:
        t = center_thickness_for_edge_mm(R1, R2, edge, 6.0, **surfaces)
    except InputError as error:
        assert "thinnest in its centre" in str(error)  # noqa: PT017
        assert edge_thickness_mm(R1, R2, 0.0, 6.0, **surfaces) > edge
        return
    assert edge_thickness_mm(R1, R2, t, 6.0, **surfaces) == pytest.approx(edge, abs=1e-12)


def test_a_centre_that_would_vanish_is_refused_with_the_least_edge():
    # circle of 5 mm at 3 mm: sag 1, twice: a biconcave lens of edge 2 has no centre
    with pytest.raises(InputError, match=r"the edge must be 2.000 mm or more"):
        center_thickness_for_edge_mm(-5.0, 5.0, 1.5, 6.0)
    with pytest.raises(InputError, match=r"row 2: optic_diameter_mm = 11 mm is too wide: the front radius of -5 mm must be 5\.5 mm"):
        center_thickness_for_edge_mm(-5.0, 5.0, 3.0, [6.0, 11.0])


@pytest.mark.parametrize("kind", ["diffractive", "gradient-index", "multi-material"])
def test_what_the_formulas_do_not_hold_for_is_refused_by_name(kind):
    with pytest.raises(InputError, match=f"{kind} lenses are refused"):
        refuse_other_kinds(kind)


def test_the_kinds_in_scope_pass_and_a_misspelt_one_is_told():
    refuse_other_kinds("monofocal")
    refuse_other_kinds("toric")
    with pytest.raises(InputError, match="did you mean diffractive"):
        refuse_other_kinds("difractive")
