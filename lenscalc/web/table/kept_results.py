"""A file of results that somebody brings, kept for the session as the batch would have kept it."""

from __future__ import annotations

import shutil
import tempfile
import weakref
from pathlib import Path

from lenscalc.batch import read_blocks, write_blocks
from lenscalc.errors import FileError
from lenscalc.web.table.batch_job import RESULTS


class KeptResults:
    """The file's rows as Parquet in a folder that goes with this object.

    Raises
    ------
    FileError
        for a file that cannot be read as a table.
    """

    def __init__(self, name: str, data: bytes) -> None:
        self.name, self.data = Path(name).name, data
        folder = Path(tempfile.mkdtemp(prefix="lenscalc-"))
        weakref.finalize(self, shutil.rmtree, folder, ignore_errors=True)
        (folder / "in").mkdir()
        source = folder / "in" / self.name
        source.write_bytes(data)
        self.result = folder / RESULTS
        try:
            self.rows = write_blocks(str(self.result), (block.columns for block in read_blocks(str(source))))
        except FileError as error:
            raise FileError(str(error).replace(f"{source.parent}/", "")) from None
