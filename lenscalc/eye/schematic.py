"""A schematic eye for teaching: one refracting surface, one medium, the implant at a plane."""

from __future__ import annotations

from typing import NamedTuple


class SchematicEye(NamedTuple):
    """Corneal power [D], length [mm], depth of the implant plane behind the cornea [mm], medium, vertex distance [mm].

    The cornea is one thin surface; the implant's principal planes are taken together at its plane, which is held where it is when the
    power changes. Round numbers in the middle of what texts print; nobody's eye.
    """

    corneal_power_D: float = 43.08
    axial_length_mm: float = 23.5
    implant_depth_mm: float = 5.0
    n_medium: float = 1.336
    vertex_distance_mm: float = 12.0


TEACHING_EYE = SchematicEye()


def in_words(eye: SchematicEye) -> str:
    """The eye in one sentence, for print beside every result of it.

    >>> in_words(TEACHING_EYE)
    'schematic eye: thin cornea 43.08 D, length 23.5 mm, implant plane held at 5 mm, medium 1.336, spectacles at 12 mm'
    """
    return (
        f"schematic eye: thin cornea {eye.corneal_power_D:g} D, length {eye.axial_length_mm:g} mm, implant plane held at "
        f"{eye.implant_depth_mm:g} mm, medium {eye.n_medium:g}, spectacles at {eye.vertex_distance_mm:g} mm"
    )
