"""What the README shows is what one gets."""

import doctest
import re
import subprocess
import sys
from pathlib import Path

import pytest

README = Path(__file__).parents[1] / "README.md"


@pytest.fixture(scope="module")
def text():
    return README.read_text(encoding="utf-8")


def test_the_python_session_runs(text):
    session = doctest.DocTestParser().get_doctest(re.sub(r"^    ", "", text, flags=re.M), {}, "README", str(README), 0)
    result = doctest.DocTestRunner(optionflags=doctest.NORMALIZE_WHITESPACE).run(session)
    assert result.attempted >= 4
    assert result.failed == 0


def test_the_printed_output_is_the_real_one(text, tmp_path):
    shown = re.search(r"follow trial/pmma_published\.toml\n(.*?)\nThe reading itself", text, flags=re.S).group(1)
    code = "from lenscalc.cli.main import main; main()"
    for args in (["demo", "trial"], ["follow", "trial/pmma_published.toml"]):
        done = subprocess.run([sys.executable, "-c", code, *args], cwd=tmp_path, capture_output=True, text=True, check=True)
    real = [line.rstrip() for line in done.stdout.strip("\n").splitlines()]
    assert [line.removeprefix("    ").rstrip() for line in shown.strip("\n").splitlines()] == real


def test_every_command_of_the_readme_exists(text):
    from lenscalc.cli.main import COMMANDS

    assert set(re.findall(r"`lenscalc (\w+)", text)) <= {*COMMANDS, "COMMAND"}
