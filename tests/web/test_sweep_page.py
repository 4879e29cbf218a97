"""The page of a sweep: a design is built, counted before it is made, evaluated, saved and loaded again as the file that the command takes."""

import tomllib
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shown import HOME, command, page, panel, typed, words

from lenscalc import thick_lens
from lenscalc.batch import read_sweep
from lenscalc.charts.sweep_curves import sweep_curves, sweep_points
from lenscalc.errors import InputError
from lenscalc.web.sweep.sweep_design import CUBE, LIST, ONE, POINTS, STEPS, fields_of, rows_in, toml_of
from lenscalc.web.sweep.sweep_form import START
from lenscalc.web.sweep.sweep_job import JOB
from lenscalc.web.sweep.sweep_words import which_way
from lenscalc.web.table.batch_results import rows_of
from lenscalc.web.table.save_results import written

DESIGN = """
[fixed]
center_thickness_mm = 0.9
back_radius_mm = "plano"

[combine]
front_radius_mm = { from = 10, to = 12, step = 0.5 }
n_lens = [1.46, 1.49, 1.52]

[latin_hypercube]
points = 4
seed = 7
u_n_lens = { from = 0.0001, to = 0.001 }
"""


@pytest.fixture
def sweep():
    return page("a_sweep.py")


def job_of(at):
    return at.session_state[JOB][1]


def load(at, text, name="mine.toml"):
    at.file_uploader(key="upload_sweep").set_value((name, text.encode(), "application/toml")).run()
    assert not at.exception
    return at


def of(tmp_path, text):
    path = tmp_path / "design.toml"
    path.write_text(text, encoding="utf-8")
    return read_sweep(path)


def test_a_first_visit_shows_a_whole_sweep(sweep):
    """17 radii from 12 to 20 mm in steps of 0.5 mm, four indices: 68."""
    assert not sweep.exception
    assert not sweep.error
    assert "This design makes **68 rows**" in words(sweep)
    found = rows_of(job_of(sweep).result, ["front_radius_mm", "n_lens", "power_D"])
    assert len(found["power_D"]) == 68
    extreme = float(thick_lens(front_radius_mm=12, back_radius_mm=-15, center_thickness_mm=0.9, n_lens=1.55).power_D)
    assert found["power_D"].max() == extreme
    assert f"to **{extreme:.3f} D** (front radius 12 mm, index of the lens 1.55)" in words(sweep)
    assert "A line for each index of the lens" in words(sweep)
    assert "The power falls as the front radius grows, and rises as the index of the lens grows." in words(sweep)


def test_what_turns_back_is_not_said_to_rise_or_fall():
    one_way = {"n_lens": np.array([1.4, 1.5, 1.6]), "power_D": np.array([1.0, 2.0, 3.0])}
    assert which_way(one_way, "n_lens", "power_D", None) == "The power rises as the index of the lens grows."
    for up in ([1.0, 2.0, 1.0], [1.0, 1.0, 2.0], [2.0, 2.0, 2.0]):
        assert which_way(one_way | {"power_D": np.array(up)}, "n_lens", "power_D", None) == ""
    assert which_way({"n_lens": np.array([1.4]), "power_D": np.array([1.0])}, "n_lens", "power_D", None) == ""
    back = {"back_radius_mm": np.array([-20.0, -15.0]), "power_D": np.array([18.0, 20.0])}
    assert "rises as the back radius grows (towards +)" in which_way(back, "back_radius_mm", "power_D", None)


def test_the_design_is_saved_and_loaded_again(tmp_path):
    fields, points, seed = fields_of(tomllib.loads(DESIGN, parse_float=Decimal))
    ours, theirs = of(tmp_path, toml_of(fields, points, seed)), of(tmp_path, DESIGN)
    assert ours.size == theirs.size == rows_in(fields, points) == 60
    assert {n: c.tolist() for n, c in ours.rows(0, 60).items()} == {n: c.tolist() for n, c in theirs.rows(0, 60).items()}


