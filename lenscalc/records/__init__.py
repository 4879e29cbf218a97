"""What a lab keeps: every determination with its readings, its settings and what came of it. Records are added and superseded, never changed.

The records of one store hang together by their hashes (`lenscalc.records.canonical`), so that what was changed, removed or put in between shows.
No field of a record asks for a person: neither a patient nor an eye.
"""

from lenscalc.records.record import Record
from lenscalc.records.store import Store, open_store

__all__ = ["Record", "Store", "open_store"]
