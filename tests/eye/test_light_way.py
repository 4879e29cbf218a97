"""Light from far away through a schematic eye: the forward way against the backward one, and what a change makes of it."""

from functools import cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lenscalc.errors import InputError, UnknownNameError
from lenscalc.eye import (
    LightWay,
    far_light_of,
    focus_of,
    light_path_of,
    light_way,
    planes_with_implant,
    published_eye,
    schematic_eyes,
    thin_implanted,
    what_if,
)

EYE = published_eye("le_grand_full")


@given(st.floats(5.0, 30.0))
def test_forwards_and_backwards_are_one_way(power):
    planes = planes_with_implant(EYE, thin_implanted(EYE, power))
    back = light_path_of(planes)
    forth = far_light_of(planes, back.refraction_D)
    assert forth.before_D == pytest.approx(back.before_D, abs=1e-9)
    assert forth.behind_D == pytest.approx(back.behind_D, abs=1e-9)
    assert forth.focus_mm == focus_of(back.refraction_D, planes) == pytest.approx(planes[-1].distance_mm, abs=1e-9)


@pytest.mark.parametrize("eye", schematic_eyes())
def test_no_change_changes_nothing(eye):
    way = light_way(20.0, 20.0, eye=eye)
    assert [s.change_before_D for s in way.steps] == [s.change_behind_D for s in way.steps] == [0.0] * len(way.steps)
    assert way.focus_shift_mm == 0.0
    assert way.steps[0].before_D == 0.0
    assert way.steps[0].height == 1.0


@pytest.mark.parametrize("eye", schematic_eyes())
@given(change=st.floats(0.01, 3.0))
def test_a_stronger_implant_changes_only_what_lies_behind_it(eye, change):
    way = light_way(20.0, 20.0 + change, eye=eye)
    *cornea, implant = way.steps
    assert all(s.change_before_D == s.change_behind_D == 0 for s in cornea)
    assert implant.change_before_D == 0
    # in media other than 1.336 a dioptre of the label is a little less or more
    assert implant.change_behind_D == pytest.approx(change, rel=0.02, abs=0.0)
    assert way.focus_shift_mm < 0
    assert what_if(20.0, 20.0 + change, eye=eye).refraction_shift_D < 0


@pytest.mark.parametrize("eye", schematic_eyes())
def test_a_deeper_implant_meets_light_that_has_come_closer(eye):
    way = light_way(20.0, 20.0, eye=eye, position_shift_mm=0.2)
    assert way.steps[-1].change_before_D == pytest.approx(way.steps[-1].change_behind_D, abs=1e-9) != 0
    assert way.focus_shift_mm > 0  # less convergence is left for the longer way before it: the focus goes back
    assert way.steps[-1].place_mm < 6.0


def test_the_height_of_a_ray_is_that_of_similar_triangles():
    cornea, implant = light_way(20.0, 20.0).steps
    assert implant.height == pytest.approx(1.0 - 5.0 / (1336 / 43.08), rel=1e-12, abs=0.0)
    assert cornea.place_mm == 0.0
    # Le Grand's cornea: 1000·0.3771/7.8 and −1000·0.0397/6.5 D, 0.55 mm apart; a ray falls by the part of the way to its focus
    front, back, implant = light_way(20.0, 20.0, eye="le_grand_full").steps
    focus = 1377.1 / (377.1 / 7.8) - 0.55  # behind the back of the cornea
    height = focus / (focus + 0.55)
    assert (front.height, back.height) == (1.0, pytest.approx(height, rel=1e-12, abs=0.0))
    focus = 1337.4 / (1377.1 / focus - 39.7 / 6.5)
    assert implant.height == pytest.approx(height * (focus - 3.95) / focus, rel=1e-12, abs=0.0)
    assert (front.place_mm, back.place_mm, implant.place_mm) == (0.0, 0.55, 4.5)


@cache
def power_that_leaves_no_refraction(eye):
    """By bisection, since the focus comes nearer as the power grows."""
    low, high = 0.0, 60.0
    for _ in range(60):
        middle = (low + high) / 2.0
        way = light_way(middle, middle, eye=eye)
        low, high = (middle, high) if way.focus_mm > way.length_mm else (low, middle)
    return low


@pytest.mark.parametrize("eye", schematic_eyes())
@given(power=st.floats(5.0, 30.0))
def test_the_retina_lies_where_the_focus_of_an_eye_without_refraction_would(eye, power):
    even = power_that_leaves_no_refraction(eye)
    assert light_way(even, even, eye=eye).beside_the_retina().count("lies on the retina") == 1
    way = light_way(power, power, eye=eye)
    assert ("behind the retina" if power < even - 0.5 else "before the retina" if power > even + 0.5 else "retina") in way.beside_the_retina()


def test_the_focus_beside_the_retina_by_hand():
    """Cornea 43.08 D, 5 mm in 1.336: 43.08/(1 − 0.005·43.08/1.336) = 51.361 D; with 20 D 71.361 D, 1336/71.361 = 18.722 mm: 23.72 of 23.5 mm."""
    way = light_way(20.0, 20.0)
    assert (way.focus_mm, way.length_mm) == (pytest.approx(5 + 1336 / (43.08 / (1 - 0.005 * 43.08 / 1.336) + 20)), 23.5)
    assert way.beside_the_retina().startswith("with the labelled power the focus, at 23.72 mm, lies 0.2 mm behind the retina of this eye")
    for eye in ("teaching", "le_grand_full"):
        assert "does not meet" in light_way(-60.0, -60.0, eye=eye).beside_the_retina()
    assert light_way(20.0, 20.0, eye="le_grand_full").length_mm == pytest.approx(EYE.axial_length_mm)


@pytest.mark.parametrize(
    ("behind_D", "focus_mm", "told"),
    [
        (70.0, 23.55, "lies 0.1 mm behind the retina"), (70.0, 23.549, "lies on the retina"), (70.0, 23.451, "lies on the retina"),
        (70.0, 23.449, "lies 0.1 mm before the retina"), (0.0, 23.5, "does not meet behind the implant"),
        (1.0, 5 + 1336.0, "lies 1317.5 mm behind the retina"),
    ],
)  # fmt: skip
def test_the_focus_lies_on_the_retina_where_a_tenth_of_a_millimetre_tells_no_difference(behind_D, focus_mm, told):
    cornea, implant = light_way(20.0, 20.0).steps
    assert told in LightWay((cornea, implant._replace(behind_D=behind_D)), focus_mm, 0.0, "", 23.5).beside_the_retina()


@pytest.mark.parametrize("number", [float, np.float64])
@pytest.mark.parametrize("labelled", [True, False])
def test_an_implant_that_sends_the_light_on_parallel_is_refused(labelled, number):
    parallel = number(-light_way(20.0, 20.0).steps[-1].before_D)
    with pytest.raises(InputError, match="parallel and comes to no focus"):
        light_way(*((parallel, 20.0) if labelled else (20.0, parallel)))


def test_it_refuses_what_the_question_refuses():
    with pytest.raises(UnknownNameError, match="did you mean le_grand_full"):
        light_way(20.0, 20.0, eye="le_grand")
    with pytest.raises(InputError, match="a shift of the implant"):
        light_way(20.0, 20.0, position_shift_mm=4.5)
