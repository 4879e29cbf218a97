"""Good files with something wrong in them, drawn at random: an answer or a sentence, never another exception, never a number that is none.

`HOSTILE_EXAMPLES=100000 python -m pytest tests/hostile -n auto` is the long run.
"""

import contextlib
import io
import os
import warnings

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lenscalc.batch import evaluate_block, read_csv_text
from lenscalc.batch.sweep import read_sweep
from lenscalc.chain import follow, follow_index
from lenscalc.cli.main import main
from lenscalc.demo import demo_sheets, demo_text
from lenscalc.errors import LenscalcError
from lenscalc.quantities import INPUTS
from lenscalc.refractometer import sheet_from_text

EXAMPLES = int(os.environ.get("HOSTILE_EXAMPLES", "120"))
hard = settings(max_examples=EXAMPLES, deadline=None, suppress_health_check=list(HealthCheck))

ODD = st.sampled_from([
    "", "nan", "inf", "-inf", "1e308", "-1e308", "5e-324", "1e400", "0", "-0.0", "-1", "1,49", "1_5", "0x10", "true", "[]", "{}", '""', '"plano"',
    "٣", "\u202e", "\0", "'", '"""', "\\", "\n", "[[reading]]", "= =", "=cmd()", "<script>", "1e-300", "589", "1.5", "9" * 400,
    "n_lens", "#", "1979-05-27",
])  # fmt: skip


@st.composite
def mutated(draw, text):
    """The text with one to four of its words put out, doubled, swapped or put in the place of an odd one."""
    words = text.replace(",", " , ").replace("=", " = ").split(" ")
    for _ in range(draw(st.integers(1, 4))):
        i, j = (draw(st.integers(0, len(words) - 1)) for _ in range(2))
        match draw(st.integers(0, 3)):
            case 0:
                words[i] = ""
            case 1:
                words[i] = f"{words[i]} {words[i]}"
            case 2:
                words[i], words[j] = words[j], words[i]
            case _:
                words[i] = draw(ODD)
    return " ".join(words).replace(" , ", ",")


def _answer(call_it):
    """What comes back, or None where a sentence does; warnings of ours are answers."""
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        warnings.simplefilter("ignore", category=UserWarning)
        try:
            return call_it()
        except LenscalcError as error:
            told = str(error)
            assert told
            assert "Traceback" not in told
            return None


@pytest.mark.parametrize("name", demo_sheets())
@hard
@given(data=st.data())
def test_a_sheet(name, data):
    text = data.draw(mutated(demo_text(name)))

    def through():
        sheet = sheet_from_text(text, name)
        return follow(sheet) if sheet.lens else follow_index(sheet)

    found = _answer(through)
    if found is not None:
        assert np.isfinite(found.index.n.value).all()
        assert np.isfinite(found.index.n.u).all()
        if found.sheet.lens is not None:
            assert np.isfinite(found.evaluation.columns["power_D"]).all()
            assert np.isfinite(found.evaluation.columns["u_power_D"]).all()


@hard
@given(text=mutated(demo_text("candidates.csv")))
def test_a_table(text):
    columns = _answer(lambda: evaluate_block(read_csv_text(text)))
    if columns is not None:
        good = np.asarray(columns["problem"]) == ""
        for name in ("power_D", "u_power_D"):
            assert np.isfinite(np.asarray(columns[name], dtype=float)[good]).all()


SWEEP = """[fixed]
center_thickness_mm = 0.9
n_lens = 1.49
[combine]
front_radius_mm = { from = 10 , to = 20 , step = 0.5 }
back_radius_mm = [ -10 , -15 , "plano" ]
[latin_hypercube]
points = 8
seed = 3
optic_diameter_mm = { from = 5 , to = 7 }
"""


@hard
@given(text=mutated(SWEEP))
def test_a_sweep(tmp_path_factory, text):
    path = tmp_path_factory.getbasetemp() / "sweep.toml"
    path.write_bytes(text.encode("utf-8", "surrogatepass"))
    sweep = _answer(lambda: read_sweep(path))
    if sweep is not None:
        _answer(lambda: evaluate_block(next(sweep.blocks(50))))


LENS = "--front-radius-mm 15 --back-radius-mm -15 --center-thickness-mm 0.9"
GOOD = [
    f"power {LENS} --n-lens 1.49 --u-n-lens 0.0003 --n-medium 1.336 --n-medium-behind 1.0",
    f"conform {LENS} --n-lens 1.49 --u-n-lens 0.0003 --labelled-power-D 20.5 --optic-diameter-mm 6",
    f"recut {LENS} --power-D 20.5 --n-lens 1.492 --optic-diameter-mm 6",
    "eye --labelled-power-D 20 --n-lens 1.49 --index-change 0.001",
    f"image {LENS} --n-lens 1.49 --pupil-diameter-mm 3 --wavelength-nm 546.07 --frequency-per-mm 100 --front-conic -1 --optic-diameter-mm 6",
    "polymer PMMA", "follow --demo", "index --demo", "batch in.csv out.csv --compute power_D", "rank in.csv --best power_D",
    "day in.csv --shared lab.toml",
]  # fmt: skip
OPTIONS = [f"--{q.name.replace('_', '-')}" for q in INPUTS]
WORDS = sorted({word for line in GOOD for word in line.split()} | set(OPTIONS) | {"--json", "--help", "-", "--", "--no-such-option", "/dev/null"})


@hard
@given(data=st.data())
def test_the_arguments_of_every_command(tmp_path_factory, data):
    arguments = data.draw(st.sampled_from(GOOD)).split()
    for _ in range(data.draw(st.integers(0, 3))):
        i, word = data.draw(st.integers(0, len(arguments))), data.draw(st.one_of(ODD, st.floats().map(repr), st.sampled_from(WORDS)))
        arguments[i : i + data.draw(st.integers(0, 1))] = [word]
    told = io.StringIO()
    with pytest.MonkeyPatch.context() as patch, contextlib.redirect_stdout(told), contextlib.redirect_stderr(told):
        patch.chdir(tmp_path_factory.getbasetemp())
        patch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO()))
        with pytest.raises(SystemExit) as ended:
            main(arguments)
    assert ended.value.code in (0, 1, 2), told.getvalue()
    assert told.getvalue()
    assert "Traceback" not in told.getvalue()


@pytest.mark.parametrize("line", ["day in.csv \0 --shared lab.toml", "batch \0 out.csv", "rank in.csv --best abbe_d:high --out out\0.csv"])
def test_a_zero_character_in_an_argument(line, capsys):
    with pytest.raises(SystemExit) as ended:
        main(line.split(" "))
    assert ended.value.code == 2
    assert capsys.readouterr().err == "lenscalc: an argument holds a zero character, as no number and no name of a file does\n"
