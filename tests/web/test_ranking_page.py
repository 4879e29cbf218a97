"""The page of the ranking: the figures are those of the command, the sentences follow from them."""

import io

import pytest
from called import answer
from shown import HOME, page, panel, typed, words

from lenscalc.batch import rank_file
from lenscalc.charts.candidates_scatter import candidates_scatter
from lenscalc.charts.signs import SIGNS, legend
from lenscalc.decision import Criterion, Limit, read_criterion
from lenscalc.decision.decide import UNDECIDED, WOULD, WOULD_NOT
from lenscalc.demo import demo_text
from lenscalc.web.ranking.ranking_answers import UNBEATEN, in_sentences, short_table, the_first_may_not, who_took_part
from lenscalc.web.ranking.ranking_form import Asked, criterion_text
from lenscalc.web.ranking.ranking_lines import rank_command
from lenscalc.web.ranking.ranking_page import FILE, TRIALS, ranked_bytes
from lenscalc.web.table.batch_job import Job
from lenscalc.web.table.batch_results import KINDS
from lenscalc.web.table.candidates_job import JOB

DEMO = demo_text("candidates.csv")
BY_POWER_AND_ABBE = (Criterion("power_D", "near", "labelled_power_D"), Criterion("abbe_d", "high"))


@pytest.fixture
def ranking():
    return page("worth_making.py")


@pytest.fixture
def results(tmp_path):
    """The demo's results as the command writes them."""
    job = Job("candidates.csv", DEMO.encode())
    path = tmp_path / "results.parquet"
    path.write_bytes(job.read())
    return path


def table(at):
    return at.table[0].value


def test_a_first_visit_ranks_the_demo_as_the_command_does(ranking, results):
    said = answer("rank", str(results), "--best", "power_D:near=labelled_power_D", "--best", "abbe_d:high", "--trials", str(TRIALS))
    assert not ranking.exception
    shown = table(ranking)
    assert list(shown["candidate"]) == [c["candidate"] for c in said["candidates"]]
    assert list(shown["score"]) == [f"{c['score']:.3f}" for c in said["candidates"]]
    assert [float(p) for p in shown["better than the next"][:-1]] == [round(c["better_than_next_probability"], 3) for c in said["candidates"][:-1]]
    assert [p == "yes" for p in shown["beaten by nobody"]] == [c["pareto"] for c in said["candidates"]]
    first, second, third = (c["candidate"] for c in said["candidates"][:3])
    assert f"**{first}** comes first, then {second} and {third}, by " in words(ranking)
    assert f"{first} is better than {second} with a probability of **" in words(ranking)


def test_it_says_whose_table_it_is_how_the_two_aims_count_and_who_would_conform(ranking, results):
    said = answer("rank", str(results), "--best", "power_D:near=labelled_power_D", "--best", "abbe_d:high", "--trials", str(TRIALS))
    told, shown = words(ranking), table(ranking)
    assert "**invented for the demo**" in told
    assert "counted alike (1 : 1)" in told
    assert f"Would they conform? {said['who_conforms']}." in told
    assert f"Would conform: {said['rule']}." in told
    assert "“rank 1” against all at once" in told
    assert list(shown["label"]) == [f"{c['labelled_power_D']:.1f} D" for c in said["candidates"]]
    of = {"w": "yes", "n": "not decided"}
    assert [v.split(",")[0] for v in shown["would conform"]] == [of[c["verdict"][0]] for c in said["candidates"]]
    assert not {word for word in told.split() if "calibration_part" in word}
    ranking.slider(key="weight_power_D").set_value(2.0).run()
    assert "weighted 2 : 1" in words(ranking)


def test_the_command_of_the_panel_prints_the_order_of_the_page(ranking, tmp_path, monkeypatch, results):
    monkeypatch.chdir(tmp_path)
    line, python = panel(ranking)
    printed = typed(line).stdout
    shown = table(ranking)
    rows = [row.split() for row in printed.splitlines() if row[2:8].strip().isdigit() and row.split()[1] in "ABCDEF"]
    assert [row[1] for row in rows] == list(shown["candidate"])
    for row, score in zip(rows, shown["score"], strict=True):
        assert score in row
    held = {}
    exec(compile(python, "panel", "exec"), held)
    assert held["found"].names == list(shown["candidate"])
    assert [f"{s:.3f}" for s in held["found"].columns["score"]] == list(shown["score"])


