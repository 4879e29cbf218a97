"""What a baseline's remarks do not say, and a file without a reading."""

import pytest

from lenscalc import InputError
from lenscalc.control import chart_constants, limits_from, series
from lenscalc.control.series_file import read_series


def test_groups_of_one_mean_are_not_too_coarse():
    """Six groups of 1 and 3: their means are all 2, and their ranges tell the spread, σ = 2/d2."""
    found = limits_from(series([1.0, 3.0] * 6, group=[str(i // 2) for i in range(12)]), kind="xbar-r")
    assert (found.centre, found.sigma) == (2.0, pytest.approx(2.0 / chart_constants(2).d2))
    assert not any("different values" in remark for remark in found.remarks)


def test_a_file_of_column_names_alone_has_no_values(tmp_path):
    path = tmp_path / "names.csv"
    path.write_text("date,value\n", encoding="utf-8")
    with pytest.raises(InputError, match=r"a line of column names \(date,value\) and a line a reading"):
        read_series(path)
