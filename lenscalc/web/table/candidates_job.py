"""The evaluation of the session's table of candidates: one job for the page of the table and for that of the ranking."""

from __future__ import annotations

from lenscalc.web.table.batch_job import Job
from lenscalc.web.table.job_watch import job_of
from lenscalc.web.table.table_source import Table
from lenscalc.web.table.table_wanted import Wanted

JOB = "candidates_job"


def candidates_job(table: Table, wanted: Wanted) -> Job:
    """The job that evaluates this table."""
    return job_of(
        JOB, table.name, table.data, expected_s=table.rows * (wanted.ms_a_row + 0.04) / 1000, compute=wanted.compute, constants=wanted.constants,
        separator=table.separator, decimal=table.decimal,
    )  # fmt: skip
