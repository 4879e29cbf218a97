"""A determination that is built from a record: every figure of its PDF leads to a column of the record, or to the sheet that the record keeps."""

import math
import re
from dataclasses import replace

import pypdfium2 as pdfium
import pytest
from printed_figures import IN_TABLES, INDEX, LENS, OF_THE_SHEET, PROBABILITIES, assert_printed, assert_probability, normal_inside, numbers, squeezed
from sheets import DEMO, WITHOUT_LENS

from lenscalc.records import open_store
from lenscalc.records.again import computed_again
from lenscalc.report import determine_record, html_of, pdf_of
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
                    assert figure.text.startswith(("no u decides", "not said: so near a limit"))
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
