"""What the README says under Security, read in the source."""

import ast
import re
from pathlib import Path

import pytest

import lenscalc

PACKAGE = Path(lenscalc.__file__).parent
ROOT = Path(__file__).parents[2]
FILES = sorted(PACKAGE.rglob("*.py"))
RUNS_TEXT = {"eval", "exec", "compile", "__import__"}
RUNS_PROGRAMS = {"subprocess", "pty", "ctypes", "cffi"}
UNPACKS_OBJECTS = {"pickle", "marshal", "shelve", "dill", "cloudpickle", "joblib", "yaml"}
CALLED = {"system", "popen", "fork", "read_pickle", "to_pickle"}
CONNECTS = {"socket", "ssl", "http", "urllib", "ftplib", "smtplib", "requests", "httpx", "aiohttp", "websockets"}
# (file, name): why it may stand there
ALLOWED: dict[tuple[str, str], str] = {
    ("records/made_by.py", "platform.system"): "asks for the system's name; runs nothing",
    ("cli/app.py", "socket"): "tries which port of this machine is free, and lets it go; connects to nothing",
    ("web/table/batch_job.py", "subprocess"): "a long table in a process of its own, so that it can be stopped; our own module, no shell",
    ("web/fields/written_numbers.py", "unsafe_allow_javascript=True"): "one fixed script of ours; nothing that anybody wrote is in it",
    ("web/shown/mended_frame.py", "unsafe_allow_javascript=True"): "fixed scripts of ours; nothing that anybody wrote is in them",
    ("batch/cluster.py", "pickle"): "blocks to the workers of a scheduler that the user named; what comes back is bytes of a result and counts",
}


def found_in(path):
    """Names of what runs, unpacks or connects in a file."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name.split(".")[0] for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield (node.module or "").split(".")[0]
        elif isinstance(node, ast.Call):
            of = node.func
            if isinstance(of, ast.Name) and of.id in RUNS_TEXT:
                yield of.id
            if isinstance(of, ast.Attribute) and of.attr in CALLED and isinstance(of.value, ast.Name):
                yield f"{of.value.id}.{of.attr}"
            for word in node.keywords:
                given = word.value.value if isinstance(word.value, ast.Constant) else None
                if word.arg in ("shell", "allow_pickle", "unsafe_allow_html", "unsafe_allow_javascript") and given is True:
                    yield f"{word.arg}=True"


@pytest.mark.parametrize("path", FILES, ids=lambda f: str(f.relative_to(PACKAGE)))
def test_the_source_runs_no_text_no_program_unpacks_no_objects_and_opens_no_connection(path):
    bad = RUNS_TEXT | RUNS_PROGRAMS | UNPACKS_OBJECTS | CONNECTS
    seen = {name for name in found_in(path) if name in bad or "." in name or "=" in name}
    assert {name for name in seen if (str(path.relative_to(PACKAGE)), name) not in ALLOWED} == set()


def test_the_reader_of_the_source_sees_what_it_looks_for(tmp_path):
    """A search that finds nothing anywhere proves nothing."""
    for text, name in (
        ("eval('1')", "eval"), ("import pickle", "pickle"), ("from urllib.request import urlopen", "urllib"),
        ("import os; os.system('ls')", "os.system"),
        ("run('ls', shell=True)", "shell=True"), ("np.load(f, allow_pickle=True)", "allow_pickle=True"), ("st.html(x, unsafe_allow_javascript=True)",
        "unsafe_allow_javascript=True"), ("import concurrent.futures, subprocess", "subprocess"),
    ):  # fmt: skip
        path = tmp_path / "one.py"
        path.write_text(text, encoding="utf-8")
        assert name in set(found_in(path)), text


def test_what_is_imported_by_name_is_ours_or_named_in_the_source():
    """`import_module` takes no text from outside: its argument is a constant, or a constant beginning."""
    for path in FILES:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "import_module":
                given = node.args[0]
                text = given.value if isinstance(given, ast.Constant) else ast.unparse(given)
                assert re.match(r"(f['\"])?(lenscalc\.|rdkit\.)", text), f"{path}: import_module({text})"


def test_the_lock_names_versions_and_no_place():
    lock = ROOT / ".ci" / "lock.txt"
    if not lock.exists():
        pytest.skip("no lock in this copy")
    lines = [line for line in lock.read_text(encoding="utf-8").splitlines() if line and not line.startswith("#")]
    assert lines
    assert [line for line in lines if not re.fullmatch(r"[A-Za-z0-9._-]+==[A-Za-z0-9.+!_-]+", line)] == []
