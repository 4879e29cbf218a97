"""A lens of the demo is the same lens wherever the demo names it: on its reading sheet, in the table of candidates, in the day's readings."""

import csv
import io

import pytest

from lenscalc import follow
from lenscalc.batch import evaluate_block, read_csv_text
from lenscalc.demo import demo_text
from lenscalc.refractometer import sheet_from_text

TABLE = evaluate_block(read_csv_text(demo_text("candidates.csv")))
ROWS = {row["candidate"]: row for row in csv.DictReader(io.StringIO(demo_text("candidates.csv")))}
HAS_A_SHEET = {name: row["note_sheet"] for name, row in ROWS.items() if row["note_sheet"]}
NO_COLUMN = ("scale of the profilometer", "linear swelling", "linear thermal expansion")  # what both radii share


def of_row(name, column):
    return float(TABLE[column][list(TABLE["candidate"]).index(name)])


@pytest.fixture(params=HAS_A_SHEET)
def both(request):
    return request.param, follow(sheet_from_text(demo_text(HAS_A_SHEET[request.param])))


def test_three_candidates_have_a_sheet():
    assert HAS_A_SHEET == {"B": "copolymer_b.toml", "C": "copolymer_c.toml", "E": "copolymer_e.toml"}


def test_a_row_is_the_lens_of_its_sheet(both):
    name, followed = both
    e = followed.evaluation
    assert of_row(name, "labelled_power_D") == float(followed.row["labelled_power_D"])
    assert of_row(name, "n_lens") == pytest.approx(e.only("n_lens"), abs=1e-6)
    assert of_row(name, "u_n_lens") == pytest.approx(e.only("u_n_lens"), rel=0.005, abs=0.0)
    assert of_row(name, "power_D") == pytest.approx(e.only("power_D"), abs=1e-3)
    for radius in ("front_radius_mm", "back_radius_mm", "center_thickness_mm", "optic_diameter_mm"):
        assert of_row(name, radius) == pytest.approx(float(followed.row[radius]), abs=5e-4), radius
    dispersion = followed.read.dispersion
    assert dispersion is not None
    assert of_row(name, "abbe_d") == pytest.approx(float(dispersion.abbe_d), abs=0.05)


def test_a_row_has_a_smaller_u_by_what_its_radii_share_and_by_nothing_else(both):
    name, followed = both
    e = followed.evaluation
    shared = sum(float(part[0]) ** 2 for source, part in e.estimates["power_D"].parts.items() if source.name in NO_COLUMN)
    assert shared > 0
    assert of_row(name, "u_power_D") ** 2 == pytest.approx(e.only("u_power_D") ** 2 - shared, rel=0.005, abs=0.0)
    assert e.columns["verdict"][0] == TABLE["verdict"][list(TABLE["candidate"]).index(name)]


def test_the_days_readings_are_of_the_same_polymers():
    """A lot is no other polymer: its index is within a few thousandths, and what the material brings besides is the same."""
    told = [row for row in csv.DictReader(io.StringIO(demo_text("day.csv"))) if row["material"]]
    assert {row["material"] for row in told} == {"copolymer A", "copolymer C", "copolymer F"}
    for row in told:
        of = ROWS[row["material"][-1]]
        for column in ("abbe_d", "u_abbe_d", "dn_dt_per_K", "u_dn_dt_per_K"):
            assert float(row[column]) == float(of[column]), column
        if float(row["n"]) < 2:  # the last has its point one place off, on purpose
            assert float(row["n"]) == pytest.approx(float(of["n_reading"]), abs=0.001)
