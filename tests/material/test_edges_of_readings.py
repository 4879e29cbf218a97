"""What is just enough for a fit, and sums that more than two components leave at nothing."""

import numpy as np
import pytest

from lenscalc import InputError
from lenscalc.material import Dispersion, mix, water_mass_fraction_wet_from_weights

# n = 1.48 + 4000/L², three readings
CAUCHY = lambda nm: 1.48 + 4000.0 / np.asarray(nm) ** 2  # noqa: E731


def test_readings_ten_nanometres_apart_tell_of_dispersion():
    nm = [540.0, 545.0, 550.0]
    assert float(Dispersion.fit(nm, CAUCHY(nm), form="cauchy", terms=2, u_n=1e-5).n(545.0)) == pytest.approx(float(CAUCHY(545.0)), abs=1e-9)
    with pytest.raises(InputError, match="less than 10 nm apart"):
        Dispersion.fit([540.0, 545.0, 549.9], CAUCHY([540.0, 545.0, 549.9]), form="cauchy", terms=2, u_n=1e-5)


def test_a_covariance_is_symmetric_and_no_reading_is_all_but_exact():
    nm = [450.0, 550.0, 650.0]
    skewed = 1e-10 * np.array([[1.0, 0.3, 0.0], [0.31, 1.0, 0.0], [0.0, 0.0, 1.0]])
    with pytest.raises(InputError, match="symmetric"):
        Dispersion.fit(nm, CAUCHY(nm), form="cauchy", terms=2, covariance=skewed)
    with pytest.raises(InputError, match="an uncertainty of its own"):  # 7e-11 beside 3e-5 and 1e-4
        Dispersion.fit(nm, CAUCHY(nm), form="cauchy", terms=2, covariance=np.diag([5e-21, 1e-9, 1e-8]))


@pytest.mark.parametrize("f", [(0.2, 0.3, 0.5), (0.6, 0.3, 0.1), (0.05, 0.05, 0.9)])
def test_three_components_leave_bruggemans_sum_at_nothing(f):
    n = (1.336, 1.43, 1.59)
    e = float(mix(n, f, rule="bruggeman")) ** 2
    assert sum(fi * (ni * ni - e) / (ni * ni + 2.0 * e) for ni, fi in zip(n, f, strict=True)) == pytest.approx(0.0, abs=1e-14)


def test_the_dry_mass_that_is_too_large_is_named():
    with pytest.raises(InputError, match=r"mass_dry_g = 0\.03 g"):
        water_mass_fraction_wet_from_weights([0.02, 0.02], mass_dry_g=[0.015, 0.03])
    with pytest.raises(InputError, match=r"mass_dry_g = 0\.03 g"):
        water_mass_fraction_wet_from_weights([0.05, 0.02], mass_dry_g=0.03)
    assert water_mass_fraction_wet_from_weights(0.02, mass_dry_g=0.02).water_mass_fraction_wet == 0.0
