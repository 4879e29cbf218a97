"""What a printed figure of a determination must be, from the columns of its record."""

import re

import pytest
from scipy import stats


def squeezed(text):
    return re.sub(r"[\s\u200b\u0002\ufffe]", "", text)


def numbers(printed):
    """The numbers of a printed text, each with half a unit of its last digit."""
    for text in re.findall(r"[−+]?\d+(?:\.\d+)?(?:e[−+]?\d+)?", printed):
        plain = text.replace("−", "-")
        digits, _, power = plain.partition("e")
        yield float(plain), 0.5 * 10.0 ** (int(power or 0) - len(digits.partition(".")[2]))


def assert_printed(printed, *columns):
    """The printed numbers are the columns', rounded where they are printed."""
    found = list(numbers(printed))
    assert len(found) >= len(columns), printed
    for (number, half), column in zip(found, columns, strict=False):
        assert number == pytest.approx(column, abs=1.001 * half + 1e-15), (printed, column)


def assert_probability(printed, p):
    if printed.startswith("above"):
        assert p > 0.9995
    elif printed.startswith("below"):
        assert p < 0.0005
    else:
        assert float(printed[:5]) == pytest.approx(p, abs=0.00051)


def normal_inside(power, u, lower, upper):
    return stats.norm.cdf((upper - power) / u) - stats.norm.cdf((lower - power) / u)


def worst_lot(lens, decision):
    """The yield that nineteen lots in twenty reach: by going through the common error in steps of equal probability."""
    lower, upper = decision["lower_limit_D"], decision["upper_limit_D"]
    yields = sorted(
        normal_inside(lens["power_D"] + z * lens["u_power_common_D"], lens["u_power_individual_D"], lower, upper)
        for z in stats.norm.ppf([(i + 0.5) / 2000 for i in range(2000)])
    )
    return yields[100]


def factor(index):
    return stats.t.ppf(0.975, index["dof_n_lens"])


INDEX = {
    "n_lens": lambda r: (r["index"]["n_lens"], r["index"]["u_n_lens"]),
    "expanded_u_n_lens": lambda r: (factor(r["index"]) * r["index"]["u_n_lens"], factor(r["index"])),
    "abbe_d": lambda r: (r["index"]["abbe_d"], r["index"]["u_abbe_d"]),
}
LENS = {
    "power_D": lambda r: (r["lens"]["power_D"], r["lens"]["u_power_D"]),
    "interval_D": lambda r: (r["lens"]["interval_lower_D"], r["lens"]["interval_upper_D"]),
    "u_power_common_D": lambda r: (r["lens"]["u_power_common_D"],),
    "u_power_individual_D": lambda r: (r["lens"]["u_power_individual_D"],),
    "back_focal_length_mm": lambda r: (r["lens"]["back_focal_length_mm"],),
    "edge_thickness_mm": lambda r: (r["lens"]["edge_thickness_mm"],),
    "power_in_measured_medium_D": lambda r: (r["lens"]["power_in_measured_medium_D"], r["lens"]["u_power_in_measured_medium_D"]),
    "d_power_d_n_lens": lambda r: (r["lens"]["d_power_d_n_lens"] / 1000,),
    "index_part_of_u_power_D": lambda r: (abs(r["lens"]["d_power_d_n_lens"]) * r["index"]["u_n_lens"],),
    "refraction_shift_D": lambda r: (r["lens"]["refraction_shift_D"], r["lens"]["u_refraction_shift_D"]),
    "limits_D": lambda r: (r["decision"]["lower_limit_D"], r["decision"]["upper_limit_D"]),
    "labelled_power_D": lambda r: (r["decision"]["labelled_power_D"],),
}
PROBABILITIES = {
    "conformance_probability": lambda r: r["decision"]["conformance_probability"],
    "risk_if_accepted": lambda r: 1 - r["decision"]["conformance_probability"],
    "risk_if_rejected": lambda r: r["decision"]["conformance_probability"],
    "lot_off_probability": lambda r: r["decision"]["lot_off_probability"],
    "expected_yield": lambda r: r["decision"]["expected_yield"],
    "yield_quantile": lambda r: worst_lot(r["lens"], r["decision"]),
}
IN_TABLES = {"share", "dof", "part_of_n_lens", "part_of_power_D", "u_halved_D", "u_without_D", "probability_halved", "probability_without",
             "dimension_mm", "dimension_in_use_mm"}  # fmt: skip
OF_THE_SHEET = {  # stated, and printed with the digits that were written; the sheet is kept whole
    "material", "lot", "state", "preparation", "equilibration_liquid", "equilibration_h", "u_specimen_to_lens", "kind", "resolution", "u_calibration",
    "u_operator", "n_contact_liquid", "n_prism", "date", "interval_days", "model", "within_K", "check_before", "check_after", "glass_transition_degC",
    "reading_wavelength_nm", "reading_temperature_degC", "index_basis", "n_reading", "n_certified", "optic_diameter_mm", "u_scale_relative",
    "dn_dt_per_K", "name", "n_measured_medium", "wavelength_nm", "temperature_degC", "basis", "same_instrument", "hydration_shift",
    "linear_swelling", "linear_expansion_per_K", "swelling", "dimensions", "abbe_d", "labelled_power_D",
}  # fmt: skip
