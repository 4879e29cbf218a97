"""`lenscalc records` as a person calls it."""

import json
import subprocess
import sys

import pytest
from called import answer, lenscalc
from record_sheets import sheet

from lenscalc.cli.main import main
from lenscalc.demo import demo_text

COMMANDS = ("add", "withdraw", "list", "show", "history", "again", "check", "export", "import", "merge", "backup", "chart")


@pytest.fixture
def lab(tmp_path, monkeypatch):
    """A folder with two sheets, and a user's data folder of its own."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    (tmp_path / "b.toml").write_text(demo_text("copolymer_b.toml"), encoding="utf-8")
    (tmp_path / "plain.toml").write_text(sheet(), encoding="utf-8")
    return tmp_path


@pytest.fixture
def here(lab, capsys):
    """A command called in this process, for what a process of its own would only make slow: code, standard output, standard error."""

    def call(*args):
        with pytest.raises(SystemExit) as end:
            main(["records", *args])
        return (end.value.code, *capsys.readouterr())

    return call


def test_a_day_with_the_store(lab):
    assert "there is no store yet; `lenscalc records add SHEET.toml` begins one" in lenscalc("records", "list").stderr
    added = answer("records", "add", str(lab / "b.toml"), str(lab / "plain.toml"))
    assert (lab / "data" / "lenscalc" / "records.db").is_file()
    first, second = added["added"]
    assert (first["lot"], first["sheet_name"], second["power_D"]) == ("B-03", "b.toml", None)
    assert added["head"] == second["hash"]
    listed = answer("records", "list", "--material", "copolymer B")
    assert [r["id"] for r in listed["records"]] == [first["id"]]
    shown = answer("records", "show", first["id"])
    assert shown["lens"]["power_D"] == first["power_D"]
    assert "Not a medical device" in shown["caution"]
    text = lenscalc("records", "show", first["id"]).stdout
    assert "would conform if cut to these dimensions" in text
    assert "Not a medical device" in text
    assert lenscalc("records", "show", first["id"], "--sheet").stdout == demo_text("copolymer_b.toml")
    assert answer("records", "history", "B-03")["history"][0]["record"] == first["hash"]
    assert answer("records", "again", first["id"])["outcome"] == "the same bits"
    checked = answer("records", "check", "--head", added["head"])
    assert checked["problems"] == []
    assert {"warnings", "caution"} <= set(checked)


def test_superseding(lab, here):
    def ids(*args):
        code, out, _ = here(*args, "--json")
        assert code == 0
        answered = json.loads(out)
        return [r["id"] for r in answered.get("added", answered.get("records"))]

    (old,) = ids("add", str(lab / "plain.toml"))
    (lab / "right.toml").write_text(sheet(lot="A-02"), encoding="utf-8")
    code, _, said = here("add", str(lab / "right.toml"), "--supersedes", old)
    assert code == 2
    assert said == "lenscalc: a record that supersedes another says why, and only such a one: give --supersedes and --because together\n"
    (new,) = ids("add", str(lab / "right.toml"), "--supersedes", old, "--because", "the lot was mistyped")
    assert ids("list") == [new]
    assert ids("list", "--all") == [old, new]
    assert f"superseded by {new}: the lot was mistyped" in here("history", "A-01")[1]
    assert f"{old}, because the lot was mistyped" in here("show", new)[1]
    assert "superseded by" in here("show", old)[1]


def test_to_another_computer_and_back(lab, here):
    def answer(*args):
        code, out, said = here(*args[1:], "--json")
        assert (code, said) == (0, "")
        return json.loads(out)

    added = answer("records", "add", str(lab / "b.toml"))
    zipped, other = str(lab / "all.zip"), str(lab / "other.db")
    assert answer("records", "export", zipped)["records"] == 1
    assert answer("records", "import", zipped, "--store", other)["head"] == added["head"]
    answer("records", "add", str(lab / "plain.toml"), "--store", other)
    merged = answer("records", "merge", other)
    assert (merged["added"], merged["already_here"], merged["warnings"]) == (1, 1, [])
    assert answer("records", "merge", other)["added"] == 0
    assert answer("records", "backup", str(lab / "copy.db"))["is"] == "a store"
    assert answer("records", "check", "--store", str(lab / "copy.db"))["records"] == 2


def test_a_tampered_store_ends_with_code_1(lab):
    import sqlite3

    record = answer("records", "add", str(lab / "b.toml"))["added"][0]
    with sqlite3.connect(lab / "data" / "lenscalc" / "records.db") as raw:
        raw.execute("DROP TRIGGER decisions_never_update")
        raw.execute("UPDATE decisions SET verdict = 'would not conform'")
    raw.close()
    done = lenscalc("records", "check")
    assert done.returncode == 1
    assert f"record {record['id']}" in done.stdout
    assert "Something is no longer as it was added." in done.stdout
    assert lenscalc("records", "again", record["id"]).returncode == 1


WRONG = (
    (("show", "0123"), "record '0123': there is none in this store"),
    (("show", "x"), "record 'x': a record is called by the first 4 or more hexadecimal digits"),
    (("list", "--since", "yesterday"), "since = 'yesterday': must be a day, for example 2026-11-20"),
    (("add", "nothing.toml"), "nothing.toml: No such file"),
    (("merge", "nothing.db"), "nothing.db: there is no store"),
    (("import", "nothing.zip"), "nothing.zip: No such file"),
    (("list", "--store", "oracle://x"), "oracle: records are kept in a file"),
    (("check", "--head", "abc"), "head 'abc': give all 64 hexadecimal digits"),
)


def test_what_goes_wrong_is_said_in_one_line(lab, here):
    assert here("add", str(lab / "plain.toml"))[0] == 0
    for args, expected in WRONG:
        code, _, said = here(*args)
        assert code == 2
        assert expected in said
        assert said.count("\n") == 1


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_teaches_with_an_example(here, name):
    _, out, _ = here(name, "--help")
    assert f"lenscalc records {name}" in out
    assert "--json" in out
    assert "--store" in out


def test_no_database_is_on_the_way_of_another_command():
    code = "from lenscalc.cli.main import main\ntry:\n main(sys.argv[1:])\nexcept SystemExit: print(*sys.modules, file=sys.stderr)"
    for args in (["power", "--help"], ["records", "--help"]):
        done = subprocess.run([sys.executable, "-c", f"import sys\n{code}", *args], capture_output=True, text=True, check=True)
        assert not {"sqlalchemy", "alembic", "scipy", "pandas"} & set(done.stderr.split())
