"""Reading sheets for the tests of the report: the demo's, and odd ones made from them."""

import re

from lenscalc.demo import demo_sheets, demo_text

C, E = demo_text("copolymer_c.toml"), demo_text("copolymer_e.toml")
WITHOUT_LENS = C[: C.index("[lens]")]
HOSTILE = (
    "#panic() *b* $x$ @ref `r` // c <script>alert(1)</script> &amp; ]]> </style><img src=x onerror=y> \\u0007 \\u202Eabc\\u2066 \\u200B"
    " \\u05E9\\u05DC\\u05D5\\u05DD"
)
OTHER = "\\u5171\\u805A\\u7269"


def exact(text):
    """The dimensions as on a drawing."""
    bare = re.sub(r"u = 0\.0\d\n", "", text).replace('instrument = "profilometer"\n', "")
    return bare.replace("optic_diameter_mm = 6.0", 'optic_diameter_mm = 6.0\ndimensions = "exact"')


WATER = (
    "water_mass_fraction_wet = 0.26\nu_water_mass_fraction_wet = 0.01\ndry_density_kg_per_m3 = 1190\nu_dry_density_kg_per_m3 = 5"
)
ODD = {
    "hostile": C.replace('"copolymer C"', f'"{HOSTILE}"').replace("Copolymer C, lot 7", HOSTILE).replace('"profilometer"', f'"{HOSTILE}"').replace(
        "lens.gauge.profilometer", f'lens.gauge."{HOSTILE}"'
    ),
    "another script": C.replace('"copolymer C"', f'"{OTHER} \\uE000"').replace('"profilometer"', f'"{OTHER}"').replace(
        "lens.gauge.profilometer", f'lens.gauge."{OTHER}"'
    ),
    "long": C.replace('"copolymer C"', f'"{"A" * 2000}"').replace("Copolymer C, lot 7", "words and more words " * 60),
    "forty readings": re.sub(r"n = \[.*?\]", f"n = [{', '.join(f'{1.4900 + i % 7 * 1e-4:.4f}' for i in range(40))}]", C, count=1),
    "index alone": WITHOUT_LENS,
    "no label": C.replace("labelled_power_D = 20.5\n", ""),
    "exact": exact(C),
    "water content": E.replace("hydration_shift = -0.0410\nu_hydration_shift = 0.0012", WATER).replace(
        "linear_swelling = 0.090\nu_linear_swelling = 0.003\n", ""
    ),
    "plano": C.replace("value = -15.0\nu = 0.02\n", 'value = "plano"\nu_sag_mm = 0.001\n').replace("20.5", "10.0"),
    "a temperature a table": C.replace("[temperature]\ndn_dt_per_K = -2.0e-4\nu_dn_dt_per_K = 2.0e-5\nstate = \"hydrated\"\n", "").replace(
        "[dispersion]",
        "".join(
            f'[[reading]]\nwavelength_nm = 589.29\ntemperature_degC = {20.5 + i / 2}\nu_temperature_degC = 0.2\nbasis = "air"\n'
            f"n = [{1.4902 - i * 1e-4:.4f}, {1.4903 - i * 1e-4:.4f}]\n\n"
            for i in range(39)
        )
        + "[dispersion]",
    ),
    "carriage returns": C.replace("\n", "\r\n"),
}  # fmt: skip
DEMO = {name: demo_text(name) for name in demo_sheets()}
ALL = DEMO | ODD
