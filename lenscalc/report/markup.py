"""HTML out of nested pieces: whatever is text is escaped, so that nothing that somebody wrote can become markup."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape


class Markup(str):
    """A text that is HTML already; every other text is escaped where it is put in."""

    __slots__ = ()


Piece = str | Iterable[str] | None  # a Markup is a str too, and an iterable holds one or many of either


def tag(name: str, *pieces: Piece, **attributes: str) -> Markup:
    """An element with its pieces. `class_` stands for class, `aria_label` for aria-label.

    >>> tag("p", "a < b", tag("b", "&"), class_="small")
    '<p class="small">a &lt; b<b>&amp;</b></p>'
    """
    given = "".join(f' {key.rstrip("_").replace("_", "-")}="{escape(value)}"' for key, value in attributes.items())
    return Markup(f"<{name}{given}>{joined(*pieces)}</{name}>")


def joined(*pieces: Piece) -> Markup:
    """Pieces one after the other; None is nothing.

    >>> joined("<", None, [Markup("<br>"), ">"])
    '&lt;<br>&gt;'
    """
    made = []
    for piece in pieces:
        for one in [piece] if isinstance(piece, str) else piece or []:
            made.append(one if isinstance(one, Markup) else escape(one))
    return Markup("".join(made))
