"""Blocks computed in processes of this machine: the same bytes in any number of them."""

import multiprocessing
import pickle
import subprocess
import sys

import pytest
from batch_files import ROWS, content, sixty_rows

from lenscalc.batch import check_batch, read_blocks, run_batch
from lenscalc.batch.block import BLOCK_ROWS, rows_of_a_block
from lenscalc.batch.workers import computed
from lenscalc.cli.main import main
from lenscalc.errors import InputError, UnknownNameError, WorkerError


@pytest.fixture
def source(tmp_path):
    return sixty_rows(tmp_path)


@pytest.mark.parametrize(
    ("name", "rows", "numbers"), [("out.csv", 7, (0, 1, 2, 3)), ("out.csv.gz", 60, (0, 1)), ("out.parquet", 13, (0, 3)), ("out/", 20, (0, 2))]
)
def test_the_bytes_do_not_depend_on_the_workers(tmp_path, source, name, rows, numbers):
    wanted = None
    for workers in numbers:
        target = f"{tmp_path}/{workers}{name}"
        done = run_batch(source, target, block_rows=rows, workers=workers)
        assert (done.rows, done.problems) == (ROWS, 9)
        wanted = wanted or content(target)
        assert content(target) == wanted, workers
    assert multiprocessing.active_children() == []


def test_blocks_come_in_their_order_though_the_first_takes_longest(source):
    blocks = read_blocks(source, 6)
    assert list(computed(blocks, first_takes_longest, workers=2)) == list(range(0, ROWS, 6))


class Slow:
    """Pickled as a call: what a worker is given to do must be found by its name, and this file cannot be imported there."""

    def __reduce__(self):
        code = "lambda block: __import__('time').sleep(0.3 if block.first_row == 0 else 0) or block.first_row"
        return eval, (code,)


first_takes_longest = Slow()


def test_memory_stays_constant_while_one_block_takes_long(source):
    read = []

    def counted():
        for block in read_blocks(source, 1):
            read.append(block.first_row)
            yield block

    results = computed(counted(), first_takes_longest, workers=2)
    assert next(results) == 0
    assert len(read) <= 2 * 2 + 3  # two a worker, one in hand and one ahead
    results.close()


def test_an_error_comes_whole_out_of_a_worker(tmp_path, source):
    with pytest.raises(UnknownNameError, match=r"unknown result 'power'; did you mean power_D\?") as told:
        run_batch(source, str(tmp_path / "out.csv"), compute=("power",), workers=1)
    assert told.value.suggestion == "power_D"
    assert not (tmp_path / "out.csv.unfinished").exists()
    with pytest.raises(ZeroDivisionError) as broken:
        list(computed(read_blocks(source), Broken(), workers=1))
    assert "in <lambda>" in broken.value.__notes__[0]  # where it arose


class Broken:
    def __reduce__(self):
        return eval, ("lambda block: 1 / 0",)


def test_errors_travel():
    for error in (UnknownNameError("powr", ["power"], what="result"), InputError("no", quantity="n_lens", row=3), WorkerError("gone")):
        back = pickle.loads(pickle.dumps(error))
        assert (type(back), str(back), vars(back)) == (type(error), str(error), vars(error))


def test_a_check_by_workers_finds_the_same(source):
    assert check_batch(source, block_rows=7, workers=2) == check_batch(source, block_rows=7)


@pytest.mark.parametrize("workers", ["0", "-1", "two", "1.5", "100000"])
def test_a_number_of_workers_that_cannot_be(tmp_path, source, capsys, workers):
    with pytest.raises(SystemExit) as ended:
        main(["batch", source, str(tmp_path / "out.csv"), "--workers", workers])
    assert ended.value.code == 2
    told = capsys.readouterr().err
    assert workers in told
    assert "must be a whole number" in told
    assert sorted(p.name for p in tmp_path.iterdir()) == ["in.csv"]


