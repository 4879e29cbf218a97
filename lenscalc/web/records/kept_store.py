"""The store of the pages: where LENSCALC_STORE says, or in the user's data folder. No field of a page names a place of this machine."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from lenscalc.records import Store


def is_there() -> bool:
    """Whether anything was ever kept."""
    from lenscalc.records import is_begun  # a database's library: not on the way of the other pages

    return is_begun()


@contextmanager
def kept_store(*, create: bool = False) -> Iterator[Store]:
    """The store, open while it is read or added to."""
    from lenscalc.records import open_store

    with open_store(create=create, wait_s=10.0) as store:
        yield store


def export_bytes() -> bytes:
    """Everything in one zip file."""
    from pathlib import Path

    with TemporaryDirectory() as folder, kept_store() as store:
        target = Path(folder) / "records.zip"
        store.export(target)
        return target.read_bytes()


def report_bytes(hash_: str, ending: str) -> bytes:
    """The determination of a record, as .pdf or as .html."""
    from lenscalc.report import determine_record, html_of, pdf_of

    with kept_store() as store:
        determined = determine_record(store, store.record(hash_))
    return pdf_of(determined) if ending == ".pdf" else html_of(determined).encode("utf-8")
