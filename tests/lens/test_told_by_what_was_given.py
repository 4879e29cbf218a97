"""What a lens is refused for is told by what was given, and in the row where it was given."""

import pytest

from lenscalc import evaluate, recut
from lenscalc.errors import InputError
from lenscalc.lens import center_thickness_for_edge_mm, index_from_power, least_aberration_shape, power_from_back_focal_length, volume_mm3


def test_a_weak_lens_in_converging_light_is_told_by_its_power():
    """p = −1 − 2L/F is −96001 at 48 D onto 1 mD, and the thin lens's X = −2p(N² − 1)/(N + 2) is 15,000: nobody typed that, nor a row six of two."""
    beam = {"center_thickness_mm": 0.5, "pupil_diameter_mm": 2.0, "vergence_D": 48.0}
    with pytest.raises(InputError, match=r"^row 2: power_D = 0\.001 D: the bending") as caught:
        least_aberration_shape([1.0, 1e-3], 1.49, **beam)
    assert (caught.value.row, caught.value.value) == (2, 1e-3)
    with pytest.raises(InputError, match=r"^power_D = 0\.001 D: the bending"):
        least_aberration_shape(1e-3, 1.49, **beam)


def test_a_paraxial_focus_at_the_vertex_gives_no_power():
    """1 mm less a shift of 1 mm is 0, and a power would be infinite."""
    with pytest.raises(InputError, match="the best and the paraxial focus not at the vertex itself"):
        power_from_back_focal_length(
            1.0, best_focus_shift_mm=1.0, focus_criterion="least rms spot", front_radius_mm=15.0, center_thickness_mm=0.9, n_lens=1.49, n_medium=1.0,
        )  # fmt: skip


ROW = {"front_radius_mm": 15.0, "back_radius_mm": -15.0, "center_thickness_mm": 0.9}
REFUSED = {
    "a power out of reach": (lambda x: recut(x, 1.49, center_thickness_mm=5.0), 20.0, 300.0),
    "a bending": (lambda x: least_aberration_shape(x, 1.49, center_thickness_mm=0.5, pupil_diameter_mm=2.0, vergence_D=48.0), 20.0, 1e-3),
    "no centre left": (lambda x: center_thickness_for_edge_mm(-15.0, 15.0, x, 6.0), 1.0, 0.1),
    "an optic too wide": (lambda x: center_thickness_for_edge_mm(x, -15.0, 0.3, 6.0), 15.0, 2.0),
    "no edge left": (lambda x: volume_mm3(x, -15.0, 0.9, 6.0), 15.0, 5.0),
    "no index": (lambda x: index_from_power(x, **ROW), 20.0, -60.0),  # of air it has −0.336·1000·2/15 = −44.8 D
    "an index of a table": (lambda x: evaluate({**ROW, "n_lens": x}, strict=True), 1.49, 14.9),
}


@pytest.mark.parametrize("name", REFUSED)
def test_a_row_has_a_number_where_there_are_several(name):
    of, good, bad = REFUSED[name]
    with pytest.raises(InputError, match=r"^row 2: ") as caught:
        of([good, bad])
    assert caught.value.row == 2
    with pytest.raises(InputError, match=r"^(?!row)") as caught:
        of(bad)
    assert caught.value.row is None
