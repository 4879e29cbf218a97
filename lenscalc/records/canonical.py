"""What a record's hash is taken of, and how a store's records hang together. None of it depends on the tables that hold them.

A record is a mapping of sections, each a mapping of named fields or a list of such mappings: `record` (kind, store, number, added_at_utc, previous,
supersedes, because, sheet_name, sheet_sha256, lenscalc, python, numpy, scipy, system, machine, processor), `tolerance`, `session`, `lists`,
`readings`, `corrections`, `index`, `steps`, `budget`, `dimensions`, `lens`, `decision`, `remarks`. One of kind `withdrawal` has `record` alone:
`supersedes` names the record that does not stand, `because` says why, and the sheet is that one's.

Its canonical text is JSON in UTF-8 with the keys sorted, without spaces, and nothing escaped that JSON does not ask for. A field that is null or
nan is left out, and so is an empty section: a field that a later version adds leaves the texts of older records as they were. A float is its
shortest text that reads back to the same bits (`repr`), −0 is 0.0, infinity "inf" or "-inf"; a whole number has no point; a day is 2026-11-20, a
time 2026-11-20T09:30:00.000000Z, in UTC. The hash is SHA-256 of that text, in hexadecimal digits, and it is the record's name.

A record names in `previous` the hashes of all records that nothing followed when it was added: usually the one before it; after a merge the last
one of every merged chain, so that the chains hang together again. `store` and `number` count the records that one store added: they run without a
gap, and the same number twice means that two copies of one store were both added to.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from math import inf, isnan
from typing import Any

Content = Mapping[str, Any]


def canonical_text(content: Content) -> str:
    """The text that a record's hash is taken of.

    >>> canonical_text({"index": {"u_n_lens": 1e-5, "n_lens": 1.49, "abbe_d": None, "dof_n_lens": float("inf")}, "remarks": []})
    '{"index":{"dof_n_lens":"inf","n_lens":1.49,"u_n_lens":1e-05}}'
    """
    return json.dumps(_plain(content), sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def hash_of(content: Content) -> str:
    """SHA-256 of the canonical text, in hexadecimal digits."""
    return sha256_of(canonical_text(content))


def sha256_of(text: str) -> str:
    """SHA-256 of a text in UTF-8, in hexadecimal digits.

    >>> sha256_of("abc")[:16]          # FIPS 180-2, appendix B.1
    'ba7816bf8f01cfea'
    """
    return hashlib.sha256(text.encode()).hexdigest()


def head_of(tips: Iterable[str]) -> str:
    """The head of a store: the hash of the one record that nothing follows; of several, right after a merge, that of their sorted list.

    Of a store without records it is the hash of the empty list.
    """
    ends = sorted(tips)
    return ends[0] if len(ends) == 1 else sha256_of(json.dumps(ends, separators=(",", ":")))


def _plain(value: Any) -> Any:
    if value is None or isinstance(value, str):  # most values, and asking for a mapping takes longer than all else
        return value
    if isinstance(value, float):
        if isnan(value):
            return None
        return {inf: "inf", -inf: "-inf"}.get(value, value + 0.0)
    if isinstance(value, Mapping):
        return {k: v for k, v in ((k, _plain(v)) for k, v in value.items()) if v is not None and v != {} and v != []}
    if isinstance(value, list | tuple):
        return [_plain(v) for v in value]
    return value
