"""The minus sign of a printed number, − or –, for the hyphen that numbers are typed with: what our own pages print can be pasted back."""

from __future__ import annotations

import re

_NUMBER = re.compile(r"[−–]([0-9]*[.,]?[0-9]+|[0-9]+[.,])([eE][+−–-]?[0-9]+)?")


def with_hyphen(text: str) -> str:
    """A number with a printed minus sign, with a hyphen; any other text as it is.

    >>> with_hyphen("−14,9"), with_hyphen("–2e−4"), with_hyphen("lot 3–4"), with_hyphen("−")
    ('-14,9', '-2e-4', 'lot 3–4', '−')
    """
    return text.replace("−", "-").replace("–", "-") if _NUMBER.fullmatch(text) else text
