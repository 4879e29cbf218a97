"""Dated values out of a store, one a record, for whatever looks at them over time: the index of a material, the water checks of an instrument."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from sqlalchemy import Connection

from lenscalc.conditions import SAME_LINE_NM
from lenscalc.records.order import places
from lenscalc.records.query import found, wanted
from lenscalc.records.record import Record, by_day

_SECTIONS = ("session", "index", "lists", "readings")


@dataclass(frozen=True)
class SeriesPoint:
    """One value with its standard uncertainty, the day, whose it is, and the record that it stands in.

    `replicates` are the single readings, moved so that their mean is the value: their spread is that of the readings. `record` is the record's hash.
    """

    value: float
    u: float
    day: str
    material: str
    lot: str | None
    instrument: str
    wavelength_nm: float
    temperature_degC: float
    replicates: tuple[float, ...]
    record: str


def of_a_series(
    connection: Connection, *, material: str | None = None, lot: str | None = None, instrument: str | None = None, with_water: bool = False
) -> list[Record]:
    """The records that points are made of, with what a point needs, in the order of their days; superseded ones are left out."""
    hashes = wanted(connection, material=material, lot=lot, instrument=instrument, with_water=with_water)
    return by_day(found(connection, hashes, _SECTIONS), places(connection))


def index_point(record: Record) -> SeriesPoint:
    """The index in use of a record; its replicates are the first list of the specimen."""
    index = record.section("index")
    first = next(of for of in record.rows("lists") if of["purpose"] == "specimen")
    value = float(index["n_lens"])
    return _point(record, value, index["u_n_lens"], index["wavelength_nm"], index["temperature_degC"], _about(record, first["position"], value))


def water_checks(records: Iterable[Record], wavelength_nm: float | None) -> list[SeriesPoint]:
    """The water checks of these records; one that stands in several of a day is one, named by the first of them."""
    points = [p for record in records for p in water_points(record, wavelength_nm)]
    return list({(p.day, p.wavelength_nm, p.temperature_degC, p.replicates): p for p in reversed(points)}.values())[::-1]


def water_points(record: Record, wavelength_nm: float | None) -> Iterator[SeriesPoint]:
    """What the instrument showed too much on water, for every line at which water was read, or for one."""
    for of in record.rows("lists"):
        if of.get("reference_kind") != "water" or (wavelength_nm is not None and abs(of["wavelength_nm"] - wavelength_nm) > SAME_LINE_NM):
            continue
        value, u = of["shown_minus_true"], of["u_shown_minus_true"]
        yield _point(record, value, u, of["wavelength_nm"], of["temperature_degC"], _about(record, of["position"], value))


def instrument_of(record: Record) -> str:
    """The instrument's name; its kind where the sheet does not name it."""
    session = record.section("session")
    return str(session.get("instrument") or session["instrument_kind"])


def _about(record: Record, position: int, value: float) -> tuple[float, ...]:
    n = [row["n"] for row in record.rows("readings") if row["list"] == position]
    mean = sum(n) / len(n)
    return tuple(x - mean + value for x in n)


def _point(record: Record, value: float, u: float, wavelength_nm: float, temperature_degC: float, replicates: tuple[float, ...]) -> SeriesPoint:
    whose = record.day, record.material, record.lot, instrument_of(record)
    return SeriesPoint(float(value), float(u), *whose, float(wavelength_nm), float(temperature_degC), replicates, record.hash)
