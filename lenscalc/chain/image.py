"""The image of each row, on request: exact rays and diffraction, in the beam that the row names.

The figures are those of `lenscalc image`, digit by digit: lenses are taken many at a time, each as if it were alone.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Any

import numpy as np

from lenscalc.chain.inputs import Inputs
from lenscalc.chain.table import Columns
from lenscalc.conditions import WAVELENGTH_IN_USE_NM
from lenscalc.errors import InputError
from lenscalc.lens.image_quality import MODEL_EYE_VERGENCE_D, lens_system
from lenscalc.light import Beam, best_focus, longitudinal_spherical_aberration_mm, mtf, zernike_coefficients
from lenscalc.light.beam import Pencil
from lenscalc.quantities import FloatArray
from lenscalc.refractometer.raw_reading import is_away

BY_RAYS = ("longitudinal_spherical_aberration_mm", "best_focus_shift_mm", "rms_spot_best_focus_mm", "zernike_4_0_um")
BY_DIFFRACTION = ("mtf", "diffraction_mtf")
IMAGE = (*BY_RAYS, *BY_DIFFRACTION)
TOGETHER = 64  # lenses: enough to share the work, few enough for the rays to stay in the processor's cache
BEAM_VERGENCE_D = {"collimated": 0.0, "model-eye": MODEL_EYE_VERGENCE_D}


def image_of_rows(columns: Columns, given: Inputs, wanted: Sequence[str], on_progress: Callable[[int, int], None] | None) -> dict[str, FloatArray]:
    """What is wanted of `IMAGE`, a column each; nan, with a warning that says why, for a row that has no image.

    Raises
    ------
    InputError
        where the table has no column for the pupil or the beam, or for the MTF no wavelength or frequency: there is no default.
    """
    needed = ["pupil_diameter_mm", *(("wavelength_nm", "frequency_per_mm") if any(name in BY_DIFFRACTION for name in wanted) else ())]
    for name in needed:
        if name not in columns.numbers:
            raise InputError(f"{name} is missing: {' and '.join(wanted)} hold for one {_what(name)}, and there is no default", quantity=name)
    if "beam" not in columns.texts and "vergence_D" not in columns.numbers:
        kinds = " or ".join(BEAM_VERGENCE_D)
        raise InputError(f"beam is missing: {' and '.join(wanted)} hold in one beam; give beam ({kinds}) or vergence_D", quantity="beam")
    lens = {name: columns.number(name) for name in ("front_radius_mm", "back_radius_mm", "center_thickness_mm")}
    lens |= {name: np.broadcast_to(given.of[name].value, columns.size) for name in ("n_lens", "n_medium")}
    behind = columns.number("n_medium_behind")
    lens["n_medium_behind"] = np.where(np.isnan(behind), lens["n_medium"], behind)
    lens |= {name: np.nan_to_num(columns.number(name)) for name in ("front_conic", "back_conic")}
    beam = {name: columns.number(name) for name in needed} | {"vergence_D": _vergence(columns)}
    rows = np.ones(columns.size, dtype=bool)
    rows[list(columns.problems)] = False
    for name, values in beam.items():
        columns.warn(rows & np.isnan(values), f"no image: {'beam' if name == 'vergence_D' else name} is missing")
        rows &= ~np.isnan(values)
    wide = rows & (beam["pupil_diameter_mm"] > columns.number("optic_diameter_mm"))
    columns.warn(wide, "no image: pupil_diameter_mm is wider than optic_diameter_mm")
    rows &= ~wide
    if "wavelength_nm" in beam:
        columns.warn(
            rows & is_away(beam["wavelength_nm"]),
            f"the image is taken with the indices at {WAVELENGTH_IN_USE_NM} nm; at wavelength_nm they are others",
        )
    out = {name: np.full(columns.size, np.nan) for name in wanted}
    good = np.flatnonzero(rows)
    for first in range(0, len(good), TOGETHER):
        for some, found in _images(good[first : first + TOGETHER], lens, beam, wanted):
            if isinstance(found, InputError):
                columns.warnings.setdefault(int(some.item()), []).append(f"no image: {found}")
                continue
            for name in wanted:
                out[name][some] = found[name]
                lacks = np.zeros(columns.size, dtype=bool)
                lacks[some] = ~np.isfinite(found[name])
                columns.warn(lacks, f"no image: {name} is not a finite number for this lens")  # none is known; never in silence
        if on_progress:
            on_progress(int(good[min(first + TOGETHER, len(good)) - 1]) + 1, columns.size)
    return out


def _what(name: str) -> str:
    return {"pupil_diameter_mm": "pupil", "wavelength_nm": "wavelength", "frequency_per_mm": "frequency"}[name]


def _vergence(columns: Columns) -> FloatArray:
    """Of the named beam, or as it is told; nan where neither is."""
    named, told = columns.text("beam"), columns.number("vergence_D")
    columns.refuse((named != "") & ~np.isnan(told), "both beam and vergence_D are given: one of the two says how the light falls onto the lens")
    for name, vergence in BEAM_VERGENCE_D.items():
        told = np.where(named == name, vergence, told)
    return told


def _images(
    rows: Any, lens: dict[str, FloatArray], beam: dict[str, FloatArray], wanted: Sequence[str]
) -> Iterator[tuple[Any, dict[str, Any] | InputError]]:
    """Rows and their images; where one of several has none they are halved until it is found, and it comes with the reason."""
    try:
        # a row alone is a number, so that its sentence is that of a single lens
        at = int(rows.item()) if len(rows) == 1 else rows
        yield rows, _image({name: values[at] for name, values in lens.items()}, {name: values[at] for name, values in beam.items()}, wanted)
    except InputError as error:
        if len(rows) == 1:
            yield rows, error
            return
        for half in (rows[: len(rows) // 2], rows[len(rows) // 2 :]):
            yield from _images(half, lens, beam, wanted)


def _image(lens: dict[str, Any], given: dict[str, Any], wanted: Sequence[str]) -> dict[str, Any]:
    system = lens_system(**lens)
    beam = Beam(given["pupil_diameter_mm"], given["vergence_D"])
    Pencil(system, beam).real_image()
    found: dict[str, Any] = {}
    if BY_RAYS[0] in wanted:
        found[BY_RAYS[0]] = longitudinal_spherical_aberration_mm(system, beam)
    if BY_RAYS[1] in wanted or BY_RAYS[2] in wanted:
        focus = best_focus(system, beam)
        found |= {BY_RAYS[1]: focus.shift_mm, BY_RAYS[2]: focus.rms_spot_mm}
    if BY_RAYS[3] in wanted:
        found[BY_RAYS[3]] = zernike_coefficients(system, beam).zernike_4_0_um
    if any(name in BY_DIFFRACTION for name in wanted):
        image = _mtf(system, beam, given)
        found |= {"mtf": image[0], "diffraction_mtf": image[1]}
    return found


def _mtf(system: Any, beam: Beam, given: dict[str, Any]) -> tuple[Any, Any]:
    """Each row has its own frequency, which the MTF takes as one for all lenses: rows of one frequency together."""
    frequency = np.atleast_1d(given["frequency_per_mm"])
    if np.all(frequency == frequency[0]):
        image = mtf(system, beam, frequency_per_mm=float(frequency[0]), wavelength_nm=given["wavelength_nm"])
        return image.mtf, image.diffraction_mtf
    whole = Pencil(system, beam)
    out = np.full((2, frequency.size), np.nan)
    for one in np.unique(frequency):
        rows = np.flatnonzero(frequency == one)
        part = whole.some(rows)
        image = mtf(part.system, part.beam, frequency_per_mm=float(one), wavelength_nm=given["wavelength_nm"][rows])
        out[:, rows] = image.mtf, image.diffraction_mtf
    return out[0], out[1]
