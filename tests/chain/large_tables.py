"""Plain tables, evaluated the ordinary way, and whether two answers are the same."""

import os

import numpy as np
import pytest

from lenscalc import evaluate
from lenscalc.chain.plan import plan_of
from lenscalc.chain.steps import PlainRow

NAMES = PlainRow._fields
with_compiler = pytest.mark.skipif(
    os.environ.get("NUMBA_DISABLE_JIT") == "1", reason="without the compiler the root is that of single numbers, off in the last bit"
)


def lenses(rows, seed=1):
    rng = np.random.default_rng(seed)
    return {
        "front_radius_mm": rng.uniform(8, 30, rows) * rng.choice([1, 1, 1, -1], rows),
        "back_radius_mm": -rng.uniform(8, 30, rows),
        "center_thickness_mm": rng.uniform(0.3, 1.5, rows),
        "n_lens": rng.uniform(1.42, 1.6, rows),
        "n_medium": rng.uniform(1.33, 1.34, rows),
        "u_front_radius_mm": rng.uniform(0.0, 0.05, rows),
        "u_back_radius_mm": rng.uniform(0.0, 0.05, rows),
        "u_center_thickness_mm": rng.uniform(0.0, 0.02, rows),
        "u_n_lens": rng.uniform(1e-4, 1e-3, rows),
        "u_n_medium": rng.uniform(1e-5, 1e-4, rows),
        "u_calibration": rng.uniform(1e-5, 1e-4, rows),
    }


def ordinary(table, **more):
    """The way of a table that is not large."""
    assert plan_of(table, NAMES, more.get("constants"), None) is None
    return evaluate(table, compute=NAMES, **more)


def same(a, b):
    assert list(a.columns) == list(b.columns)
    for name in a.columns:
        assert np.array_equal(a.columns[name], b.columns[name], equal_nan=True), name
        assert a.columns[name].dtype == b.columns[name].dtype
    assert a.problems.tolist() == b.problems.tolist()
    assert a.warnings.tolist() == b.warnings.tolist()
    shown = [a.warnings_of(row) for row in range(len(a.problems))]
    assert shown == [b.warnings_of(row) for row in range(len(b.problems))]
