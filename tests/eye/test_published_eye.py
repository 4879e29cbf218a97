"""The published eyes are what they say they are."""

import pytest

from lenscalc.errors import UnknownNameError
from lenscalc.eye import light_path_of, published_eye, published_eyes

EYES = tuple(published_eyes().values())


@pytest.mark.parametrize("eye", EYES, ids=lambda e: e.key)
def test_an_eye_names_its_source_and_how_it_was_seen(eye):
    assert eye.seen in ("read", "quoted", "memory")
    assert eye.seen in eye.source
    assert eye.name


# each is published as emmetropic or within this of it: Gullstrand–Emsley and the simplified eye round their length
@pytest.mark.parametrize("eye", EYES, ids=lambda e: e.key)
def test_an_eye_with_its_own_lens_is_emmetropic(eye):
    assert light_path_of(eye.planes()).refraction_D == pytest.approx(0.0, abs=0.02)


@pytest.mark.parametrize("eye", EYES, ids=lambda e: e.key)
def test_the_parts_fit_into_the_length(eye):
    assert sum(p.distance_mm for p in eye.planes()) == pytest.approx(eye.axial_length_mm, rel=1e-12, abs=0.0)
    assert all(p.distance_mm >= 0 for p in eye.planes())


def test_an_unknown_eye_is_told_with_the_nearest():
    with pytest.raises(UnknownNameError, match="did you mean le_grand_full"):
        published_eye("le_grand_ful")
