"""`lenscalc border`."""

import math

import pytest
from called import answer, lenscalc


def test_the_border_and_its_field():
    found = answer("border", "--n-reading", "1.33", "--n-prism", "1.47")
    assert found["angle_deg"] == pytest.approx(math.degrees(math.asin(1.33 / 1.47)), rel=1e-15, abs=0.0)
    assert [b["before_border_deg"] for b in found["brightness"]] == [0.1, 1.0, 5.0]
    assert found["caution"]
    text = lenscalc("border", "--n-reading", "1.33", "--n-prism", "1.47").stdout
    assert "64.79" in text
    assert "not a medical device" in " ".join(text.lower().split())


def test_what_has_no_border_and_what_cannot_be_written():
    done = lenscalc("border", "--n-reading", "1.5", "--n-prism", "1.45")
    assert done.returncode == 2
    assert "must be above the specimen's index, 1.5" in done.stderr
    done = lenscalc("border", "--n-reading", "1.33", "--n-prism", "1.47", "--save", "no/such/folder/x.html")
    assert done.returncode == 2
    assert "No such file or directory" in done.stderr
