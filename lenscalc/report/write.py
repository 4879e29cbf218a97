"""A determination into a file, by its ending."""

from __future__ import annotations

from pathlib import Path

from lenscalc.errors import FileError
from lenscalc.own_file import path_of, refuse_device, refuse_other_ending, write_whole
from lenscalc.report.determination import Determined
from lenscalc.report.html import html_of
from lenscalc.report.pdf import pdf_of

ENDINGS = (".pdf", ".html")


def check_report_path(path: str) -> None:
    """Refuse an ending that is not written, or a folder that is not there, before anything is computed.

    Raises
    ------
    FileError
        saying which.

    >>> check_report_path("lot.docx")
    Traceback (most recent call last):
    lenscalc.errors.FileError: lot.docx: .docx is not written here; use .pdf or .html
    """
    target = path_of(path)
    refuse_other_ending(path, *ENDINGS)
    if not target.absolute().parent.is_dir():
        raise FileError(f"{path}: the folder is not there")
    if target.is_dir():
        raise FileError(f"{path}: is a folder; give the name of a file")
    refuse_device(path)


def write_report(determined: Determined, path: str) -> None:
    """Write a determination as .pdf or .html; the file appears under its name only when it is whole, in place of an older one.

    Raises
    ------
    FileError
        for an ending that is not written, a folder that is not there, or a disk that does not take it.
    """
    check_report_path(path)
    written = pdf_of(determined) if Path(path).suffix.lower() == ".pdf" else html_of(determined).encode("utf-8")
    write_whole(path, written)
