"""An exported store read back: nothing is unpacked to the disk, and nothing is believed before it gives its checksum."""

from __future__ import annotations

import hashlib
import json
import re
import stat
import zipfile
import zlib
from collections.abc import Generator
from pathlib import Path
from typing import Any

from lenscalc.errors import FileError
from lenscalc.own_file import refuse_device
from lenscalc.quantities import counted
from lenscalc.records.canonical import Content
from lenscalc.records.export import FORMAT

LARGEST = 4 << 30  # bytes of one member, unpacked
LARGEST_LINE = 64 << 20  # bytes of one record
MOST = 1_000_000  # members
_PACKED = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
_LOCKED = 0x1 | 0x20 | 0x40  # flags of a member: encrypted, patched, strongly encrypted
_TORN = (zipfile.BadZipFile, EOFError, OSError, RuntimeError, ValueError, zlib.error)  # what reading a damaged member may raise
_HASH = re.compile("[0-9a-f]{64}")
_NAMES = re.compile(r"manifest\.json|records\.jsonl|tables/[a-z_]{1,40}\.csv|sheets/[0-9a-f]{64}\.toml")


class ImportFile:
    """An open export: its records, and the text of a sheet by its checksum.

    Raises
    ------
    FileError
        for a file that is no export, holds what none does (other names, paths that lead out of it, links, absurd sizes), or was changed.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        refuse_device(path)
        try:
            self.archive = zipfile.ZipFile(path)
        except OSError as error:
            raise FileError(f"{path}: {error.strerror or error}") from None
        except _TORN:
            raise FileError(f"{path}: is no zip file; `lenscalc records export` writes one") from None
        try:
            self._refuse_strange()
            self.manifest = self._manifest()
            self._refuse_changed()
        except BaseException:
            self.archive.close()
            raise

    def __enter__(self) -> ImportFile:
        return self

    def __exit__(self, *_: object) -> None:
        self.archive.close()

    def records(self) -> Generator[tuple[str, Content]]:
        """Hash and content of every record, in the order of the file."""
        with self.archive.open("records.jsonl") as lines:
            while line := lines.readline(LARGEST_LINE + 1):
                if len(line) > LARGEST_LINE:
                    raise FileError(f"{self.path}: a record of more than {LARGEST_LINE >> 20} MB is none")
                try:
                    entry = json.loads(line, parse_constant=_no_number)
                    name, content = entry["hash"], entry["content"]
                    good = isinstance(name, str) and _HASH.fullmatch(name) and isinstance(content, dict)
                except (ValueError, KeyError, TypeError, RecursionError):
                    good = False
                if not good:
                    raise FileError(f"{self.path}: records.jsonl holds a line that is no record; nothing was taken in")
                yield name, content

    def text_of(self, sha256: str) -> str:
        """The text of a sheet."""
        try:
            return self.archive.read(f"sheets/{sha256}.toml").decode()
        except (KeyError, UnicodeDecodeError):
            raise FileError(f"{self.path}: the sheet {sha256[:12]} of a record is not in it; nothing was taken in") from None

    def _refuse_strange(self) -> None:
        members = self.archive.infolist()
        if len(members) > MOST or len({m.filename for m in members}) != len(members):
            raise FileError(f"{self.path}: holds {counted(len(members), 'member')}, or one of them twice: no export does")
        for m in members:
            if not _NAMES.fullmatch(m.filename):
                raise FileError(f"{self.path}: holds {m.filename[:80]!r}, which no export does; nothing was taken in")
            kind = stat.S_IFMT(m.external_attr >> 16)
            if kind not in (0, stat.S_IFREG):
                raise FileError(f"{self.path}: {m.filename} is a link or a device, not a file; nothing was taken in")
            largest = LARGEST if m.filename.startswith(("records", "tables")) else LARGEST_LINE
            if m.file_size > largest or (m.file_size > 1 << 20 and m.file_size > 1000 * max(m.compress_size, 1)):
                raise FileError(f"{self.path}: {m.filename} would be {m.file_size:,} bytes unpacked: that is no export; nothing was taken in")
            if m.flag_bits & _LOCKED or m.compress_type not in _PACKED:
                raise FileError(f"{self.path}: {m.filename} is encrypted, or packed in another way than an export is; give one as it was written")

    def _manifest(self) -> dict[str, Any]:
        try:
            manifest = json.loads(self.archive.read("manifest.json"))
            good = manifest["format"] == FORMAT and isinstance(manifest["sha256"], dict) and "records.jsonl" in manifest["sha256"]
        except (KeyError, TypeError, *_TORN):
            good = False
        if not good:
            raise FileError(f"{self.path}: is no export of records, or one of another format; `lenscalc records export` writes one")
        return dict(manifest)

    def _refuse_changed(self) -> None:
        names = {m.filename for m in self.archive.infolist()} - {"manifest.json"}
        differ = names ^ set(self.manifest["sha256"])
        if differ:
            raise FileError(f"{self.path}: {min(differ)} stands in the manifest or in the file, but not in both; nothing was taken in")
        for name, expected in self.manifest["sha256"].items():
            try:
                changed = self._sha256_of(name) != expected
            except _TORN:
                changed = True
            if changed:
                raise FileError(f"{self.path}: {name} was changed after it was written; nothing was taken in")

    def _sha256_of(self, name: str) -> str:
        sha256 = hashlib.sha256()
        with self.archive.open(name) as member:
            while data := member.read(1 << 20):
                sha256.update(data)
        return sha256.hexdigest()


def _no_number(text: str) -> Any:
    raise ValueError(text)
