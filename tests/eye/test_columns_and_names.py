"""What is given may be a column, a list among them; what is refused is named as it was given."""

import numpy as np
import pytest

from lenscalc.errors import InputError
from lenscalc.eye import (
    implant_path,
    implanted,
    index_error_behind,
    published_eye,
    refraction,
    refraction_of_index_error,
    refraction_shift_D,
    thin_implanted,
)

EYE = published_eye("le_grand_full")
LENS = {"front_radius_mm": 15.0, "back_radius_mm": -15.0, "center_thickness_mm": 0.9, "n_lens": 1.49}


@pytest.mark.parametrize("name", ["deeper_mm", "longer_mm", "steeper_D", "n_aqueous", "n_vitreous"])
def test_a_list_of_departures_is_a_column(name):
    values = [1.336, 1.34] if name.startswith("n_") else [0, 1]
    column = implant_path(EYE, implanted(EYE, **LENS, **{name: values})).refraction_D
    assert column.tolist() == [float(implant_path(EYE, implanted(EYE, **LENS, **{name: x})).refraction_D) for x in values]


@pytest.mark.parametrize("name", ["n_aqueous", "n_vitreous"])
def test_a_medium_that_is_no_number_is_named(name):
    with pytest.raises(InputError, match=f"{name} is missing or not a number"):
        implanted(EYE, **LENS, **{name: np.nan})


def test_columns_of_different_lengths_are_named():
    with pytest.raises(InputError, match=r"n_lens \(2,\), deeper_mm \(3,\)"):
        implanted(EYE, **{**LENS, "n_lens": [1.49, 1.5]}, deeper_mm=[0.0, 0.1, 0.2])


@pytest.mark.parametrize("power_D", [1000.0, 1e-9])
def test_a_thin_implant_that_cannot_be_is_told_by_its_power(power_D):
    with pytest.raises(InputError, match=f"power_D = {power_D} D with n_lens = 1.49"):
        thin_implanted(EYE, power_D)


def test_powers_of_the_teaching_eye_in_columns():
    assert refraction([20, 21]).refraction_D.tolist() == [float(refraction(P).refraction_D) for P in (20.0, 21.0)]
    assert refraction_shift_D([21.0, 22.0], 20.5).tolist() == [refraction_shift_D(P, 20.5) for P in (21.0, 22.0)]
    single = np.array([20.3], dtype=np.float32)  # of single precision are what it is given, not what comes out of it
    assert refraction(single).refraction_D[0] == refraction(float(single[0])).refraction_D
    for wrong in (np.nan, "much"):
        with pytest.raises(InputError, match=r"power_D .* not a number"):
            refraction(wrong)


@pytest.mark.parametrize("error", [-0.1, 0.1, 0.09])
def test_the_largest_error_of_an_index_comes_back(error):
    s = implanted(EYE, **LENS)
    assert index_error_behind(EYE, s, refraction_of_index_error(EYE, s, error)) == pytest.approx(error, abs=1e-12)
