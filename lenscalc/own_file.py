"""A text file that somebody wrote, read with a sentence for whatever is wrong with it as a file; and one that is written whole or not at all."""

from __future__ import annotations

import os
import re
import tomllib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from importlib.resources.abc import Traversable
from itertools import islice
from pathlib import Path
from typing import Any

from lenscalc.errors import FileError, InputError

_PIECE = 1 << 16
_LONG_NAME, _LONG_LINE = 120, 60
LARGEST_BYTES = 256 * _PIECE  # what a person writes is far below; a device that never ends must not fill the memory

# tomllib's time grows with the third power of the parts of a dotted key: 50,000 take a minute and gigabytes
_LONG_KEY = re.compile(r"""(?<![\w"'-])(?:[\w"'-]+[ \t]*\.[ \t]*){50}""")


def path_of(name: str | Path) -> Path:
    """The path of a name that the system can ask for, whether anything of that name is there or not.

    Raises
    ------
    FileError
        for a name that it cannot: with a sign that no name holds, too long, or in a folder that may not be looked into.

    >>> path_of("lot\\0.csv")
    Traceback (most recent call last):
    lenscalc.errors.FileError: 'lot\\x00.csv': no name of a file: it holds a sign that none may hold
    """
    try:
        os.lstat(name)
    except (FileNotFoundError, NotADirectoryError):
        pass
    except (OSError, ValueError) as error:  # a zero character is a ValueError, and so is half of a pair of UTF-16
        shown = repr(str(name))
        why = error.strerror if isinstance(error, OSError) else "no name of a file: it holds a sign that none may hold"
        raise FileError(f"{shown if len(shown) < _LONG_NAME else f'{shown[:_LONG_NAME]}…'}: {why}") from None
    return Path(name)


def read_text(source: str | Path | Traversable, name: str | None = None, *, kind: str = "UTF-8") -> str:
    """The text of a file, with or without a byte order mark; `name` stands in the messages, `kind` is what a program calls the right way to save.

    Raises
    ------
    FileError
        if the file is not there, is a named pipe, is larger than what a person writes, or is not UTF-8 text.
    """
    path = path_of(source) if isinstance(source, str | Path) else source
    if isinstance(path, Path) and path.is_fifo() and _is_named(path):
        refuse_device(path)
    try:
        with path.open("rb") as file:
            data = b"".join(islice(iter(partial(file.read, _PIECE), b""), LARGEST_BYTES // _PIECE + 1))
        if len(data) > LARGEST_BYTES:
            raise FileError(f"{name or path}: larger than {LARGEST_BYTES >> 20} MiB; nothing of that size belongs here")
        return data.decode("utf-8-sig")
    except (OSError, ValueError) as error:
        if isinstance(error, FileError):
            raise
        if isinstance(error, UnicodeDecodeError):
            raise FileError(f"{name or path}: not UTF-8 text; save the file as {kind}") from None
        raise FileError(f"{name or path}: {getattr(error, 'strerror', None) or error}") from None


def _is_named(pipe: Path) -> bool:
    """Whether a pipe has a name of its own in a folder; one without (`<(command)`, standard input) has its writer from the start."""
    real = pipe.resolve()
    return real.exists() and not real.is_relative_to("/dev")


def write_whole(path: str | Path, content: str | bytes) -> None:
    """Write a file, a text as UTF-8; see `whole_file`."""
    with whole_file(path) as part:
        part.write_bytes(content if isinstance(content, bytes) else content.encode())


@contextmanager
def whole_file(path: str | Path) -> Iterator[Path]:
    """Where to write a file that appears under its name only when it is whole, however the writing ends: what stood there stays until then.

    Raises
    ------
    FileError
        where the folder is not there or may not be written, the disk is full, or the name is that of a folder or a device.
    """
    refuse_device(path)
    if Path(path).is_dir():
        raise FileError(f"{path}: is a folder; name a file in it")
    part = Path(f"{path}.{os.getpid()}.part")  # two that write the same file do not meet in it
    try:
        try:
            yield part
            with part.open("rb+") as written:
                os.fsync(written.fileno())
            os.replace(part, path)
        finally:
            part.unlink(missing_ok=True)
    except FileError:
        raise
    except OSError as error:
        raise FileError(f"{path}: {error.strerror or error}") from None


def refuse_other_ending(path: str | Path, *endings: str) -> None:
    """Refuse a name that does not end as what is written: it is another file's, which would be gone.

    Raises
    ------
    FileError

    >>> refuse_other_ending("copolymer_b.toml", ".html", ".svg", ".png")
    Traceback (most recent call last):
    lenscalc.errors.FileError: copolymer_b.toml: .toml is not written here; use .html, .svg or .png
    """
    ending = path_of(path).suffix.lower()
    if ending not in endings:
        wanted = " or ".join(filter(None, (", ".join(endings[:-1]), endings[-1])))
        raise FileError(f"{path}: {ending or 'a name without an ending'} is not written here; use {wanted}")


def refuse_device(path: str | Path) -> None:
    """Refuse a device or a pipe where a file is to be written or its length be known: a whole file in its place would take it away from the system,
    and what reads a named pipe waits for its other end.

    Raises
    ------
    FileError
    """
    there = path_of(path)
    if there.exists() and not (there.is_file() or there.is_dir()):
        raise FileError(f"{path}: is a device or a pipe, and a file is wanted here; name one")


def _line_told(text: str, wrong: str) -> str:
    """The line that a parser could not read, for who does not know its words, and what people write otherwise than TOML does."""
    found = re.search(r"at line ([0-9]+)", wrong)
    if not found:
        return ""
    line = text.split("\n")[int(found[1]) - 1].strip()[:_LONG_LINE]
    return f": {line!r}; numbers have a decimal point and the keyboard's minus, texts its straight quotation marks, days look like 2026-11-20"


def tables_in(text: str, name: str, *, error: type[InputError] = InputError, parse_float: Callable[[str], Any] = float) -> dict[str, Any]:
    """The tables of a TOML text; what is none is told as `error`, with the place.

    >>> tables_in("wavelength: 589", "mine.toml")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    lenscalc.errors.InputError: mine.toml: not a TOML file: ...
    """
    if _LONG_KEY.search(text):
        raise error(f"{name}: a name with more than fifty points in it; no table here has such a one")
    try:
        return tomllib.loads(text, parse_float=parse_float)
    except ValueError as wrong:  # also a whole number of thousands of digits
        raise error(f"{name}: not a TOML file: {wrong}{_line_told(text, str(wrong))}") from None
    except RecursionError:
        raise error(f"{name}: brackets within brackets, too many to be read") from None
