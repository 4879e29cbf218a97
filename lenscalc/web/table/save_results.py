"""The result taken away as CSV, Parquet or Excel: the very bytes that the command writes for the same input."""

from __future__ import annotations

from pathlib import Path

import streamlit as st

from lenscalc.web.shown.note import note
from lenscalc.web.table.batch_job import AT_ONCE_S, Job
from lenscalc.web.table.job_watch import is_whole, job_of

EXCEL_ROWS = 100_000
MIME = {
    "csv": "text/csv", "parquet": "application/vnd.apache.parquet", "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}  # fmt: skip
WORDS = {"csv": "CSV", "parquet": "Parquet", "xlsx": "Excel"}
_MS_A_ROW = {"csv": 0.07, "parquet": 0.04, "xlsx": 0.9}  # as measured on one core, for an estimate of the time alone


def save_results(job: Job, key: str, stem: str, ms_a_row: float) -> None:
    """Three ways to take the whole result away; one that takes long is prepared on a click first, with its progress.

    Parameters
    ----------
    job : Job
        with its result.
    key, stem : str
        of the session, and of the file's name.
    ms_a_row : float
        what computing a row costs, without writing it.
    """
    for column, ending in zip(st.columns(3), WORDS, strict=True):
        with column:
            _one(job, f"{key} {ending}", f"{stem}.{ending}", ending, job.rows * (ms_a_row + _MS_A_ROW[ending]) / 1000)


def _one(job: Job, key: str, name: str, ending: str, expected_s: float) -> None:
    words = f"Save as {WORDS[ending]}"
    if ending == "parquet":
        st.download_button(words, job.read, name, mime=MIME[ending], on_click="ignore", key=f"save {key}", width="stretch")
    elif ending == "xlsx" and job.rows > EXCEL_ROWS:
        note(f"Excel takes long beyond {EXCEL_ROWS:,} rows: take another, or the command.")
    elif expected_s <= AT_ONCE_S:
        st.download_button(
            words, lambda: written(job, name), name, mime=MIME[ending], on_click="ignore", key=f"save {key}", width="stretch"
        )
    elif not _is_asked(key, job) and not st.button(f"Prepare {WORDS[ending]}", key=f"prepare {key}", width="stretch"):
        note(f"About {expected_s:.0f} s.")
    else:
        prepared = job_of(key, job.name, job.data, **job.settings, expected_s=expected_s, result=name)
        if is_whole(prepared, key):
            st.download_button(
                words, prepared.read, name, mime=MIME[ending], on_click="ignore", key=f"save {key}", width="stretch"
            )


def _is_asked(key: str, job: Job) -> bool:
    """Whether this very result is being prepared or has been; what was prepared of another is dropped."""
    held = st.session_state.get(key)
    if held is not None and (held[1].data is not job.data or held[1].settings != job.settings):
        held[1].stop()
        del st.session_state[key]
    return key in st.session_state


def written(job: Job, name: str) -> bytes:
    """The job's input evaluated into a file of this name, and its bytes."""
    return Job(job.name, job.data, **job.settings, result=Path(name).name).read()
