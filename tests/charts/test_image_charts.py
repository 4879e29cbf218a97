"""The pictures of rays and of the image say what the numbers say: read back from the specification that altair hands over."""

import json
import math

import numpy as np
import pytest

from lenscalc.charts import lens_with_rays, mtf_curve, point_spread_picture, through_focus
from lenscalc.errors import InputError
from lenscalc.lens.image_quality import MODEL_EYE_VERGENCE_D
from lenscalc.light import Beam, Mtf, PointSpread, Surface, System, defocus_D, moved

LENS = System([Surface(15.0), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9])
HALF_BALL = System([Surface(), Surface(-3.2)], [1.336, 1.7, 1.0], [3.2])  # its rim reflects: sin 28° > 1/1.7 for heights above 3.2/1.7 = 1.88


def rows_with(chart, *columns):
    """The one data set of a chart that has these columns."""
    found = [rows for rows in chart.to_dict()["datasets"].values() if set(columns) <= set(rows[0])]
    assert len(found) == 1
    return found[0]


def title(chart):
    return " ".join(chart.to_dict()["title"]["text"]).replace("\xa0", " ")


def corners(chart, ray):
    """Places along the axis count from the back vertex."""
    return [(r["z"], r["y"]) for r in sorted(rows_with(chart, "ray", "order", "z", "y"), key=lambda r: r["order"]) if r["ray"] == ray]


def test_rays_meet_the_surfaces_and_the_paraxial_focus():
    """Sag by Pythagoras; back focal length by hand: m/F'v = m(1 − (t/n)F1)/F = 1336·(1 − 10.266667·0.0009/1.49)/20.469666 = 64.86256 mm."""
    chart = lens_with_rays(LENS, Beam(0.02), optic_diameter_mm=6.0, rays=3, plane_mm=64.862563)
    path = corners(chart, 2)
    assert path[0][1] == pytest.approx(0.01, abs=1e-12)  # collimated: level until it meets the lens
    assert path[1] == (pytest.approx(15 - math.sqrt(15**2 - 0.01**2) - 0.9, abs=1e-9), pytest.approx(0.01, abs=1e-12))
    assert path[-1] == (pytest.approx(64.862563), pytest.approx(0.0, abs=1e-7))


def test_a_ray_bends_as_snell_says():
    """At a plano front nothing bends; at the back, 1 mm up, by hand: sin i = 1/3.2 in the lens, 1.7 times that behind it."""
    path = corners(lens_with_rays(HALF_BALL, Beam(2.0), optic_diameter_mm=6.0, rays=3, plane_mm=2.0), 2)
    assert path[1] == (pytest.approx(-3.2), pytest.approx(1.0))
    on_back = math.sqrt(3.2**2 - 1.0)
    assert path[2] == (pytest.approx(on_back - 3.2), pytest.approx(1.0))
    turned = math.asin(1.7 / 3.2) - math.asin(1.0 / 3.2)
    slope = (path[3][1] - path[2][1]) / (path[3][0] - path[2][0])
    assert slope == pytest.approx(-math.tan(turned))


def test_a_lost_ray_ends_where_it_was_lost_and_the_picture_says_why():
    """Total reflection at height h where h/3.2 > 1/1.7, h > 1.882 mm: of seven rays at 0, ±0.8, ±1.6, ±2.4 the two outermost."""
    chart = lens_with_rays(HALF_BALL, Beam(4.8), optic_diameter_mm=6.0, rays=7, plane_mm=3.0)
    ends = sorted((r["y"], r["z"]) for r in rows_with(chart, "why"))
    on_back = pytest.approx(math.sqrt(3.2**2 - 2.4**2) - 3.2)
    assert ends == [(pytest.approx(-2.4), on_back), (pytest.approx(2.4), on_back)]
    assert "2 of 7 rays are totally reflected and end there (×)." in title(chart)
    assert corners(chart, 6)[-1] == (on_back, pytest.approx(2.4))
    assert corners(chart, 5)[-1][0] == pytest.approx(3.0)


def test_rays_beside_the_optic_end_at_its_edge():
    chart = lens_with_rays(LENS, Beam(8.0), optic_diameter_mm=6.0, rays=5)
    assert sorted(r["y"] for r in rows_with(chart, "why")) == pytest.approx([-4.0, 4.0])
    assert "2 of 5 rays meet a surface beyond the edge of the optic" in title(chart)
    ball = System([Surface(5.0), Surface(-5.0)], [1.336, 1.49, 1.336], [3.0])
    assert "2 of 3 rays miss a surface" in title(lens_with_rays(ball, Beam(12.0), optic_diameter_mm=6.0, rays=3))


