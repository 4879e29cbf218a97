"""Names that no system can ask for, given to every public function that takes a file: the package's own error, a sentence, and nothing is written."""

import inspect
from importlib import import_module
from pathlib import Path

import pytest

from lenscalc import batch, charts, control, decision, material, records, refractometer, report
from lenscalc.batch.describe import write_template
from lenscalc.demo import demo_text
from lenscalc.errors import FileError
from lenscalc.own_file import read_text, refuse_device, write_whole
from lenscalc.refractometer.day import read_day
from lenscalc.refractometer.day_sheets import day_sheets

ROOMS = ("control", "material", "refractometer", "decision", "batch", "charts", "records", "report")
NAMES = {"zero character": "a\0b", "nothing but one": "\0", "half of a pair": "a\ud800b", "too long": "x" * 5000}


@pytest.fixture(scope="module")
def there(tmp_path_factory):
    """A folder with what the functions need beside the name: a table, a day's readings with what they share, a store."""
    folder = tmp_path_factory.mktemp("names")
    for name in ("candidates.csv", "day.csv", "day.toml"):
        (folder / name).write_text(demo_text(name), encoding="utf-8")
    with records.open_store(folder / "lab.db") as store:
        store.add_sheet(demo_text("copolymer_c.toml"))
    return folder


def copied(name):
    with records.open_copy(name):
        pass


def of_store(method):
    def called(name):
        with records.open_store("lab.db") as store:
            getattr(store, method)(name)

    return called


def saved_chart(name):
    charts.save_chart(charts.rank_bars(["A", "B"], [[0.75, 0.25], [0.25, 0.75]], width=300), name)


def saved_limits(name):
    limits = control.limits_from_toml(
        '[limits]\nkind = "individuals"\ncentre = 1.333\nsigma = 2e-5\npoints = 25\nfirst = "2026-01-05"\nlast = "2026-06-22"\n'
        'u_sigma_relative = 0.19\nmade_by = "lenscalc 0.1.0"\n'
    )
    control.save_limits(limits, name)


FUNCTIONS = {  # what is called, and the ending that the name has
    "read_limits": (control.read_limits, ".toml"),
    "read_series": (control.read_series, ".csv"),
    "save_limits": (saved_limits, ".toml"),
    "polymer": (lambda name: material.polymer("own", file=name), ".toml"),
    "polymers": (lambda name: material.polymers(file=name), ".toml"),
    "polymers, folder": (lambda name: material.polymers(folder=name), ""),
    "read_sheet": (refractometer.read_sheet, ".toml"),
    "read_day": (lambda name: read_day(name, {}), ".csv"),
    "day_sheets": (lambda name: day_sheets(name, "day.toml"), ".csv"),
    "day_sheets, shared": (lambda name: day_sheets("day.csv", name), ".toml"),
    "read_tolerance_table": (decision.read_tolerance_table, ".toml"),
    "check_batch": (batch.check_batch, ".csv"),
    "rank_file": (lambda name: batch.rank_file(name, [decision.Criterion("abbe_d", "high")]), ".csv"),
    "read_blocks": (lambda name: list(batch.read_blocks(name)), ".parquet"),
    "read_sweep": (batch.read_sweep, ".toml"),
    "run_batch, source": (lambda name: batch.run_batch(name, "out.csv"), ".csv"),
    "run_batch, bare source": (lambda name: batch.run_batch(name, "out.csv"), ""),
    "run_batch, target": (lambda name: batch.run_batch("candidates.csv", name), ".csv"),
    "run_batch, parts": (lambda name: batch.run_batch("candidates.csv", name, resume=True), "/"),
    "write_blocks": (lambda name: batch.write_blocks(name, [{"a": [1.0]}]), ".xlsx"),
    "write_template": (write_template, ".csv"),
    "save_chart": (saved_chart, ".svg"),
    "is_begun": (records.is_begun, ".db"),
    "open_copy": (copied, ".db"),
    "open_store": (lambda name: records.open_store(name).close(), ".db"),
    "open_store, URL": (lambda name: records.open_store(f"sqlite:///{name}").close(), ".db"),
    "Store.backup": (of_store("backup"), ".db"),
    "Store.export": (of_store("export"), ".zip"),
    "Store.import_file": (of_store("import_file"), ".zip"),
    "check_report_path": (report.check_report_path, ".pdf"),
    "write_report": (lambda name: report.write_report(report.determine(demo_text("copolymer_c.toml")), name), ".html"),
    "read_text": (read_text, ".toml"),
    "write_whole": (lambda name: write_whole(name, "text"), ""),
    "refuse_device": (refuse_device, ""),
}


@pytest.mark.parametrize("which", NAMES)
@pytest.mark.parametrize("function", FUNCTIONS)
def test_a_name_that_no_system_can_ask_for(there, monkeypatch, function, which):
    monkeypatch.chdir(there)
    call, ending = FUNCTIONS[function]
    before = sorted(there.rglob("*"))
    with pytest.raises(FileError) as told:
        call(NAMES[which] + ending)
    said = str(told.value)
    assert ("File name too long" if which == "too long" else "it holds a sign that none may hold") in said
    assert len(said) < 250
    assert said.isprintable()  # also where it could not be written as UTF-8
    assert sorted(there.rglob("*")) == before


def test_a_path_is_taken_as_a_text_is(there, monkeypatch):
    monkeypatch.chdir(there)
    with pytest.raises(FileError, match="it holds a sign that none may hold"):
        refractometer.read_sheet(Path("a\0.toml"))


def test_a_home_of_nobody(there):
    with pytest.raises(FileError, match="there is no home folder of that name"):
        records.open_store("~nobody_of_this_name/lab.db")


def test_no_public_function_that_takes_a_file_is_left_out():
    def takes_a_file(p):
        return "Path" in str(p.annotation) or (p.name in ("path", "source", "target", "folder") and str(p.annotation).startswith("str"))

    called = {name.partition(",")[0] for name in FUNCTIONS}
    found = set()
    for room in ROOMS:
        module = import_module(f"lenscalc.{room}")
        for name in module.__all__:
            member = getattr(module, name)
            inner = [(f"{name}.{n}", f) for n, f in vars(member).items() if not n.startswith("_")] if inspect.isclass(member) else [(name, member)]
            for full, f in inner:
                if inspect.isfunction(f) and any(takes_a_file(p) for p in inspect.signature(f).parameters.values()):
                    found.add(full)
    assert found
    assert found <= called
