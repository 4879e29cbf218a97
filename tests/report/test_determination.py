"""What a determination says: the record's figures, rounded as their uncertainty allows, and nothing of today or of this machine."""

import json
import re
import subprocess
import sys

import pytest
from called import answer
from sheets import ALL, DEMO, HOSTILE, C

from lenscalc.chain import follow
from lenscalc.conditions import CAUTION
from lenscalc.decision import ToleranceTable
from lenscalc.errors import SheetError
from lenscalc.refractometer import sheet_from_text
from lenscalc.refractometer.schema import SCHEMA
from lenscalc.report import Origin, as_plain, determine, figures_of
from lenscalc.report.tree import printable, sum_of_text
from lenscalc.report.words import WORDS
from lenscalc.verify import half_unit


def the(tree, quantity):
    """The one text under a quantity's name among the figures of the sections."""
    found = {f.text for s in tree.sections for g in s.groups for f in g.figures if f.quantity == quantity}
    assert len(found) == 1, (quantity, found)
    return found.pop()


def numbers(text):
    return re.findall(r"−?\d+(?:\.\d+)?", text)


def close(printed, value):
    printed = printed.replace("−", "-")
    return abs(float(printed) - value) <= half_unit(printed) * (1 + 1e-9)


@pytest.mark.parametrize("name", DEMO)
def test_every_figure_is_the_one_of_the_command_rounded(name, tmp_path):
    (tmp_path / name).write_text(DEMO[name], encoding="utf-8")
    told = answer("follow", str(tmp_path / name))
    tree = determine(DEMO[name]).tree
    pairs = {
        "n_lens": ("n_lens", "u_n_lens"), "expanded_u_n_lens": ("expanded_u_n_lens", "coverage_factor"), "power_D": ("power_D", "u_power_D"),
        "u_power_common_D": ("u_power_common_D",), "u_power_individual_D": ("u_power_individual_D",),
        "back_focal_length_mm": ("back_focal_length_mm",), "edge_thickness_mm": ("edge_thickness_mm",),
        "limits_D": ("lower_limit_D", "upper_limit_D"), "refraction_shift_D": ("refraction_shift_D", "u_refraction_shift_D"),
    }  # fmt: skip
    for quantity, names in pairs.items():
        text = the(tree, quantity).replace("for 95 %", "").replace("k ", "")
        for printed, key in zip(numbers(text), names, strict=False):
            assert close(printed, told[key]), (quantity, text, told[key])
    ends = numbers(the(tree, "interval_D"))
    assert close(ends[0], told["interval_lower_D"])
    assert close(ends[1], told["interval_upper_D"])
    p = told["conformance_probability"]
    assert close(numbers(the(tree, "conformance_probability"))[0], p) or p > 0.9995
    budgets = {t.caption: t for s in tree.sections for t in s.tables if t.caption.startswith("Budget")}
    for caption, key, of in (("Budget of the index in use", "budget", ""), ("Budget of the power", "power_budget", " D")):
        rows = budgets[caption].rows
        assert [row[0] for row in rows] == [line["source"] for line in told[key]]
        for row, line in zip(rows, told[key], strict=True):
            assert close(row[4].removesuffix(of).lstrip("+"), line["part"])
    steps = next(t for s in tree.sections for t in s.tables if t.caption.startswith("How the reading"))
    for row, step in zip(steps.rows, told["steps"], strict=True):
        assert row[0] == step["step"]
        assert close(numbers(row[1])[0], step["n"])
    assert tree.warnings == tuple(told["warnings"])
    assert tree.short[-1].text == told["verdict"]


def test_a_known_lens_by_hand():
    """Read in use, all exact: n 1.5 in 1.336, R 10 mm, flat behind, where the thickness does nothing: (1.5 - 1.336)/0.01 = 16.4 D."""
    sheet = """
provenance = "worked by hand"
[specimen]
material = "glass"
state = "hydrated"
u_specimen_to_lens = 0.0
[instrument]
kind = "minimum deviation"
resolution = 0.0
u_calibration = 0.0
u_operator = 0.0
[[reading]]
wavelength_nm = 546.07
temperature_degC = 35.0
u_temperature_degC = 0.0
basis = "air"
n = [1.5]
u_repeatability = 0.0
dof_repeatability = 100
[lens]
optic_diameter_mm = 6.0
dimensions = "exact"
[lens.front_radius_mm]
value = 10.0
state = "hydrated"
temperature_degC = 35.0
[lens.back_radius_mm]
value = "plano"
state = "hydrated"
temperature_degC = 35.0
[lens.center_thickness_mm]
value = 0.5
state = "hydrated"
temperature_degC = 35.0
"""
    tree = determine(sheet).tree
    assert the(tree, "power_D") == "16.400 D, with everything taken as exact"
    assert the(tree, "proposed_label_D") == "16.5 D, a proposal only"
    assert the(tree, "d_power_d_n_lens") == "+0.100 D"  # 1/R = 100 D


