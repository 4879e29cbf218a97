"""Addresses with something wrong in them, drawn at random, for every page: an answer or a sentence, never a traceback, in bounded time.

`HOSTILE_EXAMPLES=200 python -m pytest tests/hostile/test_addresses.py` is the long run: so many addresses for each page.
"""

import math
import os
import time

import pytest
from addressed import address_of, as_address, fields, is_addressed, opened
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from lenscalc.demo import demo_text
from lenscalc.records import open_store
from lenscalc.web.guarded import UNFORESEEN
from lenscalc.web.shell import PAGES

EXAMPLES = int(os.environ.get("HOSTILE_EXAMPLES", "5"))  # to open a page takes half a second
PROCESSOR_S = 20.0  # of one page, on a machine that does other work as well
# without shrinking: to make one address shorter would take minutes
hard = settings(
    max_examples=EXAMPLES, deadline=None, suppress_health_check=list(HealthCheck), phases=[Phase.explicit, Phase.reuse, Phase.generate]
)  # fmt: skip

ODD = [
    "", " ", "nan", "inf", "-inf", "1e308", "-1e308", "5e-324", "1e400", "0", "-0.0", "-1", "1", "2", "1,49", "1_5", "0x10", "true", "TRUE", "False",
    "٣", "\u202e1.49", "\0", "1.49\0", "'", '"""', "\\", "\n", "=cmd()", "<script>alert(1)</script>", "<b>x</b>", "$x$", ":red[x]", "# h",
    "![x](https://example.invalid/a.png)", "1e-300", "9" * 400, "x" * 5000, "2026-02-30", "2026-01-05", "0001-01-01", "9999-12-31", "1:25", "None",
    "null", "plano", "%00", "../..", "0.9; 1; 1.1", "1e9", "-1e9", "1e7", "2147483648", "9007199254740993", "1e17", "; ; ;", "\U0001f441", "embed",
]  # fmt: skip
TEXTS = st.one_of(
    st.sampled_from(ODD), st.floats().map(repr), st.integers().map(str), st.text(st.characters(exclude_categories=["Cs"]), max_size=30),
)  # fmt: skip


@pytest.fixture(scope="module", autouse=True)
def records(tmp_path_factory):
    """Two records, in a store of this test's own."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("LENSCALC_STORE", str(tmp_path_factory.mktemp("kept") / "records.db"))
        with open_store(create=True, wait_s=10.0) as store:
            for name in ("copolymer_b.toml", "copolymer_e.toml"):
                store.add_sheet(demo_text(name), name)
        yield


_NAMES: dict[str, list[str]] = {}
_OFFERED: dict[str, list[str]] = {}


def _names_of(file):
    """The names that the page's address may have, and all that its choices offer."""
    if file not in _NAMES:
        at = opened(file, {})
        _NAMES[file] = sorted({*address_of(at), *at.session_state["fields of this run"]})
        _OFFERED[file] = [str(getattr(o, "content", o)) for f in fields(at).values() for o in getattr(f, "options", ())] or ["true"]
    return _NAMES[file], _OFFERED[file]


@st.composite
def addresses(draw, file):
    names, offered = _names_of(file)
    known = st.sampled_from(names) if names else st.just("n_lens")
    name = st.one_of(known, known, known, st.sampled_from(["embed", "n_lens", "seed", *ODD[8:]]), st.text(max_size=20).filter(_can_be_sent))
    text = st.one_of(TEXTS, st.sampled_from(offered))
    return draw(st.dictionaries(name, st.lists(text, min_size=1, max_size=3), min_size=1, max_size=5))


def _can_be_sent(text):
    return not any("\ud800" <= sign <= "\udfff" for sign in text)


@pytest.mark.parametrize("file", [file for file, _, _ in PAGES])
@hard
@given(data=st.data())
def test_a_page(file, data):
    look_at(file, data.draw(addresses(file)))


def look_at(file, address):
    """Open a page with an address; nothing gives way there without a word."""
    begun = time.process_time()
    at = opened(file, address)
    took_s = time.process_time() - begun
    told = [e.value for e in (*at.error, *at.warning, *at.info)]
    assert not at.exception
    assert UNFORESEEN not in told
    assert not any("Traceback" in text for text in (*told, *(str(m.value) for m in at.markdown)))
    assert took_s < PROCESSOR_S
    labels = at.session_state["labels of the fields of this run"]
    drawn = [(name, key) for name, (_, key) in at.session_state["fields of this run"].items()]
    for key, field in fields(at).items():
        if key in address and is_addressed(field) and not _is_taken(address[key], as_address(field)):
            of_both = key.removeprefix("from_").removeprefix("to_")  # a sweep's two fields of one quantity
            named = [key, of_both, *(name for name, k in drawn if k == key)]
            called = {labels.get(name, name).replace("_", "\\_") for name in named}
            said = any(f"{name}{close} = " in text for name in called for close in ("", "”") for text in told)
            assert said, f"{key} = {address[key]!r} gave way to {as_address(field)!r}"


def _is_taken(texts, stands):
    """Whether what stands in a field is what the address says: of one name more than once the last counts; empty is no word at all."""
    last, there = texts[-1], stands[-1] if stands else ""
    if not last or stands == list(dict.fromkeys(texts)):
        return True
    try:
        return math.isclose(float(last), float(there), abs_tol=1e-12)  # a slider takes 1e-300 for 0
    except ValueError:
        return last.strip().lower() == there.lower()


FOUND = [
    ("a_worksheet.py", {"index_change": ["nan", "4.7e-130"]}),
    ("best_shape.py", {"show_shape_factor": ["x", "-9e-296"]}),
    ("a_sweep.py", {"how_center_thickness_mm": ["a list"], "values_center_thickness_mm": ["0.8; 0.9; 1"], "held_center_thickness_mm": ["0.9", "1"]}),
    ("a_sweep.py", {"how_n_lens": ["Latin hypercube"], "from_n_lens": ["1.4"], "to_n_lens": ["1.5"], "sweep_points": ["inf"], "sweep_seed": ["1.5"]}),
    ("a_sweep.py", {"how_front_radius_mm": ["from, to, so many points"], "points_front_radius_mm": ["1e308"]}),
    ("what_is_kept.py", {"kept_since": ["2026-02-30"], "kept_until": ["0001-01-01"], "records_page": ["inf"], "of_list": ["\0"]}),
    ("what_is_kept.py", {"kept_since": ["2026-W01-7"], "kept_until": ["20260104"]}),
    ("a_sweep.py", {"step_front_radius_mm": ["\0", "-31013"], "to_back_radius_mm": ["2.9e16"], "from_front_radius_mm": ["x" * 5000, "from, to"]}),
    ("a_sweep.py", {"from_front_radius_mm": ["157259"], "to_front_radius_mm": ["x"]}),
    ("moved.py", {"baseline_demo": ["9" * 400]}),
    ("moved.py", {"kind_of_chart": ["Cumulative sum (CUSUM)"], "control_k_sigma": ["-1e308"], "control_h_sigma": ["nan"]}),
]  # fmt: skip


@pytest.mark.parametrize(("file", "address"), FOUND)
def test_what_was_found_or_stands_near_it(file, address):
    look_at(file, address)
