"""The library of published polymers: every entry whole, and the lab's own beside them."""

import re
from datetime import date
from math import inf, nan
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lenscalc.errors import FileError, InputError, UnknownNameError
from lenscalc.material import polymer, polymers
from lenscalc.material import polymer_file as file_of
from lenscalc.material.polymer_form import FORMS
from lenscalc.material.polymer_library import shipped_polymers

SHIPPED = list(shipped_polymers().values())
PAPERS = sorted((Path(file_of.__file__).parent / "polymers").glob("*.toml"))
VISIBLE = (400.0, 700.0)

OWN = """
[source]
measured_by = "our laboratory"
measured_on = 2026-03-31
method = "minimum deviation, prism of 60 degrees, four lamps"

[polymer.copolymer_c]
material = "copolymer C"
form = "cauchy"
coefficients = { a = [1.52, 0.0055] }
range_nm = [436.0, 656.3]
temperature_degC = 20.0
basis = "air"
u_n = 2e-4
"""


@pytest.fixture(autouse=True)
def _no_own_folder(tmp_path_factory, monkeypatch):
    """Whatever the person who runs the tests keeps at home stays out of them."""
    monkeypatch.setattr(Path, "home", lambda: tmp_path_factory.getbasetemp() / "nobody")


@pytest.fixture
def own(tmp_path):
    def write(text, name="own.toml"):
        path = tmp_path / name
        path.write_text(text, encoding="utf-8")
        return path

    return write


def test_there_are_enough_of_enough_papers():
    assert len(SHIPPED) >= 15
    assert len({p.source.title for p in SHIPPED}) >= 10
    assert len(PAPERS) == len({p.source.title for p in SHIPPED})


@pytest.mark.parametrize("p", SHIPPED, ids=lambda p: p.key)
class TestEveryEntry:
    def test_names_its_source_and_where_it_was_read(self, p):
        assert p.source.authors
        assert p.source.read_in
        assert p.source.seen in ("read", "quoted")
        assert str(p.source.year) in p.key
        assert str(p.source.year) in p.source.in_words
        assert p.source.doi is None or re.fullmatch(r"10\.\d{4,5}/\S+", p.source.doi)

    def test_has_as_many_coefficients_as_its_form_wants(self, p):
        assert tuple(p.coefficients) == FORMS[p.form].coefficients
        assert len({len(numbers) for numbers in p.coefficients.values()}) == 1
        assert 1 <= len(next(iter(p.coefficients.values()))) <= FORMS[p.form].most

    def test_falls_with_the_wavelength(self, p):
        # normal dispersion, in the visible where the fit reaches it and else over its whole range
        lower, upper = max(p.range_nm[0], VISIBLE[0]), min(p.range_nm[1], VISIBLE[1])
        n = p.n(np.linspace(lower, upper, 300) if lower < upper else np.linspace(*p.range_nm, 300))
        assert np.all(np.diff(n) < 0)
        assert np.all((n > 1.3) & (n < 1.75))

    @pytest.mark.parametrize("beyond", [0.999, 1.001, inf, -inf, nan])
    def test_refuses_what_lies_outside_its_range(self, p, beyond):
        bad = p.range_nm[0] * beyond if beyond < 1 else p.range_nm[1] * beyond
        with pytest.raises(InputError, match=rf"must be {p.range_nm[0]:g} to {p.range_nm[1]:g} nm.*{re.escape(p.paper)}"):
            p.n(bad)

    def test_gives_its_ends(self, p):
        assert np.all(np.isfinite(p.n(np.array(p.range_nm))))

    def test_states_its_basis(self, p):
        assert p.basis == "unknown"  # none of these sources says more
        assert p.temperature_degC is None or 15 < p.temperature_degC < 30

    @given(part=st.floats(0, 1))
    def test_a_number_and_an_array_agree(self, p, part):
        w = p.range_nm[0] + part * (p.range_nm[1] - p.range_nm[0])
        w = min(w, p.range_nm[1])
        assert float(p.n(w)) == float(p.n(np.array([w, p.range_nm[0]]))[0])


