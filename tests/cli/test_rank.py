"""The command rank, from the demo's candidates to table, JSON, file and chart."""

import csv
import json
from math import erf, hypot, sqrt

import called
import pytest
from called import lenscalc

from lenscalc.demo import demo_text

BEST = ["--best", "power_D:near=labelled_power_D", "--best", "abbe_d:high"]


def answer(*args, stdin=""):
    return called.answer("rank", *args, stdin=stdin)


@pytest.fixture(scope="module")
def results(tmp_path_factory):
    folder = tmp_path_factory.mktemp("rank")
    (folder / "candidates.csv").write_text(demo_text("candidates.csv"), encoding="utf-8")
    for ending in ("csv", "parquet", "xlsx"):
        done = lenscalc("batch", str(folder / "candidates.csv"), str(folder / f"results.{ending}"))
        assert done.returncode == 0, done.stderr
    return folder


def test_the_demo_is_ranked_by_hand(results):
    """Departures from the labels and Abbe numbers are taken from the table of results; the score is worked here."""
    with (results / "results.csv").open(encoding="utf-8") as f:
        rows = {r["candidate"]: r for r in csv.DictReader(f)}
    off = {c: abs(float(r["power_D"]) - float(r["labelled_power_D"])) for c, r in rows.items()}
    abbe = {c: float(r["abbe_d"]) for c, r in rows.items()}

    def part(x, best, worst):
        return (x - worst) / (best - worst)

    score = {
        c: 2 / 3 * part(off[c], min(off.values()), max(off.values())) + 1 / 3 * part(abbe[c], max(abbe.values()), min(abbe.values())) for c in rows
    }
    a = answer(str(results / "results.csv"), *BEST, "--weight", "power_D=2")
    assert [c["candidate"] for c in a["candidates"]] == sorted(score, key=score.get, reverse=True)
    for c in a["candidates"]:
        assert c["score"] == pytest.approx(score[c["candidate"]], abs=1e-9)
        assert c["pareto"] == (not any(off[o] <= off[c["candidate"]] and abbe[o] > abbe[c["candidate"]] for o in rows))
        assert sum(c["rank_probability"]) == pytest.approx(1)
    assert (a["rows"], a["ranked"], a["left_out"], a["better_than_next_by"]) == (6, 6, {}, "trials")
    assert [c["weight"] for c in a["criteria"]] == pytest.approx([2 / 3, 1 / 3])
    assert a["caution"]
    assert a["normalised"]
    assert "one and the same" in a["assumed"]


def test_copolymer_c_has_the_power_of_its_reading_sheet(results):
    """The table holds the mean of the five readings that the sheet lists, and the same dimensions."""
    followed = called.answer("follow", "--demo")
    c = next(c for c in answer(str(results / "results.csv"), *BEST)["candidates"] if c["candidate"] == "C")
    assert c["power_D"] == pytest.approx(followed["power_D"], abs=5e-6)
    assert c["labelled_power_D"] == followed["labelled_power_D"]


def test_who_would_conform_is_said_with_the_rule(results):
    with (results / "results.csv").open(encoding="utf-8") as f:
        p = {r["candidate"]: float(r["conformance_probability"]) for r in csv.DictReader(f)}
    would, not_decided = (", ".join(n for n in "CBDAFE" if chosen(p[n])) for chosen in (lambda x: x >= 0.95, lambda x: 0.05 < x < 0.95))
    assert (would, not_decided) == ("C, B, D, F", "A, E")
    a = answer(str(results / "results.csv"), *BEST)
    assert min(p[n] for n in "CBDF") > 0.999
    least = "(each with probability above 0.999)"
    undecided = "2 are not decided: A (probability 0.107), E (probability 0.440)"
    assert a["who_conforms"] == f"4 of the 6 ranked would conform if cut to these dimensions: {would} {least}; {undecided}"
    assert a["rule"].endswith("required is 0.95")
    assert a["provenance"] == "invented for the demo"
    words = " ".join(lenscalc("rank", str(results / "results.csv"), *BEST).stdout.split())
    for told in (
        "counted alike (1 : 1)", "invented for the demo", f"{a['who_conforms'][1:]}.", "required is 0.95.", "“rank 1” against all at once",
        "1 C 20.5 20.419, u 0.056 52.0, u 2.0 yes, p above 0.999", "not decided, p 0.107",
    ):  # fmt: skip
        assert told in words


def test_verdicts_without_their_probabilities_are_told_without_them(results, tmp_path):
    """A table that somebody cut: the column is not needed for an order."""
    with (results / "results.csv").open(encoding="utf-8") as f:
        rows = [{name: cell for name, cell in row.items() if name != "conformance_probability"} for row in csv.DictReader(f)]
    with (tmp_path / "cut.csv").open("w", encoding="utf-8", newline="") as f:
        writer = csv.DictWriter(f, rows[0])
        writer.writeheader()
        writer.writerows(rows)
    said = answer(str(tmp_path / "cut.csv"), *BEST)
    assert said["who_conforms"].endswith("; 2 are not decided: A, E")


