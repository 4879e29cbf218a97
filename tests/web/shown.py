"""A page without a browser, what it shows, and the command and Python lines of its panel typed in as they stand there."""

import csv
import io
import shlex
from pathlib import Path

from called import answer
from called import lenscalc as command
from streamlit.testing.v1 import AppTest

import lenscalc.web
from lenscalc.demo import demo_text
from lenscalc.web.shown.computed import OPEN
from lenscalc.web.table.batch_results import rows_of
from lenscalc.web.table.candidates_job import JOB

HOME = Path(lenscalc.web.__file__).parent
DEMO = demo_text("candidates.csv")
LENSES = "candidate,front_radius_mm,back_radius_mm,center_thickness_mm,n_lens\n"
EDITOR = "candidates_editor_0"


def page(file, **address):
    """A page, opened with these values in its address."""
    at = AppTest.from_file(str(HOME / "entry.py"), default_timeout=600).run().switch_page(str(HOME / "views" / file))
    for name, value in address.items():
        at.query_params[name] = str(value)
    return at.run()


def words(at):
    return "\n".join(str(m.value) for m in at.markdown)


def opened(at):
    """The page with its panel open, which is filled only then."""
    at.session_state[OPEN] = True
    return at.run()


def code(at, language):
    return next(c.value for c in opened(at).code if c.language == language)


def panel(at):
    """The command and the Python lines of the panel."""
    return code(at, "bash"), code(at, "python")


def typed(line):
    """Run a command line; what comes after && too."""
    done = None
    for part in line.split("&&"):
        name, *arguments = shlex.split(part)
        assert name == "lenscalc"
        done = command(*arguments)
        assert done.returncode == 0, done.stderr
    return done


def by_command(at):
    """The printed objects of the commands that the panel names."""
    return [answer(*shlex.split(line)[1:]) for line in code(at, "bash").splitlines()]


def by_python(at):
    """The value of the last line of the panel's Python, and the names it made."""
    *lines, last = code(at, "python").strip().splitlines()
    names = {}
    exec("\n".join(lines), names)
    return eval(last, names), names


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