# n_d, n_e, V_d of the fits, worked out from the printed coefficients outside the package (mpmath, 30 digits)
@pytest.mark.parametrize(
    ("key", "n_d", "n_e", "abbe_d"),
    [
        ("pmma_sultanova_2009", 1.4906182, 1.4928185, 53.1759),
        ("polycarbonate_sultanova_2009", 1.5847626, 1.5897533, 27.8583),
        ("mma_styrene_sultanova_2009", 1.5713027, 1.5754565, 32.7326),
        ("cyclic_olefin_sultanova_2009", 1.5305159, 1.5329586, 51.792),
        ("cellulose_sultanova_2009", 1.4701343, 1.4722107, 54.0018),
        ("pmma_kasarova_2007", 1.491402, 1.4938636, 52.6052),
        ("polystyrene_kasarova_2007", 1.5917041, 1.5967147, 29.1182),
        ("polycarbonate_kasarova_2007", 1.5849044, 1.5901578, 27.5641),
        ("mma_styrene_kasarova_2007", 1.5714028, 1.5750665, 34.4706),
        ("cyclic_olefin_kasarova_2007", 1.5309022, 1.5335557, 51.6638),
        ("cellulose_kasarova_2007", 1.4706829, 1.4728268, 54.2207),
        ("pdms_b_schneider_2009", 1.4302922, 1.4326001, 44.4362),
        ("pmma_bodurov_2016", 1.49211, 1.4938918, None),  # the resonance is printed in µm: squared, unlike in the others
        ("pva_bodurov_2016", 1.483944, 1.4869144, None),
        ("pva_schnepf_2017", 1.4792626, 1.4823007, 37.7402),
        ("pvp_konig_2014", 1.5274403, 1.5301642, 45.159),
    ],
)
def test_the_form_of_each_is_the_one_its_source_means(key, n_d, n_e, abbe_d):
    p = polymer(key)
    assert float(p.n(587.5618)) == pytest.approx(n_d, abs=6e-8)
    assert float(p.n(546.074)) == pytest.approx(n_e, abs=6e-8)
    assert p.abbe_d == (None if abbe_d is None else pytest.approx(abbe_d, abs=6e-4))


# by hand at one round wavelength: 1.4778 − 5.7547e-4·1.44 + 0.0023/1.44 at 1.2 µm; 1.5630 + 4.1159e-4·1.44 + 0.0093/1.44; a₀ + a₁/1.44 + a₂/2.0736
@pytest.mark.parametrize(
    ("key", "n"),
    [
        ("pmma_infrared_nyakuchena_2023", 1.4785685),
        ("polystyrene_infrared_nyakuchena_2023", 1.5700510),
        ("polystyrene_infrared_juntunen_2024", 1.5670218),
        ("cellulose_infrared_juntunen_2024", 1.5422553),
        ("hypromellose_infrared_juntunen_2024", 1.4806267),
    ],
)
def test_the_near_infrared_ones_by_hand(key, n):
    p = polymer(key)
    assert float(p.n(1200.0)) == pytest.approx(n, abs=6e-8)
    assert p.abbe_d is None


def test_a_film_between_red_and_infrared_by_hand():
    # 1.470 + 0.008354/0.64 − 0.0008309/0.4096 at 0.8 µm
    assert float(polymer("pmma_film_tsuda_2018").n(800.0)) == pytest.approx(1.4810246, abs=6e-8)


# the paper's table prints these V_d (quoted in an optics forum post); the fits miss them by as much as their notes say, which is not tuned away
@pytest.mark.parametrize(
    ("key", "printed", "fit"),
    [
        ("pmma_sultanova_2009", 59.2, 53.2),
        ("polystyrene_sultanova_2009", 30.5, 29.5),
        ("polycarbonate_sultanova_2009", 29.1, 27.9),
        ("mma_styrene_sultanova_2009", 35.5, 32.7),
        ("pmma_kasarova_2007", 59.2, 52.6),
        ("polystyrene_kasarova_2007", 30.5, 29.1),
        ("polycarbonate_kasarova_2007", 29.1, 27.6),
        ("mma_styrene_kasarova_2007", 35.5, 34.5),
    ],
)
def test_an_abbe_number_that_misses_its_paper_says_so(key, printed, fit):
    p = polymer(key)
    assert f"{p.abbe_d:.1f}" == f"{fit}"
    assert f"{printed}" in p.note
    assert f"{fit}" in p.note


def test_papers_on_one_polymer_differ_by_what_is_known():
    at_d = {key: float(polymer(key).n(587.5618)) for key in ("pmma_szczurowski_2013", "pmma_beadie_2015", "pmma_kasarova_2007", "pmma_bodurov_2016")}
    assert max(at_d.values()) - min(at_d.values()) == pytest.approx(0.0019, abs=5e-5)


