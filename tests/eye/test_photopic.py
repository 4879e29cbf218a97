"""V(λ) entry by entry."""

from lenscalc.eye import PHOTOPIC

# CIE 1924, y of the 1931 observer, 420 to 680 nm in steps of 10 nm; quoted: as open programs on colour print it with six decimals
PRINTED = """
0.004000 0.011600 0.023000 0.038000 0.060000 0.090980 0.139020 0.208020 0.323000 0.503000 0.710000 0.862000 0.954000 0.994950
0.995000 0.952000 0.870000 0.757000 0.631000 0.503000 0.381000 0.265000 0.175000 0.107000 0.061000 0.032000 0.017000
"""


def test_the_photopic_curve_is_the_printed_one_at_every_line():
    assert {nm: round(v, 6) for nm, v in PHOTOPIC.items()} == dict(zip(range(420, 681, 10), map(float, PRINTED.split()), strict=True))
