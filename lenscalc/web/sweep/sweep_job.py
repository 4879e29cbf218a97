"""The evaluation of the session's sweep: one job for its page and for that of the ranking."""

from __future__ import annotations

from lenscalc.web.table.batch_job import Job
from lenscalc.web.table.job_watch import job_of
from lenscalc.web.table.table_wanted import Wanted

JOB = "sweep_job"
NAME = "sweep.toml"


def sweep_job(text: str, rows: int, wanted: Wanted) -> Job:
    """The job that evaluates this design."""
    return job_of(
        JOB, NAME, text.encode(), expected_s=rows * (wanted.ms_a_row + 0.04) / 1000, compute=wanted.compute, constants=wanted.constants
    )
