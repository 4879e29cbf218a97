"""An error of the light's wavelength is one for specimen, references and prism at a line. Slopes worked out here by hand from n = A + B/L², L in µm.

Under light of λ + δ the scale shows n(λ + δ)·N(λ)/N(λ + δ) of a border measured inside, so n + (n′ − n·N′/N)·δ; the offset that a reference gives
holds its own share and is taken off.
"""

import pytest

from lenscalc.chain import follow_index
from lenscalc.errors import SheetError
from lenscalc.refractometer import sheet_from_data

NM = 546.07
G = 1e6 / 486.1327**2 - 1e6 / 656.2725**2  # of F less that of C
D_LESS_E = 1e6 / 587.5618**2 - 1e6 / NM**2
EXACT = {"u_repeatability": 1e-7, "dof_repeatability": 1e9}
U_NM = 2.0


def strength(n, V):
    """B of n = A + B/L² with this index at 546.07 nm: B·G·V = n_d − 1 = n + B·(g_d − g) − 1."""
    return (n - 1.0) / (V * G - D_LESS_E)


def slope(n, V):
    return -2e6 * strength(n, V) / NM**3


SPECIMEN = slope(1.49, 58.0)


def at(n, **keys):
    return {"wavelength_nm": NM, "temperature_degC": 35.0, "u_temperature_degC": 0.0, "n": [n], **EXACT, **keys}


def followed(*references, **instrument):
    data = {
        "provenance": "invented for the tests",
        "specimen": {"material": "copolymer A", "state": "hydrated"},
        "instrument": {"kind": "v-block", "resolution": 0.0, "u_calibration": 1e-5, **instrument},
        "temperature": {"dn_dt_per_K": -1e-4, "u_dn_dt_per_K": 0.0, "state": "hydrated"},
        "reading": [at(1.49, basis="air", u_wavelength_nm=U_NM)],
        "dispersion": {"abbe_d": 58.0, "u_abbe_d": 0.0},
    }
    if references:
        data["calibration"] = {"model": "offset", "reference": list(references)}
    return follow_index(sheet_from_data(data))


def of_the_light(*references, **instrument):
    parts = followed(*references, **instrument).index.n.parts
    return next(float(part[0]) for source, part in parts.items() if source.name == "wavelength of the light at 546.07 nm")


def piece(n, **keys):
    certified = {"n_certified": n, "u_certified": 1e-5, "certified_temperature_degC": 35.0, "certified_basis": "air"}
    return {"name": "piece", "kind": "certified", **certified, **at(n), **keys}


WATER = {"name": "water", "kind": "water", **at(1.3328)}
PRISM = {
    "kind": "prism contact", "n_contact_liquid": 1.74, "angle_measured_inside": True,
    "prism": [{"wavelength_nm": w, "n_prism": 1.80 + 0.0185e6 / w**2, "u_n_prism": 0.0} for w in (486.1327, 656.2725)],
}  # fmt: skip


def test_without_a_reference_the_whole_slope_is_left():
    assert of_the_light() == pytest.approx(SPECIMEN * U_NM, rel=1e-6, abs=0.0)


def test_water_takes_its_own_slope_off():
    """Water has V_d 55.8 at 20 to 24 °C (Daimon 2007) and n_e 1.3328 at 35 °C: its slope by the same formula, within 3 %, what the form misses."""
    left = SPECIMEN - slope(1.3328, 55.8)
    assert of_the_light(WATER) == pytest.approx(left * U_NM, abs=0.03 * abs(slope(1.3328, 55.8)) * U_NM)


def test_a_dense_flint_leaves_more_than_the_specimen_alone():
    left = SPECIMEN - slope(1.71, 30.0)
    assert abs(left) > 1.5 * abs(SPECIMEN)
    assert of_the_light(piece(1.71, abbe_d=30.0)) == pytest.approx(left * U_NM, rel=1e-6, abs=0.0)


def test_the_prism_of_a_contact_scale_adds_its_own():
    N, by_nm = 1.80 + 0.0185e6 / NM**2, -2e6 * 0.0185 / NM**3
    assert of_the_light(**PRISM) == pytest.approx((SPECIMEN - 1.49 * by_nm / N) * U_NM, rel=1e-6, abs=0.0)
    left = SPECIMEN - slope(1.71, 30.0) - (1.49 - 1.71) * by_nm / N
    assert of_the_light(piece(1.71, abbe_d=30.0), **PRISM) == pytest.approx(left * U_NM, rel=1e-6, abs=0.0)


@pytest.mark.parametrize(
    ("given", "told"),
    [
        (((), {}), "without the dispersion of the instrument's own glass"),
        (((), {"kind": "minimum deviation"}), None),
        (((), PRISM), None),
        (((WATER,), {}), None),
        (((piece(1.71),), {}), "without the dispersion of piece"),
        (((piece(1.71, abbe_d=30.0),), {}), None),
    ],
)
def test_what_is_not_in_the_budget_is_told(given, told):
    references, instrument = given
    remarks = [r for r in followed(*references, **instrument).read.remarks if "the light's error" in r]
    assert (told is None and not remarks) or (told is not None and len(remarks) == 1 and told in remarks[0])


@pytest.mark.parametrize("own", [{"abbe_d": 55.0}, {"dn_dt_per_K": -1e-4, "u_dn_dt_per_K": 1e-5}, {"u_dn_dt_per_K": 1e-5}])
def test_the_index_of_water_is_not_the_sheets_to_say(own):
    with pytest.raises(SheetError, match=f"{next(iter(own))} does not belong to kind = 'water'"):
        followed(WATER | own)


@pytest.mark.parametrize(
    ("prism", "said"),
    [
        ({486.1327: 1.75, 656.2725: 1.76}, r"\[\[instrument.prism\]\] the index must fall with the wavelength"),
        ({546.07: 1.75, 547.0: 1.7499}, r"\[\[instrument.prism\]\] the readings lie less than 10 nm apart"),
    ],
)
def test_a_prism_that_says_nothing_of_its_dispersion(prism, said):
    with pytest.raises(SheetError, match=said):
        followed(**PRISM | {"prism": [{"wavelength_nm": w, "n_prism": n, "u_n_prism": 0.0} for w, n in prism.items()]})


def test_a_piece_that_does_not_refract_has_no_dispersion():
    with pytest.raises(SheetError, match=r"\[calibration\] reference piece: n_d = 1: a material without refraction"):
        followed(piece(1.0, abbe_d=30.0))


@pytest.mark.parametrize("instrument", [{}, {"angle_measured_inside": True, "prism": PRISM["prism"]}, {"prism_apex_deg": 60.0}])
def test_only_a_contact_prism_takes_part(instrument):
    assert of_the_light(**instrument) == pytest.approx(SPECIMEN * U_NM, rel=1e-6, abs=0.0)


def test_a_piece_whose_dispersion_nobody_knows_takes_nothing_off():
    assert of_the_light(piece(1.71)) == pytest.approx(SPECIMEN * U_NM, rel=1e-6, abs=0.0)


@pytest.mark.parametrize("prism", [[], PRISM["prism"][:1]])
def test_one_line_of_a_prism_says_nothing_of_its_dispersion(prism):
    f = followed(**PRISM | {"prism": prism})
    (part,) = (float(part[0]) for source, part in f.index.n.parts.items() if source.name == "wavelength of the light at 546.07 nm")
    assert part == pytest.approx(SPECIMEN * U_NM, rel=1e-6, abs=0.0)
    assert any("give [[instrument.prism]] at two lines" in r for r in f.read.remarks)
