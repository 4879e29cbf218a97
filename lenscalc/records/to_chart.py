"""A store's dated values as the series of a control chart: every point is called by its lot and its record, and found again by the record's hash."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from lenscalc.conditions import SAME_LINE_NM
from lenscalc.control import Series, series
from lenscalc.errors import InputError, UnknownNameError
from lenscalc.records.record import SHORT
from lenscalc.records.series import SeriesPoint

if TYPE_CHECKING:
    from lenscalc.records.store import Store


def material_series(store: Store, material: str, *, lot: str | None = None, instrument: str | None = None, replicates: bool = False) -> Series:
    """The index in use of a material, record by record; superseded records are left out.

    `replicates`: the single readings as groups, for a chart of group means.

    Raises
    ------
    InputError
        where the store has nothing of it, with the nearest name that it has.
    """
    points = store.index_series(material=material, lot=lot, instrument=instrument)
    if not points:
        _refuse_unknown(material, store.materials(), "material")
        others = " and ".join(text for text in (lot and f"lot {lot}", instrument and f"instrument {instrument}") if text)
        raise InputError(f"no record of {material} is of {others}; `lenscalc records list --material` shows its lots", quantity="lot")
    return series_of(points, replicates=replicates)


def water_series(store: Store, instrument: str, *, wavelength_nm: float | None = None, replicates: bool = False) -> Series:
    """What an instrument showed too much on water, check by check, at one line.

    Raises
    ------
    InputError
        where the store has no water check of it, or checks at several lines and none is named.
    """
    points = store.water_checks(instrument=instrument, wavelength_nm=wavelength_nm)
    if not points:
        _refuse_unknown(instrument, store.instruments(), "instrument")
        line = f" at {wavelength_nm:g} nm" if wavelength_nm is not None else ""
        raise InputError(f"no record holds a water check of {instrument}{line}: a sheet states it under [calibration]", quantity="instrument")
    lines = lines_of(points)
    if len(lines) > 1:
        named = ", ".join(f"{line:g}" for line in lines)
        raise InputError(f"wavelength_nm is missing: {instrument} read water at {named} nm, and a chart shows one line", quantity="wavelength_nm")
    return series_of(points, replicates=replicates)


def lines_of(points: Sequence[SeriesPoint]) -> list[float]:
    """The wavelengths of these points, one of those that are the same line [nm]."""
    lines: list[float] = []
    for wavelength in sorted(p.wavelength_nm for p in points):
        if not lines or wavelength - lines[-1] > SAME_LINE_NM:
            lines.append(wavelength)
    return lines


def series_of(points: Sequence[SeriesPoint], *, replicates: bool = False) -> Series:
    """These points as a series, with their values, or with their replicates as groups."""
    rows = [(p, value) for p in points for value in (p.replicates if replicates else (p.value,))]
    return series(
        [value for _, value in rows], date=[p.day for p, _ in rows], label=[called(p) for p, _ in rows], id=[p.record for p, _ in rows],
        group=[p.record for p, _ in rows] if replicates else None,
    )  # fmt: skip


def called(point: SeriesPoint) -> str:
    """What a point is called.

    >>> called(SeriesPoint(1.4898, 1e-4, "2026-11-20", "copolymer B", "B-03", "bench two", 546.07, 35.0, (1.4898,), "3f2a91c04d77" + "0" * 52))
    'lot B-03, record 3f2a91c04d77'
    """
    return (f"lot {point.lot}, " if point.lot else "") + f"record {point.record[:SHORT]}"


def _refuse_unknown(name: str, known: Sequence[str], what: str) -> None:
    if name not in known:
        raise UnknownNameError(name, known, what=f"{what} of the records")
