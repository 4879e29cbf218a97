"""A budget does not depend on the units that its inputs were written in: mm or m, or any other."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lenscalc import Input, propagate
from lenscalc.batch import run_batch
from lenscalc.uncertainty import Estimate, Source, budget, combine


def in_mm(R, t, n):
    return 2.0 * (n - 1.336) / R * 1000.0 - t / n * ((n - 1.336) / R) ** 2 * 1000.0


def in_m(R, t, n):
    return 2.0 * (n - 1.336) / R - t / n * ((n - 1.336) / R) ** 2


LENS = {"R": (15.0, 0.03, 9), "t": (0.9, 0.02, np.inf), "n": (1.49, 3e-4, 4)}


@pytest.mark.parametrize("second_order", [False, True])
def test_mm_and_m_give_one_budget(second_order):
    per_mm = {"R": 1e-3, "t": 1e-3, "n": 1.0}
    mm = {name: Input(x, u, dof=dof) for name, (x, u, dof) in LENS.items()}
    m = {name: Input(x * per_mm[name], u * per_mm[name], dof=dof) for name, (x, u, dof) in LENS.items()}
    one, other = propagate(in_mm, mm, second_order=second_order), propagate(in_m, m, second_order=second_order)
    assert other.value == pytest.approx(one.value, rel=1e-13, abs=0.0)
    assert other.u == pytest.approx(one.u, rel=1e-12, abs=0.0)
    assert other.dof_effective == pytest.approx(one.dof_effective, rel=1e-12, abs=0.0)
    assert dict(other.contributions) == pytest.approx(dict(one.contributions), rel=1e-12, abs=0.0)
    assert dict(other.shares) == pytest.approx(dict(one.shares), rel=1e-12, abs=0.0)


@given(
    parts=st.lists(st.floats(1e-6, 1e3), min_size=2, max_size=6), dof=st.lists(st.floats(0.5, 100), min_size=6, max_size=6),
    scale=st.sampled_from([1e-3, 100.0, 1e-9, 1e6]),
)  # fmt: skip
def test_shares_and_degrees_of_freedom_know_no_unit(parts, dof, scale):
    sources = [Source(f"cause {i}", dof=dof[i]) for i in range(len(parts))]
    one = Estimate(1.0, dict(zip(sources, parts, strict=True)))
    other = combine(scale, [(scale, one)])
    assert float(other.u) == pytest.approx(scale * float(one.u), rel=1e-13, abs=0.0)
    assert float(other.dof) == pytest.approx(float(one.dof), rel=1e-12, abs=0.0)
    of = [{line.source: line.share for line in budget(e)} for e in (one, other)]
    assert of[1] == pytest.approx(of[0], rel=1e-12, abs=0.0)
    assert sum(of[0].values()) == pytest.approx(1.0, rel=1e-12, abs=0.0)


def test_a_table_in_other_units_gives_the_same_powers_and_uncertainties(tmp_path):
    """Metres in the heading, as the batch converts them, also of an uncertainty: the same lens, the same budget."""
    head = "front_radius_mm,back_radius_mm,center_thickness_mm,n_lens,u_front_radius_mm,u_center_thickness_mm,u_n_lens"
    (tmp_path / "mm.csv").write_text(f"{head}\n15.0,-15.0,0.9,1.49,0.03,0.02,0.0003\n", encoding="utf-8")
    metres = head.replace("front_radius_mm", "front_radius_m").replace("ess_mm", "ess_m")
    (tmp_path / "m.csv").write_text(f"{metres}\n0.015,-15.0,0.0009,1.49,0.00003,0.00002,0.0003\n", encoding="utf-8")
    seen = []
    for name in ("mm", "m"):
        run_batch(str(tmp_path / f"{name}.csv"), str(tmp_path / f"{name}_out.csv"))
        heading, row = (tmp_path / f"{name}_out.csv").read_text(encoding="utf-8").splitlines()[:2]
        values = dict(zip(heading.split(","), row.split(","), strict=False))
        seen.append([float(values[k]) for k in ("power_D", "u_power_D", "u_power_common_D", "u_power_individual_D")])
    assert seen[1] == pytest.approx(seen[0], rel=1e-12, abs=0.0)
