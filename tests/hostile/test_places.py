"""Names that are no place for a result: a folder, a device, a pipe, the input itself, a link. Nothing that was there is lost, and nothing is replaced
that was no file. And the commands of the records where there is no room, or nothing may be written.
"""

import json
import os
import shlex
import shutil
import subprocess

import pytest
from called import ALONE, lenscalc
from small_disk import small_disk

from lenscalc.demo import demo_files
from lenscalc.records import open_store

pytestmark = pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes here")


@pytest.fixture(scope="module")
def data(tmp_path_factory):
    folder = tmp_path_factory.mktemp("places")
    for file in demo_files():
        (folder / file.name).write_bytes(file.read_bytes())
    done = lenscalc("batch", "candidates.csv", "done.csv", folder=folder)
    assert done.returncode == 0, done.stderr
    (folder / "plain.toml").write_text((folder / "pmma_published.toml").read_text(encoding="utf-8").partition("[lens]")[0], encoding="utf-8")
    with open_store(folder / "lab.db") as store:
        store.add_sheet((folder / "plain.toml").read_text(encoding="utf-8"), "plain.toml")
        store.export(folder / "lab.zip")
        (folder / "id").write_text(store.records()[0].id)
    return folder


def refusal(folder, *arguments):
    return one_line_of(lenscalc(*arguments, folder=folder))


def one_line_of(done):
    """What is said in the one line of a command that wrote nothing."""
    assert done.returncode in (1, 2), done.stdout
    (line,) = [line for line in done.stderr.splitlines() if line.strip()]
    assert "Traceback" not in line
    return line


WRITERS = {  # ending: the command, `{out}` the name of its result
    "csv": ("day", "day.csv", "{out}", "--shared", "day.toml"),
    "parquet": ("batch", "candidates.csv", "{out}"),
    "html": ("report", "plain.toml", "{out}"),
    "svg": ("rank", "done.csv", "--best", "abbe_d:high", "--chart", "{out}"),
    "xlsx": ("rank", "done.csv", "--best", "abbe_d:high", "--out", "{out}"),
}


@pytest.mark.parametrize("ending", WRITERS)
def test_a_pipe_or_a_device_stays_what_it_is(data, tmp_path, ending):
    out = tmp_path / f"out.{ending}"
    os.mkfifo(out)
    told = refusal(data, *(part.format(out=out) for part in WRITERS[ending]))
    assert "is a device or a pipe" in told
    assert out.is_fifo()
    assert [p.name for p in tmp_path.iterdir()] == [out.name]


@pytest.mark.parametrize("ending", ["csv", "html"])
def test_a_folder_of_that_name_and_a_link(data, tmp_path, ending):
    out, behind = tmp_path / f"out.{ending}", tmp_path / "behind"
    command = [part.format(out=out) for part in WRITERS[ending]]
    out.mkdir()
    assert "folder" in refusal(data, *command) or "directory" in refusal(data, *command)
    assert list(tmp_path.iterdir()) == [out]
    out.rmdir()
    behind.write_text("problem\nmine\n")  # a result, which may be written over
    out.symlink_to(behind)
    assert lenscalc(*command, folder=data).returncode == 0
    assert behind.read_text() == "problem\nmine\n"  # the name is the result's now; what it led to is as it was
    assert out.stat().st_size > behind.stat().st_size


def test_no_result_takes_the_place_of_what_it_comes_from(data, tmp_path):
    for name in ("candidates.csv", "done.csv", "day.csv", "day.toml", "plain.toml"):
        shutil.copy(data / name, tmp_path)
    (tmp_path / "same.html").symlink_to("plain.toml")
    before = {p.name: p.read_bytes() for p in tmp_path.iterdir()}
    for command in (
        ("batch", "candidates.csv", "candidates.csv"),
        ("rank", "done.csv", "--best", "abbe_d:high", "--out", "done.csv"),
        ("day", "day.csv", "day.toml", "--shared", "day.toml"),
        ("report", "plain.toml", "same.html"),
    ):
        assert any(word in refusal(tmp_path, *command) for word in ("overwrite", "is the sheet itself"))
    assert {p.name: p.read_bytes() for p in tmp_path.iterdir()} == before


READERS = {
    "batch": ("batch", "{pipe}.csv", "{out}"),
    "packed": ("batch", "{pipe}.csv.gz", "{out}"),
    "parquet": ("batch", "{pipe}.parquet", "{out}"),
    "workbook": ("batch", "{pipe}.xlsx", "{out}"),
    "check": ("batch", "{pipe}.csv", "--check"),
    "sweep": ("batch", "{pipe}.toml", "{out}"),
    "rank": ("rank", "{pipe}.csv", "--best", "abbe_d:high"),
    "import": ("records", "import", "{pipe}.zip", "--store", "{out}.db"),
    "part": ("batch", "{folder}", "{out}"),
    "polymer": ("polymer", "--file", "{pipe}.toml"),
    "sheet": ("follow", "{pipe}.toml"),
    "series": ("control", "{pipe}.csv"),
}


