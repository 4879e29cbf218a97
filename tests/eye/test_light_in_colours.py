"""Chromatic focus, image size, surroundings, and the index error in proportion."""

import mpmath
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lenscalc.errors import InputError
from lenscalc.eye import (
    cardinal_points_of,
    chromatic_change,
    chromatic_span,
    chromatic_span_change,
    image_size_mm_per_radian,
    image_size_ratio,
    implant_path,
    implanted,
    in_proportion,
    media_shift,
    planes_with_implant,
    published_eye,
    published_eyes,
    refraction_change_with_medium,
    refraction_change_with_temperature,
    thin_implanted,
)
from lenscalc.material import Dispersion, polymer

EYES = tuple(published_eyes().values())
EYE = published_eye("le_grand_full")
PMMA = polymer("pmma_szczurowski_2013")


class Still:
    """A polymer without dispersion."""

    def n(self, wavelength_nm):
        return 1.49 + 0.0 * np.asarray(wavelength_nm)


def test_at_the_reference_line_nothing_has_changed():
    for eye in EYES:
        change = chromatic_change(eye, thin_implanted(eye, 20.0), PMMA, 546.07)
        assert change.ocular_media_D == pytest.approx(0.0, abs=1e-12)
        assert change.shifted_water_D == pytest.approx(0.0, abs=1e-12)


@given(st.floats(405.0, 699.0), st.floats(10.0, 30.0), st.sampled_from(EYES))
def test_short_waves_are_focused_nearer(nm, power, eye):
    change = chromatic_change(eye, thin_implanted(eye, power), PMMA, nm)
    assert (change.ocular_media_D < 0) == (nm < 546.07) or abs(nm - 546.07) < 0.01
    assert (change.shifted_water_D < 0) == (nm < 546.07) or abs(nm - 546.07) < 0.01


@given(st.floats(20.0, 35.0), st.floats(5.0, 25.0), st.floats(10.0, 30.0))
def test_a_polymer_that_disperses_more_widens_the_span(abbe, more, power):
    s = thin_implanted(EYE, power, n_lens=1.49)
    wide, narrow = (chromatic_span(EYE, s, Dispersion.from_abbe(1.49, v)) for v in (abbe, abbe + more))
    assert wide.ocular_media_D > narrow.ocular_media_D > 0
    assert wide.extrapolated


# measured and modelled spans of the visible are about 2 D (common practice, no source); an implant of 58 lies below the eye's own lens
def test_the_span_of_the_visible_is_plausible():
    span = chromatic_span(EYE, thin_implanted(EYE, 20.0, n_lens=1.4926), PMMA, short_nm=405.0)
    assert 1.3 < span.ocular_media_D < 2.3
    assert not span.extrapolated


def test_the_choice_of_the_media_is_told_beside_and_weighs_for_a_watery_polymer():
    pmma, watery = (chromatic_span(EYE, thin_implanted(EYE, 20.0, n_lens=n), Dispersion.from_abbe(n, v)) for n, v in ((1.4906, 58.0), (1.43, 50.0)))
    assert abs(pmma.ocular_media_D - pmma.shifted_water_D) < 0.02
    assert watery.shifted_water_D - watery.ocular_media_D > 0.1


def test_the_choice_of_the_media_rules_the_implant_alone_and_cancels_in_the_eye():
    """A second way: media exchanged one by one, and the implant's power in its medium by the thin-lens formula."""
    nm, n_e = np.array([400.0, 700.0]), 1.4926
    d = Dispersion.from_abbe(1.4906, 58.0)
    s = thin_implanted(EYE, 20.0, n_lens=n_e)
    shift = {medium: [np.asarray(media_shift(medium, nm, media)) for media in ("ocular", "water")] for medium in ("cornea", "aqueous", "vitreous")}

    def span(cornea=0, aqueous=0, vitreous=0):  # 0 ocular, 1 water; written out as a path, without the function that is checked
        front, back = EYE.cornea
        n_c, n_a, n_v = front.n_behind + shift["cornea"][cornea], 1.3374 + shift["aqueous"][aqueous], 1.336 + shift["vitreous"][vitreous]
        n = n_e + d.n(nm) - d.n(546.07)
        R, c1, c2 = s.front_radius_mm, 1000 / front.radius_mm, 1000 / back.radius_mm
        vergence = 1000 * n_v / (EYE.axial_length_mm - 4.5) - 1000 * (n - n_a) / R - 1000 * (n - n_v) / R
        for power, way, index in ((c2 * (n_a - n_c), 3.95, n_a), (c1 * (n_c - 1), 0.55, n_c), (0.0, 12.0, 1.0)):
            vergence = vergence / (1 + way / (1000 * index) * vergence) - power
        return float(vergence[1] - vergence[0])

    told = chromatic_span(EYE, s, d)
    assert span() == pytest.approx(told.ocular_media_D, abs=1e-9)
    assert span(1, 1, 1) == pytest.approx(told.shifted_water_D, abs=1e-9)
    one_by_one = [span(1, 0, 0) - span(), span(0, 1, 0) - span(), span(0, 0, 1) - span()]
    assert min(abs(x) for x in one_by_one) > 0.05  # each by itself is far more than
    assert abs(span(1, 1, 1) - span()) < 0.02  # all together: they cancel
    alone = [20.0 * ((d.n(400.0) - d.n(700.0)) - (a[0] - a[1])) / (n_e - 1.336) for a in shift["aqueous"]]
    assert [round(float(x), 2) for x in alone] == [0.42, 0.73]