def test_the_accuracy_of_the_paper_becomes_u():
    p = polymer("pmma_beadie_2015")
    assert p.u_n == pytest.approx(2e-4 / 3**0.5, abs=5e-6)
    assert "2e-4" in p.u_n_from


def test_an_unknown_name_is_told_the_nearest():
    with pytest.raises(UnknownNameError, match=r"pmma_beadi_2015.*did you mean pmma_beadie_2015"):
        polymer("pmma_beadi_2015")


@pytest.mark.parametrize(
    ("wavelength_nm", "told"),
    [
        (0.5461, "is it in µm"),
        ("green", "'green' is not a number"),
        (None, "must be|not a number"),
        ([546.0, 2000.0], "wavelength_nm = 2000 nm"),
    ],
)
def test_a_wavelength_that_cannot_be(wavelength_nm, told):
    with pytest.raises(InputError, match=told):
        polymer("pmma_beadie_2015").n(wavelength_nm)


def test_polymers_are_sorted_and_unchangeable():
    keys = [p.key for p in polymers()]
    assert keys == sorted(keys)
    with pytest.raises(TypeError):
        polymers()[0].coefficients["a"] = (1.0,)
    with pytest.raises(AttributeError):
        polymers()[0].basis = "air"


# --- the lab's own ---------------------------------------------------------------------------------------------------------------------


def test_an_own_material_stands_beside_the_published_ones(own):
    p = polymer("copolymer_c", file=own(OWN))
    assert p.own
    assert p.basis == "air"
    assert p.u_n == 2e-4
    assert p.source.measured_on == "2026-03-31"
    assert "minimum deviation" in p.source.in_words
    assert float(p.n(500.0)) == pytest.approx(1.52 + 0.0055 / 0.25)
    assert len(polymers(file=own(OWN))) == len(SHIPPED) + 1
    with pytest.raises(UnknownNameError):
        polymer("copolymer_c")


def test_a_folder_is_read_and_a_file_of_it_only_once(own, tmp_path):
    path = own(OWN)
    own(OWN.replace("copolymer_c", "copolymer_d"), "d.toml")
    (tmp_path / "notes.txt").write_text("not a material")
    assert len(polymers(folder=tmp_path)) == len(SHIPPED) + 2
    assert len(polymers(folder=tmp_path, file=path)) == len(SHIPPED) + 2


def test_the_folder_at_home_is_read_if_it_is_there(tmp_path, monkeypatch):
    monkeypatch.setattr(Path, "home", lambda: tmp_path)
    assert len(polymers()) == len(SHIPPED)
    (tmp_path / ".lenscalc" / "polymers").mkdir(parents=True)
    (tmp_path / ".lenscalc" / "polymers" / "c.toml").write_text(OWN, encoding="utf-8")
    assert polymer("copolymer_c").own


def test_an_account_without_a_home_has_the_published_ones(monkeypatch):
    def no_home():
        raise RuntimeError("no home directory")

    monkeypatch.setattr(Path, "home", no_home)
    assert len(polymers()) == len(SHIPPED)


def test_an_own_entry_shadows_nothing(own, tmp_path):
    with pytest.raises(InputError, match=r"own\.toml: \[polymer\.pmma_beadie_2015\].*comes with lenscalc \(Beadie et al\. 2015\)"):
        polymers(file=own(OWN.replace("copolymer_c", "pmma_beadie_2015")))
    own(OWN)
    own(OWN, "again.toml")
    with pytest.raises(InputError, match="another own file"):
        polymers(folder=tmp_path)


def test_an_own_file_may_name_a_paper(own):
    published = '[source]\nauthors = "Nobody"\ntitle = "On nothing"\nyear = 2020\nread_in = "the paper"\n'
    text = published + OWN[OWN.index("[polymer.") :].replace("u_n = 2e-4\n", "").replace("20.0\n", "20\n")
    p = polymer("copolymer_c", file=own(text))
    assert p.u_n is None
    assert p.paper == "Nobody 2020"
    assert p.temperature_degC == 20.0


def test_a_day_may_be_written_as_text(own):
    assert polymer("copolymer_c", file=own(OWN.replace("2026-03-31", '"2026-03-31"'))).source.year == date(2026, 3, 31).year


