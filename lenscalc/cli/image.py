"""`lenscalc image`: a lens in a beam, by exact rays."""

from __future__ import annotations

from typing import Any, Literal

import click
import numpy as np

from lenscalc.chain import lens_in_words
from lenscalc.cli.options import json_option, quantity_option, quantity_options
from lenscalc.cli.show import heading, line, paragraph, show_end, show_json, value_line
from lenscalc.conditions import N_MEDIUM_IN_USE, WAVELENGTH_IN_USE_NM
from lenscalc.lens import MovedIndex, Reflection, conic_for_exact_aberration, image_with_moved_index, reflection
from lenscalc.lens.image_quality import CRITERION_MTF, MODEL_EYE_VERGENCE_D, criterion_applies, image_quality
from lenscalc.quantities import quantity, remark
from lenscalc.uncertainty.rounding import fixed

FOCUS = "at the least RMS spot"
AFTER = ("zernike_4_0_after_um", "mtf_after", "mtf_in_old_plane", "focus_moved_mm")


@click.command()
@quantity_options("front_radius_mm", "back_radius_mm", "center_thickness_mm", "n_lens", required=True)
@quantity_option("n_medium", default=N_MEDIUM_IN_USE)
@quantity_option("n_medium_behind")
@quantity_option("front_conic", default=0.0)
@quantity_option("back_conic", default=0.0)
@quantity_option("pupil_diameter_mm", default=3.0)
@quantity_option("wavelength_nm", default=WAVELENGTH_IN_USE_NM)
@quantity_option("frequency_per_mm", default=100.0)
@quantity_option("vergence_D", default=0.0)
@click.option("--model-eye", is_flag=True, help=f"The beam of a model eye with an aberration-free cornea: --vergence-D {MODEL_EYE_VERGENCE_D:.2f}.")
@click.option("--null-aberration", "nulled", type=click.Choice(["front", "back"]), help="Find the conic constant of this surface that nulls (4,0).")
@quantity_option("index_error")
@json_option
def image(as_json: bool, model_eye: bool, nulled: Any, index_error: float | None, **given: Any) -> None:
    """Spherical aberration, best focus, wavefront and MTF of a lens, by exact rays in the beam that is named beside the result.

    Without --vergence-D or --model-eye a collimated beam falls onto the bare lens. The indices must be those at the wavelength.
    With --null-aberration the conic constant of one surface is found that nulls the spherical aberration in this beam; with --index-error the same
    lens is looked at again with its index moved.

    \b
    Example:
      lenscalc image --front-radius-mm 15 --back-radius-mm -15 --center-thickness-mm 0.9 --n-lens 1.49
      lenscalc image --front-radius-mm 15 --back-radius-mm -15 --center-thickness-mm 0.9 --n-lens 1.49 --front-conic -6 --model-eye
      lenscalc image --front-radius-mm 15 --back-radius-mm -15 --center-thickness-mm 0.9 --n-lens 1.49 --null-aberration front --index-error 0.001
    """
    if model_eye:
        if given["vergence_D"] != 0.0:
            raise click.UsageError("give either --model-eye or --vergence-D")
        given["vergence_D"] = MODEL_EYE_VERGENCE_D
    table = {name: value for name, value in given.items() if value is not None}
    if nulled:
        if table[f"{nulled}_conic"] != 0.0:
            raise click.UsageError(f"--null-aberration {nulled} finds --{nulled}-conic: give one of the two")
        table[f"{nulled}_conic"] = _nulling_conic(nulled, table)
    found = image_quality(**table)
    moved = None if index_error is None else image_with_moved_index(index_error=index_error, **table)
    reflected = reflection(table["n_lens"], n_medium=table["n_medium"], n_medium_behind=table.get("n_medium_behind"))
    values = {name: value for name, value in found._asdict().items() if name != "beam"}
    warnings = [text for name, value in table.items() if (text := remark(quantity(name), value))]
    beam = {name: table[name] for name in ("pupil_diameter_mm", "wavelength_nm", "frequency_per_mm", "vergence_D")}
    reaches = found.mtf >= CRITERION_MTF if criterion_applies(**beam) else None
    if as_json:
        criterion = {"imaging_criterion_mtf": CRITERION_MTF, "reaches_imaging_criterion": reaches} if reaches is not None else {}
        after = {} if moved is None else {"index_error": index_error, **{name: getattr(moved, name) for name in AFTER}}
        show_json({**table, **values, **criterion, **reflected._asdict(), **after, "beam": found.beam, "focus": FOCUS}, warnings)
        return
    figured = f", the {nulled} one found to null Zernike (4,0) in this beam" if nulled else ""
    conics = f", conic constants {table['front_conic']:g} / {table['back_conic']:g}{figured}"
    heading(f"Lens: {lens_in_words(table)}{conics}")
    paragraph(f"Beam: {found.beam}, {table['wavelength_nm']:g} nm.")
    for name in ("longitudinal_spherical_aberration_mm", "best_focus_shift_mm", "rms_spot_best_focus_mm"):
        value_line(name, values[name])
    for name in ("zernike_4_0_um", "rms_wavefront_um", "strehl_ratio"):
        value_line(name, values[name])
    heading(f"MTF at {table['frequency_per_mm']:g} line pairs per mm, {FOCUS}")
    line("of this lens", f"{found.mtf:.3f}")
    line("of diffraction alone", f"{found.diffraction_mtf:.3f}")
    line("cut-off", f"{found.cut_off_per_mm:.1f} per mm")
    if reaches is not None:
        paragraph(
            f"The imaging criterion for this beam, MTF {CRITERION_MTF:g} or more (ring test of eight laboratories, 1998), "
            f"{'is reached' if reaches else 'is not reached'} by this design."
        )
    else:
        paragraph("The imaging criterion of the trade holds in the model eye alone (--model-eye, 3 mm, 546.07 nm, 100 per mm) and is not asked here.")
    if moved is not None:
        _show_moved(index_error, moved)
    _show_reflection(reflected)
    show_end(warnings)


def _nulling_conic(surface: Literal["front", "back"], table: dict[str, Any]) -> float:
    lens = {name: value for name, value in table.items() if name not in ("wavelength_nm", "frequency_per_mm", "front_conic", "back_conic")}
    other = table["back_conic" if surface == "front" else "front_conic"]
    return float(conic_for_exact_aberration(**lens, surface=surface, other_conic=other))


def _show_moved(index_error: Any, moved: MovedIndex) -> None:
    heading(f"The same lens with its index moved by {index_error:+g}")
    line("Zernike (4,0)", f"{moved.zernike_4_0_after_um:.6g} µm, before {moved.zernike_4_0_um:.6g} µm")
    line("MTF at its own best focus", f"{moved.mtf_after:.3f}")
    line("MTF in the plane that was best before", f"{moved.mtf_in_old_plane:.3f}")
    line("the best focus has moved by", f"{fixed(moved.focus_moved_mm, 4, '+')} mm")


def _show_reflection(of: Reflection) -> None:
    heading("Reflections of the bare surfaces, at normal incidence")
    line("front and back", f"{100 * of.front_reflectance:.3g} % and {100 * of.back_reflectance:.3g} %")
    line("double reflection (the ghost)", f"{1e6 * of.double_reflectance:.3g} millionths")
    if np.isfinite(of.double_reflectance_growth):
        paragraph(
            "These go with the square of the step of index at a surface, the ghost with its fourth power: with 0.01 more index of the lens the ghost "
            f"is {of.double_reflectance_growth:.2f} times as bright."
        )