def test_a_verdict_that_is_not_there_is_not_made_up(results, tmp_path):
    bare = tmp_path / "bare.csv"
    bare.write_text("candidate,power_D\nA,20\nB,21\n", encoding="utf-8")
    a = answer(str(bare), "--best", "power_D:low")
    assert (a["who_conforms"], a["rule"], a["provenance"]) == ("whether they would conform is not in this table", None, "")
    bare.write_text(
        "candidate,power_D,verdict,required_probability,provenance,labelled_power_D\nA,20,would not conform if cut to these dimensions,0.9,ours,\n"
        "B,21,,0.9,,20.25\n", encoding="utf-8",
    )  # fmt: skip
    a = answer(str(bare), "--best", "power_D:low")
    cut = "conform if cut to these dimensions"
    assert a["who_conforms"] == f"none of the 2 ranked would {cut}; 1 would not {cut}: A; 1 has no verdict: B"
    assert a["rule"].endswith("required is 0.9")
    assert a["provenance"] == "ours (1 of 2)"
    words = " ".join(lenscalc("rank", str(bare), "--best", "power_D:low").stdout.split())
    assert "1 A 20 no 1.000" in words
    assert "2 B 20.25 21 no verdict 0.000" in words


def test_the_calibration_is_no_difference_between_candidates(results):
    with (results / "results.csv").open(encoding="utf-8") as f:
        rows = {r["candidate"]: {k: float(r[k]) for k in ("power_D", "u_power_D", "calibration_part_power_D")} for r in csv.DictReader(f)}
    a = answer(str(results / "results.csv"), "--best", "power_D:high")["candidates"]
    apart = answer(str(results / "results.csv"), "--best", "power_D:high", "--separate-instruments")["candidates"]
    for first, second, other in zip(a, a[1:], apart, strict=False):
        x, y = rows[first["candidate"]], rows[second["candidate"]]
        p, q = x["calibration_part_power_D"], y["calibration_part_power_D"]
        u = sqrt(x["u_power_D"] ** 2 - p * p + y["u_power_D"] ** 2 - q * q + (p - q) ** 2)
        difference = x["power_D"] - y["power_D"]
        assert first["better_than_next_probability"] == pytest.approx((1 + erf(difference / u / sqrt(2))) / 2, abs=1e-9)
        whole = hypot(x["u_power_D"], y["u_power_D"])
        assert other["better_than_next_probability"] == pytest.approx((1 + erf(difference / whole / sqrt(2))) / 2, abs=1e-9)
        assert first["better_than_next_probability"] > other["better_than_next_probability"]


def test_any_kind_of_file_gives_the_same_and_a_pipe_too(results):
    found = [answer(str(results / f"results.{ending}"), *BEST)["candidates"] for ending in ("csv", "parquet", "xlsx")]
    found.append(answer("-", *BEST, stdin=(results / "results.csv").read_text(encoding="utf-8"))["candidates"])
    by_csv, by_parquet, by_excel, by_pipe = found
    assert by_csv == by_parquet == by_pipe
    for a, b in zip(by_csv, by_excel, strict=True):  # a workbook holds sixteen digits
        assert [a["candidate"], a["rank"], a["pareto"], a["rank_probability"]] == [b["candidate"], b["rank"], b["pareto"], b["rank_probability"]]
        assert a["power_D"] == pytest.approx(b["power_D"], rel=1e-15, abs=0.0)


def test_table_file_and_charts(results, tmp_path):
    charts = [tmp_path / f"ranks.{ending}" for ending in ("svg", "html", "json", "png")]
    for chart in charts:
        done = lenscalc(
            "rank", str(results / "results.csv"), *BEST, "--where", "edge_thickness_mm>=0.28", "--out", str(tmp_path / "ranked.csv"),
            "--chart", str(chart), *(["--dark"] if chart.suffix == ".json" else []),
        )  # fmt: skip
        assert done.returncode == 0, done.stderr
    words = " ".join(done.stdout.split())
    for told in ("5 of 6 rows", "outside the limits 1", "weight 0.5", "Not a medical device", "one and the same for all", "is missing", "rank 1"):
        assert told in words
    svg, html = charts[0].read_text(encoding="utf-8"), charts[1].read_text(encoding="utf-8")
    assert svg.startswith("<svg")
    assert "mean rank" in svg
    assert 'src="http' not in html  # its scripts stand inside
    assert json.loads(charts[2].read_text(encoding="utf-8"))["config"]["background"] == "#191814"
    assert charts[3].read_bytes().startswith(b"\x89PNG")
    with (tmp_path / "ranked.csv").open(encoding="utf-8") as f:
        rows = list(csv.DictReader(f))
    assert [r["rank"] for r in rows] == ["1", "2", "3", "4", "5"]
    assert "A" not in {r["candidate"] for r in rows}
    assert not any("refraction" in name for name in rows[0])
    assert sorted(p.name for p in tmp_path.iterdir()) == ["ranked.csv", "ranks.html", "ranks.json", "ranks.png", "ranks.svg"]


