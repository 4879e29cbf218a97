"""A file on its way through the batch, for a page: in a process of its own where it takes long, and never half."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import tempfile
import time
import weakref
from collections.abc import Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any, Literal

from lenscalc.web.table.batch_process import ANSWER, ORDER, PROGRESS, answer, write

RESULTS = "results.parquet"
AT_ONCE_S = 1.5  # what a page may take for itself; beyond, it goes by a process, which costs about a second more


class Job:
    """One run of the batch: its own folder with the input under its name and, when it is whole, the result.

    `state` is running, done, failed or stopped; `error` what the core said, `rows`, `problems` and `notes` what came of it. The folder goes with the
    job.
    """

    def __init__(
        self, name: str, data: bytes, *, expected_s: float = 0.0, compute: Sequence[str] = (), constants: Mapping[str, str] | None = None,
        separator: str | None = None, decimal: str | None = None, result: str = RESULTS,
    ) -> None:  # fmt: skip
        self.name, self.data = Path(name).name, data
        self.settings: dict[str, Any] = {"compute": list(compute), "constants": dict(constants or {}), "separator": separator, "decimal": decimal}
        self.state: Literal["running", "done", "failed", "stopped"] = "running"
        self.error, self.rows, self.problems, self.total = "", 0, 0, 0
        self.notes: tuple[str, ...] = ()
        self.begun, self.expected_s = time.monotonic(), expected_s
        self._folder = Path(tempfile.mkdtemp(prefix="lenscalc-"))
        for inner in ("in", "out"):
            (self._folder / inner).mkdir()
        source = self._folder / "in" / self.name
        source.write_bytes(data)
        self.result = self._folder / "out" / result
        order = {"source": str(source), "target": str(self.result), "settings": self.settings}
        write(self._folder / ORDER, order)
        self._process = _started(self._folder) if expected_s > AT_ONCE_S else None
        self._end = weakref.finalize(self, _ended, self._process, self._folder)
        if self._process is None:
            self._take(answer(order))

    def look(self) -> None:
        """Take notice of how far it is."""
        if self.state != "running" or self._process is None:
            return
        over = self._process.poll() is not None
        with suppress(OSError):
            told = json.loads((self._folder / PROGRESS).read_text(encoding="utf-8"))
            self.rows, self.total = told["done"], told["total"]
        if over:
            try:
                self._take(json.loads((self._folder / ANSWER).read_text(encoding="utf-8")))
            except OSError:
                self._take({"error": "the computation was ended from outside (is there too little memory?); nothing is shown of it"})

    def read(self) -> bytes:
        """The bytes of the result (a path alone would not keep the folder)."""
        return self.result.read_bytes()

    def stop(self) -> None:
        """End it; nothing of what was done is kept."""
        if self.state == "running":
            self.state = "stopped"
            self._end()

    def _take(self, told: Mapping[str, Any]) -> None:
        if "error" in told:
            self.state, self.error = "failed", str(told["error"]).replace(f"{self._folder}{os.sep}in{os.sep}", "")
        else:
            self.state, self.rows, self.problems, self.notes = "done", told["rows"], told["problems"], tuple(told["notes"])


def _started(folder: Path) -> subprocess.Popen[bytes]:
    return subprocess.Popen([sys.executable, "-m", "lenscalc.web.table.batch_process", str(folder)], stdin=subprocess.DEVNULL)


def _ended(process: subprocess.Popen[bytes] | None, folder: Path) -> None:
    if process is not None:
        process.kill()
        process.wait()
    shutil.rmtree(folder, ignore_errors=True)
