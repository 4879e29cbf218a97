"""Revision 0002: what the last bits of a result depend on beside numpy: scipy, and what the processor can do. Unknown for older records."""

from __future__ import annotations

from alembic import op
from sqlalchemy import Column, Text

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """Add the columns; a record without them keeps its canonical text, and so its hash."""
    op.add_column("records", Column("scipy", Text))
    op.add_column("records", Column("processor", Text))
