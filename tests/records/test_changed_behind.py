"""A store that somebody changed with another program: no command shows it as if nothing were, and none ends in a traceback."""

import json

import pytest
from record_sheets import sheet
from sqlalchemy import text

from lenscalc.cli.main import main
from lenscalc.errors import FileError
from lenscalc.records import open_store

TEXT_FOR_A_NUMBER = "UPDATE index_results SET n_lens = 'about 1.5' WHERE record_id = 1"  # only a file takes it
CHANGED = "this record was changed after it was added: its content no longer gives its hash; do not use it"


def behind(place, *statements):
    """Run statements without triggers and foreign keys, and put the triggers back."""
    with open_store(place) as store, store.database.engine.connect() as connection:
        raw = connection.connection.driver_connection
        raw.execute("PRAGMA foreign_keys = OFF")
        locks = raw.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
        for name, _ in locks:
            raw.execute(f"DROP TRIGGER {name}")
        for statement in statements:
            connection.execute(text(statement))
        connection.commit()
        for _, sql in locks:
            raw.execute(sql)


@pytest.fixture
def lab(tmp_path):
    """A store with a record; its place and the record's name."""
    with open_store(tmp_path / "store.db") as store:
        return str(tmp_path / "store.db"), store.add_sheet(sheet()).id


@pytest.fixture
def here(lab, capsys):
    """A command called in this process on that store: code, standard output, standard error."""

    def call(*args):
        with pytest.raises(SystemExit) as end:
            main([*args, "--store", lab[0]])
        return (end.value.code, *capsys.readouterr())

    return call


def test_a_changed_number_is_shown_as_changed(lab, here):
    place, name = lab
    assert here("records", "show", name)[0] == 0
    behind(place, "UPDATE index_results SET n_lens = 1.6")
    code, out, _ = here("records", "show", name)
    assert code == 1
    assert CHANGED in " ".join(out.split()).replace("This", "this")
    code, out, _ = here("records", "show", name, "--json")
    assert code == 1
    assert json.loads(out)["warnings"][0].startswith(CHANGED)


def test_what_comes_out_otherwise_on_the_same_machine_says_what_to_look_at(lab, here):
    place, name = lab
    behind(place, "UPDATE index_results SET n_lens = 1.6")
    code, out, _ = here("records", "again", name)
    assert code == 1
    assert "was the store changed? `lenscalc records check` looks" in " ".join(out.split())


@pytest.mark.parametrize("command", [("records", "show", "--sheet"), ("records", "again")])
@pytest.mark.parametrize(
    ("statement", "told"),
    [
        ("UPDATE sheets SET text = replace(text, '1.4', '1.5')", "the text of its sheet was changed after it was added"),
        ("UPDATE sheets SET text = text || '# nothing but a remark'", "the text of its sheet was changed after it was added"),
        ("DELETE FROM sheets", "was removed from the store"),
    ],
)
def test_a_changed_sheet_is_not_given_out_for_the_one_that_was_kept(lab, here, command, statement, told):
    place, name = lab
    behind(place, statement)
    code, out, error = here(*command, name)
    assert (code, out) == (2, "")
    assert told in error
    assert "take it from the last backup or export" in error


def test_an_export_that_would_be_refused_later_is_refused_at_once(lab, here, tmp_path):
    place, name = lab
    behind(place, "UPDATE index_results SET n_lens = 1.6")
    code, _, error = here("records", "export", str(tmp_path / "all.zip"))
    assert code == 2
    assert f"record {name} was changed after it was added: an export that holds it would be refused where it is taken in" in error
    assert not list(tmp_path.glob("all.zip*"))


@pytest.mark.parametrize(
    "statement",
    [
        TEXT_FOR_A_NUMBER,
        "UPDATE index_results SET n_lens = NULL",
        "DELETE FROM index_results",
        "DELETE FROM readings",
        "DELETE FROM reading_lists",
        "UPDATE sessions SET read_on = '2026-13-45'",
        "UPDATE records SET added_at_utc = 'noon'",
    ],
)
def test_what_no_longer_reads_is_one_sentence_whoever_asks(lab, here, tmp_path, statement):
    place, name = lab
    behind(place, statement)
    outcomes = [
        here(*command)
        for command in (
            ("records", "show", name), ("records", "export", str(tmp_path / "all.zip")), ("report", name, str(tmp_path / "out.html")),
            ("records", "chart", "--material", "copolymer A"), ("records", "list"), ("records", "history", "A-01"),
        )
    ]  # fmt: skip
    assert [code in (1, 2) for code, _, _ in outcomes[:4]] == [True] * 4
    assert all(error.startswith("lenscalc: ") for code, _, error in outcomes if code == 2)
    if "DELETE" not in statement:  # a line of a list shows nothing of readings; a history goes from table to table
        assert [code for code, _, _ in outcomes[4:]] == [2, 2]


def test_a_number_that_is_text_does_not_end_the_check(lab, here):
    behind(lab[0], "UPDATE records SET number = 'first'")
    code, out, _ = here("records", "check")
    assert code == 1
    assert "it holds a value that its column cannot hold" in " ".join(out.split())


def test_an_error_of_ones_own_in_a_whole_store_is_left_as_it_is(lab):
    with pytest.raises(KeyError, match="mine"), open_store(lab[0]):
        raise KeyError("mine")
    behind(lab[0], TEXT_FOR_A_NUMBER)
    with pytest.raises(FileError, match=r"is not as it was written: record .* holds a value that its column"), open_store(lab[0]) as store:
        store.records()
