"""The readings of a sheet: replicates with their mountings, sessions and times, at one or several wavelengths, temperatures and directions."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from lenscalc.errors import SheetError
from lenscalc.quantities import counted
from lenscalc.refractometer.checked_table import checked_table

WARM_DEGC = 45.0  # few specimens are read warmer, and 68 °F or 95 °F look like this
MANY = 30  # more readings than anyone mounts


@dataclass(frozen=True, eq=False)
class Reading:
    """Replicate readings at one wavelength and temperature, in one direction; lists have one entry a reading."""

    wavelength_nm: float
    temperature_degC: float
    u_temperature_degC: float
    basis: str
    n: tuple[float, ...]
    u_repeatability: float | None
    dof_repeatability: float | None
    u_wavelength_nm: float
    mounting: tuple[Hashable, ...] | None
    session: tuple[tuple[Hashable, ...], ...] | None
    minutes_after_mounting: tuple[float, ...] | None
    direction: str | None
    u_session: float | None
    dof_session: float | None
    session_parts: tuple[str, ...]  # what a session's label is made of: session, operator, or both

    @property
    def place(self) -> tuple[float, float]:
        """Where it was read: wavelength and temperature."""
        return self.wavelength_nm, self.temperature_degC


def readings_of(entries: Any) -> tuple[Reading, ...]:
    """The checked `[[reading]]` tables of a sheet.

    Raises
    ------
    SheetError
        naming the table and the key.
    """
    if isinstance(entries, dict):
        raise SheetError("[reading] stands in single brackets: write [[reading]], which may stand more than once")
    if not isinstance(entries, list) or not entries:
        raise SheetError("[[reading]] is missing: give at least one, with wavelength_nm, temperature_degC and n")
    readings = tuple(reading_of(entry, "reading" if len(entries) == 1 else f"reading {i}") for i, entry in enumerate(entries, 1))
    _check_together(readings)
    return readings


def reading_of(entry: Any, where: str, schema: str = "reading") -> Reading:
    """One checked table of replicates."""
    t = checked_table(where, entry, schema)
    if "n" not in t:
        raise SheetError(f"[{where}] n is missing: a list of readings, for example [1.4901, 1.4902]")
    count = len(t["n"])
    for key in ("mounting", "session", "operator", "minutes_after_mounting"):
        if key in t and len(t[key]) != count:
            raise SheetError(f"[{where}] {key} names {counted(len(t[key]), 'reading')}, n holds {count}: one entry a reading")
    for name in ("repeatability", "session"):
        if f"u_{name}" in t and f"dof_{name}" not in t:
            raise SheetError(f"[{where}] dof_{name} is missing beside u_{name}: the number of earlier readings less the number of sets")
    if "u_session" in t and "u_repeatability" not in t:
        raise SheetError(f"[{where}] u_session is given without u_repeatability: both come from the same history")
    if "minutes_after_mounting" in t and count > 1 and "mounting" not in t:
        raise SheetError(f"[{where}] mounting is missing beside minutes_after_mounting: the times count from the mounting of each reading")
    session_parts = tuple(k for k in ("session", "operator") if k in t)
    session = tuple(zip(*(t[k] for k in session_parts), strict=True)) or None
    mounting = tuple(t["mounting"]) if "mounting" in t else None
    if "u_repeatability" not in t:
        _refuse_without_spread(where, count, mounting, session)
    return Reading(
        t["wavelength_nm"], t["temperature_degC"], t["u_temperature_degC"], t.get("basis", "air"), tuple(t["n"]), t.get("u_repeatability"),
        t.get("dof_repeatability"), t.get("u_wavelength_nm", 0.0), mounting, session,
        tuple(t["minutes_after_mounting"]) if "minutes_after_mounting" in t else None, t.get("direction"), t.get("u_session"), t.get("dof_session"),
        session_parts,
    )  # fmt: skip


def medium_reading(medium: dict[str, Any]) -> Reading:
    """The replicates that a `[medium]` holds."""
    keys = ("wavelength_nm", "temperature_degC", "u_temperature_degC", "basis", "n", "u_repeatability", "dof_repeatability")
    return reading_of({k: v for k, v in medium.items() if k in keys}, "medium", "medium.as_read")


def _refuse_without_spread(where: str, count: int, mounting: Any, session: Any) -> None:
    if count == 1:
        raise SheetError(
            f"[{where}] n holds one reading, which has no spread of its own: read again, or give a pooled u of one reading (u_repeatability)"
        )
    if mounting is not None and len(set(zip(mounting, session or mounting, strict=True))) == 1:
        raise SheetError(
            f"[{where}] all {count} readings are of one mounting: re-reading it says nothing about the next; mount again, "
            "or give a pooled u of one reading (u_repeatability)"
        )


def _check_together(readings: tuple[Reading, ...]) -> None:
    first = readings[0]
    wavelengths = sorted({r.wavelength_nm for r in readings})
    for i, r in enumerate(readings[1:], 2):
        if r.basis != first.basis:
            raise SheetError(f"[reading {i}] basis = {r.basis!r}, the first is {first.basis!r}: one instrument reads on one basis")
        if r.direction is None and r.place in [x.place for x in readings[: i - 1]]:
            raise SheetError(
                f"[reading {i}] stands at {r.wavelength_nm:g} nm and {r.temperature_degC:g} °C like an earlier one: "
                "replicates go into one list n; for an oriented specimen give each its direction"
            )
    for a, b in pairwise(wavelengths):
        if b - a < 10:
            at = next(i for i, r in enumerate(readings, 1) if r.wavelength_nm in (a, b) and i > 1)
            raise SheetError(f"[reading {at}] wavelength_nm lies less than 10 nm from another: {a:g} and {b:g} nm tell nothing about dispersion")
    _check_directions(readings)
    for T in {r.temperature_degC for r in readings}:
        at_T = sorted((r.wavelength_nm, sum(r.n) / len(r.n)) for r in readings if r.temperature_degC == T and r.direction == first.direction)
        for (a, n_a), (b, n_b) in pairwise(at_T):
            if n_b >= n_a:
                raise SheetError(
                    f"[[reading]] {n_a:.5g} at {a:g} nm and {n_b:.5g} at {b:g} nm: the index must fall with the wavelength; are the two exchanged?"
                )


def _check_directions(readings: tuple[Reading, ...]) -> None:
    """An oriented specimen is read in three directions (JIS K 7142:2014), at every place alike."""
    if all(r.direction is None for r in readings):
        return
    for place in {r.place for r in readings}:
        named = [r.direction for r in readings if r.place == place]
        if None in named or not len(named) == len(set(named)) == 3:
            raise SheetError(
                f"[[reading]] at {place[0]:g} nm and {place[1]:g} °C has direction {', '.join(str(d) for d in named)}: "
                "an oriented specimen is read in three directions, each once"
            )


def remarks_on(readings: tuple[Reading, ...], resolution: float) -> tuple[str, ...]:
    """What is possible but unusual in the readings: scatter beyond its history, no scatter at all, more readings than mountings can be."""
    from lenscalc.refractometer.replicates import grubbs, mean_of

    told = []
    for r in readings:
        at = f"at {r.wavelength_nm:g} nm, {r.temperature_degC:g} °C"
        count = len(r.n)
        if r.temperature_degC > WARM_DEGC:
            told.append(f"read at {r.temperature_degC:g} °C: if that is °F, it is {(r.temperature_degC - 32.0) / 1.8:.3g} °C")
        if r.u_repeatability is not None and count > 1:
            s = mean_of(r.n).u * count**0.5
            if s > 2 * r.u_repeatability:
                pooled = f"the pooled u of one reading, {r.u_repeatability:g}"
                told.append(f"replicates at {r.wavelength_nm:g} nm scatter by {s:.1g}, more than twice {pooled}")
        if count >= MANY and r.mounting is None:
            told.append(f"{count} readings {at} are each taken as a mounting of its own; if some are re-reads of one mounting, say so with mounting")
        if count > 2 and len(set(r.n)) == 1:
            told.append(f"all {count} readings {at} are {r.n[0]:g}: the resolution hides their spread, and its line in the budget stands for it")
        elif count > 2:
            g = grubbs(r.n, resolution=resolution)
            if g.is_suspect:
                others = mean_of([*r.n[: g.position - 1], *r.n[g.position :]]).value
                told.append(
                    f"reading {g.position} {at}, {g.value:g}, lies {abs(g.value - others):.2g} from the mean of the others, {others:.6g} (Grubbs' "
                    f"test at 5 %: {g.statistic:.4g} against {g.critical:.4g}): mistyped, or read otherwise? Look for a cause; nothing was dropped"
                )
    return tuple(told)
