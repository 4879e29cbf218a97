"""A page without a browser, the table that is on it, and the lines of its panel typed in as they stand there."""

import csv
import io
import shlex
from pathlib import Path

from called import lenscalc as command
from streamlit.testing.v1 import AppTest

import lenscalc.web
from lenscalc.demo import demo_text
from lenscalc.web.batch_results import rows_of
from lenscalc.web.candidates_job import JOB

HOME = Path(lenscalc.web.__file__).parent
DEMO = demo_text("candidates.csv")
LENSES = "candidate,front_radius_mm,back_radius_mm,center_thickness_mm,n_lens\n"
EDITOR = "candidates_editor_0"


def page(file):
    at = AppTest.from_file(str(HOME / "entry.py"), default_timeout=60).run()
    return at.switch_page(str(HOME / "views" / file)).run()


def words(at):
    return "\n".join(str(m.value) for m in at.markdown)


def typed(line):
    """Run a command line; what comes after && too."""
    done = None
    for part in line.split("&&"):
        name, *arguments = shlex.split(part)
        assert name == "lenscalc"
        done = command(*arguments)
        assert done.returncode == 0, done.stderr
    return done


def panel(at):
    """The command and the Python lines of the panel."""
    return next(c.value for c in at.code if c.language == "bash"), next(c.value for c in at.code if c.language == "python")


def with_commas():
    """The demo as a spreadsheet of another country saves it."""
    rows = list(csv.reader(io.StringIO(DEMO)))
    return "\n".join(";".join(cell.replace(".", ",") if i else cell for i, cell in enumerate(row)) for row in rows) + "\n"


def uploaded(name, data):
    at = page("a_file.py")
    at.file_uploader(key="upload_candidates").set_value((name, data, "application/octet-stream")).run()
    assert not at.exception
    return at


def job_of(at):
    return at.session_state[JOB][1]


def power(at):
    return rows_of(job_of(at).result, ["power_D"])["power_D"]
