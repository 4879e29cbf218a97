"""Planes of an eye by hand, and what stands exactly at the iris."""

import pytest

from lenscalc.eye import image_size_mm_per_radian, light_way, published_eye, thin_implanted


def test_the_front_of_a_gradient_lens_by_hand():
    """Liou and Brennan 1997 (surfaces and gradient from memory, as the eye's file says): 1000·(1.368 − 1.336)/12.40 = 2.5806 D."""
    front = next(p for p in published_eye("liou_brennan").planes() if p.name == "front of the lens")
    assert front.power_D == pytest.approx(1000.0 * (1.368 - 1.336) / 12.40, rel=1e-12, abs=0.0)


def test_an_implant_at_the_iris_does_not_stand_before_it():
    eye = published_eye("le_grand_full")
    at_iris = thin_implanted(eye, 20.0)._replace(depth_mm=eye.lens_depth_mm)
    # a thin lens at the stop images by the nodal distance alone: longer than the 17.2 mm of the usual place behind it
    assert 17.2 < image_size_mm_per_radian(eye, at_iris) < 18.5


def test_an_implant_in_other_media_than_its_labels_by_hand():
    """20 D in 1.336 has radii of 2000·(1.49 − 1.336)/20 mm; between the eye's media m and m′ it has 1000·(2·1.49 − m − m′) over them."""
    eye = published_eye("le_grand_full")
    implant = light_way(20.0, 20.0, eye="le_grand_full").steps[-1]
    media = eye.n_aqueous + eye.lens[-1].n_behind
    assert media != 2 * 1.336
    assert implant.behind_D - implant.before_D == pytest.approx(20.0 * (2 * 1.49 - media) / (2 * (1.49 - 1.336)), rel=1e-12, abs=0.0)