def test_rows_that_cannot_be_ranked_are_counted(tmp_path):
    table = tmp_path / "t.csv"
    table.write_text(
        "candidate,power_D,u_power_D,calibration_part_power_D,problem,warning\nA,20.1,0.1,0.05,,\nB,,0.1,0.05,,\nC,20.3,,0.05,,\nD,20.2,0.1,0.2,,\n"
        "E,20.4,0.1,0.05,bad radius,\nF,much,0.1,0.05,,\nG,20.2,0.1,-0.05,,not a decision\nH,inf,0.1,0.05,,\nI,30,0.1,0.05,,\n", encoding="utf-8",
    )  # fmt: skip
    a = answer(str(table), "--best", "power_D:near=20", "--where", "power_D<25")
    assert [c["candidate"] for c in a["candidates"]] == ["A", "G"]
    assert a["outside_limits"] == 1
    assert a["left_out"] == {
        "the row has a problem of its own": 1, "power_D is missing or not a number": 2, "power_D is infinite": 1,
        "u_power_D is missing or below 0": 1, "calibration_part_power_D is missing or larger than u_power_D": 1,
    }  # fmt: skip
    assert a["candidates"][1]["warning"] == "not a decision"
    assert any("carry a warning" in w for w in a["warnings"])


def test_nobody_left_is_said_and_no_error(results, tmp_path):
    done = lenscalc("rank", str(results / "results.csv"), *BEST, "--where", "power_D>100", "--chart", str(tmp_path / "c.svg"))
    assert done.returncode == 0
    assert "No candidate is left to rank." in done.stdout
    assert "is not written" in " ".join(done.stdout.split())
    assert list(tmp_path.iterdir()) == []
    (tmp_path / "empty.csv").write_text("power_D,u_power_D\n", encoding="utf-8")
    empty = answer(str(tmp_path / "empty.csv"), "--best", "power_D:low")
    assert (empty["candidates"], empty["who_conforms"]) == ([], "no candidate is left that could")


def test_where_nothing_is_uncertain_nothing_is_said_of_chances(results):
    a = answer(str(results / "results.csv"), "--best", "edge_thickness_mm:low")
    assert {c["better_than_next_probability"] for c in a["candidates"]} == {None}
    assert a["trials"] is None
    assert any("taken as exact" in w for w in a["warnings"])


@pytest.mark.parametrize(
    ("args", "told"),
    [
        (["--best", "powerD:low"], "did you mean power_D?"),
        (["--best", "power_D"], "write NAME:low"),
        (["--best", "power_D:low", "--where", "power_D>=19 or 1"], "one comparison a limit"),
        (["--best", "power_D:low", "--where", "verdict_x==1"], "unknown column 'verdict_x'"),
        (["--best", "power_D:low", "--weight", "power_D=heavy"], "write NAME=NUMBER"),
        (["--best", "power_D:low", "--weight", "power_D=-1"], "must be above 0"),
        (["--best", "power_D:low", "--weight", "abbe_d=1"], "unknown criterion with a weight 'abbe_d'"),
        (["--best", "power_D:low", "--best", "power_D:high"], "named twice"),
        (["--best", "refraction_shift_D:low"], "no quality of a polymer"),
        (["--best", "mass_mg:low"], "goes through lenscalc batch first"),
        (["--best", "power_D:low", "--chart", "ranks.pdf"], ".pdf is not written here"),
        (["--best", "power_D:low", "--chart", "nowhere/ranks.svg"], "the folder is not there"),
        ([], "--best"),
    ],
)
def test_rank_says_in_one_line_what_cannot_be(results, args, told):
    done = lenscalc("rank", str(results / "results.csv"), *args)
    assert (done.returncode, done.stdout) == (2, "")
    assert told in done.stderr
    assert len(done.stderr.splitlines()) == 1


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ("sigma_n,U(power_D),time_s", "sigma_n, U(power_D)"),
        ("u_power_D,sigma_n", "sigma_n"),
        ("u_power_D,abbe_d,u_abbe_d,note_sigma,hardness,u_hardness", ""),
    ],
)
def test_a_column_that_is_called_as_an_uncertainty_and_not_read_is_told(tmp_path, more, told):
    (tmp_path / "t.csv").write_text(f"candidate,power_D,{more}\nA,20.1,{'0.1,' * more.count(',')}0.1\n", encoding="utf-8")
    notes = [w for w in answer(str(tmp_path / "t.csv"), "--best", "power_D:near=20")["warnings"] if "speak of an uncertainty" in w]
    wanted = f"Not read, although their names speak of an uncertainty: {told}. A column of standard uncertainties has a name like u_power_D "
    assert [note.startswith(wanted) for note in notes] == [True] * bool(told)
