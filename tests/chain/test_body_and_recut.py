"""The body of a lens and its re-cut in the chain."""

from math import inf, pi

import numpy as np
import pytest

from lenscalc import Dispersion, InputError, evaluate, thick_lens
from lenscalc.lens import chromatic_focus, edge_thickness_mm, volume_mm3

LENSES = {
    "front_radius_mm": [15.0, 12.0, "plano"], "back_radius_mm": [-15.0, "plano", -12.0], "center_thickness_mm": 0.9, "n_lens": [1.49, 1.50, 1.46],
}  # fmt: skip


def test_volume_and_mass_stand_beside_the_edge():
    r = evaluate({**LENSES, "optic_diameter_mm": 6.0, "density_kg_per_m3": 1190.0})
    assert r.columns["volume_mm3"][0] == volume_mm3(15.0, -15.0, 0.9, 6.0)
    assert r.columns["mass_mg"] == pytest.approx(r.columns["volume_mm3"] * 1.19)
    assert "mass_mg" not in evaluate({**LENSES, "optic_diameter_mm": 6.0}).columns
    assert "volume_mm3" not in evaluate(LENSES).columns


def test_conics_act_on_edge_and_volume_and_not_on_the_power():
    table = {"front_radius_mm": [5.0, 5.0], "back_radius_mm": "plano", "center_thickness_mm": 1.2, "n_lens": 1.49, "optic_diameter_mm": 6.0}
    r = evaluate({**table, "front_conic": [0.0, -1.0]})
    # sag of the circle 1 (3-4-5), of the paraboloid 0.9; its volume half of its cylinder
    assert r.columns["edge_thickness_mm"] == pytest.approx([0.2, 0.3])
    assert r.columns["volume_mm3"][1] == pytest.approx(9 * pi * (1.2 - 0.45))
    assert r.columns["power_D"][0] == r.columns["power_D"][1]
    assert evaluate(table).columns["edge_thickness_mm"][0] == r.columns["edge_thickness_mm"][0]


def test_a_conic_that_reaches_where_the_sphere_does_not():
    table = {"front_radius_mm": 5.0, "back_radius_mm": "plano", "center_thickness_mm": 4.0, "n_lens": 1.49, "optic_diameter_mm": 10.5}
    r = evaluate({**table, "front_conic": [0.0, -1.0, 1.0]})
    assert "too wide: the front radius of 5 mm must be 5.25 mm or more in magnitude; make the optic smaller or" in r.problems[0]
    assert r.problems[1] == ""
    assert "with front_conic = 1 must be 7.42462 mm or more" in r.problems[2]  # half of 10.5, times √2


def test_the_recut_gives_the_label_and_only_where_it_is_asked_for():
    table = {**LENSES, "labelled_power_D": [20.0, 12.5, 10.0]}
    assert "recut_front_radius_mm" not in evaluate(table).columns
    r = evaluate(table, compute=("*", "recut_front_radius_mm", "recut_back_radius_mm"))
    R1, R2 = r.columns["recut_front_radius_mm"], r.columns["recut_back_radius_mm"]
    assert thick_lens(R1, R2, 0.9, LENSES["n_lens"]).power_D == pytest.approx([20.0, 12.5, 10.0], abs=1e-9)
    assert (R1[0], R2[1], R1[2]) == (-R2[0], inf, inf)
    assert set(evaluate(table, compute=("recut_front_radius_mm",)).columns) == {"recut_front_radius_mm"}


def test_a_lens_without_curvature_has_no_recut():
    r = evaluate(
        {"front_radius_mm": "plano", "back_radius_mm": "plano", "center_thickness_mm": 0.9, "n_lens": 1.49, "labelled_power_D": 20.0},
        compute=("recut_front_radius_mm",),
    )
    assert np.isnan(r.columns["recut_front_radius_mm"][0])
    told = "labelled_power_D is missing: recut_front_radius_mm and recut_back_radius_mm are the radii that would give it"
    with pytest.raises(InputError, match=f"^{told}$"):
        evaluate(LENSES, compute=("recut_front_radius_mm",))


