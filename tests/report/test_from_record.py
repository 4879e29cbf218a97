"""A determination that is built from a record: every figure of its PDF leads to a column of the record, or to the sheet that the record keeps."""

import math
import re
import tomllib
from dataclasses import replace

import pypdfium2 as pdfium
import pytest
from called import answer, lenscalc
from scipy import stats
from sheets import DEMO, WITHOUT_LENS, C

from lenscalc.decision import ToleranceTable
from lenscalc.errors import InputError
from lenscalc.records import Difference, open_store
from lenscalc.records.again import computed_again
from lenscalc.report import determine_record, figures_of, html_of, pdf_of
from lenscalc.report.from_record import _figures, _refusal, _remarks

NUMBER = re.compile(r"\d+(?:\.\d+)?(?:e-?\d+)?")
SHEETS = {name: DEMO[name] for name in ("copolymer_b.toml", "copolymer_c.toml", "copolymer_e.toml")} | {"index.toml": WITHOUT_LENS}


@pytest.fixture(scope="module")
def lab(tmp_path_factory):
    """A store with three lenses and one index, and of each the tree and the text of its PDF."""
    with open_store(tmp_path_factory.mktemp("lab") / "records.db") as store:
        made = {}
        for name, text in SHEETS.items():
            store.add_sheet(text, name)
        for record in store.records():
            determined = determine_record(store, record)
            pages = "\n".join(page.get_textpage().get_text_range() for page in pdfium.PdfDocument(pdf_of(determined)))
            made[record.section("record")["sheet_name"]] = record, determined.tree, squeezed(pages)
        yield store, made


def squeezed(text):
    return re.sub(r"[\s\u200b\u0002\ufffe]", "", text)


def numbers(printed):
    """The numbers of a printed text, each with half a unit of its last digit."""
    for text in re.findall(r"[−+]?\d+(?:\.\d+)?(?:e[−+]?\d+)?", printed):
        plain = text.replace("−", "-")
        digits, _, power = plain.partition("e")
        yield float(plain), 0.5 * 10.0 ** (int(power or 0) - len(digits.partition(".")[2]))


def assert_printed(printed, *columns):
    """The printed numbers are the columns', rounded where they are printed."""
    found = list(numbers(printed))
    assert len(found) >= len(columns), printed
    for (number, half), column in zip(found, columns, strict=False):
        assert number == pytest.approx(column, abs=1.001 * half + 1e-15), (printed, column)


def assert_probability(printed, p):
    if printed.startswith("above"):
        assert p > 0.9995
    elif printed.startswith("below"):
        assert p < 0.0005
    else:
        assert float(printed[:5]) == pytest.approx(p, abs=0.00051)


def normal_inside(power, u, lower, upper):
    return stats.norm.cdf((upper - power) / u) - stats.norm.cdf((lower - power) / u)


def worst_lot(lens, decision):
    """The yield that nineteen lots in twenty reach: by going through the common error in steps of equal probability."""
    lower, upper = decision["lower_limit_D"], decision["upper_limit_D"]
    yields = sorted(
        normal_inside(lens["power_D"] + z * lens["u_power_common_D"], lens["u_power_individual_D"], lower, upper)
        for z in stats.norm.ppf([(i + 0.5) / 2000 for i in range(2000)])
    )
    return yields[100]


def factor(index):
    return stats.t.ppf(0.975, index["dof_n_lens"])


INDEX = {
    "n_lens": lambda r: (r["index"]["n_lens"], r["index"]["u_n_lens"]),
    "expanded_u_n_lens": lambda r: (factor(r["index"]) * r["index"]["u_n_lens"], factor(r["index"])),
    "abbe_d": lambda r: (r["index"]["abbe_d"], r["index"]["u_abbe_d"]),
}
LENS = {
    "power_D": lambda r: (r["lens"]["power_D"], r["lens"]["u_power_D"]),
    "interval_D": lambda r: (r["lens"]["interval_lower_D"], r["lens"]["interval_upper_D"]),
    "u_power_common_D": lambda r: (r["lens"]["u_power_common_D"],),
    "u_power_individual_D": lambda r: (r["lens"]["u_power_individual_D"],),
    "back_focal_length_mm": lambda r: (r["lens"]["back_focal_length_mm"],),
    "edge_thickness_mm": lambda r: (r["lens"]["edge_thickness_mm"],),
    "power_in_measured_medium_D": lambda r: (r["lens"]["power_in_measured_medium_D"], r["lens"]["u_power_in_measured_medium_D"]),
    "d_power_d_n_lens": lambda r: (r["lens"]["d_power_d_n_lens"] / 1000,),
    "index_part_of_u_power_D": lambda r: (abs(r["lens"]["d_power_d_n_lens"]) * r["index"]["u_n_lens"],),
    "refraction_shift_D": lambda r: (r["lens"]["refraction_shift_D"], r["lens"]["u_refraction_shift_D"]),
    "limits_D": lambda r: (r["decision"]["lower_limit_D"], r["decision"]["upper_limit_D"]),
    "labelled_power_D": lambda r: (r["decision"]["labelled_power_D"],),
}
PROBABILITIES = {
    "conformance_probability": lambda r: r["decision"]["conformance_probability"],
    "risk_if_accepted": lambda r: 1 - r["decision"]["conformance_probability"],
    "risk_if_rejected": lambda r: r["decision"]["conformance_probability"],
    "lot_off_probability": lambda r: r["decision"]["lot_off_probability"],
    "expected_yield": lambda r: r["decision"]["expected_yield"],
    "yield_quantile": lambda r: worst_lot(r["lens"], r["decision"]),
}
IN_TABLES = {"share", "dof", "part_of_n_lens", "part_of_power_D", "u_halved_D", "u_without_D", "probability_halved", "probability_without",
             "dimension_mm", "dimension_in_use_mm"}  # fmt: skip
