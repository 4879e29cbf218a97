"""Runs killed at every boundary of a block and in between go on to the identical bytes."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from batch_files import old_result

from lenscalc.batch import run_batch
from lenscalc.errors import InputError

HEADER = "front_radius_mm,back_radius_mm,center_thickness_mm,n_lens,note_lot"
BLOCKS, ROWS = 3, 5

# A child of its own for every way to be killed: forked before any library has started a thread, but read in once for all.
DRIVER = """
import json, os, signal, sys
import pandas, pyarrow.parquet
import lenscalc.batch.evaluating as evaluating
import lenscalc.batch.run as run
import lenscalc.batch.unfinished as unfinished
from pathlib import Path

source, target, rows, old = sys.argv[1], sys.argv[2], int(sys.argv[3]), json.loads(sys.argv[4])

def die(): os.kill(os.getpid(), signal.SIGKILL)

def counted(n, function, before=True):
    seen = [0]
    def wrapped(*args, **kwargs):
        seen[0] += 1
        if before and seen[0] == n: die()
        out = function(*args, **kwargs)
        if not before and seen[0] == n: die()
        return out
    return wrapped

def torn(self, entry):
    with (self.folder / "journal").open("a") as journal:
        journal.write(json.dumps(entry)[:-3])
    die()

def half_written(n, add):
    def wrapped(self, entry):
        seen.append(entry)
        if len(seen) == n:
            path = self.result if self.result.is_file() else max(self.result.iterdir())
            with path.open("r+b") as file:
                file.truncate(path.stat().st_size - entry.length // 2)
            die()
        add(self, entry)
    seen = []
    return wrapped

def child(work):
    pid = os.fork()
    if pid == 0:
        try:
            work()
        except BaseException as error:
            print(repr(error), file=sys.stderr)
            os._exit(3)
        os._exit(0)
    return os.waitpid(pid, 0)[1]

def go(resume, on_progress=None):
    run.run_batch(source, target, block_rows=rows, resume=resume, on_progress=on_progress)

def killed(how, n):
    def work():
        if how == "boundary": go(True, counted(n, lambda *_: None))
        if how == "computing": evaluating.evaluate_block = counted(n, evaluating.evaluate_block)
        if how == "before the journal": unfinished.Unfinished.add = counted(n, unfinished.Unfinished.add)
        if how == "torn journal":
            add, seen = unfinished.Unfinished.add, []
            def maybe(self, entry):
                seen.append(1)
                (torn if len(seen) == n else add)(self, entry)
            unfinished.Unfinished.add = maybe
        if how == "half a block": unfinished.Unfinished.add = half_written(n, unfinished.Unfinished.add)
        if how == "before a rename": os.replace = counted(n, os.replace)
        if how == "after a rename": os.replace = counted(n, os.replace, before=False)
        go(True)
    return work

def content(path):
    path = Path(path)
    if path.is_dir():
        return {p.name: p.read_bytes().hex() for p in path.iterdir()}
    return path.read_bytes().hex() if path.exists() else None

assert child(lambda: go(False)) == 0
whole = content(target)
told = content(target + ".json")
count = 0
for how in ("boundary", "computing", "before the journal", "torn journal", "half a block", "before a rename", "after a rename"):
    for n in range(1, 4):
        if Path(target).is_dir():
            for p in Path(target).iterdir(): p.unlink()
            Path(target).rmdir()
        elif old: Path(target).write_bytes(bytes.fromhex(old))
        else: Path(target).unlink()
        before = content(target)
        status = child(killed(how, n))
        if status == 0: continue  # fewer renames than this
        assert os.WIFSIGNALED(status) and os.WTERMSIG(status) == 9, (how, n, status)
        if how not in ("before a rename", "after a rename"): assert content(target) == before, (how, n)
        assert content(target) in (before, whole), (how, n)
        assert child(lambda: go(True)) == 0, (how, n)
        assert content(target) == whole, (how, n)
        assert content(target + ".json") == told, (how, n)
        assert not Path(target.rstrip("/") + ".unfinished").exists(), (how, n)
        count += 1
print(count)
"""


def table(tmp_path, rows=BLOCKS * ROWS):
    path = tmp_path / "in.csv"
    path.write_text(HEADER + "\n" + "".join(f"{10 + i},-{10 + i},0.9,{1.49 if i % 7 else 14.9},lot {i}\n" for i in range(rows)), encoding="utf-8")
    return str(path)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="children are forked")
@pytest.mark.parametrize("name", ["out.csv", "out.csv.gz", "out.parquet", "out/"])
def test_a_run_killed_anywhere_goes_on_to_the_identical_bytes(tmp_path, name):
    old = "" if name.endswith("/") else old_result(tmp_path / f"old-{name}").hex()
    arguments = [table(tmp_path), str(tmp_path) + "/" + name, str(ROWS), json.dumps(old)]
    done = subprocess.run([sys.executable, "-c", DRIVER, *arguments], capture_output=True, text=True, timeout=600)
    assert done.returncode == 0, done.stderr
    assert int(done.stdout) >= 5 * BLOCKS  # each of five ways at each of four blocks, and some renames


def stopped(tmp_path, target, **options):
    def stop(done, total):
        if done >= 2 * ROWS:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        run_batch(table(tmp_path), target, block_rows=ROWS, on_progress=stop, **options)


def test_a_run_goes_on_behind_the_finished_blocks(tmp_path):
    target = str(tmp_path / "out.csv")
    stopped(tmp_path, target)
    done = run_batch(table(tmp_path), target, block_rows=ROWS, resume=True)
    assert (done.rows, done.problems, done.resumed) == (15, 3, 10)
    whole = str(tmp_path / "whole.csv")
    assert run_batch(table(tmp_path), whole, block_rows=ROWS)[:2] == (15, 3)
    assert Path(target).read_bytes() == Path(whole).read_bytes()


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"compute": ("power_D",)}, "settings compute"),
        ({"constants": {"n_medium": "1.335"}}, "settings constants"),
        ({"block_rows": 7}, "settings block_rows: 5 then, 7 now"),
    ],
)
def test_other_settings_do_not_go_on(tmp_path, changed, told):
    target = str(tmp_path / "out.csv")
    stopped(tmp_path, target)
    with pytest.raises(InputError, match=told):
        run_batch(table(tmp_path), target, **{"block_rows": ROWS, "resume": True, **changed})
    assert run_batch(table(tmp_path), target, block_rows=ROWS, resume=True).resumed == 10  # the refusal has cost nothing


def test_a_changed_input_does_not_go_on_and_begins_anew_without_resume(tmp_path):
    target = str(tmp_path / "out.csv")
    stopped(tmp_path, target)
    with open(table(tmp_path), "a", encoding="utf-8") as file:
        file.write("15,-15,0.9,1.49,late\n")
    source = str(tmp_path / "in.csv")
    with pytest.raises(InputError, match="input sha256"):
        run_batch(source, target, block_rows=ROWS, resume=True)
    assert run_batch(source, target, block_rows=ROWS)[:2] == (16, 3)


def test_finished_rows_are_not_thrown_away_unasked(tmp_path):
    target = str(tmp_path / "out.csv")
    stopped(tmp_path, target)
    with pytest.raises(InputError, match="10 finished rows of this very run are here; go on with --resume"):
        run_batch(table(tmp_path), target, block_rows=ROWS)
    assert (tmp_path / "out.csv.unfinished").exists()


def test_a_folder_that_is_not_ours_is_left_alone(tmp_path):
    (tmp_path / "out.csv.unfinished").mkdir()
    (tmp_path / "out.csv.unfinished" / "thesis.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(OSError, match=r"thesis\.txt"):
        run_batch(table(tmp_path), str(tmp_path / "out.csv"))
    (tmp_path / "parts").mkdir()
    (tmp_path / "parts" / "thesis.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(OSError, match=r"thesis\.txt"):
        run_batch(table(tmp_path), str(tmp_path / "parts"))


@pytest.mark.parametrize(("source", "target", "told"), [("-", "o.csv", "pipe"), ("in.csv", "-", "pipe"), ("in.csv", "o.xlsx", "workbook")])
def test_what_cannot_go_on_says_so(tmp_path, monkeypatch, source, target, told):
    table(tmp_path)
    monkeypatch.chdir(tmp_path)
    with pytest.raises(InputError, match=f"{told} cannot be gone on with"):
        run_batch(source, target, resume=True)
