"""A design in TOML instead of a file."""

import itertools
import re

import numpy as np
import pandas as pd
import pytest

from lenscalc.batch import read_sweep, run_batch
from lenscalc.errors import InputError

FIXED = "[fixed]\ncenter_thickness_mm = 0.9\n"


def design(tmp_path, text):
    path = tmp_path / "sweep.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_every_combination_is_a_row_the_first_name_slowest(tmp_path):
    text = FIXED + """index_state = "hydrated"
[combine]
front_radius_mm = { from = 10, to = 10.3, step = 0.1 }
back_radius_mm = [-15, "plano"]
n_lens = { from = 1.4, to = 1.6, points = 3 }
"""
    sweep = read_sweep(design(tmp_path, text))
    rows = sweep.rows(0, sweep.size)
    expected = list(itertools.product([10.0, 10.1, 10.2, 10.3], [-15.0, np.inf], [1.4, 1.5, 1.6]))  # 10.3 and not 10.299999999999999
    assert list(zip(rows["front_radius_mm"], rows["back_radius_mm"], rows["n_lens"], strict=True)) == expected
    assert set(rows["index_state"]) == {"hydrated"}
    for size in (1, 5, 24, 100):
        blocks = list(sweep.blocks(size))
        assert [b.size for b in blocks] == [min(size, 24 - i) for i in range(0, 24, size)]
        assert np.concatenate([b.columns["n_lens"] for b in blocks]).tolist() == rows["n_lens"].tolist()
        assert blocks[-1].share == 1.0


def test_a_latin_hypercube_has_one_point_in_every_stratum_of_every_quantity(tmp_path):
    text = FIXED + """[combine]
back_radius_mm = [-12, -15]
[latin_hypercube]
points = 50
seed = 7
front_radius_mm = { from = 10, to = 20 }
n_lens = { from = 1.4, to = 1.6 }
"""
    rows = read_sweep(design(tmp_path, text)).rows(0, 100)
    for name, low, high in (("front_radius_mm", 10, 20), ("n_lens", 1.4, 1.6)):
        strata = np.floor((rows[name][:50] - low) / (high - low) * 50)
        assert sorted(strata) == list(range(50))  # what makes it a Latin hypercube
        assert rows[name][:50].tolist() == rows[name][50:].tolist()
    assert rows["back_radius_mm"].tolist() == [-12.0] * 50 + [-15.0] * 50
    again = read_sweep(design(tmp_path, text)).rows(0, 100)
    assert rows["n_lens"].tobytes() == again["n_lens"].tobytes()
    other = read_sweep(design(tmp_path, text.replace("seed = 7", "seed = 8"))).rows(0, 100)
    assert rows["n_lens"].tobytes() != other["n_lens"].tobytes()


