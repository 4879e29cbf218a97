"""The charts say what the numbers say: read back from the specification that altair hands over."""

import math

import numpy as np
import pytest

from lenscalc.charts import budget_bars, lens_drawing, light_path_drawing, power_against_index, proportion_bars
from lenscalc.charts.lens_drawing import LARGEST_px
from lenscalc.charts.style import ink
from lenscalc.errors import InputError
from lenscalc.eye import in_proportion, light_way
from lenscalc.uncertainty import BudgetLine

LENSES = {
    "biconvex": (15.0, -15.0, 0.9),
    "plano-convex": (12.0, math.inf, 0.8),
    "convexo-plano": (math.inf, -12.0, 0.8),
    "meniscus": (-20.0, -9.0, 0.9),
    "diverging": (-15.0, 15.0, 0.3),
    "flat plate": (math.inf, math.inf, 0.5),
}


def rows_with(chart, *columns):
    """The one data set of a chart that has these columns."""
    found = [rows for rows in chart.to_dict()["datasets"].values() if set(columns) <= set(rows[0])]
    assert len(found) == 1
    return found[0]


def width_of(z, y, height):
    """Extent along the axis of a closed outline at one height, by straight interpolation between its points."""
    crossings = []
    for (z1, y1), (z2, y2) in zip(zip(z, y, strict=True), list(zip(z, y, strict=True))[1:], strict=False):
        if (y1 - height) * (y2 - height) <= 0 and y1 != y2:
            crossings.append(z1 + (height - y1) / (y2 - y1) * (z2 - z1))
    return max(crossings) - min(crossings)


@pytest.mark.parametrize("name", LENSES)
def test_drawing_has_the_thickness_of_circles(name):
    """Thickness on the axis and 2 mm off it, the latter by the circle's own geometry (Pythagoras), not by the sag formula."""
    R1, R2, t = LENSES[name]
    outline = rows_with(lens_drawing(R1, R2, t, 6.0), "z", "y", "order")
    z, y = [r["z"] for r in outline], [r["y"] for r in outline]
    assert max(y) == 3.0
    assert min(y) == -3.0
    assert width_of(z, y, 0.0) == pytest.approx(t, abs=1e-6)

    def depth(R, h):
        return 0.0 if math.isinf(R) else math.copysign(abs(R) - math.sqrt(R * R - h * h), R)

    assert width_of(z, y, 2.0) == pytest.approx(t - depth(R1, 2.0) + depth(R2, 2.0), abs=1e-6)


def test_drawing_follows_a_conic():
    """A paraboloid of 12 mm is h²/24 deep: 1/6 mm at 2 mm, where the circle is 0.1678."""
    outline = rows_with(lens_drawing(12.0, math.inf, 0.8, 6.0, front_conic=-1.0), "z", "y", "order")
    z, y = [r["z"] for r in outline], [r["y"] for r in outline]
    assert width_of(z, y, 2.0) == pytest.approx(0.8 - 4.0 / 24.0, abs=1e-6)


@pytest.mark.parametrize("name", LENSES)
def test_drawing_has_one_scale(name):
    spec = lens_drawing(*LENSES[name], 6.0, front_principal_plane_mm=-4.0, back_principal_plane_mm=2.0).to_dict()
    outline = next(layer["encoding"] for layer in spec["layer"] if "order" in layer["encoding"])
    across, high = (outline[axis]["scale"]["domain"] for axis in "xy")
    assert spec["width"] / (across[1] - across[0]) == pytest.approx(spec["height"] / (high[1] - high[0]), rel=1e-12, abs=0.0)
    assert max(spec["width"], spec["height"]) <= LARGEST_px + 1e-9


def test_drawing_leaves_out_planes_at_infinity_and_far_away():
    near = lens_drawing(15.0, -15.0, 0.9, 6.0, front_principal_plane_mm=0.4, back_principal_plane_mm=-0.4)
    assert [(r["name"], round(r["z"], 9)) for r in rows_with(near, "z", "at")] == [("H", 0.4), ("H′", 0.5)]
    for plane in (math.inf, math.nan, 500.0, None):
        chart = lens_drawing(15.0, -15.0, 0.9, 6.0, front_principal_plane_mm=plane, back_principal_plane_mm=plane)
        assert not any("at" in rows[0] for rows in chart.to_dict()["datasets"].values())


def test_drawing_refuses_a_lens_that_cannot_be():
    with pytest.raises(InputError, match="edge thickness"):
        lens_drawing(15.0, -15.0, 0.5, 6.0)


def test_band_stands_where_the_limits_are():
    chart = power_against_index(15.0, -15.0, 0.9, 1.49, u_n_lens=3e-4, u_power_D=0.04, labelled_power_D=20.5, lower_limit_D=20.1, upper_limit_D=20.9)
    assert rows_with(chart, "power", "upper") == [{"power": 20.1, "upper": 20.9}]
    datasets = chart.to_dict()["datasets"].values()
    named = next(rows for rows in datasets if set(rows[0]) == {"text", "power"} and len(rows) == 3)
    assert [(r["text"], r["power"]) for r in named] == [("upper limit 20.90 D", 20.9), ("label 20.50 D", 20.5), ("lower limit 20.10 D", 20.1)]


