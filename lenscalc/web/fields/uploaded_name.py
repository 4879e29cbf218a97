"""The name of a file that somebody uploads, as it can be shown in a line and written into a folder."""

from __future__ import annotations

from pathlib import Path, PurePosixPath

_LONGEST = 120  # signs; the systems' own limit is 255 bytes


def uploaded_name(name: str) -> str:
    """The last part of a name: what cannot be seen in it, or turns a line around, as `_`; a long one with its middle left out.

    >>> uploaded_name("a\\0b.csv"), uploaded_name("two\\nlines.csv"), uploaded_name("../<b>lot 7</b>.csv"), uploaded_name("..")
    ('a_b.csv', 'two_lines.csv', 'b>.csv', 'unnamed')
    """
    last = "".join(sign if sign.isprintable() else "_" for sign in Path(name).name)
    if last in ("", ".", ".."):
        return "unnamed"
    if len(last.encode()) <= _LONGEST:
        return last
    ending = PurePosixPath(last).suffix[-20:]
    return last.encode()[: _LONGEST - len(ending.encode()) - 3].decode(errors="ignore") + "…" + ending
