"""Columns that do not go together are named, whichever function takes them; so is what is no number."""

import numpy as np
import pytest

from lenscalc import InputError, recut
from lenscalc.lens import (
    Condition,
    center_thickness_for_edge_mm,
    edge_thickness_mm,
    image_with_moved_index,
    in_another_condition,
    power_from_back_focal_length,
    power_from_magnification,
    volume_mm3,
)
from lenscalc.lens.toric import meridional_sag_mm, toric_edge_thickness_mm

TWO, THREE = [15.0, 16.0], [0.9, 1.0, 1.1]
TERMS = {"front_aspheric": {4: [1e-4, 1e-4, 1e-4], 6: 1e-6}}
BENCH = {"front_radius_mm": 15.0, "center_thickness_mm": 0.9, "n_lens": 1.49, "n_medium": 1.0}


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        (lambda: edge_thickness_mm(TWO, -15.0, THREE, 6.0), "front_radius_mm (2,), center_thickness_mm (3,)"),
        (lambda: toric_edge_thickness_mm(15.0, -15.0, THREE, 6.0, back_radius_across_mm=TWO), "center_thickness_mm (3,), back_radius_across_mm (2,)"),
        (lambda: meridional_sag_mm(TWO, THREE, 3.0, meridian_deg=0.0), "radius_along_mm (2,), radius_across_mm (3,)"),
        (lambda: image_with_moved_index(15.0, back_radius_mm=-15.0, center_thickness_mm=0.9, n_lens=[1.48, 1.49], index_error=[0.0, 0.001, 0.002],
                                        pupil_diameter_mm=3.0), "n_lens (2,), index_error (3,)"),
        (lambda: in_another_condition(TWO, measured=Condition(15.0, -15.0, THREE, 1.49, 1.0), wanted=Condition(15.0, -15.0, 0.9, 1.49, 1.336)),
         "power (2,), measured_center_thickness_mm (3,)"),
        (lambda: power_from_back_focal_length(TWO, best_focus_shift_mm=THREE, focus_criterion="marginal", **BENCH),
         "best_focus_mm (2,), best_focus_shift_mm (3,)"),
        (lambda: power_from_magnification(TWO, target_height_mm=THREE, collimator_focal_length_mm=100.0), "image (2,), target (3,)"),
    ],
)  # fmt: skip
def test_columns_that_do_not_go_together_are_named(wrong, told):
    with pytest.raises(InputError) as error:
        wrong()
    assert str(error.value) == f"columns of different lengths cannot be combined: {told}"


@pytest.mark.parametrize(
    "of",
    [
        lambda R: volume_mm3(R, -15.0, 0.9, 6.0, **TERMS),
        lambda R: center_thickness_for_edge_mm(R, -15.0, 0.3, 6.0, **TERMS),
        lambda R: recut(R, 1.49, center_thickness_mm=0.9, optic_diameter_mm=6.0, **TERMS),
    ],
)
def test_terms_of_more_lenses_than_there_are_are_named(of):
    with pytest.raises(InputError) as error:
        of(TWO)
    assert str(error.value) == "aspheric terms of power 4 (3,), of power 6 (): must be numbers, or columns that go with the lenses (2,)"


def test_what_is_no_number_is_named():
    with pytest.raises(InputError, match=r"^center_thickness_mm = 'thick' is not a number: must be 0 to 100 mm$"):
        edge_thickness_mm(15.0, -15.0, "thick", 6.0)
    assert edge_thickness_mm(15.0, "plano", 0.9, 6.0) == edge_thickness_mm(15.0, np.inf, 0.9, 6.0)


@pytest.mark.parametrize(("best", "shift"), [(0.0, -0.3), (-0.3, -0.3), (np.inf, -0.3), (65.0, np.nan), ([65.0, 0.0], 0.1), ([65.0, 0.1], 0.1)])
def test_a_focus_at_the_vertex_is_none(best, shift):
    with pytest.raises(InputError) as error:
        power_from_back_focal_length(best, best_focus_shift_mm=shift, focus_criterion="marginal", **BENCH)
    told = "best_focus_mm and best_focus_shift_mm must be finite numbers, and the best and the paraxial focus not at the vertex itself"
    assert str(error.value) == told