def test_workers_by_the_command(tmp_path, source, capsys):
    run_batch(source, str(tmp_path / "whole.csv"))
    with pytest.raises(SystemExit) as ended:
        main(["batch", source, str(tmp_path / "out.csv"), "--workers", "2", "--strict"])
    assert ended.value.code == 1
    assert content(tmp_path / "out.csv") == content(tmp_path / "whole.csv")
    with pytest.raises(SystemExit) as ended:
        main(["batch", source, "--check", "--workers", "1"])
    assert ended.value.code == 0
    assert "60 rows, 9 with a problem" in capsys.readouterr().out
    with pytest.raises(InputError, match="both given"):
        run_batch(source, str(tmp_path / "out.csv"), workers=1, cluster="tcp://127.0.0.1:1")


def test_a_wrong_place_costs_an_interrupted_run_nothing(tmp_path, source):
    def stop(done, total):
        raise KeyboardInterrupt

    target = str(tmp_path / "out.csv")
    with pytest.raises(KeyboardInterrupt):
        run_batch(source, target, block_rows=20, on_progress=stop)
    for wrong in ({"workers": -1}, {"workers": 10**6}, {"cluster": "nonsense"}, {"cluster": ""}, {"workers": 2, "cluster": "tcp://127.0.0.1:1"}):
        with pytest.raises(InputError):
            run_batch(source, target, block_rows=20, resume=True, **wrong)
    assert run_batch(source, target, block_rows=20, resume=True).resumed == 20


def test_a_script_without_its_guard_is_told(tmp_path, source):
    script = tmp_path / "script.py"
    script.write_text("import sys\nfrom lenscalc.batch import run_batch\nrun_batch(sys.argv[1], sys.argv[2], workers=1)\n", encoding="utf-8")
    done = subprocess.run([sys.executable, str(script), source, str(tmp_path / "out.csv")], capture_output=True, text=True, timeout=300)
    assert "rows 1 to 60: a second worker process has died over them" in done.stderr.splitlines()[-1]
    assert "__main__" in done.stderr.splitlines()[-1]
    assert sorted(p.name for p in tmp_path.iterdir()) == ["in.csv", "script.py"]


def test_a_pipe_goes_through_workers_in_its_order(source):
    with open(source, encoding="utf-8") as file:
        text = file.read()
    code = "from lenscalc.cli.main import main; main()"
    outs = [
        subprocess.run([sys.executable, "-c", code, "batch", "-", "-", *options], input=text, capture_output=True, text=True, check=True).stdout
        for options in ((), ("--workers", "2"))
    ]
    assert outs[0] == outs[1]
    assert outs[0].count("\n") == ROWS + 1


def test_as_many_as_pay(source, monkeypatch):
    import lenscalc.batch.workers as workers

    asked = []

    def noted(blocks, work, number):
        asked.append(number)
        return map(work, blocks)

    monkeypatch.setattr("lenscalc.batch.processes.by_processes", noted)
    monkeypatch.setattr(workers, "cores", lambda wanted: 2)
    list(computed(read_blocks(source, 6), id, workers=None, ms_a_row=1.0))  # 60 ms of work: not worth a process
    assert asked == []
    list(computed(read_blocks(source, 6), id, workers=None, ms_a_row=1000.0))
    assert asked == [2]
    list(computed(read_blocks(source), id, workers=None, ms_a_row=1000.0))  # one block is one block
    assert asked == [2]


def test_rows_in_all_are_told_of_a_small_file_too(source):
    for size in (7, 30):
        told = [block.rows_in_all for block in read_blocks(source, size)]
        assert all(0.8 * ROWS < rows < 1.25 * ROWS for rows in told), told
        assert told[-1] == ROWS


def test_what_takes_long_goes_in_smaller_blocks():
    assert rows_of_a_block(()) == rows_of_a_block(("power_D",)) == BLOCK_ROWS
    assert rows_of_a_block(("*", "u_power_by_trials_D", "mtf")) < rows_of_a_block(("mtf",)) < BLOCK_ROWS
