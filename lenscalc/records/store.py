"""A store of records: what is added stays, and can be found, traced and computed again."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable
from contextlib import closing
from dataclasses import replace
from datetime import date
from pathlib import Path
from types import TracebackType
from typing import Any

from lenscalc.decision import ToleranceTable
from lenscalc.errors import FileError, InputError, LenscalcError
from lenscalc.own_file import path_of
from lenscalc.records.adding import add_computed, clock_in_words, withdraw
from lenscalc.records.again import Again, computed_again, told_of_again
from lenscalc.records.backup import copy_file
from lenscalc.records.canonical import head_of, sha256_of
from lenscalc.records.check import Checked, checked
from lenscalc.records.database import Database
from lenscalc.records.determination import computed, tolerance_table_of
from lenscalc.records.export import exported
from lenscalc.records.gather import Gathered, gather
from lenscalc.records.history import history
from lenscalc.records.imported import ImportFile
from lenscalc.records.listing import ALL, Filter, Line, counted, instruments_of, listed, lots_of, materials_of
from lenscalc.records.order import places
from lenscalc.records.query import found, full_hash, sheet_text, tips, wanted
from lenscalc.records.record import Record, by_day
from lenscalc.records.rows import contents
from lenscalc.records.series import SeriesPoint, index_point, of_a_series, water_checks

_OF_A_CHANGED_STORE = (ArithmeticError, AttributeError, LookupError, StopIteration, TypeError, ValueError)  # what reading one may raise


class Store:
    """The records of a lab; made by `lenscalc.records.open_store`. Nothing in it changes or removes a record."""

    def __init__(self, database: Database, *, aside: Path | None = None) -> None:
        self.database = database
        self.aside = aside  # the copy of an older revision that opening it has put aside

    def __enter__(self) -> Store:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None) -> None:
        try:
            if isinstance(error, _OF_A_CHANGED_STORE) and not isinstance(error, LenscalcError):
                self._tell_change()
        finally:
            self.close()

    def _tell_change(self) -> None:
        """What does not read as it was written may have been changed by another program; then that is what is to be said."""
        if found := self.check().problems:
            raise FileError(
                f"{self.place}: is not as it was written: {found[0]}; `lenscalc records check` names all of it, and the last backup or export has it "
                "as it was"
            ) from None

    @property
    def place(self) -> str:
        """The path, or the URL without a password."""
        return self.database.place

    def close(self) -> None:
        """Give back whatever the database holds."""
        self.database.engine.dispose()

    def add_sheet(
        self, text: str, name: str = "sheet", *, tolerance_table: ToleranceTable | None = None, supersedes: str | None = None,
        because: str | None = None,
    ) -> Record:  # fmt: skip
        """Compute a reading sheet and keep it: its text, its readings and what came of them; with `supersedes` in the place of an earlier record.

        Raises
        ------
        SheetError
            for a sheet that cannot be used: then nothing is kept.
        InputError
            where this very sheet is kept already, or the record to be superseded is not there, is superseded already, or no reason is given.
        """
        return self.add_sheets([(text, name)], tolerance_table=tolerance_table, supersedes=supersedes, because=because)[0]

    def add_sheets(
        self, sheets: Iterable[tuple[str, str]], *, tolerance_table: ToleranceTable | None = None, supersedes: str | None = None,
        because: str | None = None,
    ) -> list[Record]:  # fmt: skip
        """Several sheets (text, name) at once: all of them, or none. See `add_sheet`."""
        done = [
            (_storable(text, name), _storable(Path(name).name, "a sheet's name"), computed(text, name, tolerance_table)[1]) for text, name in sheets
        ]
        if (supersedes is None) != (not because or not because.strip()):
            raise InputError("a record that supersedes another says why, and only such a one: give --supersedes and --because together")
        if supersedes is not None and len(done) != 1:
            raise InputError(f"one record is superseded by one sheet, and {len(done)} are given")
        with self.database.writing() as connection:
            return add_computed(connection, done, supersedes, because and _storable(because, "because"))

    def withdraw(self, name: str, *, because: str) -> Record:
        """Say of a record that it does not stand, with nothing in its place: it stays, and is left out where only what stands is asked for.

        What is given back is the record that says so. The same sheet may be added again afterwards.

        Raises
        ------
        InputError
            where it is not there, no longer stands or is a withdrawal, or no reason is given.
        """
        if not because.strip():
            raise InputError("a record is withdrawn with a reason: say why it does not stand")
        with self.database.writing() as connection:
            return withdraw(connection, name, _storable(because, "because"))

    def told_of_clock(self, record: Record) -> str:
        """What is to be said of a record's time, where it is earlier than that of a record it follows; empty where it is not."""
        with self.database.reading() as connection:
            before = found(connection, record.section("record")["previous"], ())
        return clock_in_words(record, before)

    def record(self, name: str) -> Record:
        """The record whose hash begins with these digits.

        Raises
        ------
        InputError
            where no record, or more than one, begins so.
        """
        with self.database.reading() as connection:
            return found(connection, [full_hash(connection, name)])[0]

    def records(
        self, *, material: str | None = None, lot: str | None = None, since: str | None = None, until: str | None = None, superseded: bool = False,
        sections: Collection[str] | None = None,
    ) -> list[Record]:  # fmt: skip
        """The records in the order of their days: of a material, a lot, a span of days (both ends in it); those that no longer stand if wanted.

        `sections`: only these sections of each beside `record`, for a long list; by default the whole records.
        """
        first, last = _day("since", since), _day("until", until)
        with self.database.reading() as connection:
            hashes = wanted(connection, material=material, lot=lot, since=first, until=last, superseded=superseded)
            return by_day(found(connection, hashes, None if sections is None else {"session", *sections}), places(connection))

    def history(self, lot: str, *, material: str | None = None) -> list[dict[str, Any]]:
        """Every record of a lot, superseded ones too: the rows that `lenscalc.records.history.HISTORY_SQL` gives, each after those that it follows,
        whatever the clocks said.
        """
        with self.database.reading() as connection:
            return history(connection, lot, material)

    def text_of(self, record: Record) -> str:
        """The text of a record's sheet, as it was given.

        Raises
        ------
        FileError
            where it is gone, or was changed after it was added.
        """
        sha256 = record.section("record")["sheet_sha256"]
        with self.database.reading() as connection:
            text = sheet_text(connection, sha256)
        if sha256_of(text) != sha256:
            raise FileError(f"record {record.id}: the text of its sheet was changed after it was added: take it from the last backup or export")
        return text

    def tolerance_table_of(self, record: Record) -> ToleranceTable | None:
        """The tolerance table by which a record was decided; None where it has no lens."""
        return tolerance_table_of(record.content)

    def again(self, record: Record) -> Again:
        """Compute a record again from its sheet and its settings, and compare every value that came of it."""
        return computed_again(record, self.text_of(record))

    def index_series(self, *, material: str, lot: str | None = None, instrument: str | None = None) -> list[SeriesPoint]:
        """The index in use of a material over its records, in the order of their days; superseded records are left out."""
        with self.database.reading() as connection:
            return [index_point(record) for record in of_a_series(connection, material=material, lot=lot, instrument=instrument)]

    def water_checks(self, *, instrument: str, wavelength_nm: float | None = None) -> list[SeriesPoint]:
        """What an instrument showed too much on water, check by check in the order of the days; superseded records are left out.

        `instrument` is its name; of one that the sheets do not name, its kind. Several lines in one series are several instruments to a chart: give
        `wavelength_nm`. The same check that stands in the sheets of several specimens of one day is one check.
        """
        with self.database.reading() as connection:
            return water_checks(of_a_series(connection, instrument=instrument, with_water=True), wavelength_nm)

    def instruments(self) -> list[str]:
        """The instruments of the records by name, or by kind where the sheets do not name them."""
        with self.database.reading() as connection:
            return instruments_of(connection)

    def materials(self) -> list[str]:
        """The materials of the records."""
        with self.database.reading() as connection:
            return materials_of(connection)

    def lots(self, material: str) -> list[str]:
        """The lots of a material."""
        with self.database.reading() as connection:
            return lots_of(connection, material)

    def lines(self, wanted: Filter = ALL, *, first: int = 0, most: int = 50) -> list[Line]:
        """Some records in short, the newest day first, from this one on, counted from 0."""
        with self.database.reading() as connection:
            return listed(connection, wanted, first, most)

    def count(self, wanted: Filter = ALL) -> int:
        """How many records there are."""
        with self.database.reading() as connection:
            return counted(connection, wanted)

    def check(self, *, head: str | None = None) -> Checked:
        """Check every record and every link; with a head that was printed earlier, that the store still holds what it held then."""
        return checked(self.database, head)

    def head(self) -> str:
        """The hash that stands for the whole store: printed on a report, it shows later whether the store still holds what it held then."""
        with self.database.reading() as connection:
            return head_of(tips(connection))

    def export(self, target: str | Path) -> int:
        """Write everything to a zip file of CSV and JSON (`lenscalc.records.export`); the number of records in it."""
        with self.database.reading() as connection:
            return exported(connection, path_of(target))

    def import_file(self, source: str | Path, *, on_progress: Callable[[int, int], None] | None = None) -> Gathered:
        """Take in everything of an exported file that is not here yet; all of it, or nothing.

        A hash says that nothing was changed, not that the figures are those of the sheet: so what is new is computed again (20 ms a record), and
        what does not come out again is taken in and told, because another version may rightly have given other figures.

        Raises
        ------
        FileError
            for a file that is no export or was changed.
        """
        with ImportFile(path_of(source)) as file, closing(file.records()) as coming, self.database.writing() as connection:
            found = gather(connection, coming, file.text_of, str(source))
        return self._computed_again(found, on_progress)

    def merge(self, other: Store, *, on_progress: Callable[[int, int], None] | None = None) -> Gathered:
        """Take in everything of another store that is not here yet, computed again as in an import; the other one stays as it is."""
        with other.database.reading() as theirs, self.database.writing() as connection:
            coming = ((kept.hash, kept.content) for kept in contents(theirs))
            found = gather(connection, coming, lambda sha256: sheet_text(theirs, sha256), other.place)
        return self._computed_again(found, on_progress)

    def _computed_again(self, taken: Gathered, on_progress: Callable[[int, int], None] | None) -> Gathered:
        """What of the new records does not come out again; nobody waits for it, they are in already."""
        told = []
        for done, name in enumerate(taken.new, 1):
            record = self.record(name)
            if not record.is_withdrawal and (sentence := told_of_again(record, self.again(record))):
                told.append(sentence)
            if on_progress:
                on_progress(done, len(taken.new))
        return replace(taken, not_the_same=tuple(told))

    def backup(self, target: str | Path) -> None:
        """A whole copy, taken while others go on adding: of a file another file, of a PostgreSQL database its export."""
        if self.database.is_file:
            copy_file(Path(self.place), path_of(target))
        else:
            self.export(target)


def _storable(text: str, name: str) -> str:
    try:
        text.encode()
    except UnicodeEncodeError:
        raise InputError(f"{name}: holds half a character, which is no text in UTF-8") from None
    return text


def _day(name: str, text: str | None) -> str | None:
    if text is None:
        return None
    try:
        return date.fromisoformat(text).isoformat()
    except ValueError:
        raise InputError(f"{name} = {text!r}: must be a day, for example 2026-11-20") from None
