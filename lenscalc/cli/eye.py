"""`lenscalc eye`: what the refraction makes of a change."""

from __future__ import annotations

from typing import Any

import click

from lenscalc.cli.options import json_option, quantity_option, quantity_options
from lenscalc.cli.show import heading, paragraph, show_end, show_json, value_line
from lenscalc.conditions import N_MEDIUM_IN_USE
from lenscalc.errors import InputError
from lenscalc.eye import TEACHING_EYE, in_words, refraction
from lenscalc.quantities import complaint, quantity


@click.command()
@quantity_option("labelled_power_D", required=True)
@quantity_options("power_D", "u_power_D", "n_lens")
@click.option("--index-change", type=float, help="change of the index of the lens instead of --power-D; needs --n-lens")
@json_option
def eye(as_json: bool, labelled_power_D: float, index_change: float | None, **given: Any) -> None:
    """The change of refraction at the spectacle plane when an implant has this power instead of the labelled one.

    In a schematic eye, for teaching and for judging an error; never for a person. A stronger implant makes the refraction more negative.

    \b
    Example:
      lenscalc eye --labelled-power-D 20.5 --power-D 20.42 --u-power-D 0.06
      lenscalc eye --labelled-power-D 20.5 --n-lens 1.49 --index-change 0.001
    """
    warnings = []
    if (given["power_D"] is None) == (index_change is None):
        raise click.UsageError("give either --power-D or --index-change")
    if index_change is not None:
        if given["n_lens"] is None:
            raise click.UsageError("--n-lens is missing beside --index-change: the same change moves a low index more than a high one")
        if not abs(index_change) <= 0.1:
            raise InputError(f"index_change = {index_change:g}: must be -0.1 to 0.1; an error of an index, not an index")
        if given["n_lens"] == N_MEDIUM_IN_USE:
            raise InputError(f"n_lens = {given['n_lens']:g} is the medium's own: such a lens has no power")
        given["power_D"] = labelled_power_D * (1.0 + index_change / (given["n_lens"] - N_MEDIUM_IN_USE))
        warnings.append("power from the index change by the thin-lens rule F·Δn/(n − 1.336)")
    elif given["n_lens"] is not None:
        raise click.UsageError("--n-lens goes with --index-change, not with --power-D")
    wrong = complaint(quantity("power_D"), given["power_D"])
    if wrong:
        raise InputError(wrong)
    seen, wanted = refraction(given["power_D"]), refraction(labelled_power_D)
    slope = seen.d_refraction_d_power
    values: dict[str, Any] = {
        "labelled_power_D": labelled_power_D,
        "power_D": given["power_D"],
        "refraction_shift_D": seen.refraction_D - wanted.refraction_D,
    }
    if given["u_power_D"] is not None:
        values["u_refraction_shift_D"] = abs(slope) * given["u_power_D"]
    if as_json:
        show_json({**values, "d_refraction_d_power": slope, "eye": in_words(TEACHING_EYE)}, warnings)
        return
    heading(f"Power {given['power_D']:.6g} D instead of the labelled {labelled_power_D:g} D")
    value_line("refraction_shift_D", values["refraction_shift_D"], values.get("u_refraction_shift_D"))
    paragraph(f"{slope:+.3f} D of refraction per dioptre of the implant, here; {in_words(TEACHING_EYE)}.")
    show_end(warnings)