@pytest.mark.parametrize(
    ("was", "now", "told"),
    [
        ('measured_by = "our laboratory"\n', "", r"\[source\] measured_by is missing"),
        ('method = "minimum deviation, prism of 60 degrees, four lamps"', "", r"\[source\] method is missing"),
        ("2026-03-31", '"last spring"', r"measured_on = 'last spring': must be a day"),
        ("2026-03-31", "2026-03-31T10:00:00", "must be a day"),
        ("measured_by", "measured_bye", r"unknown key 'measured_bye'; did you mean measured_by"),
        ("[source]", "[sauce]", r"unknown key 'sauce'"),
        ("u_n = 2e-4\n", "", r"\[polymer\.copolymer_c\] u_n is missing"),
        ("u_n = 2e-4", "u_n = 0.5", r"u_n = 0\.5: must be 1e-07 to 0\.1"),
        ("u_n = 2e-4", "u_n = nan", r"u_n = nan: must be a number"),
        ("u_n = 2e-4", "u_n = true", r"u_n = True: must be a number"),
        ('"air"', '"aether"', r"basis = 'aether': must be air or vacuum or unknown"),
        ('basis = "air"\n', "", "basis is missing"),
        ('"cauchy"', '"caucy"', r"form = 'caucy': must be sellmeier or"),
        ('"cauchy"', '"sellmeier"', r"coefficients unknown key 'a'"),
        ("[436.0, 656.3]", "[0.436, 0.6563]", r"range_nm = \[0\.436, 0\.6563\] nm: must rise.*is it in µm"),
        ("[436.0, 656.3]", "[656.3, 436.0]", "must rise"),
        ("[436.0, 656.3]", "[436.0]", "two ends"),
        ("[1.52, 0.0055]", '[1.52, "0,0055"]', r"coefficients\.a\[2\] = '0,0055': must be a number"),
        ("[1.52, 0.0055]", "[]", "list of 1 to 3 numbers"),
        ("[1.52, 0.0055]", "[1.52, 0.0055, 0.0, 0.0]", "list of 1 to 3 numbers"),
        ("[1.52, 0.0055]", "[1.52, 5500.0]", r"give n = .* within the range.*L is in µm"),
        ("20.0", "293.0e3", "temperature_degC = 293000 °C: must be -100 to 300 °C"),
        ("copolymer_c]", '"Copolymer C"]', "small letters"),
        ('"copolymer C"', '""', "material = '': must be text"),
        ("material =", "materiel =", "did you mean material"),
        ("[source]", "[source", "not a TOML file"),
        (OWN[OWN.index("[polymer.") :], "", r"\[polymer\] is missing"),
    ],
)  # fmt: skip
def test_what_an_own_file_may_not_say(own, was, now, told):
    assert was in OWN
    with pytest.raises(InputError, match=told) as error:
        polymers(file=own(OWN.replace(was, now)))
    assert "own.toml" in str(error.value)


@pytest.mark.parametrize(
    ("coefficients", "told"),
    [
        ("{ b = [1.2, 0.1], c_um2 = [0.01] }", r"must be of one length; there are \[2, 1\]"),
        ("{ b = [1.2], c_um2 = [0.25] }", "give n = nan|give n = "),  # a resonance at 500 nm, inside the range
        ("{ b = [1.2] }", "c_um2 is missing"),
        ("[1.2]", "must be a table"),
    ],
)
def test_coefficients_that_do_not_fit_their_form(own, coefficients, told):
    text = OWN.replace('"cauchy"', '"sellmeier"').replace("{ a = [1.52, 0.0055] }", coefficients)
    with pytest.raises(InputError, match=told):
        polymers(file=own(text))


def test_a_power_is_a_whole_number(own):
    text = OWN.replace('"cauchy"', '"power series of n²"').replace("{ a = [1.52, 0.0055] }", "{ a = [2.2, 0.01], powers = [0, -2.5] }")
    with pytest.raises(InputError, match=r"powers\[2\] = -2\.5: must be a whole number"):
        polymers(file=own(text))


def test_files_that_cannot_be_read(own, tmp_path):
    with pytest.raises(FileError, match=r"nowhere\.toml"):
        polymers(file=tmp_path / "nowhere.toml")
    with pytest.raises(FileError, match="no such folder"):
        polymers(folder=tmp_path / "nowhere")
    (tmp_path / "latin.toml").write_bytes("# Säge".encode("latin-1"))
    with pytest.raises(FileError, match="UTF-8"):
        polymers(file=tmp_path / "latin.toml")
