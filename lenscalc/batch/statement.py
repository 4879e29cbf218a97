"""What a result says of itself: version, what it came from with its checksum, and the settings. Nothing in it depends on the day or the machine."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any

import lenscalc
from lenscalc.batch.read_parquet import parts_of
from lenscalc.conditions import CAUTION
from lenscalc.decision import ToleranceTable

LIBRARIES = ("numpy", "scipy", "numba", "pyarrow")  # what the bits can depend on


def sha256_of(path: str) -> str:
    """The checksum of a file; of a folder of parts, that of the list of their names and checksums."""
    parts = parts_of(path)
    sums = []
    for part in parts:
        with part.open("rb") as file:
            sums.append((part.name, hashlib.file_digest(file, "sha256").hexdigest()))
    if not Path(path).is_dir():
        return sums[0][1]
    return hashlib.sha256("".join(f"{name} {of}\n" for name, of in sums).encode()).hexdigest()


def state_of_files(path: str) -> tuple[tuple[str, int, int], ...]:
    """Names, lengths and times of change: whether a file was changed while it was read."""
    return tuple((p.name, s.st_size, s.st_mtime_ns) for p in parts_of(path) for s in (p.stat(),))


def versions() -> dict[str, str | None]:
    """What the bits of a result can depend on: lenscalc's own version and those of the libraries below it."""
    return {"lenscalc": lenscalc.__version__} | {name: _version(name) for name in LIBRARIES}


def statement(
    source: str,
    *,
    compute: Sequence[str],
    constants: Mapping[str, Any] | None,
    tolerance_table: ToleranceTable,
    block_rows: int,
    separator: str | None,
    decimal: str | None,
) -> dict[str, Any]:
    """Everything that the result depends on, before the first row is read. A pipe's checksum is known only at the end."""
    libraries = versions()
    return {
        "lenscalc": libraries.pop("lenscalc"),
        "libraries": libraries,
        "input": {"name": Path(source).name if source != "-" else "-", "sha256": None if source == "-" else sha256_of(source)},
        "settings": {
            "compute": list(compute),
            "constants": {str(k): str(v) for k, v in (constants or {}).items()},
            "tolerance_edition": tolerance_table.edition,
            "tolerance_bands": [[up_to if up_to < float("inf") else None, half] for up_to, half in tolerance_table.bands],
            "block_rows": block_rows,
            "separator": separator,
            "decimal": decimal,
        },
    }


def whole_statement(before: Mapping[str, Any], *, rows: int, problems: int, own: Sequence[str], converted: Mapping[str, str]) -> dict[str, Any]:
    """The statement with what was counted and seen on the way, and the caution."""
    return {
        **before, "rows": rows, "rows_with_a_problem": problems, "own_columns": list(own), "converted_columns": dict(converted), "caution": CAUTION,
    }  # fmt: skip


def as_json(content: Mapping[str, Any]) -> str:
    """The statement as text."""
    return json.dumps(content, ensure_ascii=False, indent=2, allow_nan=False) + "\n"


def differences(before: Mapping[str, Any], now: Mapping[str, Any]) -> list[str]:
    """What two statements do not agree on, in words."""
    found = []
    for key in ("lenscalc", "libraries", "input", "settings", "kind"):
        a, b = before.get(key), now.get(key)
        if a == b:
            continue
        if isinstance(a, dict) and isinstance(b, dict):
            found += [f"{key} {k}: {a.get(k)} then, {b.get(k)} now" for k in {**a, **b} if a.get(k) != b.get(k)]
        else:
            found.append(f"{key}: {a} then, {b} now")
    return found


def _version(name: str) -> str | None:
    try:
        return version(name)
    except PackageNotFoundError:
        return None