def test_a_sweep_goes_through_like_the_table_that_it_stands_for(tmp_path):
    text = FIXED + "[combine]\nfront_radius_mm = [15, 12]\nback_radius_mm = [-15]\nn_lens = [1.49, 14.9]\n"
    path = design(tmp_path, text)
    assert run_batch(str(path), str(tmp_path / "sweep.parquet"), block_rows=3)[:2] == (4, 2)
    back = pd.read_parquet(tmp_path / "sweep.parquet")
    assert round(back["power_D"][0], 6) == 20.469666  # worked from Gullstrand's equation, by hand
    back[["center_thickness_mm", "front_radius_mm", "back_radius_mm", "n_lens"]].to_csv(tmp_path / "table.csv", index=False)
    run_batch(str(tmp_path / "table.csv"), str(tmp_path / "table.parquet"))
    pd.testing.assert_frame_equal(back, pd.read_parquet(tmp_path / "table.parquet"), check_exact=True)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("[combine]\nn_lense = [1.49]\n", "did you mean n_lens?"),
        ("[combined]\nn_lens = [1.49]\n", "did you mean combine?"),
        ("n_lens = 1.49\n", "unknown table 'n_lens'"),
        ("[fixed]\nn_lens = 1.49\n", "nothing varies"),
        ("[combine]\nn_lens = 1.49\n", "must be a list"),
        ("[combine]\nn_lens = []\n", "must be a list"),
        ("[combine]\nn_lens = { from = 1.4, to = 1.6 }\n", "either step or points"),
        ("[combine]\nn_lens = { from = 1.4, to = 1.6, step = 0.1, points = 3 }\n", "either step or points"),
        ("[combine]\nn_lens = { from = 1.4, to = 1.6, step = 0.15 }\n", "miss 1.6; the last one would be 1.55"),
        ("[combine]\nn_lens = { from = 1.4, to = 1.6, step = -0.1 }\n", "do not lead from 1.4 to 1.6"),
        ("[combine]\nn_lens = { from = 1.4, to = 1.6, step = 1e-12 }\n", "at most"),
        ("[combine]\nn_lens = { from = 1.4, to = nan, step = 0.1 }\n", "n_lens.to: must be a number"),
        ("[combine]\nn_lens = { from = 1.4, until = 1.6, step = 0.1 }\n", "unknown key of n_lens 'until'"),
        ("[combine]\nn_lens = [true]\n", "must be a number"),
        ('[combine]\nn_lens = ["1,49"]\n', "write the decimals with a point"),
        ('[combine]\nindex_state = ["moist"]\n', "must be dry or hydrated"),
        ("[fixed]\nn_lens = 1.49\n[combine]\nn_lens = [1.5]\n", "stands in two tables"),
        ("[latin_hypercube]\npoints = 10\nn_lens = { from = 1.4, to = 1.6 }\n", "seed is missing"),
        ("[latin_hypercube]\npoints = 1.5\nseed = 1\nn_lens = { from = 1.4, to = 1.6 }\n", "points Decimal('1.5') cannot be"),
        ("[latin_hypercube]\npoints = 10\nseed = 1\n", "no quantity has a range"),
        ("[latin_hypercube]\npoints = 10\nseed = 1\nn_lens = { from = 1.6, to = 1.4 }\n", "must lie below"),
        ("[latin_hypercube]\npoints = 100000000\nseed = 1\nn_lens = { from = 1.4, to = 1.6 }\n", "combine a smaller one with steps"),
    ],
)
def test_a_design_that_is_none_is_refused(tmp_path, text, told):
    with pytest.raises(InputError) as refused:
        read_sweep(design(tmp_path, text))
    assert told in str(refused.value)
    assert "sweep.toml" in str(refused.value)


@pytest.mark.parametrize(("huge", "told"), [("9" * 400, "= 1.000e+400: must"), ("-1e400", "= -1.000e+400: must"), ("9" * 5000, "not a TOML file")])
@pytest.mark.parametrize("where", ["[fixed]\nfront_radius_mm = {}\n[combine]\nn_lens = [1.49]\n", "[combine]\nfront_radius_mm = [15, {}]\n"])
def test_a_number_too_large_to_hold_is_no_flat_surface(tmp_path, where, huge, told):
    with pytest.raises(InputError, match=re.escape(told)):
        read_sweep(design(tmp_path, where.format(huge)))
    assert read_sweep(design(tmp_path, where.format("inf"))).size == where.count("[15") + 1


def test_what_is_no_toml_is_refused(tmp_path):
    with pytest.raises(InputError, match="not a TOML file"):
        read_sweep(design(tmp_path, "[combine\n"))


def test_a_sweep_of_a_hundred_million_rows_takes_no_memory(tmp_path):
    import tracemalloc

    text = FIXED + "[combine]\n" + "".join(
        f"{n} = {{ from = {a}, to = {b}, points = 1000 }}\n" for n, a, b in (("front_radius_mm", 8, 28), ("n_lens", 1.4, 1.6))
    ) + "back_radius_mm = { from = -8, to = -28, points = 100 }\n"  # fmt: skip
    tracemalloc.start()
    sweep = read_sweep(design(tmp_path, text))
    assert sweep.size == 10**8
    last = sweep.rows(10**8 - 1000, 10**8)
    assert tracemalloc.get_traced_memory()[1] < 2e6
    tracemalloc.stop()
    assert (last["front_radius_mm"][-1], last["n_lens"][-1], last["back_radius_mm"][-1]) == (28.0, 1.6, -28.0)