numbers = st.integers(-400, 400).map(lambda n: n / 8)
lists = st.lists(numbers, min_size=1, max_size=5, unique=True).map(lambda v: {"how": LIST, "values": "; ".join(f"{x:g}" for x in v)})
steps = st.tuples(numbers, st.integers(1, 9), st.sampled_from([0.125, 0.5, 3.0])).map(
    lambda t: {"how": STEPS, "from": t[0], "to": t[0] + t[1] * t[2], "step": t[2]}
)
points_of_range = st.tuples(numbers, st.integers(2, 9)).map(lambda t: {"how": POINTS, "from": t[0], "to": t[0] + 1, "points": t[1]})


@given(st.lists(st.one_of(lists, steps, points_of_range), min_size=1, max_size=3), st.booleans())
def test_the_rows_are_counted_without_being_made(tmp_path_factory, ways, cube):
    fields = {name: dict(way) for name, way in zip(("front_conic", "back_conic", "vergence_D"), ways, strict=False)}
    if cube:
        fields["abbe_d"] = {"how": CUBE, "from": 40.0, "to": 50.0}
    path = tmp_path_factory.getbasetemp() / "counted.toml"
    path.write_text(toml_of(fields, 3, 1), encoding="utf-8")
    try:
        size = read_sweep(path).size
    except InputError:  # a value beyond a quantity's limits
        return
    assert rows_in(fields, 3) == size


def test_a_design_that_is_loaded_fills_the_fields(sweep, tmp_path):
    load(sweep, DESIGN)
    assert not sweep.error
    assert "This design makes **60 rows**" in words(sweep)
    assert sweep.selectbox(key="how_front_radius_mm").value == STEPS
    assert sweep.number_input(key="sweep_points").value == 4
    assert sweep.text_input(key="value_back_radius_mm").value == "plano"
    columns = of(tmp_path, DESIGN).rows(0, 60)
    found = rows_of(job_of(sweep).result, ["front_radius_mm", "n_lens", "u_n_lens"])
    for name, values in found.items():
        assert np.array_equal(values, columns[name])
    assert "A point a design." in words(sweep)
    assert (sweep.query_params["how_u_n_lens"], sweep.query_params["from_u_n_lens"]) == (CUBE, "0.0001")


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("[combine]\nn_lens = [1.4", "mine.toml: not a TOML file"),
        ("[combine]\nn_lense = [1.49]", "mine.toml: unknown quantity 'n_lense'; did you mean n_lens?"),
        ("[fixed]\nn_lens = 1.49", "nothing varies"),
        ("[combine]\nn_lens = { from = 1.4, to = 1.5, step = 0.03 }", "miss 1.5"),
    ],
)
def test_a_design_that_is_none_is_told_and_changes_nothing(sweep, text, told):
    load(sweep, text)
    assert told in sweep.error[0].value
    assert "lenscalc-" not in sweep.error[0].value
    assert "**68 rows**" in words(sweep)


@pytest.mark.parametrize(
    ("key", "value", "told"),
    [
        ("values_n_lens", "", "“Index of the lens” is missing: write values"),
        ("values_n_lens", "1.46; high", "Index of the lens = 'high' is not a number"),
        ("value_back_radius_mm", "-15; -16", "is one value meant, or a list?"),
        ("value_center_thickness_mm", "0,9", ""),
        ("values_n_lens", "1,46; 1,49", ""),
    ],
)
def test_a_field_is_told_in_the_words_of_the_core(sweep, key, value, told):
    sweep.text_input(key=key).set_value(value).run()
    assert not sweep.exception
    assert [e.value for e in sweep.error] == [] if not told else told in sweep.error[0].value
    assert ("This design makes" in words(sweep)) == (not told)  # of a design that was refused no rows are told


def test_steps_that_miss_the_end_are_told(sweep):
    sweep.number_input(key="step_front_radius_mm").set_value(0.3).run()
    assert "steps of 0.3 from 12.0 miss 20.0" in sweep.error[0].value
    assert "This design makes" not in words(sweep)


