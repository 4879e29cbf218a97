"""A file through the batch in a process of its own, which a page watches and can end at any moment."""

from __future__ import annotations

import json
import os
import sys
from pathlib import Path
from typing import Any

from lenscalc.batch import run_batch
from lenscalc.errors import FileError, InputError

MOST_ROWS = 1_000_000
ORDER, PROGRESS, ANSWER = "order.json", "progress.json", "answer.json"


def main() -> None:
    """Do what the order in the folder named on the command line says; what came of it stands beside it."""
    folder = Path(sys.argv[1])
    order = json.loads((folder / ORDER).read_text(encoding="utf-8"))

    def note(done: int, total: int) -> None:
        write(folder / PROGRESS, {"done": done, "total": total})

    write(folder / ANSWER, answer(order, on_progress=note))


def answer(order: dict[str, Any], on_progress: Any = None) -> dict[str, Any]:
    """Run an order: rows, problems and notes, or an error in the words of the core."""

    def bounded(done: int, total: int) -> None:
        if done > MOST_ROWS:
            raise InputError(f"more than {MOST_ROWS:,} rows: too many for a page; the command takes a file of any length")
        if on_progress:
            on_progress(done, total)

    try:
        done = run_batch(order["source"], order["target"], **order["settings"], on_progress=bounded)
    except (FileError, InputError) as error:
        return {"error": str(error)}
    return {"rows": done.rows, "problems": done.problems, "notes": list(done.notes)}


def write(path: Path, content: dict[str, Any]) -> None:
    """Write a file that is never read half."""
    new = path.with_suffix(".new")
    new.write_text(json.dumps(content), encoding="utf-8")
    os.replace(new, path)


if __name__ == "__main__":
    main()
