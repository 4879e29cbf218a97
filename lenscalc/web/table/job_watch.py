"""A job on the page: started where its input has changed, watched while it runs, stopped on a click, and shown only when it is whole."""

from __future__ import annotations

import time
from typing import Any

import streamlit as st

from lenscalc.batch.progress_text import line_of
from lenscalc.web.shown.as_text import as_text
from lenscalc.web.table.batch_job import Job
from lenscalc.web.table.column_words import told_of_file

_EVERY_S = 0.5


def job_of(key: str, name: str, data: bytes, **settings: Any) -> Job:
    """The job of this session under a key: the one that is there, or a new one where input or settings are others; the old one is then ended."""
    asked = (name, settings)
    held: tuple[Any, Job] | None = st.session_state.get(key)
    if held is not None and held[0] == asked and held[1].data == data:
        return held[1]
    if held is not None:
        held[1].stop()
    job = Job(name, data, **settings)
    st.session_state[key] = (asked, job)
    return job


def is_whole(job: Job, key: str) -> bool:
    """Whether the result is there; if not, its progress with a way to stop it, or why there is none."""
    job.look()
    if job.state == "running":
        _progress(job, key)
    elif job.state == "stopped":
        st.info(f"Stopped after {job.rows:,} rows. Nothing is shown or saved of a half result.", icon=":material/info:")
        st.button("Compute again", on_click=_forget, args=(key,), key=f"again {key}")
    elif job.state == "failed":
        st.error(as_text(told_of_file(job.error)), icon=":material/error:")
    return job.state == "done"


@st.fragment(run_every=_EVERY_S)
def _progress(job: Job, key: str) -> None:
    job.look()
    if job.state != "running":
        st.rerun()
    passed_s = time.monotonic() - job.begun
    text = f"the first rows are on their way, {passed_s:.0f} s of perhaps {job.expected_s:.0f} s for all"
    if job.rows:
        text = line_of(job.rows, job.total, job.rows / passed_s)
    st.progress(min(job.rows / job.total, 1.0) if job.total else 0.0, text=f"Computing: {text}")
    if st.button("Stop", key=f"stop {key}", on_click=job.stop):
        st.rerun()


def _forget(key: str) -> None:
    st.session_state.pop(key, None)
