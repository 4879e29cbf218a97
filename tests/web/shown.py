"""A page without a browser, and the lines of its panel typed in as they stand there."""

import shlex
from pathlib import Path

from called import lenscalc as command
from streamlit.testing.v1 import AppTest

import lenscalc.web

HOME = Path(lenscalc.web.__file__).parent


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