def test_rows_with_a_problem_are_counted_and_the_first_is_told(sweep):
    sweep.text_input(key="values_n_lens").set_value("1.49; 14.9").run()
    assert not sweep.exception
    assert "**17** of them have a problem" in words(sweep)
    assert "row 2: Index of the lens = 14.9: must be 1 to 3; is the decimal point one place off?" in words(sweep)
    sweep.text_input(key="values_n_lens").set_value("14.9").run()
    assert not sweep.exception
    assert "No design could be computed." in words(sweep)


def test_too_many_rows_are_left_to_the_command(sweep, tmp_path):
    sweep.selectbox(key="how_center_thickness_mm").set_value(POINTS).run()
    for key, value in (("from_center_thickness_mm", 0.5), ("to_center_thickness_mm", 1.5), ("points_center_thickness_mm", 2000)):
        sweep.number_input(key=key).set_value(value)
    sweep.run()
    assert "**136,000 rows**" in words(sweep)
    assert "A page computes up to 100,000 rows" in sweep.info[0].value
    assert sweep.code[0].value == "lenscalc batch sweep.toml results/"


def test_a_hypercube_of_a_size_that_no_page_takes_is_not_even_made(sweep):
    sweep.selectbox(key="how_center_thickness_mm").set_value(CUBE).run()
    sweep.number_input(key="from_center_thickness_mm").set_value(0.5)
    sweep.number_input(key="to_center_thickness_mm").set_value(1.5)
    sweep.number_input(key="sweep_points").set_value(10**9).run()
    assert not sweep.exception
    assert "**68,000,000,000 rows**" in words(sweep)


def test_the_lines_of_the_panel_give_the_same(sweep, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "sweep.toml").write_bytes(job_of(sweep).data)
    line, python = panel(sweep)
    wanted = written(job_of(sweep), "results.csv")
    typed(line)
    assert (tmp_path / "results.csv").read_bytes() == wanted
    (tmp_path / "results.csv").unlink()
    exec(compile(python, "panel", "exec"), {})
    assert (tmp_path / "results.csv").read_bytes() == wanted
    assert command("batch", "sweep.toml", "results.parquet").returncode == 0
    assert (tmp_path / "results.parquet").read_bytes() == job_of(sweep).read()


def test_three_swept_quantities_are_drawn_as_lines_with_the_third_held(sweep):
    sweep.selectbox(key="how_center_thickness_mm").set_value(LIST).run()
    sweep.text_input(key="values_center_thickness_mm").set_value("0.7; 0.9").run()
    assert not sweep.exception
    assert "**136 rows**" in words(sweep)
    assert sweep.select_slider(key="held_center_thickness_mm").value == 0.7


def test_one_swept_quantity_is_one_line(sweep):
    sweep.selectbox(key="how_n_lens").set_value(ONE).run()
    sweep.text_input(key="value_n_lens").set_value("1.49").run()
    assert not sweep.exception
    assert not sweep.error
    assert "**17 rows**" in words(sweep)
    assert "A line for each" not in words(sweep)


def test_lines_that_cannot_be_told_apart_are_refused():
    with pytest.raises(InputError, match="8 lines to draw"):
        sweep_curves(range(8), range(8), range(8), x_title="", y_title="")
    with pytest.raises(InputError, match="nothing to draw"):
        sweep_points([np.nan], [1.0], x_title="", y_title="")


def test_the_fields_survive_a_visit_to_another_page_and_the_ranking_takes_the_sweep(sweep):
    sweep.text_input(key="values_n_lens").set_value("1.47; 1.51").run()
    sweep.switch_page(str(HOME / "views" / "worth_making.py")).run()
    sweep.radio(key="rank_source").set_value("those of the sweep").run()
    assert not sweep.exception
    sweep.multiselect(key="rank_by").set_value(["edge_thickness_mm"]).run()
    assert "The first 20 of 34 are shown" in words(sweep)
    sweep.switch_page(str(HOME / "views" / "a_sweep.py")).run()
    assert "**34 rows**" in words(sweep)
    assert START["n_lens"]["values"] not in str(job_of(sweep).data)
