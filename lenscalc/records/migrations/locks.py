"""The triggers by which a store refuses to change or remove what it holds."""

from __future__ import annotations

from collections.abc import Sequence

REFUSAL = "records are added and superseded, never changed"
_FUNCTION = "lenscalc_refuse_change"


def statements(dialect: str, tables: Sequence[str]) -> list[str]:
    """The SQL that locks these tables, for sqlite or postgresql."""
    if dialect == "sqlite":
        return [
            f"CREATE TRIGGER {name_of(table, what)} BEFORE {what} ON {table} BEGIN SELECT RAISE(ABORT, '{REFUSAL}'); END"
            for table in tables for what in ("UPDATE", "DELETE")
        ]  # fmt: skip
    function = f"CREATE OR REPLACE FUNCTION {_FUNCTION}() RETURNS trigger AS $$ BEGIN RAISE EXCEPTION '{REFUSAL}'; END $$ LANGUAGE plpgsql"
    triggers = [
        f"CREATE TRIGGER {name_of(table, what)} BEFORE {what} ON {table} FOR EACH {row} EXECUTE FUNCTION {_FUNCTION}()"
        for table in tables for what, row in (("UPDATE", "ROW"), ("DELETE", "ROW"), ("TRUNCATE", "STATEMENT"))
    ]  # fmt: skip
    return [function, *triggers]


def name_of(table: str, what: str) -> str:
    """The name of one trigger.

    >>> name_of("lots", "UPDATE")
    'lots_never_update'
    """
    return f"{table}_never_{what.lower()}"
