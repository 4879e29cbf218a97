"""What people write in place of a number, and in another unit: each is told with what to do."""

import pytest

from lenscalc.errors import InputError
from lenscalc.quantities import complaint, number_in_text, quantity, remark


@pytest.mark.parametrize(
    ("name", "value", "hint"),
    [  # a lens of 14.8 mm, 0.9 mm, 6 mm; a reading 1.4903 at 589.29 nm, 20 °C; Abbe number 52, −2e-4 per K
        ("front_radius_mm", 0.0148, "is it in metres? write it in mm"),
        ("front_radius_mm", 1.48, "is it in cm? write it in mm"),
        ("back_radius_mm", -14_800.0, "is it in µm? write it in mm"),
        ("center_thickness_mm", 0.0009, "is it in metres? write it in mm"),
        ("center_thickness_mm", 0.09, "is it in cm? write it in mm"),
        ("center_thickness_mm", 900.0, "is it in µm? write it in mm"),
        ("optic_diameter_mm", 0.6, "is it in cm? write it in mm"),
        ("n_reading", 14.903, "is the decimal point one place off?"),
        ("n_reading", 14_903.0, "is the decimal point lost?"),
        ("n_lens", 149_030.0, "is the decimal point lost?"),
        ("reading_wavelength_nm", 0.58929, "is it in µm? write it in nm"),
        ("reading_wavelength_nm", 5892.9, "is it in Å? write it in nm"),
        ("reading_temperature_degC", 293.15, "is it in K? write it in °C"),
        ("reading_temperature_degC", 68.0, "is it in °F? write it in °C"),
        ("reading_temperature_degC", 95.0, "is it in °F? write it in °C"),
        ("abbe_d", 5.2, "is the decimal point one place off?"),
        ("abbe_d", 0.52, "is the decimal point two places off?"),
        ("abbe_d", 520.0, "is the decimal point one place off?"),
        ("dn_dt_per_K", 0.0002, "is the minus missing?"),
        ("dn_dt_per_K", -0.002, "is the decimal point one place off?"),
        ("dn_dt_per_K", -2.0, "is it in 1e-4/K? write it in 1/K"),
        ("dn_dt_per_K", -200.0, "is it in 1e-6/K? write it in 1/K"),
        ("hydration_shift", 0.041, "is the minus missing?"),
        ("hydration_shift", -4.1, "is the decimal point two places off?"),
        ("labelled_power_D", 205.0, "is the decimal point one place off?"),
    ],
)
def test_another_unit_is_asked_for(name, value, hint):
    q = quantity(name)
    assert (complaint(q, value) or remark(q, value) or "").endswith(f"; {hint}")


@pytest.mark.parametrize(
    ("name", "value"),
    [("front_radius_mm", 300.0), ("center_thickness_mm", 20.0), ("reading_temperature_degC", 48.0), ("reading_temperature_degC", -5.0)],
)
def test_an_unusual_value_that_no_unit_explains_has_no_hint(name, value):
    assert "?" not in str(remark(quantity(name), value))


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("n/a", "where there is no value, write nothing"), ("-", "where there is no value, write nothing"),
        ("NA", "where there is no value, write nothing"), ("1.4903 ± 0.0002", "write the value alone, its uncertainty has a place of its own"),
        ("1,4903 ± 0,0002", "write the value alone, its uncertainty has a place of its own"), ("<1.5", "a limit is no value"),
        ("38 %", "write it without %, a fraction as 0.05 for 5 %, anything else as the value itself"), ("1,49", "write the decimals with a point"),
        ("1.004,8", "write no sign between thousands, and the decimals with a point"), ("−1.49", "its minus is not the keyboard's: write -1.49"),
        ("1.49 (mean)", "write the number alone"), ("1.4903(2)", "write the number alone"), ("20 °C", "write the number alone"),
        ("1.49*", "write the number alone"),
    ],
)  # fmt: skip
def test_what_stands_for_a_number_is_told_with_what_to_write(text, told):
    with pytest.raises(InputError) as caught:
        number_in_text(quantity("n_lens"), text)
    assert str(caught.value) == f"n_lens = {text!r} is not a number: must be 1 to 3; {told}"


@pytest.mark.parametrize("text", ["lot 3", "1.4.9", "2026-11-20", "1e400", "#REF!", "1_5", "1.490 3"])
def test_what_may_mean_anything_has_no_advice(text):
    with pytest.raises(InputError, match=r"must be 1 to 3$"):
        number_in_text(quantity("n_lens"), text)


@pytest.mark.parametrize("text", ["flat", "plan", "∞", "infinity"])
def test_a_flat_surface_is_called_plano(text):
    with pytest.raises(InputError, match=r"; write plano for a flat surface$"):
        number_in_text(quantity("back_radius_mm"), text)
    with pytest.raises(InputError, match=r"must be 1 to 3$"):
        number_in_text(quantity("n_lens"), text)
