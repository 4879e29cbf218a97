"""What holds for the package as a whole: rooms, names, docstrings."""

import ast
import importlib
import inspect
import re
import subprocess
import sys
from dataclasses import is_dataclass
from pathlib import Path

import pytest

import lenscalc
from lenscalc import evaluate, mtf, power_sensitivity, recut, thick_lens, trace
from lenscalc.quantities import DESIGN, INPUTS, QUESTIONS, RESULTS

PACKAGE = Path(lenscalc.__file__).parent
ROOMS = (  # each imports only from those before it
    "errors", "own_file", "own_table",
    "quantities", "conditions", "compiled", "uncertainty", "control", "light", "material", "refractometer", "lens", "eye",
    "decision", "chain",
    "batch", "charts", "records", "report", "worksheet", "verified", "verify", "demo", "notebook", "web", "cli",
)  # fmt: skip
FILES = sorted(PACKAGE.rglob("*.py"))


def room_of(path):
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def imported_rooms(path):
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            names = [f"lenscalc.{a.name}" for a in node.names] if node.module == "lenscalc" else [node.module or ""]
        else:
            continue
        yield from (name.split(".")[1] for name in names if name.startswith("lenscalc.") and name.split(".")[1] in ROOMS)


def test_every_file_belongs_to_a_room():
    assert {room_of(f) for f in FILES} - {"__init__"} <= set(ROOMS)


@pytest.mark.parametrize("path", [f for f in FILES if room_of(f) != "__init__"], ids=lambda f: str(f.relative_to(PACKAGE)))
def test_a_room_imports_only_from_those_above_it(path):
    own = ROOMS.index(room_of(path))
    assert [room for room in imported_rooms(path) if ROOMS.index(room) > own] == []


@pytest.mark.parametrize(
    ("code", "unwanted"),
    [
        ("import lenscalc", "numpy"),
        ("import lenscalc; lenscalc.thick_lens(15, -15, 0.9, 1.49)", "scipy pandas numba"),
        ("import lenscalc; lenscalc.power_sensitivity(15, -15, 0.9, 1.49)", "scipy pandas numba"),
    ],
)
def test_heavy_libraries_are_not_on_the_way(code, unwanted):
    seen = subprocess.run([sys.executable, "-c", f"{code}\nimport sys; print(*sys.modules)"], capture_output=True, text=True, check=True)
    assert not set(unwanted.split()) & set(seen.stdout.split())


def test_public_names_exist():
    for name in lenscalc.__all__:
        assert getattr(lenscalc, name).__name__ == name


def test_quantities_are_unique():
    names = [q.name for q in (*INPUTS, *QUESTIONS, *DESIGN, *RESULTS)]
    assert sorted(set(names)) == sorted(names)


@pytest.mark.parametrize("q", [*INPUTS, *QUESTIONS, *DESIGN, *RESULTS], ids=lambda q: q.name)
def test_a_quantity_is_whole(q):
    assert all((q.name, q.symbol, q.label, q.meaning))
    assert q.lower <= q.usual_lower < q.usual_upper <= q.upper
    assert q.decimals >= 0
    ending = next((e for e in ("_mm", "_nm", "_D", "_degC", "_per_K") if q.name.endswith(e) and "_per_mm" not in q.name), None)
    if ending and not q.name.startswith("d_power_d_"):
        assert q.unit == {"_mm": "mm", "_nm": "nm", "_D": "D", "_degC": "°C", "_per_K": "1/K"}[ending]


@pytest.mark.parametrize("name", [n for n in lenscalc.__all__ if inspect.isfunction(getattr(lenscalc, n)) and n not in ("follow", "read_sheet")])
def test_a_public_function_shows_an_example(name):
    assert ">>>" in inspect.getdoc(getattr(lenscalc, name))


@pytest.mark.parametrize("function", [thick_lens, power_sensitivity, evaluate, recut, trace, mtf], ids=lambda f: f.__name__)
def test_a_docstring_and_its_signature_are_of_one_mind(function):
    text = inspect.getdoc(function)
    sections = dict(re.findall(r"^(\w+)\n-+\n(.*?)(?=^\w+\n-+\n|\Z)", text, re.MULTILINE | re.DOTALL))
    assert {"Parameters", "Returns", "Raises", "Examples"} <= set(sections)
    lines = [line for line in sections["Parameters"].splitlines() if line and not line.startswith(" ")]
    named = [name.strip() for line in lines for name in line.split(" : ")[0].split(",")]
    assert named == list(inspect.signature(function).parameters)
    assert "InputError" in sections["Raises"]


@pytest.mark.parametrize("path", FILES, ids=lambda f: str(f.relative_to(PACKAGE)))
def test_no_path_of_somebodys_machine(path):
    assert not re.search(r"""["'](/home|/work|/tmp|/Users|[A-Z]:\\\\)""", path.read_text(encoding="utf-8"))


def dataclasses_of(rooms):
    for path in (f for room in rooms for f in sorted((PACKAGE / room).rglob("*.py"))):
        module = importlib.import_module(".".join(path.relative_to(PACKAGE.parent).with_suffix("").parts).removesuffix(".__init__"))
        yield from (c for c in vars(module).values() if isinstance(c, type) and is_dataclass(c) and c.__module__ == module.__name__)


def test_a_result_is_kept_as_it_was_given():
    """Nobody can change one afterwards; and arrays have no answer to ==, so that only what is made of words and numbers is compared by its value."""
    rooms = ROOMS[ROOMS.index("quantities") : ROOMS.index("batch")]
    found = list(dataclasses_of(r for r in rooms if (PACKAGE / r).is_dir()))
    assert len(found) > 40
    assert {c.__name__ for c in found if not c.__dataclass_params__.frozen} == {"Columns"}  # a table that its rows are written into
    assert {c.__name__ for c in found if c.__dataclass_params__.eq} == {"FrozenLimits", "ToleranceTable", "Form", "Quantity", "Source"}


def test_a_relative_accuracy_says_what_it_leaves_near_0():
    """`approx` takes 1e-12 beside a `rel` that stands alone: of what is smaller than that, nothing would be tested."""
    alone = []
    for path in Path(__file__).parent.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "attr", getattr(node.func, "id", "")) == "approx":
                given = {keyword.arg for keyword in node.keywords}
                alone += [f"{path.name}:{node.lineno}"] if "rel" in given and "abs" not in given else []
    assert alone == []
