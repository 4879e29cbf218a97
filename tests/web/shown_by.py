"""What a page of a lecture shows, and the command and Python lines under it, run."""

import shlex
from pathlib import Path

from called import answer
from streamlit.testing.v1 import AppTest

import lenscalc.web

HOME = Path(lenscalc.web.__file__).parent


def page(file, **address):
    """A page, opened with these values in its address."""
    at = AppTest.from_file(str(HOME / "entry.py"), default_timeout=30).run().switch_page(str(HOME / "views" / file))
    for name, value in address.items():
        at.query_params[name] = str(value)
    return at.run()


def words(at):
    return "\n".join(str(m.value) for m in at.markdown)


def by_command(at):
    """The printed objects of the commands that the panel names."""
    return [answer(*shlex.split(line)[1:]) for line in code(at, "bash").splitlines()]


def by_python(at):
    """The value of the last line of the panel's Python, and the names it made."""
    *lines, last = code(at, "python").strip().splitlines()
    names = {}
    exec("\n".join(lines), names)
    return eval(last, names), names


def code(at, language):
    return next(c.value for c in at.code if c.language == language)
