"""The worksheet: answers by hand and from the facts, blanks on the first page alone, two pages of A4, nothing fetched."""

import math
import os
import re
import shutil
import xml.etree.ElementTree as ET

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lenscalc.errors import InputError
from lenscalc.lens import why_not
from lenscalc.worksheet import Blank, Lesson, exercises, worksheet_html
from lenscalc.worksheet.picture import picture_svg

FACTS = Lesson(15.0, -15.0, 0.9, 6.0, 1.49)
CHROMIUM = shutil.which("chromium")


def answers(lesson):
    return [[b.value for b in e.blanks] for e in exercises(lesson)]


def test_the_answers_of_the_lens_of_the_facts():
    """64.688770 and 20.469666 D, dF/dn 132.5492 (mpmath). By hand: the steps; 0.154/0.015 = 10.2667; m/F′v = 64.8626 mm; 20.4697·0.001/0.154 =
    0.13292; 20.469666/64.688770 = 0.31643; asin(1.49/1.75) = 58.3674°. Water at 35 °C: 1.332773 (iapws 1.5.5).
    """
    steps, surfaces, power, focus, part, change, angle, words = answers(FACTS)
    assert steps == pytest.approx([0.49, 1.49 - 1.332773, 0.154], abs=1e-5)  # the reference did not convert to vacuum wavelengths: 5e-6
    assert surfaces == pytest.approx([10.266667, 10.266667], abs=1e-6)
    assert [power[0], power[2]] == pytest.approx([64.688770, 20.469666], abs=1e-6)
    assert focus[2] == pytest.approx(64.8626, abs=1e-4)
    assert part == pytest.approx([31.643], abs=1e-3)
    assert change == pytest.approx([0.13292], abs=1e-5)
    assert angle == pytest.approx([58.3674], abs=1e-4)
    assert words == []
    assert "the derivative of the thick lens gives 0.133 D" in exercises(FACTS)[5].working


def test_a_negative_lens_and_a_flat_one_are_told_in_words_that_hold_for_them():
    """The lens of the facts turned inside out: its powers change sign but for the thickness's term, which is (t/n)·F₁·F₂ with 0.9 mm, by hand.

    In the eye −20.533333 − 0.063666 = −20.597; in water (1.49 − 1.332773)/0.015 = 10.481800 a surface: −20.963600 − 0.066363 = −21.030.
    """
    words = exercises(Lesson(-15.0, 15.0, 0.9, 6.0, 1.49))[-1].working
    assert "the power is −21.03 D in water and −20.60 D in the eye, 0.43 D apart" in words
    for lesson in (Lesson(math.inf, -15.0, 0.9, 6.0, 1.49), Lesson(-15.0, math.inf, 0.9, 6.0, 1.49), Lesson(math.inf, math.inf, 0.9, 6.0, 1.49),
                   Lesson(-15.0, 15.0, 0.9, 6.0, 1.49, -1e-9), Lesson(15.0, -15.0, 0.9, 6.0, 1.336)):  # fmt: skip
        assert not re.findall(r"[-−]0\.?0*(?![0-9.])", worksheet_html(lesson).partition("<body>")[2].partition("</svg>")[2])


def test_answers_stand_on_the_second_page_alone():
    text = worksheet_html(FACTS)
    first, second = text.split("<section>")[1:]
    for e in exercises(FACTS):
        assert e.question in first
        assert e.question not in second
        for b in e.blanks:
            assert b.answer not in re.sub(r"<[^>]*>", " ", first)
            assert f"<b>{b.answer}</b>" in second
    assert first.count('class="blank"') == sum(len(e.blanks) for e in exercises(FACTS))
    assert [page.lower().count("not a medical device") for page in (first, second)] == [1, 1]


def test_the_same_numbers_give_the_same_text_and_nothing_is_fetched():
    text = worksheet_html(FACTS)
    assert worksheet_html(Lesson(15.0, -15.0, 0.9, 6.0, 1.49)) == text
    assert not re.findall(r"src=|href=|url\(|@import|https?://|<script", text)
    assert worksheet_html(FACTS._replace(index_change=-0.002)) != text


