"""A text file that somebody wrote, read with a sentence for whatever is wrong with it as a file; and one that is written whole or not at all."""

from __future__ import annotations

import os
import tomllib
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any

from lenscalc.errors import FileError, InputError


def read_text(source: str | Path | Traversable, name: str | None = None, *, kind: str = "UTF-8") -> str:
    """The text of a file, with or without a byte order mark; `name` stands in the messages, `kind` is what a program calls the right way to save.

    Raises
    ------
    FileError
        if the file is not there, or is not UTF-8 text.
    """
    path = Path(source) if isinstance(source, str) else source
    try:
        return path.read_bytes().decode("utf-8-sig")
    except OSError as error:
        raise FileError(f"{name or path}: {error.strerror or error}") from None
    except UnicodeDecodeError:
        raise FileError(f"{name or path}: not UTF-8 text; save the file as {kind}") from None


def write_whole(path: str, text: str) -> None:
    """Write a text as UTF-8; the file appears under its name only when it is whole.

    Raises
    ------
    FileError
        for a folder that is not there, or a disk that does not take it.
    """
    part = Path(f"{path}.part")
    try:
        part.write_text(text, encoding="utf-8")
        os.replace(part, path)
    except OSError as error:
        raise FileError(f"{path}: {error.strerror or error}") from None
    finally:
        part.unlink(missing_ok=True)


def tables_in(text: str, name: str, *, error: type[InputError] = InputError) -> dict[str, Any]:
    """The tables of a TOML text; what is none is told as `error`, with the place.

    >>> tables_in("wavelength: 589", "mine.toml")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    lenscalc.errors.InputError: mine.toml: not a TOML file: ...
    """
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as wrong:
        raise error(f"{name}: not a TOML file: {wrong}") from None