def test_an_unbeaten_candidate_that_is_not_decided_is_said_and_drawn_to_be(ranking):
    """A has the highest Abbe number of the demo, so nobody beats it, and it conforms with a probability of 0.107."""
    told = words(ranking)
    assert "Mind: whether **A** would conform is not decided." in told
    assert f"{legend(KINDS)}; {UNBEATEN}." in told


@pytest.fixture
def points(monkeypatch):
    """The points of each picture of candidates that a page draws, as the browser gets them."""
    drawn = []

    def kept(*args, **settings):
        drawn.append(candidates_scatter(*args, **settings))
        return drawn[-1]

    for module in ("ranking.ranking_answers", "table.candidates_look"):
        monkeypatch.setattr(f"lenscalc.web.{module}.candidates_scatter", kept)
    return lambda file: (page(file), drawn[-1].tables["points"].to_dict("records"))


def test_a_sign_is_the_same_verdict_in_both_pictures(points):
    """As the picture of the table of candidates draws them; who is unbeaten is told by ring and colour."""
    at, ranked = points("worth_making.py")
    _, of_table = points("a_file.py")
    for rows in (ranked, of_table):
        sign = {row["name"].split()[0]: next(s for s in SIGNS if s in row["text"]) for row in rows}
        assert sign == {"A": "○", "B": "●", "C": "●", "D": "●", "E": "○", "F": "●"}
    unbeaten = dict(zip(table(at)["candidate"], table(at)["beaten by nobody"] == "yes", strict=True))
    assert {row["name"].split()[0]: row["ringed"] for row in ranked} == unbeaten
    assert set(unbeaten.values()) == {True, False}


def verdicts(tmp_path, rows):
    """A table of results with these verdicts, ranked by a low power."""
    path = tmp_path / "bare.csv"
    path.write_text("candidate,power_D,verdict\n" + "".join(f"{n},{F},{v}\n" for n, F, v in rows), encoding="utf-8")
    return rank_file(str(path), [Criterion("power_D", "low")], trials=1000)


@pytest.mark.parametrize(
    ("rows", "told"),
    [
        ([("P", 20, WOULD), ("Q", 21, WOULD), ("R", 22, WOULD), ("S", 23, WOULD_NOT)], ""),
        ([("P", 20, WOULD_NOT), ("Q", 21, UNDECIDED), ("R", 22, WOULD)],
         "Of the first 3 by rank: whether **Q** would conform is not decided; **P** would not conform."),
        ([("P", 20, WOULD_NOT)], "Of the only one ranked: **P** would not conform."),
        ([("P", 20, ""), ("Q", 21, "")], ""),
    ],
)  # fmt: skip
def test_who_of_the_first_may_not_conform_is_said_before_all_else(rows, told, tmp_path, monkeypatch):
    said = []
    monkeypatch.setattr("lenscalc.web.ranking.ranking_answers.st.markdown", said.append)
    found = verdicts(tmp_path, rows)
    the_first_may_not(found, Asked((Criterion("power_D", "low"),), (), True))
    assert "".join(said).startswith(told)
    assert bool(said) == bool(told)
    assert all("under *Limits to keep, on*" in sentence for sentence in said)
    the_first_may_not(found, Asked((Criterion("power_D", "low"),), (Limit("conformance_probability", ">=", 0.1),), True))
    assert said[1:] == ([told] if told else [])


def test_the_way_to_the_limit_is_there_under_its_name(ranking):
    ranking.slider(key="weight_abbe_d").set_value(5.0).run()  # A comes first, and is not decided
    body = [str(m.value) for m in ranking.markdown]
    first = next(i for i, text in enumerate(body) if text.startswith("Of the first 3 by rank"))
    assert first < next(i for i, text in enumerate(body) if text.startswith("In short"))
    assert "whether **A** would conform is not decided" in body[first].replace("**A, E**", "**A**")
    limits = ranking.multiselect(key="rank_limits")
    assert limits.label == "Limits to keep, on"
    assert "Conformance probability" in limits.options
    limits.set_value(["conformance_probability"]).run()
    ranking.number_input(key="least_conformance_probability").set_value(0.95).run()
    assert "by rank: " not in words(ranking)