@settings(max_examples=40, deadline=None)
@given(
    R1=st.floats(8.0, 60.0) | st.floats(-60.0, -8.0) | st.just(math.inf), R2=st.floats(8.0, 60.0) | st.floats(-60.0, -8.0) | st.just(math.inf),
    t=st.floats(0.6, 3.0), n=st.floats(1.3, 1.7), change=st.integers(-50, 50).map(lambda steps: steps / 10_000),
)  # fmt: skip
def test_any_lens_that_can_exist_gives_a_whole_sheet(R1, R2, t, n, change):
    lesson = Lesson(R1, R2, t, 5.0, n, change, 1.8)
    if why_not(R1, R2, t, 5.0):
        with pytest.raises(InputError):
            worksheet_html(lesson)
        return
    text = worksheet_html(lesson)
    assert not re.search(r"\binf\b|\bnan\b|-\d", re.sub(r"<[^>]*>", " ", text.split("</style>")[1]))
    ET.fromstring(picture_svg(lesson))


def test_rays_of_the_picture_start_level_and_meet_in_the_eye_at_the_focus():
    """In the picture's own scale: 1000 over 75 mm behind the lens, 0.9 mm of it and 4.8 mm in front. The focus stands 64.86 mm behind it."""
    svg = ET.fromstring(picture_svg(FACTS))
    rays = [[tuple(map(float, p.split(","))) for p in line.get("points").split()] for line in svg.iter("polyline")]
    scale = 1000 / 80.7
    innermost = rays[-5]  # next to the axis, of the last row
    assert innermost[0][1] == pytest.approx(innermost[1][1])
    (x1, y1), (x2, y2) = innermost[2:]
    axis = rays[-4][0][1]
    assert x1 + (axis - y1) * (x2 - x1) / (y2 - y1) == pytest.approx((4.8 + 0.9 + 64.86) * scale, abs=6)


@pytest.mark.parametrize(
    ("lesson", "told"),
    [
        (FACTS._replace(center_thickness_mm=0.3), "edge thickness"),
        (FACTS._replace(n_prism=1.4), "must be above the specimen's index"),
        (FACTS._replace(index_change=1.49), "an error of an index, not an index"),
        (FACTS._replace(index_change=math.nan), "index_change = nan"),
        (FACTS._replace(front_radius_mm=0.0), "never 0"),
    ],
)
def test_what_makes_no_sheet_is_told(lesson, told):
    with pytest.raises(InputError, match=told):
        worksheet_html(lesson)


def test_a_window_leaves_out_what_cannot_be_asked():
    window = Lesson(math.inf, math.inf, 1.0, 6.0, 1.336)
    found = exercises(window)
    assert len(found) == len(exercises(FACTS)) - 2  # no part of no power, no rule without a step
    assert Blank("", math.inf, 1, "mm").answer == "none: the light goes on parallel"
    assert "plano and plano" in worksheet_html(window)
    assert Blank("", -0.0004, 2, "D").answer == "0.00 D"
    assert Blank("", 58.3674, 2, "°").answer == "58.37°"


@pytest.mark.skipif(CHROMIUM is None and "REQUIRE_BROWSER" not in os.environ, reason="no chromium on this machine")
def test_it_prints_on_two_pages_of_a4(tmp_path):
    playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    file = tmp_path / "worksheet.html"
    file.write_text(worksheet_html(Lesson(15.125, -18.0625, 0.9125, 6.0, 1.48755, -0.0025, 1.755)), encoding="utf-8")
    with playwright.sync_playwright() as p:
        browser = p.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        page = browser.new_page()
        asked = []
        page.on("request", lambda request: asked.append(request.url))
        page.goto(file.as_uri())
        printed = page.pdf(prefer_css_page_size=True)
        browser.close()
    assert len(re.findall(rb"/Type /Page\b", printed)) == 2
    assert re.search(rb"/MediaBox \[0 0 59[45]\.\d+ 84[12]\.\d+\]", printed)
    assert asked == [file.as_uri()]
