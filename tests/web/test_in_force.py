"""What an empty field of the sheet says that it stands for, against what the chain takes then."""

import tomllib

import pytest
from test_reading_page import MORE_OF_THE_LENS, key_in, page, sheet_now, unfolded

from lenscalc.chain import follow
from lenscalc.demo import demo_text
from lenscalc.refractometer import sheet_from_data
from lenscalc.web.reading.in_force import in_force
from lenscalc.web.reading.sheet_sections import CALIBRATION

B, C = (tomllib.loads(demo_text(f"copolymer_{letter}.toml")) for letter in "bc")


@pytest.mark.parametrize("label", [-5.0, 15.0, 20.5, 28.0, 31.0])
def test_the_tolerance_that_is_named_is_the_one_that_is_taken(label):
    data = C | {"lens": C["lens"] | {"labelled_power_D": label}}
    only = follow(sheet_from_data(data)).evaluation.only
    assert float(in_force(data, ("lens", "tolerance_D"))) == pytest.approx((only("upper_limit_D") - only("lower_limit_D")) / 2)


def test_what_acts_only_beside_something_else():
    assert in_force(C, ("instrument", "u_calibration")) is None
    assert in_force(B, ("instrument", "u_calibration")) == "0"
    assert in_force(C, ("dispersion", "terms")) is None
    assert in_force({"dispersion": {"form": "sellmeier"}}, ("dispersion", "terms")) == "1"
    assert in_force({"dispersion": {"form": "schott"}}, ("dispersion", "terms")) == "2"
    assert in_force(C, ("lens", "optic_diameter_mm")) is None


def test_the_fields_show_it_and_do_not_write_it():
    at = unfolded(page(), MORE_OF_THE_LENS, CALIBRATION, "Its age, and a check piece before and after")
    keys = "lens.required_probability", "lens.tolerance_D", "calibration.within_K"
    shown = {key: at.number_input(key=key_in(at, key)).proto.placeholder for key in keys}
    assert shown == {
        "lens.required_probability": "0.95 while empty", "lens.tolerance_D": "0.4 while empty",
        "calibration.within_K": "2 while empty",
    }  # fmt: skip
    at.number_input(key=key_in(at, "lens.labelled_power_D")).set_value(27.0).run()
    assert at.number_input(key=key_in(at, "lens.tolerance_D")).proto.placeholder == "0.5 while empty"
    at.number_input(key=key_in(at, "lens.labelled_power_D")).set_value(None).run()
    assert at.number_input(key=key_in(at, "lens.tolerance_D")).proto.placeholder == ""
    assert "required_probability" not in sheet_now(at)["lens"]