OF_THE_SHEET = {  # stated, and printed with the digits that were written; the sheet is kept whole
    "material", "lot", "state", "preparation", "equilibration_liquid", "equilibration_h", "u_specimen_to_lens", "kind", "resolution", "u_calibration",
    "u_operator", "n_contact_liquid", "n_prism", "date", "interval_days", "model", "within_K", "check_before", "check_after", "glass_transition_degC",
    "reading_wavelength_nm", "reading_temperature_degC", "index_basis", "n_reading", "n_certified", "optic_diameter_mm", "u_scale_relative",
    "dn_dt_per_K", "name", "n_measured_medium", "wavelength_nm", "temperature_degC", "basis", "same_instrument", "hydration_shift",
    "linear_swelling", "linear_expansion_per_K", "swelling", "dimensions", "abbe_d", "labelled_power_D",
}  # fmt: skip


@pytest.mark.parametrize("name", SHEETS)
def test_every_figure_of_the_pdf_leads_to_the_record(lab, name):
    store, made = lab
    record, tree, text = made[name]
    kept, written = record.content, set(NUMBER.findall(store.text_of(record)))
    checked = 0
    for section in tree.sections:
        first = section.question.startswith("What was read")
        for figure in (*(tree.short if first else ()), *(f for g in section.groups for f in g.figures)):
            assert squeezed(figure.text) in text, figure
            if figure.quantity == "verdict":
                assert figure.text == kept["decision"]["verdict"]
            elif figure.quantity == "largest_u_n_lens":
                if "largest_u_n_lens" in kept["decision"]:
                    (number, half), *_ = numbers(figure.text)
                    assert 0 <= kept["decision"]["largest_u_n_lens"] - number <= 2.001 * half  # rounded down, so that it stays a limit
                else:
                    assert figure.text.startswith("no u decides")
            elif figure.quantity == "acceptance_limits_D":
                ends = [kept["decision"].get(f"acceptance_{end}_D") for end in ("lower", "upper")]
                assert_printed(figure.text, *ends) if None not in ends else None
                assert (None in ends) == figure.text.startswith("none")
            elif figure.quantity in PROBABILITIES:
                assert_probability(figure.text, PROBABILITIES[figure.quantity](kept))
            elif figure.quantity in INDEX | LENS and (not first or figure in tree.short):
                assert_printed(figure.text, *(INDEX | LENS)[figure.quantity](kept))
            else:
                assert figure.quantity in OF_THE_SHEET, figure
                assert set(NUMBER.findall(figure.text.replace("−", "-").replace("1/K", ""))) <= written, figure
            checked += 1
        for table in section.tables:
            for column in table.columns:
                assert not column.quantity or column.quantity in IN_TABLES | OF_THE_SHEET | {"n_lens"}, column
            for row in table.rows:
                assert all(squeezed(cell) in text for cell in row), row
    assert checked > (40 if "lens" in kept else 15)


def table_of(tree, caption):
    return next(t for s in tree.sections for t in s.tables if t.caption.startswith(caption))