@pytest.mark.parametrize("name", ALL)
def test_every_sheet_has_its_caution_its_sums_and_its_sources(name):
    tree = determine(ALL[name]).tree
    assert tree.caution == CAUTION
    sums = {f.quantity: f.text for f in tree.stands_on}
    assert sums["sha256_sheet"] == sum_of_text(ALL[name])
    assert sums["sha256_results"] == sum_of_text(json.dumps(list(figures_of(tree)), ensure_ascii=False, separators=(",", ":")))
    assert tree.checksum_in_short == sums["sha256_sheet"][:12]
    assert any("JCGM 100" in s for s in tree.sources)
    assert sum(s.is_decision for s in tree.sections) == (1 if "[lens]" in ALL[name] else 0)
    json.dumps(as_plain(tree), allow_nan=False)


def test_another_reading_gives_another_sum_of_the_figures_and_a_comment_does_not():
    def sums(text):
        return [f.text for f in determine(text).tree.stands_on if f.quantity.startswith("sha256")]

    sheet, figures = sums(C)
    assert sums(C + "# a comment\n")[1] == figures
    assert sums(C + "# a comment\n")[0] != sheet
    assert sums(C.replace("1.4902, 1.4904", "1.4903, 1.4904"))[1] != figures


def test_readings_are_printed_with_the_digits_that_were_written():
    table = next(t for t in determine(DEMO["copolymer_b.toml"]).tree.sections[0].tables if "readings" in t.caption.lower())
    assert "mounting 2, session Monday: 1.50219, 1.50220;" in table.rows[0][3]  # the last zero too


def test_a_record_is_named_with_the_head_of_its_store():
    tree = determine(C, origin=Origin("R-17", "ab" * 32)).tree
    assert [(f.quantity, f.text) for f in tree.stands_on[-2:]] == [("record_id", "R-17"), ("store_head", "ab" * 32)]


def test_a_tolerance_of_ones_own_is_named_with_its_edition():
    tree = determine(C, tolerance_table=ToleranceTable("our own, 2026", ((30.0, 0.25),))).tree
    assert the(tree, "limits_D") == "20.25 to 20.75 D"
    assert any("our own, 2026" in note for s in tree.sections for note in s.notes)


def test_without_a_label_there_is_no_decision_and_with_exact_dimensions_the_reason_is_told():
    assert determine(ALL["no label"]).tree.short[-1].text == "no label, so no decision"
    decision = next(s for s in determine(ALL["exact"]).tree.sections if s.is_decision)
    assert decision.says == ("No decision. Dimensions taken as exact: not a decision.",)
    assert [f.quantity for f in decision.groups[0].figures] == ["labelled_power_D", "limits_D"]
    lens = next(s for s in determine(ALL["exact"]).tree.sections if s.question.startswith("How strong"))
    assert [row[-1] for row in lens.tables[0].rows] == ["15 mm, taken as exact", "−15 mm, taken as exact", "0.9 mm, taken as exact"]
    assert the(determine(ALL["exact"]).tree, "u_power_individual_D") == "none"
    assert "mixing rule" in next(s for s in determine(ALL["water content"]).tree.sections if s.is_decision).says[0]


def test_what_would_move_or_hide_a_sign_is_written_out():
    tree = determine(ALL["hostile"]).tree
    assert "‹U+0007›" in tree.title
    assert "‹U+202E›abc‹U+2066› ‹U+200B›" in tree.title
    assert "<script>alert(1)</script>" in tree.title
    assert not re.search("[\u0000-\u0009\u000b-\u001f\u202a-\u202e\u2066-\u2069\u200b]", json.dumps(as_plain(tree), ensure_ascii=False))
    assert printable(" a\r\n\tb ") == "a b"
    assert HOSTILE.startswith("#panic()")


def test_every_key_of_a_sheet_has_its_words():
    """Only what is told in a table of its own, or as the u of a key with words, has none."""
    in_tables = {"calibration.reference": {"u_certified"}}
    for table, keys in SCHEMA.items():
        if table in ("calibration.reference.as_read", "medium.as_read"):
            continue  # parts of tables that are named above
        lacking = {k for k in keys if k not in WORDS[table] and not (k.startswith("u_") and k[2:] in WORDS[table])}
        assert lacking - in_tables.get(table, set()) <= ({"u"} if table.startswith("lens.") else set()), table


def test_a_sheet_that_cannot_be_followed_is_named():
    with pytest.raises(SheetError, match=r"mine\.toml: .*abbe_d"):
        determine(C.replace("[dispersion]\nabbe_d = 52.0\nu_abbe_d = 2.0\n", ""), name="mine.toml")
    with pytest.raises(SheetError, match="empty"):
        determine("", name="mine.toml")


def test_the_tree_is_that_of_the_chain():
    followed = follow(sheet_from_text(C))
    assert determine(C).followed.evaluation.only("power_D") == followed.evaluation.only("power_D")


def test_a_tree_needs_neither_charts_nor_typst():
    code = (
        "from lenscalc.demo import demo_text\nfrom lenscalc.report import determine\ndetermine(demo_text('copolymer_c.toml'))\n"
        "import sys; print({'altair', 'typst', 'vl_convert', 'pandas'} & set(sys.modules))"
    )
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout == "set()\n"
