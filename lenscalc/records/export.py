"""A whole store in one zip file: the records as JSON, the tables as CSV to read elsewhere, the sheets as they were given.

    manifest.json        what the file is, the store's head, how many records, and the SHA-256 of every other member
    records.jsonl        a record a line, {"hash": ..., "content": ...}, the content as canonical text, each after those that it follows
    tables/NAME.csv      every table of the store, the columns as named there; to read, an import does not
    sheets/SHA256.toml   every reading sheet

The same store gives the same bytes: the members carry no time of their own.
"""

from __future__ import annotations

import csv
import hashlib
import io
import json
import zipfile
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Table, select

from lenscalc.errors import FileError
from lenscalc.own_file import whole_file
from lenscalc.records import tables as t
from lenscalc.records.canonical import canonical_text, head_of, sha256_of
from lenscalc.records.fields import field_of
from lenscalc.records.query import tips
from lenscalc.records.record import SHORT
from lenscalc.records.rows import contents

FORMAT = "records of lenscalc, 1"
_EPOCH = (1980, 1, 1, 0, 0, 0)  # the earliest that a zip can say


def exported(connection: Connection, target: Path) -> int:
    """Write the store to a zip file and return the number of its records. The file appears under its name only when it is whole.

    Raises
    ------
    FileError
        where there is something of this name already, it cannot be written, or a record is no longer as it was added.
    """
    if target.exists():
        raise FileError(f"{target}: is there already; name another file")
    with whole_file(target) as part, zipfile.ZipFile(part, "w", zipfile.ZIP_DEFLATED) as archive:
        sums: dict[str, str] = {}
        count = _member(archive, sums, "records.jsonl", _record_lines(connection))
        for table in t.metadata.sorted_tables:
            _member(archive, sums, f"tables/{table.name}.csv", _csv_lines(connection, table))
        for sha256, sheet in connection.execute(select(t.sheets.c.sha256, t.sheets.c.text).order_by(t.sheets.c.sha256)):
            _member(archive, sums, f"sheets/{sha256}.toml", [sheet])
        manifest = {"format": FORMAT, "head": head_of(tips(connection)), "records": count, "sha256": sums}
        archive.writestr(_info("manifest.json"), json.dumps(manifest, indent=2) + "\n")
    return count


def _member(archive: zipfile.ZipFile, sums: dict[str, str], name: str, texts: Iterable[str]) -> int:
    """Write one member as its texts come, and note its checksum; the number of texts."""
    sha256, count = hashlib.sha256(), 0
    with archive.open(_info(name), "w", force_zip64=True) as member:
        for text in texts:
            data = text.encode()
            sha256.update(data)
            member.write(data)
            count += 1
    sums[name] = sha256.hexdigest()
    return count


def _info(name: str) -> zipfile.ZipInfo:
    info = zipfile.ZipInfo(name, _EPOCH)
    info.compress_type = zipfile.ZIP_DEFLATED
    info.external_attr = 0o644 << 16
    return info


def _record_lines(connection: Connection) -> Iterator[str]:
    for kept in contents(connection):
        text = canonical_text(kept.content)
        if sha256_of(text) != kept.hash:
            raise FileError(
                f"record {kept.hash[:SHORT]} was changed after it was added: an export that holds it would be refused where it is taken in; "
                "`lenscalc records check` looks, `lenscalc records backup` copies the store as it is"
            )
        yield f'{{"hash":"{kept.hash}","content":{text}}}\n'


def _csv_lines(connection: Connection, table: Table) -> Iterator[str]:
    yield _csv([c.name for c in table.c])
    for row in connection.execute(select(table).order_by(*table.primary_key.columns)):
        yield _csv([field_of(value, c.type) for value, c in zip(row, table.c, strict=True)])


def _csv(values: list[Any]) -> str:
    line = io.StringIO()
    csv.writer(line, lineterminator="\n").writerow(["" if v is None else repr(v) if isinstance(v, float) else v for v in values])
    return line.getvalue()
