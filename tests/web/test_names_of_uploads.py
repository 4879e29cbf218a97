"""Whatever name an uploaded file has, each place that takes one shows it in a line or refuses the file in a sentence."""

import pytest
from shown import page

from lenscalc.batch import run_batch
from lenscalc.demo import WATER_CHECKS, demo_text
from lenscalc.web.fields.uploaded_name import uploaded_name
from lenscalc.web.guarded import UNFORESEEN

NAMES = {
    "line breaks": "two\nlines\r\nof it", "right to left": "lot \u202egnp\u202c 7",
    "markup": "<img src=x onerror=alert(1)> **b**", "a formula": "$x^2$ :red[y] `z`", "a long one": "x" * 5000,
    "dots": "..", "folders": "../../etc/passwd", "blank": " ",
}  # fmt: skip
DESIGN = (
    "[combine]\nn_lens = [1.46, 1.49]\n\n[fixed]\nfront_radius_mm = 15.0\nback_radius_mm = -15.0\ncenter_thickness_mm = 0.9\n"
    "optic_diameter_mm = 6.0\n"
)
ONE_LENS = "front_radius_mm,back_radius_mm,center_thickness_mm,n_lens,optic_diameter_mm\n15,-15,0.9,1.49,6\n"
LIMITS = (
    '[limits]\nkind = "individuals"\ncentre = 1.333\nsigma = 2e-5\npoints = 25\nfirst = "2026-01-05"\nlast = "2026-06-22"\n'
    'u_sigma_relative = 0.19\nmade_by = "lenscalc 0.1.0"\n'
)
PLACES = {  # the page, its address, the field, the ending, a file that it takes
    "a sheet": ("one_reading.py", {}, "upload_sheet", ".toml", demo_text("copolymer_e.toml")),
    "a table": ("a_file.py", {}, "upload_candidates", ".csv", demo_text("candidates.csv")),
    "results": ("worth_making.py", {"rank_source": "a file of results"}, "upload_results", ".csv", None),
    "a design": ("a_sweep.py", {}, "upload_sweep", ".toml", DESIGN),
    "a series": ("moved.py", {}, "series_file", ".csv", demo_text(WATER_CHECKS)),
    "frozen limits": ("moved.py", {}, "frozen_file", ".toml", LIMITS),
    "a lens": ("a_lens.py", {}, "take_lens", ".csv", ONE_LENS),
}  # fmt: skip


@pytest.fixture(scope="module")
def results(tmp_path_factory):
    folder = tmp_path_factory.mktemp("results")
    (folder / "in.csv").write_text(demo_text("candidates.csv"), encoding="utf-8")
    run_batch(str(folder / "in.csv"), str(folder / "out.csv"))
    return (folder / "out.csv").read_text(encoding="utf-8")


def said(at):
    return [str(box.value) for kind in (at.error, at.warning, at.info, at.markdown, at.code) for box in kind]


def test_every_place_is_tried():
    found = set()
    for file, address in {(place[0], tuple(place[1].items())) for place in PLACES.values()}:
        found |= {field.key for field in page(file, **dict(address)).file_uploader}
    assert found == {place[2] for place in PLACES.values()}


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("place", PLACES)
def test_a_file_of_any_name_is_taken_or_refused_in_a_sentence(place, name, results):
    file, address, key, ending, good = PLACES[place]
    at = page(file, **address)
    for content in (good or results, "what,,is\nthis"):
        at.file_uploader(key=key).set_value((NAMES[name] + ending, content.encode(), "application/octet-stream")).run()
        assert not at.exception
        texts = said(at)
        assert UNFORESEEN not in texts
        assert all(sign.isprintable() or sign == "\n" for text in texts for sign in text)
        assert not any("<img" in text and "\\<img" not in text for text in texts)
        assert bool(at.error) == (content != (good or results))
        assert all("\n" not in e.value and len(e.value) < 600 for e in at.error)


def test_a_zero_character_is_refused_before_any_page():
    """The framework itself refuses such a name, which no browser can send; it says so without a traceback."""
    at = page("one_reading.py")
    at.file_uploader(key="upload_sheet").set_value(("a\0b.toml", demo_text("copolymer_e.toml").encode(), "application/toml")).run()
    assert [("Traceback" in e.message, "File " in e.message) for e in at.exception] == [(False, False)]
    assert at.exception


@pytest.mark.parametrize("name", [*NAMES.values(), "a\0b", "a\ud800b"])
def test_the_name_that_is_used_can_be_written_and_keeps_its_ending(name, tmp_path):
    used = uploaded_name(name + ".csv")
    assert used.endswith(".csv")
    (tmp_path / used).write_text("x", encoding="utf-8")
    assert [p.name for p in tmp_path.iterdir()] == [used]