@pytest.mark.parametrize("head", ["calibration_part_abbe_d", "Calibration's part of the Abbe number"])
def test_what_the_remark_asks_for_is_taken_where_it_is_given(ranking, head, tmp_path):
    """u of the Abbe numbers is the calibration's alone, and one for all: then 56 is higher than 52, however large it is."""
    asked = next(str(i.value) for i in ranking.info if "how much of the" in str(i.value))
    assert "give the table a column “Calibration's part of the Abbe number”" in asked
    rows = "".join(f"{n},15,{u},-15,{u},0.9,{u},1.49,1e-4,{V},9,9\n" for n, V, u in (("P", 56, 0.01), ("Q", 52, 0.01)))
    lens = "candidate,front_radius_mm,u_front_radius_mm,back_radius_mm,u_back_radius_mm,center_thickness_mm,u_center_thickness_mm,n_lens,u_n_lens"
    job = Job("mine.csv", f"{lens},abbe_d,u_abbe_d,{head}\n{rows}".encode())
    assert job.state == "done", job.error
    assert not [note for note in job.notes if "not used" in note]
    found = rank_file(str(job.result), [Criterion("abbe_d", "high")], trials=1000)
    assert not [remark for remark in found.remarks if "calibration_part" in remark]
    assert found.names == ["P", "Q"]
    assert found.columns["better_than_next_probability"][0] == 1.0


def test_a_weight_that_is_moved_changes_the_order(ranking):
    before = list(table(ranking)["candidate"])
    ranking.slider(key="weight_abbe_d").set_value(5.0).run()
    assert not ranking.exception
    after = list(table(ranking)["candidate"])
    assert after[0] == "A"  # the highest Abbe number of the demo, 56
    assert after != before
    assert "Abbe number 83 %" in words(ranking)
    assert "--weight abbe_d=5" in panel(ranking)[0]


def test_a_limit_takes_candidates_out(ranking):
    ranking.multiselect(key="rank_limits").set_value(["abbe_d"]).run()
    ranking.number_input(key="least_abbe_d").set_value(50.0).run()
    assert sorted(table(ranking)["candidate"]) == ["A", "C"]  # 56, 52; the others have 47.6, 44, 48, 37
    assert "4 outside the limits" in words(ranking)
    assert "--where 'abbe_d>=50'" in panel(ranking)[0]
    ranking.number_input(key="least_abbe_d").set_value(90.0).run()
    assert "**No candidate is left to rank.**" in words(ranking)
    ranking.number_input(key="least_abbe_d").set_value(55.5).run()
    assert "**A** is the only one left" in words(ranking)


def test_nothing_counts(ranking):
    ranking.multiselect(key="rank_by").set_value([]).run()
    assert "nothing counts yet" in ranking.error[0].value
    ranking.multiselect(key="rank_by").set_value(["u_power_D"]).run()
    assert not ranking.error
    assert "cannot be said" in words(ranking)  # u_u_power_D is in no table


def test_near_a_number_waits_for_the_number(ranking):
    ranking.multiselect(key="rank_by").set_value(["power_D"]).run()
    ranking.selectbox(key="way_power_D").set_value("near a number").run()
    assert "does not count until" in words(ranking)
    ranking.number_input(key="near_power_D").set_value(21.93).run()
    assert table(ranking)["candidate"].iloc[0] == "B"  # its power is 21.929 D
    assert "--best power_D:near=21.93" in panel(ranking)[0]


def test_instruments_of_their_own_share_nothing(ranking):
    shared = list(table(ranking)["better than the next"])
    ranking.checkbox(key="one_instrument").uncheck().run()
    assert list(table(ranking)["better than the next"]) != shared
    assert "each was read on an instrument of its own" in words(ranking)
    assert "--separate-instruments" in panel(ranking)[0]


