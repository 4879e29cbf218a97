"""How far a run is, in words."""

from __future__ import annotations


def line_of(done: int, total: int, per_second: float, what: str = "rows") -> str:
    """Rows, rate, and the time left where it can be told; `total` is 0 where it is unknown.

    >>> line_of(1_500_000, 6_000_000, 300_000.0)
    '1,500,000 of about 6,000,000 rows, 300,000 rows/s, 15 s left'
    >>> line_of(1_500_000, 0, 0.0)
    '1,500,000 rows'
    """
    text = f"{done:,} of about {total:,} {what}" if total else f"{done:,} {what}"
    if per_second > 0:
        text += f", {per_second:,.0f} {what}/s"
        if total:
            text += f", {_in_words(max(total - done, 0) / per_second)} left"
    return text


def _in_words(seconds: float) -> str:
    if seconds < 100:
        return f"{seconds:.0f} s"
    return f"{seconds / 60:.0f} min" if seconds < 6000 else f"{seconds / 3600:.1f} h"