@pytest.mark.parametrize("reader", READERS)
def test_a_pipe_that_nobody_writes_to_is_refused_at_once(tmp_path, reader):
    names = {"pipe": tmp_path / "parts" / "pipe", "folder": tmp_path / "parts", "out": tmp_path / "out.csv"}
    command = [part.format(**names) for part in READERS[reader]]
    names["folder"].mkdir()
    os.mkfifo(next((part for part in command if part.startswith(f"{names['pipe']}.")), names["pipe"].with_suffix(".parquet")))
    done = subprocess.run([*ALONE, *command], capture_output=True, text=True, timeout=60, cwd=tmp_path)
    assert "is a device or a pipe, and a file is wanted here" in one_line_of(done)
    assert not names["out"].exists()


def test_a_pipe_of_the_standard_input_is_read_as_ever(tmp_path):
    table = "front_radius_mm,back_radius_mm,center_thickness_mm,n_lens\n15,-15,0.9,1.49\n"
    done = subprocess.run([*ALONE, "batch", "-", "-", "--compute", "power_D"], input=table, capture_output=True, text=True, timeout=60, cwd=tmp_path)
    assert done.stdout.splitlines()[1].startswith("15,-15,0.9,1.49,20.469")  # worked from Gullstrand's equation, by hand


@pytest.mark.skipif(shutil.which("bash") is None, reason="no bash here")
@pytest.mark.parametrize("text", ["<(cat copolymer_c.toml)", "/dev/stdin < copolymer_c.toml", "/dev/stdin < <(cat copolymer_c.toml)"])
def test_a_pipe_whose_writer_is_there_is_read_as_ever(data, text):
    command = f"{shlex.join([*ALONE, 'follow', '--json'])} {text}"
    done = subprocess.run(["bash", "-c", command], capture_output=True, text=True, timeout=60, cwd=data)
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)["n_lens"] == json.loads(lenscalc("follow", "--json", "copolymer_c.toml", folder=data).stdout)["n_lens"]


def test_a_store_is_no_pipe(data, tmp_path):
    os.mkfifo(tmp_path / "pipe.db")
    assert "is a device or a pipe" in refusal(data, "records", "add", "plain.toml", "--store", str(tmp_path / "pipe.db"))
    for what in ("merge", "import"):
        assert "no store" in (told := refusal(data, "records", what, "day.csv", "--store", str(tmp_path / "s.db"))) or "no zip file" in told or (
            "cannot be read as a store" in told
        )


RECORDS = {
    "add": ("add", "{data}/copolymer_b.toml", "--store", "{shelf}/lab.db"),
    "day": ("add", "{data}/few.csv", "--shared", "{data}/day.toml", "--store", "{shelf}/lab.db"),
    "withdraw": ("withdraw", "{id}", "--because", "by mistake", "--store", "{shelf}/lab.db"),
    "export": ("export", "{shelf}/out.zip", "--store", "{shelf}/lab.db"),
    "backup": ("backup", "{shelf}/out.db", "--store", "{data}/lab.db"),
}


@pytest.mark.parametrize("how", ["full", "read-only"])
def test_records_where_there_is_no_room_or_nothing_may_be_written(data, tmp_path, how):
    """One sentence each, and the store holds what it held."""
    (data / "few.csv").write_text("specimen,material,n\nA1,copolymer A,1.4712\nA2,copolymer A,1.4719\n", encoding="utf-8")
    with small_disk(tmp_path / "shelf", kilobytes=1024) as disk:

        def records(name):
            names = {"data": data, "shelf": disk.folder, "id": (data / "id").read_text()}
            return disk.run([*ALONE, "records", *(part.format(**names) for part in RECORDS[name])], env=os.environ | {"NO_COLOR": "1"})

        shutil.copy(data / "lab.db", disk.seen)
        if how == "full":
            disk.fill()
        else:
            disk.remount("ro")
        for name in RECORDS:
            told = one_line_of(records(name))
            said = ("room", "full", "No space") if how == "full" else ("may not be written", "Read-only", "unable to open")
            assert any(word in told for word in said), (name, told)
            assert {p.name for p in disk.seen.iterdir()} <= {"lab.db", "lab.db-wal", "lab.db-shm", "rest"}, name
        if how == "full":
            (disk.seen / "rest").unlink()
        else:
            disk.remount("rw")
        for part in disk.seen.glob("lab.db*"):
            shutil.copy(part, tmp_path)  # to look at it from outside: sqlite follows the links of the way in
        with open_store(tmp_path / "lab.db", create=False) as store:
            assert (store.count(), store.check().problems) == (1, ())
        done = records("add")
        assert done.returncode == 0, done.stderr  # room was made, and the same command does it