def test_the_difference_of_two_candidates_is_the_difference_of_their_spans():
    low = thin_implanted(EYE, 20.0, n_lens=1.4926), Dispersion.from_abbe(1.4906, 58.0)
    high = thin_implanted(EYE, 20.0, n_lens=1.55), Dispersion.from_abbe(1.548, 37.0)
    change = chromatic_span_change(EYE, low, high, short_nm=486.13, long_nm=656.27)
    # thin lens: ΔF_C − ΔF_F of the implant = F·(n_F − n_C of the polymer − of the aqueous)/(n − m), the aqueous cancelling only where n − m is one
    rough = 0.7 * 20.0 * ((0.548 / 37.0 - 0.0066) / (1.55 - 1.336) - (0.4906 / 58.0 - 0.0066) / (1.4926 - 1.336))
    assert change.ocular_media_D == pytest.approx(rough, rel=0.1, abs=0.0)
    assert chromatic_span_change(EYE, low, low, short_nm=486.13, long_nm=656.27).ocular_media_D == 0


# Atchison & Smith 2005 as an open program prints it: A, B, C and D for λ in nm. Copied without a slip: the same numbers give the indices 1.376 of
# Gullstrand's cornea and 1.336 of his vitreous at 555 nm to the last digit of A.
@pytest.mark.parametrize(
    ("medium", "n_555", "coefficients"),
    [("cornea", 1.376, (1.361594, 6009.687, -676076000, 59084500000000)), ("vitreous", 1.336, (1.322357, 5560.240, -581739100, 50368100000000))],
)
def test_the_dispersion_of_the_media_is_that_of_the_printed_equation(medium, n_555, coefficients):
    def n(nm):
        return sum(mpmath.mpf(c) / mpmath.mpf(nm) ** (2 * i) for i, c in enumerate(coefficients))

    with mpmath.workdps(30):
        assert n(555) == pytest.approx(n_555, abs=5e-7)
        for nm in (400.0, 486.1327, 555.0, 656.2725, 700.0):  # a last digit of D would be 2e-16 at 400 nm
            assert media_shift(medium, nm) == pytest.approx(float(n(nm) - n(546.07)), rel=0, abs=6e-17)


def test_media_are_published_for_the_visible():
    with pytest.raises(InputError, match=r"wavelength_nm = 0.55 nm"):
        media_shift("cornea", 0.55)
    with pytest.raises(InputError, match="'cornea', 'aqueous' or 'vitreous'"):
        media_shift("lens", 500.0)
    with pytest.raises(InputError, match="medium = 'air': must be 'cornea', 'aqueous' or 'vitreous'"):
        media_shift("air", 500.0)
    with pytest.raises(InputError, match="'ocular' or 'water'"):
        media_shift("cornea", 500.0, "saline")
    for short in (700.0, 550.0, float("nan")):
        with pytest.raises(InputError, match=rf"short_nm = {short:g} nm: must be below long_nm = 550 nm"):
            chromatic_span(EYE, thin_implanted(EYE, 20.0), Still(), short_nm=short, long_nm=550.0)
    assert media_shift("vitreous", 400.0, "water") == media_shift("cornea", 400.0, "water")


@pytest.mark.parametrize("eye", EYES, ids=lambda e: e.key)
def test_where_it_is_sharp_the_image_is_the_front_focal_length(eye):
    def length_off(longer):
        return implant_path(eye, thin_implanted(eye, 20.0, longer_mm=longer)).refraction_D

    low, high = -4.0, 4.0
    for _ in range(80):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if length_off(middle) > 0 else (low, middle)
    s = thin_implanted(eye, 20.0, longer_mm=middle)
    power = cardinal_points_of(planes_with_implant(eye, s)).power_D
    assert image_size_mm_per_radian(eye, s) == pytest.approx(1000.0 / power, rel=1e-9, abs=0.0)


