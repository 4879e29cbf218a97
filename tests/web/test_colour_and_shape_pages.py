"""Why is the focus coloured? Which shape blurs least? Figures of the core, by page, command and Python alike."""

import pytest
from shown import by_command, by_python, page, words

from lenscalc.web.lecture.show_materials import show_materials

COLOUR, SHAPE = "coloured_focus.py", "best_shape.py"


def test_polystyrene_has_more_colour_than_pmma():
    """Thin lens by hand: 20·((n_F − n_C) − 0.0066)/(n − 1.336), with 0.00846 and 0.1566 for PMMA, 0.0200 and 0.2604 for polystyrene."""
    text = words(page(COLOUR))
    assert "blue and red meet farthest apart behind the lens of polystyrene 2009, **1.03 D**, and least behind that of PMMA 2013, **0.23 D**" in text
    assert "From F to C that of polystyrene 2009 falls by 0.0200. The aqueous falls by 0.0066" in text


@pytest.mark.parametrize("materials", [["polystyrene_sultanova_2009", "pmma_beadie_2015"], ["copolymer_B"]])
def test_colour_by_page_command_and_python(materials):
    at = page(COLOUR)
    at.pills(key="colour_materials").set_value([show_materials()[key].short for key in materials])
    at.slider(key="show_power_D").set_value(22.5).run()
    assert not at.exception
    between, _ = by_python(at)
    F, C = by_command(at)
    assert F["power_D"] - C["power_D"] == pytest.approx(between, abs=1e-6)
    assert f"**{between:.2f} D**" in words(at).partition("In short")[2].partition(", and least")[0]
    assert f"{between:.2f} D" in list(at.table[0].value["blue less red"])


def test_no_material_is_told():
    at = page(COLOUR)
    at.pills(key="colour_materials").set_value([]).run()
    assert not at.exception
    assert "Choose a material" in at.info[0].value


def test_the_best_shape_in_the_eye_and_in_air():
    """Third order by hand, X = 2(N² − 1)/(N + 2): 0.156 for N = 1.49/1.336, 0.701 for N = 1.49."""
    at = page(SHAPE)
    text = words(at)
    assert "near 0.70 for this index" in text
    assert "near 0.16" in text
    assert "at **+0.15**" in text
    at.radio(key="shape_medium").set_value("air").run()
    assert not at.exception
    assert "at **+0.69**" in words(at)


@pytest.mark.parametrize(("X", "medium"), [(0.55, "the eye's medium"), (1.0, "air"), (-1.0, "air")])
def test_shape_by_page_command_and_python(X, medium):
    at = page(SHAPE)
    at.radio(key="shape_medium").set_value(medium)
    at.slider(key="show_shape_factor").set_value(X).run()
    assert not at.exception
    best, _ = by_python(at)
    cut, image = by_command(at)
    text = words(at)
    assert f"**{1000 * image['rms_spot_best_focus_mm']:.2f} µm** (RMS radius)" in text
    assert f"at **{best.shape_factor:+.2f}**" in text
    assert any(f"{image['zernike_4_0_um']:.5f}" in latex.value for latex in at.latex)
    R = cut["front_radius_mm"]
    assert ("radii plano" if R == "plano" else f"radii {R:.1f}".replace("-", "−")) in text


@pytest.mark.parametrize(
    ("field", "value", "told"),
    [
        ("pupil_diameter_mm", 7.0, "the lens is only 6 mm wide"),
        ("shape_power_D", -20.0, "must be above 0 here"),
        ("center_thickness_mm", 0.2, "thicken the centre"),
        ("n_lens", 1.336, "Index of the lens = 1.336 is the medium's own"),
        ("shape_power_D", 4000.0, "must be -300 to 1000 D"),
        ("shape_power_D", 90.0, ""),
    ],
)
def test_what_cannot_be_bent_is_told_in_one_line(field, value, told):
    at = page(SHAPE)
    at.number_input(key=field).set_value(value).run()
    assert not at.exception
    assert len(at.error) == 1
    assert told in at.error[0].value
    assert "In short" not in words(at)