@pytest.mark.parametrize(
    ("n", "words"),
    [
        (1.49, ["upper limit 20.90 D", "label 20.50 D", "lower limit 20.10 D"]),
        (1.46, ["label 20.50 ± 0.40 D"]),  # 3.6 D away of it: a picture of 330 px over 10 D leaves 13 px between two of the names
        (1.60, ["label 20.50 ± 0.40 D"]),
        (1.50, ["upper limit 20.90 D", "label 20.50 D", "lower limit 20.10 D"]),  # 21.8 D: more than 20 px between them
    ],
)
def test_names_that_would_cover_each_other_are_said_in_one(n, words):
    chart = power_against_index(15.0, -15.0, 0.9, n, labelled_power_D=20.5, lower_limit_D=20.1, upper_limit_D=20.9).to_dict()
    tables = chart["datasets"]
    assert [row["text"] for side in ("left", "right") for row in tables.get(side, [])] == words
    assert [row["power"] for row in tables["limits"]] == [20.9, 20.5, 20.1]  # every line stays


def test_point_and_curve_against_values_worked_out_elsewhere():
    """20.469666 D and dF/dn 132.5492 D: computed with mpmath at 50 digits from F = (n−m)(c1−c2) + (n−m)²·t·c1·c2/n."""
    chart = power_against_index(15.0, -15.0, 0.9, 1.49, u_n_lens=3e-4, u_power_D=0.04)
    point = rows_with(chart, "n_low", "n_high")[0]
    assert point["power"] == pytest.approx(20.469666, abs=5e-7)
    assert (point["n_low"], point["n_high"]) == pytest.approx((1.4897, 1.4903))
    assert (point["power_low"], point["power_high"]) == pytest.approx((20.429666, 20.509666), abs=5e-7)
    datasets = chart.to_dict()["datasets"].values()
    curve = next(rows for rows in datasets if set(rows[0]) == {"n", "power"} and len(rows) > 2)
    slope = np.polyfit([r["n"] - 1.49 for r in curve], [r["power"] for r in curve], 2)[1]
    assert slope == pytest.approx(132.5492, abs=1e-3)


@pytest.mark.parametrize("name", LENSES)
def test_axes_reach_the_limits(name):
    chart = power_against_index(*LENSES[name], 1.49, labelled_power_D=20.5, lower_limit_D=20.1, upper_limit_D=20.9)
    tables = chart.to_dict()["datasets"]
    low, high = (corner["power"] for corner in tables["corners"])
    assert low < 20.1 < 20.9 < high
    assert all(low <= point["power"] <= high for point in tables["curve"])


def test_bars_are_sorted_and_lose_nothing():
    lines = [BudgetLine(f"source {i}", 1.0, share, "lot", "normal", math.inf) for i, share in enumerate((0.05, 0.4, 0.15, 0.1, 0.3))]
    rows = rows_with(budget_bars(lines, most=3), "source", "share")
    assert [r["source"] for r in rows] == ["source 1", "source 4", "source 2", "the rest"]
    assert sum(r["share"] for r in rows) == pytest.approx(1.0)
    assert rows[-1]["text"] == "2 smaller sources together: 15 %"
    assert "source 1 (the lot's): 40 %" in budget_bars(lines).to_dict()["description"]


@pytest.mark.parametrize("ground", ["light", "dark"])
def test_writing_stands_out_from_its_ground(ground):
    """Contrast of at least 7:1 by WCAG's formula (W3C, WCAG 2.1, relative luminance: from memory, to be confirmed against the text)."""

    def luminance(color):
        parts = [int(color[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        linear = [p / 12.92 if p <= 0.03928 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    a, b = sorted([luminance(ink(ground)), luminance("#ffffff" if ground == "light" else "#191814")])
    assert (b + 0.05) / (a + 0.05) >= 7


def test_the_lights_way_is_drawn_to_scale_and_says_its_numbers():
    """By hand, teaching eye: 43.08 D, 5 mm on 1336·43.08/(1336 − 5·43.08) = 51.3608 D; 71.3608 D behind 20 D, focus 1336/71.3608 mm further."""
    chart = light_path_drawing(light_way(20.0, 20.5))
    widths = {round(r["z"], 6): r["y"] - r["low"] for r in chart.to_dict()["datasets"]["beam"]}
    assert max(widths) == pytest.approx(5.0 + 1336 / 71.3608, abs=1e-4)
    assert widths[max(widths)] == 0
    assert widths[5.0] / widths[0.0] == pytest.approx(1 - 5.0 * 43.08 / 1336, abs=1e-9)
    texts = [r["text"] for rows in chart.to_dict()["datasets"].values() for r in rows if "text" in r]
    assert {"cornea", "0.00 → 43.08 D", "implant", "51.36 → 71.36 D", "change 0.00 → +0.50 D", "focus at 23.72 mm", "moves by −0.13 mm"} <= set(texts)
    assert not any("refraction" in t for t in texts)


@pytest.mark.parametrize("eye", ["le_grand_full", "bennett_rabbetts"])
def test_no_two_texts_of_the_lights_way_stand_on_one_line(eye):
    chart = light_path_drawing(light_way(20.0, 20.5, eye=eye, position_shift_mm=0.3), ground="dark")
    rows = [r for rows in chart.to_dict()["datasets"].values() for r in rows if "text" in r and "kind" in r]
    assert len({r["y"] for r in rows}) == len(rows)


def test_an_error_stands_beside_what_scatters_the_refraction():
    chart = proportion_bars(in_proportion().lines, -0.1, "0.001 more in the index, in every eye")
    rows = rows_with(chart, "size", "text", "kind")
    assert [r["kind"] for r in rows].count("error") == 1
    assert rows[-1]["size"] == 0.1
    assert rows[-1]["text"] == "0.001 more in the index, in every eye: −0.10 D"
    sizes = [r["size"] for r in rows[:-1]]
    assert sizes == sorted(sizes, reverse=True)
    # 35 % of the variance of a normal scatter of mean absolute error 0.6 D
    assert sizes[0] == pytest.approx(0.6 * math.sqrt(math.pi / 2) * math.sqrt(0.35))