def test_the_chromatic_difference_of_a_row_is_that_of_its_dispersion():
    table = {**LENSES, "abbe_d": [58.0, 45.0, 35.0]}
    assert "chromatic_difference_D" not in evaluate(table).columns
    difference = evaluate(table, compute=("chromatic_difference_D",)).columns["chromatic_difference_D"]
    dispersion = Dispersion.from_abbe(1.4880, 58.0)  # 1.490 at 546.07 nm: n_d = n − B·(g(546.07) − g(d))
    c = chromatic_focus(15.0, -15.0, 0.9, dispersion=dispersion, n_lens=1.49, lines=("C", "F"))
    assert difference[0] == pytest.approx(float(c.power_D[1] - c.power_D[0]), abs=1e-4)
    assert np.isnan(evaluate({**table, "n_medium": 1.0}, compute=("chromatic_difference_D",)).columns["chromatic_difference_D"]).all()
    media = [np.nextafter(1.32, 0), 1.32, 1.36, np.nextafter(1.36, 2)]  # the ends of what is known as an aqueous
    ends = {**{name: [values[0]] * 4 for name, values in table.items() if np.ndim(values)}, "center_thickness_mm": 0.9, "n_medium": media}
    assert np.isfinite(evaluate(ends, compute=("chromatic_difference_D",)).columns["chromatic_difference_D"]).tolist() == [False, True, True, False]
    with pytest.raises(InputError, match="abbe_d is missing"):
        evaluate(LENSES, compute=("chromatic_difference_D",))


def test_kinds_out_of_scope_are_refused_by_name_row_by_row():
    r = evaluate({**LENSES, "lens_kind": ["monofocal", "diffractive", "gradient-index"]})
    assert [p.split(":")[0] for p in r.problems] == ["", "lens_kind = 'diffractive'", "lens_kind = 'gradient-index'"]
    assert "its power comes from a grating" in r.problems[1]
    assert "must be monofocal" in evaluate({**LENSES, "lens_kind": "bifocal"}).problems[0]


def test_a_sag_of_a_conic_carries_its_uncertainty_to_the_power():
    """dF = 1000(n − m)·dc, dc = ds/(ds/dc), and for a paraboloid s = h²c/2."""
    r = evaluate({
        "front_radius_mm": 5.0, "back_radius_mm": "plano", "center_thickness_mm": 1.2, "n_lens": 1.49, "optic_diameter_mm": 6.0, "front_conic": -1.0,
        "u_front_sag_mm": 0.001, "u_back_curvature_per_mm": 0.0, "u_center_thickness_mm": 0.0, "u_n_lens": 0.0,
    })  # fmt: skip
    assert r.columns["u_power_D"][0] == pytest.approx(154.0 * 0.001 / 4.5)


def test_a_row_is_the_same_alone_and_in_company():
    table = {**LENSES, "labelled_power_D": [20.0, 12.5, 10.0], "optic_diameter_mm": 6.0, "front_conic": [-1.0, 0.5, 0.0], "density_kg_per_m3": 1100.0}
    compute = ("*", "recut_front_radius_mm", "recut_back_radius_mm")
    together = evaluate(table, compute=compute)
    for row in range(3):
        alone = evaluate({k: (v[row : row + 1] if isinstance(v, list) else v) for k, v in table.items()}, compute=compute)
        for name in ("edge_thickness_mm", "volume_mm3", "mass_mg", "recut_front_radius_mm", "recut_back_radius_mm"):
            assert alone.columns[name][0] == together.columns[name][row]
    assert float(edge_thickness_mm(15.0, -15.0, 0.9, 6.0, front_conic=-1.0)) == together.columns["edge_thickness_mm"][0]
