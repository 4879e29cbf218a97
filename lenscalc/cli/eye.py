"""`lenscalc eye`: what the refraction makes of a change."""

from __future__ import annotations

from typing import Any

import click

from lenscalc.cli.eye_sections import Section, chromatic_asked, chromatic_section, light_path_section, proportion_section
from lenscalc.cli.options import json_option, quantity_option, quantity_options, reader_of
from lenscalc.cli.show import heading, paragraph, show_end, show_json, value_line
from lenscalc.conditions import N_MEDIUM_IN_USE
from lenscalc.errors import InputError
from lenscalc.eye import in_proportion, schematic_eyes, what_if
from lenscalc.quantities import complaint, quantity
from lenscalc.uncertainty.rounding import at_most, fixed


@click.command()
@quantity_option("labelled_power_D", required=True)
@quantity_options("power_D", "u_power_D", "n_lens", "u_n_lens")
@click.option("--index-change", type=float, help="change of the index of the lens instead of --power-D; needs --n-lens")
@click.option("--position-shift-mm", type=float, default=0.0, help="implant deeper than it was meant to be [-2 to 2 mm]")
@click.option("--schematic-eye", default="teaching", metavar="NAME", help=f"schematic eye [{', '.join(schematic_eyes())}]")
@click.option("--light-path", is_flag=True, help="the way of light from far away, plane by plane, and what the change makes of its vergences")
@click.option("--in-proportion", "proportion", is_flag=True, help="what else scatters the refraction after surgery, by published figures")
@quantity_option("abbe_d")
@click.option(
    "--other-abbe-d", type=reader_of("abbe_d", called="other_abbe_d"), metavar="NUMBER",
    help="Abbe number of another polymer of the same index: the change of the chromatic span",
)  # fmt: skip
@json_option
def eye(
    as_json: bool, labelled_power_D: float, index_change: float | None, position_shift_mm: float, schematic_eye: str, light_path: bool,
    proportion: bool, abbe_d: float | None, other_abbe_d: float | None, **given: Any,
) -> None:  # fmt: skip
    """The change of refraction at the spectacle plane when an implant has this power instead of the labelled one.

    In a schematic eye, for teaching and for judging an error; never for a person. A stronger implant makes the refraction more negative, a deeper
    one more positive.

    \b
    Example:
      lenscalc eye --labelled-power-D 20.5 --power-D 20.42 --u-power-D 0.06
      lenscalc eye --labelled-power-D 20.5 --n-lens 1.49 --index-change 0.001
      lenscalc eye --labelled-power-D 20.5 --position-shift-mm 0.2 --schematic-eye le_grand_full --light-path
      lenscalc eye --labelled-power-D 20.5 --n-lens 1.49 --abbe-d 58 --other-abbe-d 40 --schematic-eye le_grand_full
    """
    warnings = []
    colours = chromatic_asked(abbe_d, other_abbe_d, given["n_lens"], schematic_eye)
    nothing = given["power_D"] is None and index_change is None and not position_shift_mm and not colours
    if (given["power_D"] is not None and index_change is not None) or nothing:
        raise click.UsageError("give either --power-D or --index-change, or a --position-shift-mm alone")
    if index_change is not None:
        if given["n_lens"] is None:
            raise click.UsageError("--n-lens is missing beside --index-change: the same change moves a low index more than a high one")
        if not abs(index_change) <= 0.1:
            raise InputError(f"index_change = {index_change:g}: must be -0.1 to 0.1; an error of an index, not an index")
    elif given["n_lens"] is not None and given["u_n_lens"] is None and not colours:
        raise click.UsageError("--n-lens goes with --index-change or --u-n-lens, not with --power-D alone")
    if given["u_n_lens"] is not None and given["n_lens"] is None:
        raise click.UsageError("--n-lens is missing beside --u-n-lens: the same change moves a low index more than a high one")
    if given["u_n_lens"] is not None and given["u_power_D"] is not None:
        raise click.UsageError("give --u-power-D or --u-n-lens: the uncertainty of the power holds that of the index")
    per_index = None  # dioptres of the implant per unit of index
    if given["n_lens"] is not None:
        if given["n_lens"] == N_MEDIUM_IN_USE:
            raise InputError(f"n_lens = {given['n_lens']:g} is the medium's own: such a lens has no power")
        per_index = labelled_power_D / (given["n_lens"] - N_MEDIUM_IN_USE)
        if index_change is not None or given["u_n_lens"] is not None:
            warnings.append("power from the index change by the thin-lens rule F·Δn/(n − 1.336)")
    if given["power_D"] is None:
        given["power_D"] = labelled_power_D + (per_index * index_change if per_index is not None and index_change is not None else 0.0)
    wrong = complaint(quantity("power_D"), given["power_D"])
    if wrong:
        raise InputError(wrong)
    named = {} if given["n_lens"] is None else {"n_lens": given["n_lens"]}
    found = what_if(labelled_power_D, given["power_D"], eye=schematic_eye, position_shift_mm=position_shift_mm, **named)
    slope = found.d_refraction_d_power
    values: dict[str, Any] = {"labelled_power_D": labelled_power_D, "power_D": given["power_D"], "refraction_shift_D": found.refraction_shift_D}
    u2 = [slope * slope * given["u_power_D"] ** 2] if given["u_power_D"] is not None else []
    if given["u_n_lens"] is not None and per_index is not None:
        u2.append((slope * per_index * given["u_n_lens"]) ** 2)
    if u2:
        values["u_refraction_shift_D"] = sum(u2) ** 0.5
    more: dict[str, Any] = {
        "d_refraction_d_power": slope,
        "d_refraction_d_position_mm": found.d_refraction_d_position_mm,
        "d_refraction_d_length_mm": found.d_refraction_d_length_mm,
        "eye": found.eye,
    }
    sentences = [
        f"{fixed(slope, 3, '+')} D of refraction per dioptre of the implant, {fixed(0.1 * found.d_refraction_d_position_mm, 3, '+')} D per 0.1 mm "
        "that it stands deeper, "
        f"{fixed(0.1 * found.d_refraction_d_length_mm, 3, '+')} D per 0.1 mm that the eye is longer, here; {found.eye}."
    ]
    bias = 0.0
    if per_index:
        by_index = slope * per_index
        more["d_refraction_d_n_lens"], more["u_n_lens_for_quarter_dioptre"] = by_index, 0.125 / abs(by_index)
        sentences.append(
            f"{fixed(0.001 * by_index, 3, '+')} D of refraction per 0.001 of the index. That 0.25 D is not its fault (two standard "
            f"uncertainties), the index must be known with u {at_most(0.125 / abs(by_index))} or better."
        )
        bias = slope * per_index * (index_change or 0.0)
        if index_change and not proportion:
            sentences.append(in_proportion(lot_bias_D=bias).sentence)
    sections: list[Section] = []
    if light_path:
        sections.append(light_path_section(labelled_power_D, given["power_D"], schematic_eye, position_shift_mm, named))
    if proportion:
        sections.append(proportion_section(bias))
    if colours:
        sections.append(chromatic_section(labelled_power_D, *colours, schematic_eye))
    if as_json:
        show_json({**values, **more, **{key: value for section in sections for key, value in section.values.items()}}, warnings)
        return
    moved = f", {position_shift_mm:g} mm deeper" if position_shift_mm > 0 else f", {-position_shift_mm:g} mm shallower" if position_shift_mm else ""
    against = "as labelled" if given["power_D"] == labelled_power_D else f"instead of the labelled {labelled_power_D:g} D"
    heading(f"Power {given['power_D']:.6g} D {against}{moved}")
    value_line("refraction_shift_D", values["refraction_shift_D"], values.get("u_refraction_shift_D"))
    for sentence in sentences:
        paragraph(sentence)
    for section in sections:
        section.show()
    show_end(warnings)
