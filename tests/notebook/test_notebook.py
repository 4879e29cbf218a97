"""Results in a notebook, through IPython's own display formatter."""

import subprocess
import sys

import numpy as np
import pytest

from lenscalc import Input, Source, evaluate, power_sensitivity, propagate, thick_lens
from lenscalc.chain import follow, follow_index
from lenscalc.conditions import CAUTION
from lenscalc.decision import decide
from lenscalc.demo import demo_text
from lenscalc.errors import InputError
from lenscalc.notebook import SHOWN, html_of, load_ipython_extension, unload_ipython_extension
from lenscalc.refractometer import sheet_from_text
from lenscalc.uncertainty import Estimate

formatters = pytest.importorskip("IPython.core.formatters", reason="IPython is not installed")


class Shell:
    """As much of a shell as the hooks need: its display formatter, which is IPython's own."""

    def __init__(self):
        self.display_formatter = formatters.DisplayFormatter()


@pytest.fixture
def shown():
    shell = Shell()
    load_ipython_extension(shell)
    return lambda result: shell.display_formatter.format(result)[0].get("text/html")


@pytest.fixture(scope="module")
def followed():
    return follow(sheet_from_text(demo_text("copolymer_c.toml")))


def test_a_followed_sheet(shown, followed):
    html = shown(followed)
    for text in ("1.48962, u 0.00040", "20.419 D, u 0.060 D", "would conform if cut to these dimensions", "two-parameter Cauchy form", "ISO 11979-2"):
        assert text in html
    assert CAUTION.replace("'", "&#x27;") in html
    assert html == html_of(followed)
    alone = shown(follow_index(sheet_from_text(demo_text("copolymer_c.toml").split("[lens]")[0])))
    assert "1.48962, u 0.00040" in alone
    assert "Budget of the power" not in alone


def test_an_evaluation_of_one_and_of_many(shown, followed):
    assert "20.419 D, u 0.060 D" in shown(followed.evaluation)
    lens = {"front_radius_mm": [15.0] * 12, "back_radius_mm": [-15.0] * 12, "center_thickness_mm": [0.9] * 12}
    many = evaluate({**lens, "n_lens": [1.49, 9.0, *[1.5] * 10]})
    html = shown(many)
    assert "12 rows, 1 with a problem; the first 10 of them" in html
    assert "20.470 D" in html  # 20.469666 D, computed with mpmath from Gullstrand's equation
    assert "must be 1 to 3" in html
    assert html.count("<tr>") == 11
    assert CAUTION.replace("'", "&#x27;") in html


def test_an_index_an_estimate_and_a_budget(shown, followed):
    assert "change of index with temperature" in shown(followed.index)
    one = shown(Estimate(1.49, {Source("a < b"): 0.003, Source("c"): 0.004}))
    assert "1.4900, u 0.0050" in one
    assert "a &lt; b" in one
    assert "64 %" in one
    several = shown(Estimate(np.array([1.0, 2.0]), {Source("a"): np.array([0.1, 0.2])}))
    assert "2 cases" in several
    assert "2.00, u 0.20" in several
    assert "<pre>" in shown(propagate(lambda a, b: a * b, {"a": Input(3.0, 0.1), "b": Input(2.0, 0.2)}))


def test_powers_of_one_lens_and_of_several(shown):
    html = shown(thick_lens(15.0, -15.0, 0.9, 1.49))
    assert "power (D)" in html
    assert ">20.470<" in html
    assert "at infinity" in shown(thick_lens(np.inf, np.inf, 0.9, 1.49))
    several = shown(thick_lens(15.0, -15.0, 0.9, np.linspace(1.4, 1.6, 30)))
    assert "30 cases; the first 10 of them" in several
    assert "132.5492" in shown(power_sensitivity(15.0, -15.0, 0.9, 1.49))
    decided = decide(*(np.array([x]) for x in (20.47, 0.05, np.inf, 0.04, np.inf, 20.5, 0.4)))
    assert "above 0.999" in shown(decided)
    assert CAUTION.replace("'", "&#x27;") in html


def test_the_hooks_can_be_taken_away_and_other_types_are_left_alone(shown, followed):
    shell = Shell()
    load_ipython_extension(shell)
    assert "text/html" in shell.display_formatter.format(followed.index.n)[0]
    unload_ipython_extension(shell)
    assert "text/html" not in shell.display_formatter.format(followed.index.n)[0]
    assert shown((1, 2)) is None
    with pytest.raises(InputError, match="tuple has no view"):
        html_of((1, 2))


def test_the_types_exist_where_the_hooks_look_for_them():
    from importlib import import_module

    for module, name in SHOWN:
        assert getattr(import_module(module), name).__module__ == module


def run(code):
    return subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout


def test_importing_the_package_sets_the_hooks_where_ipython_runs_and_imports_nothing_for_it():
    code = (
        "from IPython.core.interactiveshell import InteractiveShell\nshell = InteractiveShell.instance()\n"
        "import lenscalc, sys\nprint('numpy' in sys.modules, 'altair' in sys.modules)\n"
        "print('20.470' in shell.display_formatter.format(lenscalc.thick_lens(15, -15, 0.9, 1.49))[0]['text/html'])"
    )
    assert run(code).split() == ["False", "False", "True"]


def test_without_ipython_nothing_of_it_is_imported():
    assert run("import lenscalc, sys; print('lenscalc.notebook' in sys.modules, 'IPython' in sys.modules)").split() == ["False", "False"]
