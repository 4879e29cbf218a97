"""A text that somebody wrote, for a place that reads Markdown: shown as it was written, no sign of it becomes a picture, markup or a formula."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import pandas as pd

# an underscore within a word, a colon before a space and a bracket alone are no signs of Markdown's
_SIGNS = re.compile(r"([\\`*<>~$#]|(?<!\w)_|_(?!\w)|:(?=[A-Za-z])|!(?=\[)|(?<=\])\(|&(?=[#A-Za-z]))")


def as_text(text: str) -> str:
    r"""The text in one line, with every sign that Markdown reads set back to itself.

    >>> print(as_text("lot *7* ![x](y) of u_n_lens"))
    lot \*7\* \![x]\(y) of u_n_lens
    """
    return _SIGNS.sub(r"\\\1", " ".join(text.splitlines()))


def plain_table(frame: pd.DataFrame) -> pd.DataFrame:
    """The table with its texts, its names of rows and of columns as they were written: a table on a page reads Markdown in all three."""

    def plain(value: Any) -> Any:
        return as_text(value) if isinstance(value, str) else value

    return frame.map(plain).rename(index=plain, columns=plain)
