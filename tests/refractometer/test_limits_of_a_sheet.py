"""What a number of a sheet may be, and what must not be left out. The limits are judgement (common practice, no source); a refusal says them."""

import re
from math import inf, nextafter

import pytest

from lenscalc.errors import SheetError
from lenscalc.refractometer.checked_table import checked_table, checked_value
from lenscalc.refractometer.schema import SCHEMA, Limits

U_OF_AN_INDEX = (0.0, 0.1)  # a third of what lies between water and flint glass
LIMITS = {
    **{(table, f"dof_{of}"): (1, 1e9) for table, of in (
        ("reading", "repeatability"), ("reading", "session"), ("medium", "repeatability"), ("medium.as_read", "repeatability"),
        ("calibration.reference", "repeatability"), ("calibration.reference.as_read", "repeatability"))},
    **dict.fromkeys((
        ("specimen", "u_specimen_to_lens"), ("instrument", "resolution"), ("instrument", "u_calibration"), ("instrument", "u_operator"),
        ("reading", "u_repeatability"), ("reading", "u_session"), ("medium", "u_repeatability"), ("medium.as_read", "u_repeatability"),
        ("calibration.reference", "u_repeatability"), ("calibration.reference.as_read", "u_repeatability")), U_OF_AN_INDEX),
    ("specimen", "equilibration_h"): (0, 1e5),  # eleven years
    ("instrument", "prism_apex_deg"): (10, 90),
    ("instrument", "compensation_per_K"): (-0.01, 0.01),  # a hundred times a polymer's
    ("instrument", "u_compensation_per_K"): (0, 0.01),
    ("instrument.prism", "u_n_prism"): (0, 0.01),
    ("calibration", "interval_days"): (0, 36500),  # a century
    ("calibration", "within_K"): (0, 100),
    ("calibration.reference", "mass_fraction"): (0, 0.85),  # where the sucrose scale ends
    ("calibration.reference", "u_mass_fraction"): (0, 0.1),
    ("calibration.reference", "u_certified"): (0, 0.01),
    ("reading", "u_wavelength_nm"): (0, 100),
    ("dispersion", "terms"): (2, 6),
    ("hydration", "mass_wet_g"): (1e-6, 1e6),
    ("hydration", "mass_dry_g"): (1e-6, 1e6),
    ("hydration", "u_mass_g"): (0, 1e3),
    ("lens", "linear_swelling"): (-0.2, 1),  # to twice as long, and a fifth shorter
    ("lens", "u_linear_swelling"): (0, 0.5),
    ("lens", "linear_expansion_per_K"): (-1e-3, 1e-3),
    ("lens", "u_linear_expansion_per_K"): (0, 1e-3),
    **{(f"lens.{name}_mm", "u"): (0, 1e6) for name in ("front_radius", "back_radius", "center_thickness")},
    ("lens.gauge", "u_scale_relative"): (0, 0.1),
}  # fmt: skip
READ = ("wavelength_nm", "temperature_degC", "u_temperature_degC")
REQUIRED = {
    "": ("provenance",),
    "specimen": ("material", "state"),
    "instrument": ("kind", "resolution"),
    "instrument.prism": ("wavelength_nm", "n_prism", "u_n_prism"),
    "calibration.reference": ("name", "kind", *READ),
    "calibration.reference.as_read": READ,
    "reading": (*READ, "basis"),
    "temperature": ("state",),
    "medium": ("wavelength_nm", "temperature_degC", "basis"),
    "medium.as_read": (*READ, "basis"),
    "lens": ("optic_diameter_mm",),
    **{f"lens.{name}_mm": ("value", "state", "temperature_degC") for name in ("front_radius", "back_radius", "center_thickness")},
    "lens.gauge": ("u_scale_relative",),
}


@pytest.mark.parametrize(("table", "key"), LIMITS)
def test_a_number_may_be_what_it_says_and_nothing_beside(table, key):
    lowest, highest = LIMITS[table, key]
    kind = SCHEMA[table][key]
    assert [checked_value(key, x, kind) for x in (lowest, highest)] == [lowest, highest]
    for beside in (nextafter(lowest, -inf), nextafter(highest, inf)):
        with pytest.raises(SheetError, match=f"{key} = .*: must be "):
            checked_value(key, beside, kind)


def test_minutes_after_mounting_are_two_months_at_most():
    minutes = SCHEMA["reading"]["minutes_after_mounting"]
    assert checked_value("minutes", [0, 1e5], minutes) == [0, 1e5]
    for beside in (-1e-9, 100_000.1):
        with pytest.raises(SheetError, match=r"minutes\[1\] = .* min: must be 0 to 100000 min"):
            checked_value("minutes", [beside], minutes)


def test_every_limit_of_a_sheet_is_in_this_table():
    assert {(table, key) for table, keys in SCHEMA.items() for key, kind in keys.items() if isinstance(kind, Limits)} == LIMITS.keys()


@pytest.mark.parametrize("table", SCHEMA)
def test_what_a_reading_means_nothing_without_is_asked_for_and_nothing_else(table):
    given = {}
    for _ in SCHEMA[table]:
        try:
            checked_table(table, given, table)
        except SheetError as error:
            given |= dict.fromkeys(re.findall(r"(\w+) is missing", str(error)))
    assert tuple(given) == REQUIRED.get(table, ())
