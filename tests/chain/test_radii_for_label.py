"""The radii for a label: by Gullstrand's equation worked here, and by the swelling and warming of a lens that is cut dry."""

import math

import pytest

from lenscalc.chain import follow, follow_index, radii_for_label
from lenscalc.demo import demo_text
from lenscalc.errors import SheetError
from lenscalc.refractometer import sheet_from_text


def power(R1, R2, t, n, m=1.336):
    """F1 + F2 − (t/n)·F1·F2, lengths in mm."""
    F1, F2 = 1000 * (n - m) / R1, 1000 * (m - n) / R2
    return F1 + F2 - t / 1000 / n * F1 * F2


def followed(name, *changes):
    text = demo_text(name)
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return follow(sheet_from_text(text))


@pytest.mark.parametrize("name", ["copolymer_b.toml", "copolymer_c.toml", "copolymer_e.toml"])
def test_each_way_gives_the_label_exactly(name):
    made = followed(name)
    n, t = float(made.index.n.value[0]), made.row["center_thickness_mm"]
    ways = radii_for_label(made)
    assert [way.held for way in ways] == ["the shape", "the front radius", "the back radius"]
    for way in ways:
        assert way.problem == ""
        assert power(way.front_in_use_mm, way.back_in_use_mm, t, n) == pytest.approx(made.row["labelled_power_D"], abs=1e-9)
    shape, front, back = ways
    assert shape.front_in_use_mm / shape.back_in_use_mm == pytest.approx(made.row["front_radius_mm"] / made.row["back_radius_mm"], rel=1e-12, abs=0.0)
    assert front.front_change_mm == pytest.approx(0.0, abs=1e-12)
    assert back.back_change_mm == pytest.approx(0.0, abs=1e-12)


def test_a_lens_cut_dry_gets_dry_radii():
    """E swells by 1.090 and warms from 23 to 35 °C at 7e-5 /K: a dry length is the wet one over 1.090·(1 + 12·7e-5), by hand."""
    for way in radii_for_label(followed("copolymer_e.toml")):
        assert way.front_in_use_mm / way.front_radius_mm == pytest.approx(1.090 * (1 + 12 * 7e-5), rel=1e-6, abs=0.0)
        assert way.front_change_mm == pytest.approx(way.front_radius_mm - 11.2, abs=1e-12)
        assert way.back_change_mm == pytest.approx(way.back_radius_mm + 11.2, abs=1e-12)


def test_a_lens_on_its_label_stays_as_it_is():
    made = followed("copolymer_c.toml")
    label = float(made.evaluation.columns["power_D"][0])
    again = followed("copolymer_c.toml", ("labelled_power_D = 20.5", f"labelled_power_D = {label!r}"))
    for way in radii_for_label(again):
        assert (way.front_change_mm, way.back_change_mm) == pytest.approx((0.0, 0.0), abs=1e-9)


@pytest.mark.parametrize("side", ["front", "back"])
def test_a_flat_side_stays_flat(side):
    sign = 1 if side == "front" else -1
    plano = (f"value = {sign * 15.0}\nu = 0.02\n", 'value = "plano"\nu_curvature_per_mm = 0.0001\n')
    (way,) = radii_for_label(followed("copolymer_c.toml", plano, ("labelled_power_D = 20.5", "labelled_power_D = 10.0")))
    flat, curved = (way.front_radius_mm, way.back_radius_mm) if side == "front" else (way.back_radius_mm, way.front_radius_mm)
    n = float(followed("copolymer_c.toml").index.n.value[0])
    assert math.isinf(flat)
    assert abs(curved) == pytest.approx(1000 * (n - 1.336) / 10.0, rel=1e-9, abs=0.0)  # one surface alone
    assert (way.front_change_mm if side == "front" else way.back_change_mm) == 0.0


def test_a_label_that_no_radii_reach_is_told():
    ways = radii_for_label(followed("copolymer_c.toml", ("labelled_power_D = 20.5", "labelled_power_D = 60.0")))
    assert all(way.problem and math.isnan(way.front_radius_mm) for way in ways)
    assert any("edge" in way.problem for way in ways)


def test_without_a_label_or_a_lens_there_is_nothing_to_cut_for():
    for made in (
        followed("copolymer_c.toml", ("labelled_power_D = 20.5\n", "")),
        follow_index(sheet_from_text(demo_text("copolymer_c.toml").partition("[lens]")[0])),
    ):
        with pytest.raises(SheetError, match="without a label there is no power to cut for"):
            radii_for_label(made)