def test_lens_and_rays_have_one_scale():
    """Along the axis and across it a pixel is the same number of mm, whatever the window: the domains worked out for three windows."""
    spec = lens_with_rays(LENS, Beam(3.0), optic_diameter_mm=6.0).to_dict()
    scales = next(layer["encoding"] for layer in spec["layer"] if "detail" in layer["encoding"])
    for width, height in ((500, 100), (900, 100), (3000, 100)):
        ends = {}
        for axis in "xy":
            for end in ("domainMin", "domainMax"):
                given = scales[axis]["scale"][end]
                ends[axis, end] = eval(given["expr"], {"max": max, "width": width, "height": height}) if isinstance(given, dict) else given
        along, across = (ends[axis, "domainMax"] - ends[axis, "domainMin"] for axis in "xy")
        assert along / width == pytest.approx(across / height)
        assert across >= 6.0
        assert ends["x", "domainMax"] >= 65.0


@pytest.mark.parametrize(
    ("system", "beam", "options", "told"),
    [
        (System([Surface([15.0, 14.0]), Surface(-15.0)], [1.336, 1.49, 1.336], [0.9]), Beam(3.0), {}, "holds arrays"),
        (LENS, Beam([2.0, 3.0]), {}, "holds arrays"),
        (moved(LENS, shift_y_mm=0.3), Beam(3.0), {}, "shifted or tilted"),
        (System([Surface(15.0), Surface(-15.0)], [1.336, 1.49, 1.336], [0.5]), Beam(3.0), {}, "edge thickness"),
        (System([Surface(15.0)], [1.336, 1.49]), Beam(3.0), {}, "has no body"),
        (LENS, Beam(3.0), {"rays": 1}, "2 to 41"),
    ],
)
def test_rays_are_refused_where_there_is_no_such_picture(system, beam, options, told):
    with pytest.raises(InputError, match=told):
        lens_with_rays(system, beam, optic_diameter_mm=6.0, **options)


def test_the_best_focus_is_the_highest_point_and_survives_decimation():
    focus = np.linspace(-1.0, 1.0, 2001)
    values = 0.6 * np.exp(-(((focus + 0.1234) / 0.3) ** 2))
    chart = through_focus(focus, values, frequency_per_mm=100, wavelength_nm=546.07, beam=Beam(3.0).in_words(), diffraction_mtf=0.67, least_spot=0.1)
    best = next(rows for rows in chart.to_dict()["datasets"].values() if set(rows[0]) == {"focus", "mtf", "text"})[0]
    assert best["focus"] == pytest.approx(-0.123)  # the nearest of the planes
    assert best["text"] == "best: 0.60 at −0.123 mm"
    curve = next(rows for rows in chart.to_dict()["datasets"].values() if set(rows[0]) == {"focus", "mtf"})
    assert len(curve) <= 210
    assert max(curve, key=lambda r: r["mtf"])["focus"] == best["focus"]
    assert [r["focus"] for r in curve] == sorted(r["focus"] for r in curve)
    assert "collimated onto the bare lens, 3 mm wide; 546.07 nm" in title(chart)


def test_focus_in_dioptres_names_its_unit_and_direction():
    """A thin lens of 20 D in 1.336 focuses at 66.8 mm; for 67.8 mm 1336/67.8 = 19.70501 D would do, by hand."""
    assert defocus_D(1.0, convergence_D=20.0, n_image=1.336) == pytest.approx(-0.294985, abs=1e-6)
    chart = through_focus([0.3, 0.0, -0.3], [0.1, 0.5, 0.2], frequency_per_mm=50, wavelength_nm=546.07, beam="collimated", unit="D")
    spec = json.dumps(chart.to_dict(), ensure_ascii=False)
    assert "focus from the paraxial one, D (+ nearer to the lens)" in spec
    curve = next(rows for rows in chart.to_dict()["datasets"].values() if set(rows[0]) == {"focus", "mtf"})
    assert [r["focus"] for r in curve] == [-0.3, 0.0, 0.3]
    with pytest.raises(InputError, match="'mm' or 'D'"):
        through_focus([0.0, 1.0], [0.1, 0.2], frequency_per_mm=50, wavelength_nm=546.07, beam="", unit="µm")
    with pytest.raises(InputError, match="one value at each"):
        through_focus([0.0, 1.0], [0.1], frequency_per_mm=50, wavelength_nm=546.07, beam="")


