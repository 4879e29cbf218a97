"""One run at a time into one target: a lock of the operating system, which forgets it with the process that held it, however that ended."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

try:
    import fcntl
except ImportError:  # not on every system: there two runs into one target are not told apart
    fcntl = None  # type: ignore[assignment]

LOCK = "lock"


def lock_in(folder: Path) -> Any:
    """The locked file in a folder, which is made if need be; None where another process holds it. Closing the file gives the lock back."""
    while True:
        folder.mkdir(exist_ok=True)
        try:
            file = (folder / LOCK).open("a")
        except FileNotFoundError:  # the other run has just ended and taken its folder away
            continue
        if fcntl is None:
            return file
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            file.close()
            return None
        except OSError:  # a file system that knows no locks
            return file
        if _is_there_still(file, folder / LOCK):
            return file
        file.close()


def _is_there_still(file: Any, path: Path) -> bool:
    """A file that was opened just before the other run deleted it keeps nobody away."""
    try:
        return os.path.samestat(os.fstat(file.fileno()), path.stat())
    except FileNotFoundError:
        return False