@pytest.mark.parametrize(("name", "read"), [("mine.parquet", "parquet"), ("mine.csv", "csv"), ("mine.xlsx", "xlsx")])
def test_results_come_as_a_file(ranking, name, read):
    from lenscalc.web.table.save_results import written

    wanted = table(ranking)
    data = written(Job("candidates.csv", DEMO.encode()), f"results.{read}")
    ranking.radio(key="rank_source").set_value(FILE).run()
    assert not ranking.table
    ranking.file_uploader(key="upload_results").set_value((name, data, "application/octet-stream")).run()
    assert not ranking.exception
    assert table(ranking).equals(wanted)
    assert name in panel(ranking)[0]


@pytest.mark.parametrize(("name", "data", "told"), [("x.csv", b"", "x.csv: the file is empty"), ("x.parquet", b"no", "not a whole Parquet file")])
def test_a_file_that_is_no_table_is_told(ranking, name, data, told):
    ranking.radio(key="rank_source").set_value(FILE).run()
    ranking.file_uploader(key="upload_results").set_value((name, data, "application/octet-stream")).run()
    assert not ranking.exception
    assert told in ranking.error[0].value
    assert "lenscalc-" not in ranking.error[0].value


def test_a_table_that_tells_nobody_apart(ranking):
    ranking.radio(key="rank_source").set_value(FILE).run()
    ranking.file_uploader(key="upload_results").set_value(("x.csv", b"candidate,power_D\nA,20\nB,20\n", "text/csv")).run()
    assert not ranking.exception
    assert "no column of numbers differs" in ranking.info[0].value


def test_rows_with_a_problem_take_no_part():
    bad = DEMO.replace("1.49028", "14.9028")  # C
    job = Job("candidates.csv", bad.encode())
    found = rank_file(str(job.result), BY_POWER_AND_ABBE, trials=1000)
    assert "C" not in found.names
    assert "5 of 6 rows are ranked; 1 left out: the row has a problem of its own" in who_took_part(found)


def test_the_sentences_of_what_was_found(results):
    asked = Asked(BY_POWER_AND_ABBE, (Limit("power_D", ">=", 21.9),), True)
    alone = rank_file(str(results), asked.criteria, asked.limits, trials=1000)
    by = "power near its own label and high Abbe number, counted alike (1 : 1)"
    assert in_sentences(alone, asked) == f"**B** is the only one left, by {by}; it would conform."
    exact = rank_file(str(results), [Criterion("n_lens", "low")], trials=1000)
    assert " is better than " in in_sentences(exact, Asked((Criterion("n_lens", "low"),), (), True))
    assert short_table(exact, Asked((Criterion("n_lens", "low"),), (), True)).columns[3] == "Index of the lens"


@pytest.mark.parametrize("text", ["power_D:near=labelled_power_D", "power_D:near=20.25", "abbe_d:high", "u_power_D:low"])
def test_a_criterion_is_written_as_it_is_read(text):
    assert criterion_text(read_criterion(text)) == text


def test_what_is_saved_are_the_bytes_of_the_command(results, tmp_path):
    asked = Asked(BY_POWER_AND_ABBE, (), True)
    found = rank_file(str(results), asked.criteria, trials=TRIALS)
    for ending in ("csv", "parquet"):
        typed(f"{rank_command(str(results), asked, TRIALS)} --out {tmp_path / 'theirs'}.{ending}")
        assert ranked_bytes(found, ending) == (tmp_path / f"theirs.{ending}").read_bytes()
    import openpyxl

    sheet = openpyxl.load_workbook(io.BytesIO(ranked_bytes(found, "xlsx"))).worksheets[0]
    assert sheet.max_row == 7


def test_it_ranks_the_table_of_the_page_before_and_keeps_its_choices():
    at = page("a_file.py")
    at.session_state["candidates_editor_0"] = {"edited_rows": {}, "added_rows": [], "deleted_rows": [5]}
    at.run()
    at.switch_page(str(HOME / "views" / "worth_making.py")).run()
    assert sorted(table(at)["candidate"]) == list("ABCDE")
    at.slider(key="weight_abbe_d").set_value(3.0).run()
    at.switch_page(str(HOME / "views" / "a_file.py")).run()
    assert len(at.table[0].value) == 5
    assert at.session_state[JOB][1].rows == 5
    at.switch_page(str(HOME / "views" / "worth_making.py")).run()
    assert at.slider(key="weight_abbe_d").value == 3.0
    assert sorted(table(at)["candidate"]) == list("ABCDE")