@pytest.mark.parametrize("name", SHEETS)
def test_the_tables_of_the_pdf_are_the_rows_of_the_record(lab, name):
    _, made = lab
    record, tree, _ = made[name]
    for printed, step in zip(table_of(tree, "How the reading").rows, record.rows("steps"), strict=True):
        assert printed[0] == step["step"]
        assert_printed(printed[1], step["n"], step["u"])
        assert_share(printed[2], step["share"])
    for quantity in ("n_lens", "power_D") if "lens" in record.content else ("n_lens",):
        lines = [row for row in record.rows("budget") if row["quantity"] == quantity]
        table = table_of(tree, "Budget of the index" if quantity == "n_lens" else "Budget of the power")
        for printed, line in zip(table.rows, lines, strict=True):
            assert (printed[0], printed[2]) == (line["source"], line["distribution"])
            assert printed[3] == ("∞" if math.isinf(line["dof"]) else f"{line['dof']:.3g}")
            assert_printed(printed[4], line["part"])
            assert_share(printed[5], line["share"])
    lists = [of["position"] for of in record.rows("lists") if of["purpose"] == "specimen"]
    readings = [[r["n"] for r in record.rows("readings") if r["list"] == at] for at in lists]
    for printed, n in zip(table_of(tree, "The readings").rows, readings, strict=True):
        assert [x for x, _ in numbers(printed[3].replace("mounting", "")) if 1.3 < x < 1.8] == n
    if "lens" not in record.content:
        return
    dimensions = {row["name"]: row for row in record.rows("dimensions")}
    names = ("front_radius_mm", "back_radius_mm", "center_thickness_mm")
    for printed, dimension in zip(table_of(tree, "Its dimensions").rows, names, strict=True):
        assert_printed(printed[1], dimensions[dimension]["value_mm"], dimensions[dimension]["u_mm"])
        assert_printed(printed[4], record.section("lens")[dimension])


def assert_share(printed, share):
    if printed in ("none", "below 0.05 %"):
        assert share < 0.0005
    else:
        assert_printed(printed, 100 * share)


@pytest.mark.parametrize("name", ["copolymer_c.toml", "copolymer_e.toml"])
def test_what_would_make_it_surer_follows_from_the_budget_of_the_record(lab, name):
    """Half of one source leaves u² − ¾ of its part squared, none of it u² less the part squared; the probability by the normal law (ν is large)."""
    _, made = lab
    record, tree, _ = made[name]
    lens, decision = record.section("lens"), record.section("decision")
    parts = {row["source"]: row["part"] for row in record.rows("budget") if row["quantity"] == "power_D"}
    for source, _, u_halved, u_without, p_halved, p_without in table_of(tree, "u of the power").rows:
        for printed_u, printed_p, of in ((u_halved, p_halved, 0.75), (u_without, p_without, 1.0)):
            u = math.sqrt(lens["u_power_D"] ** 2 - of * parts[source] ** 2)
            assert_printed(printed_u, u)
            assert_probability(printed_p, normal_inside(lens["power_D"], u, decision["lower_limit_D"], decision["upper_limit_D"]))


def test_the_record_and_the_head_stand_on_it(lab):
    store, made = lab
    record, tree, text = made["copolymer_c.toml"]
    stated = {f.quantity: f.text for f in tree.stands_on}
    assert stated["record_id"] == record.hash
    assert stated["store_head"] == store.head()
    assert stated["again"] == "the same bits, by the same version, libraries and processor"
    assert stated["kept"].endswith(f"as number 2 of store {record.section('record')['store'][:8]}")
    for hash_ in (record.hash, store.head()):
        assert hash_ in text
    assert text.count(f"record{record.id}·sheet{tree.checksum_in_short}") > 3  # on every page
    html = html_of(determine_record(store, record))
    assert record.hash in html
    assert f"record {record.id}" in html
    assert store.check(head=stated["store_head"]).problems == ()


def test_the_same_record_gives_the_same_bytes_and_its_own_tolerances(tmp_path):
    table = ToleranceTable("ours, 2026", ((30.0, 0.25),))
    with open_store(tmp_path / "s.db") as store:
        record = store.add_sheet(C, "c.toml", tolerance_table=table)
        one, other = (determine_record(store, record) for _ in range(2))
        assert pdf_of(one) == pdf_of(other)
        assert "ours, 2026" in pdf_text(one)
        assert dict(figures_of(one.tree))["limits_D"] == "20.25 to 20.75 D"


def pdf_text(determined):
    return " ".join("\n".join(page.get_textpage().get_text_range() for page in pdfium.PdfDocument(pdf_of(determined))).split())


def test_a_superseded_record_says_so_at_the_top(tmp_path):
    with open_store(tmp_path / "s.db") as store:
        old = store.add_sheet(C, "c.toml")
        new = store.add_sheet(C.replace("C-07", "C-08"), "c.toml", supersedes=old.id, because="the lot was mistyped")
        determined = determine_record(store, store.record(old.id))
        assert determined.tree.kind.endswith(f"superseded by record {new.id}")
        text = pdf_text(determined)
        assert text.index(f"superseded by record {new.id}") < text.index("What was read")
        assert "because the lot was mistyped" in text
        assert not any("superseded" in sentence for sentence in determine_record(store, new).tree.warnings)


def made_elsewhere(record, text, *, change=None, **made):
    """The record as another version or machine might have kept it, computed again here."""
    content = {**record.content, "record": {**record.section("record"), **made}}
    if change:
        section, field, value = change
        content[section] = {**content[section], field: value} if field else value
    other = replace(record, content=content)
    return other, computed_again(other, text)


