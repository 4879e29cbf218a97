"""The tolerance table as a file: its bands are exact, its edition goes with it, and what is wrong with a file is said."""

import numpy as np
import pytest

from lenscalc import InputError, power_tolerance_D
from lenscalc.decision import TOLERANCE_EDITION, read_tolerance_table, shipped_tolerance_table
from lenscalc.errors import FileError

OWN = """
edition = "typed in from the edition in force, 2026-02-03"
[[band]]
up_to_D = 10
tolerance_D = 0.25
[[band]]
up_to_D = 40.0
tolerance_D = 0.6
"""


def written(tmp_path, text):
    path = tmp_path / "own.toml"
    path.write_text(text, encoding="utf-8")
    return path


# the quoted table: to 15 D ±0.3, to 25 ±0.4, to 30 ±0.5, beyond ±1.0; the bound belongs to the band that ends there
@pytest.mark.parametrize("sign", [1.0, -1.0])
@pytest.mark.parametrize(("bound", "at", "beyond"), [(15.0, 0.3, 0.4), (25.0, 0.4, 0.5), (30.0, 0.5, 1.0)])
def test_the_bounds_of_the_bands_are_exact(bound, at, beyond, sign):
    if sign * np.nextafter(bound, np.inf) > -60:
        assert power_tolerance_D(sign * bound) == at
        assert power_tolerance_D(sign * np.nextafter(bound, 0.0)) == at
        assert power_tolerance_D(sign * np.nextafter(bound, np.inf)) == beyond


def test_the_shipped_table_is_quoted_and_says_so():
    table = shipped_tolerance_table()
    assert table.seen == "quoted"
    assert "withdrawn" in table.edition
    assert table.edition == TOLERANCE_EDITION
    assert np.isnan(shipped_tolerance_table().of(np.array([np.nan, 20.0]))).tolist() == [True, False]


def test_a_table_of_ones_own(tmp_path):
    table = read_tolerance_table(written(tmp_path, OWN))
    assert "typed in" in table.edition
    assert [power_tolerance_D(x, table=table) for x in (-10, 10, 10.5, 40)] == [0.25, 0.25, 0.6, 0.6]
    assert read_tolerance_table(str(tmp_path / "own.toml")) == table
    with pytest.raises(InputError, match=r"labelled_power_D = 40\.5 D: beyond the tolerance table, which ends at 40 D") as caught:
        power_tolerance_D([20.0, 40.5], table=table)
    assert (caught.value.value, caught.value.limits, caught.value.unit) == (40.5, (-40.0, 40.0), "D")


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (("edition =", "edit ="), "unknown key 'edit'"),
        (('edition = "typed in from the edition in force, 2026-02-03"', ""), "edition is missing"),
        (('"typed in from the edition in force, 2026-02-03"', '""'), "edition must be a text"),
        (("up_to_D = 10\n", ""), "1: up_to_D is missing; only the last band has no end"),
        (("up_to_D = 40.0", "up_to_D = 10.0"), "2: up_to_D = 10 D must be above 10 D"),
        (("up_to_D = 40.0", "up_to_D = -40.0"), "2: up_to_D = -40 D: must be a number above 0"),
        (("up_to_D = 40.0", "up_to_D = inf"), "leave it out"),
        (("tolerance_D = 0.6", "tolerance_D = 60"), "tolerance_D = 60 D: must be 0 to 10"),
        (("tolerance_D = 0.6", "tolerance_D = 0"), "nothing would conform"),
        (("tolerance_D = 0.6", "tolerance_D = nan"), "tolerance_D is missing or not a number"),
        (("tolerance_D = 0.6", 'tolerance_D = "0,6"'), "must be a number in dioptres"),
        (("tolerance_D = 0.6", "tolerance_D = " + "9" * 400), "2: tolerance_D must be a number in dioptres"),
        (("up_to_D = 40.0", "up_to_D = " + "9" * 400), "2: up_to_D must be a number in dioptres"),
        (("[[band]]", "[band]"), "not a TOML file"),
        (("tolerance_D = 0.6", "tolerance_D = true"), "must be a number in dioptres"),
        (("tolerance_D = 0.6", "tolerance_mm = 0.6"), "nothing else"),
        (("[[band]]", "[[bands]]"), "unknown key 'bands'"),
        (("[[band]]", "[[band"), "not a TOML file"),
    ],
)
def test_what_is_wrong_with_a_file_is_said(tmp_path, change, told):
    path = written(tmp_path, OWN.replace(*change))
    with pytest.raises(InputError, match=told) as caught:
        read_tolerance_table(path)
    assert "own.toml" in str(caught.value)


def test_no_bands(tmp_path):
    with pytest.raises(InputError, match="give at least one"):
        read_tolerance_table(written(tmp_path, 'edition = "x"\nband = []\n'))


def test_a_table_without_its_bands_is_told(tmp_path):
    with pytest.raises(InputError, match="band is missing: a tolerance table says its edition and its bands"):
        read_tolerance_table(written(tmp_path, 'edition = "x"\n'))


def test_a_file_that_is_not_there_or_no_text(tmp_path):
    with pytest.raises(FileError, match=r"nowhere\.toml"):
        read_tolerance_table(tmp_path / "nowhere.toml")
    (tmp_path / "own.toml").write_bytes(b"edition = '\xff\xfe'")
    with pytest.raises(FileError, match="UTF-8"):
        read_tolerance_table(tmp_path / "own.toml")


@pytest.mark.parametrize("up_to", [0, -5, 0.0])
def test_a_band_ends_above_nothing(tmp_path, up_to):
    path = tmp_path / "own.toml"
    path.write_text(f'edition = "own"\n[[band]]\nup_to_D = {up_to}\ntolerance_D = 0.25\n', encoding="utf-8")
    with pytest.raises(InputError, match=r"up_to_D = .* must be a number above 0"):
        read_tolerance_table(path)
