"""The border, drawn: rays obey Snell's law, the field Fresnel's equations, the line stands at the arcsine; the file plays by itself."""

import json
import math
import os
import re
import shutil

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lenscalc.charts.border_animation import HTML, border_animation, border_file, border_frame, in_words, script
from lenscalc.errors import InputError

CHROMIUM = shutil.which("chromium")


def from_normal(place):
    """Degrees from the normal, towards either side and into either medium."""
    return math.degrees(math.atan2(abs(place[0]), abs(place[1])))


@settings(max_examples=40, deadline=None)
@given(n=st.floats(1.3, 1.7), N=st.floats(1.71, 2.0))
def test_every_ray_obeys_snell_and_none_passes_the_border(n, N):
    frame = border_frame(n, N)
    assert frame["border"] == pytest.approx(math.degrees(math.asin(n / N)), abs=1e-4)
    for (start, middle, whole), (_, end, part) in frame["rays"]:
        assert middle == [0.0, 0.0]
        assert whole == 1.0
        assert n * math.sin(math.radians(from_normal(start))) == pytest.approx(N * math.sin(math.radians(from_normal(end))), abs=2e-4)
        assert from_normal(end) < frame["border"]
        assert start[1] <= 0.0 <= end[1]  # from above the face to below it
        assert 0.0 < part < 1.0


@settings(max_examples=40, deadline=None)
@given(n=st.floats(1.3, 1.7), N=st.floats(1.71, 2.0))
def test_what_is_reflected_goes_on_as_flat_as_it_came_and_beyond_the_border_whole(n, N):
    frame = border_frame(n, N, light="reflected")
    for (start, _, _), (_, back, reflected), *out in frame["rays"]:
        assert from_normal(back) == pytest.approx(from_normal(start), abs=1e-2)
        if from_normal(start) > frame["border"] + 0.01:
            assert reflected == 1.0
            assert not out
        elif from_normal(start) < frame["border"] - 0.01:
            (_, end, through), = out
            assert reflected + through == pytest.approx(1.0, abs=2e-4)
            assert N * math.sin(math.radians(from_normal(start))) == pytest.approx(n * math.sin(math.radians(from_normal(end))), abs=2e-4)


def test_the_field_along_the_normal_and_on_either_side():
    """By hand along the normal: R = ((1.75 − 1.49)/(1.75 + 1.49))² = 0.00644; asin(1.49/1.75) = 58.3674°."""
    through, reflected = (border_frame(1.49, 1.75, light=light)["field"] for light in ("through", "reflected"))
    assert through[0] == (0.0, pytest.approx(1 - 0.00644, abs=1e-4))
    assert reflected[0] == (0.0, pytest.approx(0.00644, abs=1e-4))
    assert through[-2:] == [(58.3674, 0.0), (90.0, 0.0)]
    assert reflected[-2:] == [(58.3674, 1.0), (90.0, 1.0)]
    angles = [angle for angle, _ in through]
    assert angles == sorted(angles)


def test_the_line_moves_there_and_back():
    found = border_animation(1.49, 1.75)
    places = [frame["border"] for frame in found["frames"]]
    top = places.index(max(places))
    assert places[: top + 1] == sorted(places[: top + 1])
    assert places[top:] == sorted(places[top:], reverse=True)
    assert found["frames"][found["start"]]["specimen"] == "specimen 1.4900"
    assert "58.37°" in found["told"]
    json.dumps(found, allow_nan=False)
    with pytest.raises(InputError, match="must be above the specimen's index"):
        border_animation(1.49, 1.45)
    assert border_animation(1.1, 1.2)["frames"]  # a prism below the range still shows its own specimen


def test_the_file_stands_alone_and_says_what_it_is_not_for():
    text = border_file(1.49, 1.75, ground="dark")
    assert not re.findall(r"(?:src|href)=|https?://(?!www\.w3\.org/2000/svg)", text)
    assert "not a medical device" in text.lower()
    assert in_words(1.49, 1.75) in text
    assert "export" not in text
    assert "prefers-reduced-motion" in script()
    assert 'role="img"' in HTML


@pytest.mark.skipif(CHROMIUM is None and "REQUIRE_BROWSER" not in os.environ, reason="no chromium on this machine")
@pytest.mark.parametrize("motion", ["no-preference", "reduce"])
def test_it_plays_and_respects_a_wish_for_stillness(tmp_path, motion):
    playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    file = tmp_path / "border.html"
    file.write_text(border_file(1.49, 1.75), encoding="utf-8")
    with playwright.sync_playwright() as p:
        browser = p.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        page = browser.new_context(reduced_motion=motion).new_page()
        page.set_default_timeout(180_000)  # on a busy machine too it plays, at last
        wrong, asked = [], []
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.on("request", lambda request: asked.append(request.url))
        page.goto(file.as_uri())
        picture = page.get_by_role("img", name="A specimen of index 1.4900")
        picture.wait_for()
        specimen = page.locator("svg text").first
        assert specimen.text_content() == "specimen 1.4900"
        page.get_by_role("button", name="Play" if motion == "no-preference" else "Next step").click()
        page.wait_for_function("document.querySelector('svg text').textContent !== 'specimen 1.4900'")
        if motion == "reduce":
            page.wait_for_timeout(400)
            assert specimen.text_content() == "specimen 1.5000"  # one step, and no further by itself
        else:
            page.get_by_role("button", name="Stop").click()
            held = specimen.text_content()
            page.wait_for_timeout(400)
            assert specimen.text_content() == held
        page.get_by_role("slider").fill("0")
        assert specimen.text_content() == "specimen 1.3000"
        browser.close()
    assert wrong == []
    assert [url for url in asked if not url.startswith(("file:", "data:"))] == []
