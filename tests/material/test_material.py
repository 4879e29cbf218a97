"""Water, air and dispersion against printed values and published fits; water and air against other equations: test_water.py."""

import numpy as np
import pytest

from lenscalc import InputError, water_index
from lenscalc.material import (
    abbe_number,
    air_index,
    air_to_vacuum,
    by_abbe_number,
    by_second_reading,
    lorentz_lorenz_dn_dt,
    schott_index,
    sellmeier_index,
    vacuum_to_air,
)  # fmt: skip
from lenscalc.material.water import water_index_at_density

LINES = {"d": 587.5618, "F": 486.1327, "C": 656.2725, "e": 546.074}
POLYMERS = {  # refractiveindex.info (CC0), papers as named; nm → n, and the printed n_d, n_e, V_d worked from them
    "PMMA, Szczurowski 2013": (lambda w: sellmeier_index(w, [0.99654, 0.18964, 0.00411], [0.00787, 0.02191, 3.85727]), 1.490595, 1.492611, 58.00),
    "PMMA, Beadie 2015": (
        lambda w: schott_index(w, [2.1778, 6.1209e-3, -1.5004e-3, 2.3678e-2, -4.2137e-3, 7.3417e-4, -4.5042e-5], [0, 2, 4, -2, -4, -6, -8]),
        1.492527, 1.494490, 59.37,
    ),
    "polystyrene, Sultanova 2009": (lambda w: sellmeier_index(w, [1.4435], [0.020216]), 1.591630, 1.596395, 29.53),
    "PDMS, Schneider 2009": (lambda w: sellmeier_index(w, [1.0093], [0.013185]), 1.431565, 1.433873, 44.57),
}  # fmt: skip


def test_the_checks_printed_in_the_release():
    """IAPWS R9-97 (quoted): two of its check values, eight decimals."""
    assert water_index_at_density(226.5, 298.15, 997.047435) == pytest.approx(1.39277824, abs=6e-9)
    assert water_index_at_density(589.3, 773.15, 30.4758534) == pytest.approx(1.00949307, abs=6e-9)


def test_water_zero_of_a_refractometer():
    """n_D(20 °C) = 1.33299 relative to air (SRM 1922's certificate); the release's own uncertainty is 1.5e-5."""
    assert water_index(589.29, 20.0) == pytest.approx(1.33299, abs=1.5e-5)


@pytest.mark.parametrize("case", [(199.0, 20.0), (1101.0, 20.0), (546.07, -0.1), (546.07, 40.1), (546.07, np.nan), (np.nan, 20.0), (0.546, 20.0)])
def test_water_out_of_range_is_refused(case):
    with pytest.raises(InputError) as caught:
        water_index(*case)
    assert caught.value.quantity in ("wavelength_nm", "temperature_degC")


def test_water_on_another_basis_is_refused():
    with pytest.raises(InputError, match="vacuum"):
        water_index(546.07, 20.0, relative_to="glass")


# Ciddor, Appl. Opt. 35 (1996) 1566, table 1 (quoted in open test suites): (n − 1)·1e8 of dry air, 633 nm, 450 ppm CO2; the equations agree to 2e-8
@pytest.mark.parametrize(
    ("temperature_degC", "pressure_Pa", "refractivity"),
    [(20.0, 80e3, 21458.0), (20.0, 100e3, 26824.4), (20.0, 120e3, 32191.6), (10.0, 100e3, 27774.7), (30.0, 100e3, 25937.2)],
)
def test_air(temperature_degC, pressure_Pa, refractivity):
    assert (air_index(633.0, temperature_degC, pressure_Pa) - 1.0) * 1e8 == pytest.approx(refractivity, abs=2.0)


@pytest.mark.parametrize("n", [1.0, 1.336, 1.6])
def test_basis_there_and_back(n):
    assert air_to_vacuum(vacuum_to_air(n, 546.07, 35.0), 546.07, 35.0) == pytest.approx(n, rel=1e-15, abs=0.0)
    assert vacuum_to_air(n, 546.07, 35.0) < n


@pytest.mark.parametrize("name", POLYMERS)
def test_published_fits(name):
    n, n_d, n_e, V_d = POLYMERS[name]
    assert (n(LINES["d"]), n(LINES["e"])) == pytest.approx((n_d, n_e), abs=6e-7)
    assert abbe_number(n(LINES["d"]), n(LINES["F"]), n(LINES["C"])) == pytest.approx(V_d, abs=0.006)


@pytest.mark.parametrize("name", POLYMERS)
def test_a_step_by_the_abbe_number_reproduces_it(name):
    """Whatever the step gives at d, F and C has the Abbe number that went in."""
    n_d, V = POLYMERS[name][1], POLYMERS[name][3]
    at = {line: by_abbe_number(n_d, LINES["d"], V, nm).n for line, nm in LINES.items()}
    assert at["d"] == n_d
    assert abbe_number(at["d"], at["F"], at["C"]) == pytest.approx(V, rel=1e-12, abs=0.0)


@pytest.mark.parametrize(("n", "nm", "V"), [(1.49, 589.29, 52.0), (1.55, 632.8, 35.0), (1.43, 546.07, 45.0)])
def test_derivatives_of_the_abbe_step(n, nm, V):
    def moved(dn, dV):
        return by_abbe_number(n + dn, nm, V + dV, 546.07).n

    step = by_abbe_number(n, nm, V, 546.07)
    assert step.by_reading == pytest.approx((moved(1e-4, 0) - moved(-1e-4, 0)) / 2e-4, rel=1e-8, abs=0.0)
    assert step.by_abbe == pytest.approx((moved(0, 0.01) - moved(0, -0.01)) / 0.02, rel=1e-6, abs=1e-12)


def test_two_readings_are_passed_through_and_weighed():
    a, b = (587.5618, 1.490595), (486.1327, 1.496536)
    assert by_second_reading(a[1], a[0], b[1], b[0], a[0]).n == a[1]
    assert by_second_reading(a[1], a[0], b[1], b[0], b[0]).n == pytest.approx(b[1], rel=1e-15, abs=0.0)
    step = by_second_reading(a[1], a[0], b[1], b[0], 546.074)
    assert step.by_reading + step.by_second == pytest.approx(1.0)  # an offset common to both moves the result by itself
    assert 0 < step.by_second < 1


def test_thermal_slope_keeps_the_molar_refraction():
    """(n² − 1)/(n² + 2)/ρ stays the same when ρ falls by α_V a kelvin."""
    n, alpha = 1.49, 2.2e-4
    r = (n * n - 1) / (n * n + 2) * (1 - alpha * 1e-3)
    warmer = ((1 + 2 * r) / (1 - r)) ** 0.5
    assert lorentz_lorenz_dn_dt(n, alpha) == pytest.approx((warmer - n) / 1e-3, rel=1e-5, abs=0.0)