def test_another_processor_is_said_and_another_figure_is_refused(lab):
    store, made = lab
    record, _, _ = made["copolymer_c.toml"]
    text, n = store.text_of(record), record.section("index")["n_lens"]
    other, again = made_elsewhere(record, text, change=("index", "n_lens", n * (1 + 4e-16)), processor="X86_V2", numpy="2.0.0")
    assert again.figures_hold
    told = {f.quantity: f.text for f in _figures(other, again)}["again"]
    assert told.startswith("within 1e-13, by numpy ")
    assert told.endswith("in place of 2.0.0, another processor")
    other, again = made_elsewhere(record, text, change=("index", "n_lens", n + 1e-6), lenscalc="0.0.9")
    assert not again.figures_hold
    assert "gives other figures than the record's, which lenscalc 0.0.9 computed (index.n_lens" in _refusal(other, again)
    other, again = made_elsewhere(record, text, change=("decision", "verdict", "would not conform"), lenscalc="0.0.9")
    assert "decision.verdict would not conform then" in _refusal(other, again)
    other, again = made_elsewhere(record, text, change=("index", "n_lens", n * (1 + 4e-16)))
    assert not again.figures_hold  # the same maker owes the same bits
    assert "does not give its figures again" in _refusal(other, again)
    _, again = made_elsewhere(record, text.replace("[lens]", "[lense]"), lenscalc="0.0.9")
    assert not again.figures_hold
    assert "does not take its sheet" in _refusal(record, again)


def test_other_words_of_another_version_are_said(lab):
    store, made = lab
    record, _, _ = made["copolymer_c.toml"]
    older = ("remarks", "", [{"position": 1, "sentence": "in older words"}])
    other, again = made_elsewhere(record, store.text_of(record), change=older, lenscalc="0.0.9")
    assert (again.outcome, again.holds, again.figures_hold) == ("differs", False, True)
    assert {f.quantity: f.text for f in _figures(other, again)}["again"].startswith("the same figures, not the same words, by lenscalc")
    assert "says something in other words, or more of it: remarks" in _remarks(other, again, [])[0]


@pytest.mark.parametrize(
    ("field", "then", "now", "of_words"),
    [("remarks: rows", 2, 1, True), ("steps[1].note", "a", "b", True), ("lens.new_D", None, 1.0, True), ("lens.power_D", 1.0, None, False),
     ("decision", None, "there", False), ("decision.verdict", None, "would conform", False), ("steps: rows", 6, 5, False)],
)  # fmt: skip
def test_what_counts_as_words_alone(field, then, now, of_words):
    assert Difference(field, then, now).is_of_words is of_words


def test_a_tampered_record_is_not_printed(tmp_path):
    with open_store(tmp_path / "s.db") as store:
        record = store.add_sheet(C, "c.toml")
        changed = replace(record, content={**record.content, "lens": {**record.section("lens"), "power_D": 20.5}})
        with pytest.raises(InputError, match=r"lens\.power_D 20\.5 then, 20\.41.* nothing was printed: was the store changed"):
            determine_record(store, changed)


def test_the_command_takes_a_record(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "c.toml").write_text(C, encoding="utf-8")
    (added,) = answer("records", "add", "c.toml", "--store", "s.db")["added"]
    done = lenscalc("report", added["id"], "c.pdf", "--store", "s.db")
    assert done.returncode == 0, done.stderr
    assert f"record                           {added['hash']}" in done.stdout
    assert "the same bits" in done.stdout
    assert (tmp_path / "c.pdf").read_bytes().startswith(b"%PDF-")
    monkeypatch.setenv("LENSCALC_STORE", str(tmp_path / "s.db"))
    told = answer("report", added["id"][:6])
    assert {"quantity": "record_id", "label": "record", "text": added["hash"]} in told["stands_on"]
    assert tomllib.loads(told["sheet"]) == tomllib.loads(C)
    for args, sentence in (
        (["beef", "c.pdf"], "there is none in this store"),
        (["nowhere.toml", "c.pdf"], "nowhere.toml: No such file"),
        ([added["id"], "c.pdf", "--tolerance-table", "t.toml"], "has its own tolerance table"),
        (["--demo", "c.pdf", "--store", "s.db"], "--store goes with a record's id"),
        (["c.toml", "c.pdf", "--store", "s.db"], "hexadecimal digits of its hash"),
    ):
        done = lenscalc("report", *args)
        assert done.returncode == 2, args
        assert sentence in done.stderr
        assert len(done.stderr.strip().splitlines()) == 1
    (tmp_path / added["id"]).write_text(WITHOUT_LENS, encoding="utf-8")  # a file of that name goes first
    assert "record_id" not in {f["quantity"] for f in answer("report", added["id"])["stands_on"]}