def test_two_implants_of_one_power_differ_in_image_size_by_their_place():
    eye = published_eye("bennett_rabbetts")
    a, b = thin_implanted(eye, 20.0), thin_implanted(eye, 20.0, deeper_mm=1.0)
    assert image_size_ratio(eye, a, a) == 1.0
    assert image_size_ratio(eye, a, b) * image_size_ratio(eye, b, a) == pytest.approx(1.0)
    assert 0.97 < image_size_ratio(eye, a, b) < 1.0
    with pytest.raises(InputError, match="in front of the iris"):
        image_size_ratio(eye, a, thin_implanted(eye, 20.0, deeper_mm=-1.5))


def test_the_medium_moves_the_refraction_little_and_differences_less():
    for eye in EYES:
        one, two = (thin_implanted(eye, p) for p in (20.0, 21.0))
        assert abs(refraction_change_with_medium(eye, one, 1.3346)) < 0.2
        difference = refraction_change_with_medium(eye, two, 1.3346) - refraction_change_with_medium(eye, one, 1.3346)
        assert difference * (1.3346 - eye.n_aqueous) > 0  # a dioptre is more of one in a lower index
        assert abs(difference) < 0.02
        assert refraction_change_with_medium(eye, one._replace(n_aqueous=1.336, n_vitreous=1.336), 1.336) == 0
    with pytest.raises(InputError, match=r"n_medium = 13.36"):
        refraction_change_with_medium(EYE, thin_implanted(EYE, 20.0), 13.36)


def test_a_cooler_eye_holds_a_stronger_lens():
    s = implanted(EYE, front_radius_mm=15.0, back_radius_mm=-18.0, center_thickness_mm=0.9, n_lens=1.46)
    silicone = refraction_change_with_temperature(EYE, s, 30.0, dn_dt_per_K=-3.5e-4, linear_expansion_per_K=3e-4)
    assert silicone.by_index_D < 0  # the index rises on cooling
    assert silicone.by_dimensions_D < 0  # the radii shrink
    parts = silicone.by_index_D + silicone.by_dimensions_D + silicone.by_medium_D
    assert silicone.refraction_change_D == pytest.approx(parts, abs=0.02 * abs(parts))
    assert refraction_change_with_temperature(EYE, s, 35.0, dn_dt_per_K=-3.5e-4)[:4] == (0.0, 0.0, 0.0, 0.0)
    with pytest.raises(InputError, match="temperature_degC = 60"):
        refraction_change_with_temperature(EYE, s, 60.0, dn_dt_per_K=-1e-4)
    with pytest.raises(InputError, match=r"dn_dt_per_K = -0.35"):
        refraction_change_with_temperature(EYE, s, 30.0, dn_dt_per_K=-0.35)


def test_the_index_error_in_proportion():
    seen = in_proportion(lot_bias_D=-0.3)
    share = {line.source: line.share for line in seen.lines}
    # Norrby 2008, abstract
    names = ("implant position, foreseen", "refraction, determined afterwards", "axial length, measured", "pupil size", "implant power")
    assert [round(100 * share[name]) for name in names] == [35, 27, 17, 8, 1]
    assert sum(share.values()) == pytest.approx(1.0)
    # a mean absolute error of 0.6 D is a standard deviation of 0.6·√(π/2) = 0.752 D, if normal
    assert float(seen.scatter_D.u) == pytest.approx(0.752, abs=5e-4)
    assert "-0.30 D" in seen.sentence
    assert "no number of eyes averages it away" in seen.sentence
    assert all(line.scope == "lens" for line in seen.lines)


def test_a_scatter_of_ones_own_takes_the_place_of_the_published_one():
    seen = in_proportion(power_scatter_D=0.2)
    share = next(line.share for line in seen.lines if line.source == "implant power")
    # the rest keeps its 99 % of 0.752²
    assert share == pytest.approx(0.04 / (0.04 + 0.99 * 0.36 * np.pi / 2), rel=1e-9, abs=0.0)
    assert "makes below 0.05 % of" in in_proportion(power_scatter_D=0.0).sentence
    with pytest.raises(InputError, match="must be 0 or more"):
        in_proportion(power_scatter_D=-0.1)
    with pytest.raises(InputError, match="lot_bias_D = nan"):
        in_proportion(lot_bias_D=float("nan"))


def test_the_same_lens_changes_no_colour():
    eye = published_eye("le_grand_full")
    lens = thin_implanted(eye, 20.0, n_lens=1.4926), Dispersion.from_abbe(1.4906, 58.0)
    same = chromatic_span_change(eye, lens, lens)
    assert (same.ocular_media_D, same.shifted_water_D) == (0.0, 0.0)
