"""A job of a page: in a process of its own, watched, stopped, and never half."""

import subprocess
import sys
import time

import numpy as np
import pytest
from shown import DEMO, EDITOR, LENSES, job_of, page, power

from lenscalc.web.table import batch_job, batch_process, save_results
from lenscalc.web.table.batch_job import Job
from lenscalc.web.table.batch_results import rows_of
from lenscalc.web.table.candidates_job import JOB
from lenscalc.web.table.save_results import written


@pytest.fixture
def demo_job():
    return Job("candidates.csv", DEMO.encode())


@pytest.fixture
def taking_long(monkeypatch):
    """Every job goes by a process, which does not come to its end before somebody ends it: it stops itself as it begins."""

    def started(folder):
        command = [sys.executable, "-m", "lenscalc.web.table.batch_process", str(folder)]
        return subprocess.Popen(["sh", "-c", 'kill -STOP $$; exec "$@"', "sh", *command], stdin=subprocess.DEVNULL)

    monkeypatch.setattr(batch_job, "_started", started)
    monkeypatch.setattr(batch_job, "AT_ONCE_S", -1.0)


def ended(job):
    until = time.monotonic() + 300
    while job.state == "running":
        job.look()
        assert time.monotonic() < until
        time.sleep(0.05)
    return job


def test_a_process_of_its_own_gives_the_same_and_tells_the_same(demo_job):
    job = ended(Job("candidates.csv", DEMO.encode(), expected_s=60))
    assert (job.state, job.rows, job.problems) == ("done", 6, 0)
    assert job.result.read_bytes() == demo_job.result.read_bytes()
    bad = ended(Job("x.csv", b"a;b\n1;2\n", expected_s=60))
    assert bad.state == "failed"
    assert bad.error == Job("x.csv", b"a;b\n1;2\n").error


def test_a_stopped_job_leaves_nothing(monkeypatch):
    job = Job("candidates.csv", DEMO.encode(), expected_s=60)
    job.stop()
    assert job.state == "stopped"
    assert job._process.poll() is not None
    assert not job.result.parent.parent.exists()
    job.look()
    assert job.state == "stopped"


def test_a_job_that_is_forgotten_ends_with_its_folder():
    job = Job("candidates.csv", DEMO.encode(), expected_s=60)
    process, folder = job._process, job.result.parent.parent
    del job
    assert process.poll() is not None
    assert not folder.exists()


def test_on_the_page_a_run_is_watched_stopped_and_begun_again(monkeypatch, demo_job, taking_long):
    at = page("a_file.py")
    assert not at.exception
    assert job_of(at).state == "running"
    assert not at.table
    job = job_of(at)
    at.button(key=f"stop {JOB}").click().run()
    assert job.state == "stopped"
    assert "Nothing is shown or saved of a half result" in at.info[0].value
    assert not at.table
    monkeypatch.setattr(batch_job, "AT_ONCE_S", 60.0)
    at.button(key=f"again {JOB}").click().run()
    assert job_of(at).state == "done"
    assert np.array_equal(power(at), rows_of(demo_job.result, ["power_D"])["power_D"])


def test_another_table_ends_the_run_of_the_one_before(taking_long):
    at = page("a_file.py")
    before = job_of(at)
    at.file_uploader(key="upload_candidates").set_value(("x.csv", (LENSES + "A,15,-15,0.9,1.49\n").encode(), "text/csv")).run()
    assert before.state == "stopped"
    job_of(at).stop()


def test_too_many_rows_for_a_page_are_told(monkeypatch):
    monkeypatch.setattr(batch_process, "MOST_ROWS", 5)
    job = Job("candidates.csv", DEMO.encode())
    assert job.state == "failed"
    assert "more than 5 rows: too many for a page; the command takes a file of any length" in job.error
    assert not job.result.exists()


def test_a_file_that_takes_long_is_prepared_on_a_click_and_for_this_table_alone(monkeypatch):
    monkeypatch.setattr(save_results, "AT_ONCE_S", -1.0)
    at = page("a_file.py")
    at.button(key=f"prepare {JOB} csv").click().run()
    assert not at.exception
    prepared = at.session_state[f"{JOB} csv"][1]
    assert prepared.read() == written(job_of(at), "results.csv")
    at.session_state[EDITOR] = {"edited_rows": {}, "added_rows": [], "deleted_rows": [5]}
    at.run()
    assert f"{JOB} csv" not in at.session_state
