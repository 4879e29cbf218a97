"""What an error of the light's wavelength does to an index that was read: one error for specimen, references and prism at a line.

Under light of λ + δ the border stands where it would for n(λ + δ), and the scale reads it with the prism's index at λ: shown is n + (n′ − s·N′)·δ, n′
the slope of what is read, N′ the prism's [1/nm], s = ∂n/∂N at the same border (n/N where the angle is measured inside). A reference read under the
same light puts its own n_r′ − s_r·N′ into the offset that is taken off: n′ − n_r′ − (s − s_r)·N′ is left. So water spares a polymer most of the
error, a dense flint that disperses more than twice as much makes it larger than the specimen's own share n′.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from lenscalc.conditions import LINES_NM, SAME_LINE_NM
from lenscalc.errors import InputError, SheetError
from lenscalc.material import Dispersion, by_abbe_number, water_index
from lenscalc.refractometer.scale import index_at_line
from lenscalc.refractometer.sheet_calibration import ReferenceReading
from lenscalc.refractometer.sheet_readings import Reading
from lenscalc.uncertainty import Estimate, Source, combine, errors_only

DARK = errors_only({})  # a line without error


def light_at(readings: Sequence[Reading], wavelength_nm: float) -> Estimate:
    """The error of the light [nm] under which the specimen was read at a line, the widest that its lists state; references at the line share it."""
    here = sorted((abs(r.wavelength_nm - wavelength_nm), r.wavelength_nm, r.u_wavelength_nm) for r in readings)
    u = max((u for away, _, u in here if away <= SAME_LINE_NM), default=0.0)
    return errors_only({Source(f"wavelength of the light at {here[0][1]:g} nm", "instrument"): u}) if u else DARK


def slope_by_abbe(n: float, wavelength_nm: float, abbe_d: float) -> float:
    """dn/dλ [1/nm] at a line, from the index there and the Abbe number, by the two-parameter Cauchy form.

    >>> f"{slope_by_abbe(1.490595, 587.5618, 58.0):.2e}"
    '-4.37e-05'
    """
    n_d = float(by_abbe_number(n, wavelength_nm, abbe_d, LINES_NM["d"]).n)
    return float(Dispersion.from_abbe(n_d, abbe_d).slope_per_nm(wavelength_nm))


def slope_of_reference(reference: ReferenceReading, n: float) -> float:
    """dn/dλ [1/nm] of a reference: water's own, a certified piece's by its Abbe number; 0 where it is not known (sucrose, a piece without one)."""
    nm, degC = reference.reading.wavelength_nm, reference.reading.temperature_degC
    if reference.kind == "water":
        return float(water_index(nm + 0.5, degC) - water_index(nm - 0.5, degC))
    if "abbe_d" not in reference.about:
        return 0.0
    try:
        return slope_by_abbe(n, nm, reference.about["abbe_d"])
    except InputError as error:
        raise SheetError(f"[calibration] reference {reference.name}: {error}") from None


def slope_through_prism(n: float, wavelength_nm: float, instrument: dict[str, Any]) -> float:
    """−s·N′ [1/nm], what the prism of a scale by the critical angle adds to the slope; 0 where the sheet does not give its index at two lines.

    >>> prism = [{"wavelength_nm": 589.3, "n_prism": 1.75}, {"wavelength_nm": 546.1, "n_prism": 1.7559}]
    >>> f"{slope_through_prism(1.49, 589.3, {'kind': 'prism contact', 'prism': prism, 'angle_measured_inside': True}):.1e}"
    '1.0e-04'
    """
    if not knows_prism(instrument):
        return 0.0
    try:
        glass = Dispersion.fit([p["wavelength_nm"] for p in instrument["prism"]], [p["n_prism"] for p in instrument["prism"]])
        N, h = float(glass.n(wavelength_nm)), 1e-30  # a complex step: the derivative to its last digits
        moved = index_at_line(n, n_prism_scale=N, n_prism_line=complex(N, h), apex_deg=instrument.get("prism_apex_deg"))
        return -float(moved.imag) / h * float(glass.slope_per_nm(wavelength_nm))
    except InputError as error:
        raise SheetError(f"[[instrument.prism]] {error}") from None


def knows_prism(instrument: dict[str, Any]) -> bool:
    """Whether the sheet gives a contact prism's dispersion, and how its border is measured."""
    measured = "prism_apex_deg" in instrument or bool(instrument.get("angle_measured_inside"))
    return instrument["kind"] == "prism contact" and len(instrument["prism"]) > 1 and measured


def through_prism(n: Estimate, wavelength_nm: float, instrument: dict[str, Any], light: Estimate) -> Estimate:
    """An index as shown, with what the light's error does to it in the prism."""
    return combine(n.value, [(1.0, n), (slope_through_prism(float(n.value), wavelength_nm, instrument), light)]) if light.parts else n


def told_of_light(instrument: dict[str, Any], references: Sequence[ReferenceReading], light: Estimate) -> tuple[str, ...]:
    """What an error of the light may do that is not in the budget."""
    if not light.parts:
        return ()
    unknown = [r.name for r in references if r.kind == "certified" and "abbe_d" not in r.about]
    if unknown:
        return (
            f"the light's error is taken without the dispersion of {', '.join(unknown)}: too little where the piece disperses more than twice "
            "the specimen; give its abbe_d under [[calibration.reference]]",
        )
    if not references and instrument["kind"] != "minimum deviation" and not knows_prism(instrument):
        return (
            "the light's error is taken without the dispersion of the instrument's own glass, which may be larger than the specimen's: read a "
            "reference under this light" + (", or give [[instrument.prism]] at two lines" if instrument["kind"] == "prism contact" else ""),
        )
    return ()