FREQUENCY = [0.0, 100.0, 200.0, 300.0]
LIMIT = [1.0, 0.67, 0.37, 0.1]


@pytest.mark.parametrize(("lens", "side"), [([1.0, 0.6, 0.3, 0.1], "right"), ([1.0, 0.2, 0.1, 0.05], "left")])
def test_the_criterion_stands_in_the_model_eye(lens, side):
    image = Mtf(np.array(lens), np.array(LIMIT), 377.0, -0.06, Beam(3.0, MODEL_EYE_VERGENCE_D).in_words())
    chart = mtf_curve(FREQUENCY, image, wavelength_nm=546.07, criterion_frequency_per_mm=100.0, criterion_mtf=0.43)
    point = next(rows for rows in chart.to_dict()["datasets"].values() if set(rows[0]) == {"frequency", "lens", "text"})
    assert point == [{"frequency": 100.0, "lens": 0.43, "text": "criterion\n0.43 or more"}]
    words = [layer["mark"] for layer in chart.to_dict()["layer"] if layer["mark"].get("lineBreak")]
    assert [mark["align"] for mark in words] == [side]  # on the side where the curve is not
    curves = rows_with(chart, "frequency", "lens", "limit")
    assert [r["limit"] for r in curves] == LIMIT
    assert "in the model eye" in title(chart)


def test_the_criterion_is_refused_in_any_other_beam():
    image = Mtf(np.array(LIMIT), np.array(LIMIT), 377.0, 0.0, Beam(3.0).in_words())
    assert "criterion" not in json.dumps(mtf_curve(FREQUENCY, image, wavelength_nm=546.07).to_dict())
    with pytest.raises(InputError, match="holds in the model eye alone"):
        mtf_curve(FREQUENCY, image, wavelength_nm=546.07, criterion_frequency_per_mm=100.0, criterion_mtf=0.43)
    with pytest.raises(InputError, match="one value at each"):
        mtf_curve(FREQUENCY[:-1], image, wavelength_nm=546.07)


def gaussian(points, half):
    place = np.linspace(-half, half, points)
    across, up = np.meshgrid(place, place)
    return PointSpread(0.8 * np.exp(-(across**2 + up**2) / 0.002**2), place, place, 0.8, Beam(3.0).in_words())


@pytest.mark.parametrize("points", [5, 51, 65, 201, 401])
def test_the_point_keeps_its_middle_and_stays_light(points):
    chart = point_spread_picture(gaussian(points, 0.01), wavelength_nm=546.07, scale="logarithmic")
    tiles = rows_with(chart, "shade")
    assert len(tiles) <= 51 * 51
    brightest = max(tiles, key=lambda r: r["shade"])
    assert brightest == {"x": 0.0, "y": 0.0, "shade": 1.0}
    assert len(json.dumps(chart.to_dict())) < 200_000
    spec = chart.to_dict()
    assert spec["width"] == spec["height"]


def test_shades_are_linear_or_logarithmic_as_it_says():
    """The Gaussian falls to 1/e at 2 µm; by the logarithm over three decades that is 1 − log10(e)/3 = 0.855."""
    image = gaussian(21, 0.01)
    for scale, shade, words in (("linear", math.exp(-1), "in proportion"), ("logarithmic", 1 - math.log10(math.e) / 3, "by the logarithm")):
        chart = point_spread_picture(image, wavelength_nm=546.07, scale=scale, first_dark_ring_mm=0.003)
        at = next(r for r in rows_with(chart, "shade") if (r["x"], r["y"]) == (2.0, 0.0))
        assert at["shade"] == pytest.approx(shade, abs=6e-4)
        assert words in title(chart)
        assert "brightest 0.80 of an aberration-free image" in chart.to_dict()["description"]
        ring = next(rows for rows in chart.to_dict()["datasets"].values() if set(rows[0]) == {"x", "y", "order"})
        assert all(math.hypot(r["x"], r["y"]) == pytest.approx(3.0) for r in ring)
    with pytest.raises(InputError, match="'linear' or 'logarithmic'"):
        point_spread_picture(image, wavelength_nm=546.07, scale="log")
