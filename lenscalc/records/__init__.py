"""What a lab keeps: every determination with its readings, its settings and what came of it. Records are added, superseded, withdrawn, never changed.

The records of one store hang together by their hashes (`lenscalc.records.canonical`), so that what was changed, removed or put in between shows.
No field of a record asks for a person: neither a patient nor an eye.
"""

from lenscalc.records.again import Again, Difference
from lenscalc.records.check import Checked
from lenscalc.records.gather import Gathered
from lenscalc.records.history import HISTORY_SQL
from lenscalc.records.listing import Filter, Line
from lenscalc.records.opening import is_begun, open_copy, open_store
from lenscalc.records.record import Record
from lenscalc.records.series import SeriesPoint
from lenscalc.records.store import Store

__all__ = [
    "HISTORY_SQL", "Again", "Checked", "Difference", "Filter", "Gathered", "Line", "Record", "SeriesPoint", "Store", "is_begun", "open_copy",
    "open_store",
]  # fmt: skip
