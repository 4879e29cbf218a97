"""The lab's own materials beside the published ones, and files that do not say what they should."""

from datetime import date
from pathlib import Path

import pytest

from lenscalc.errors import FileError, InputError, UnknownNameError
from lenscalc.material import polymer, polymers
from lenscalc.material.polymer_file import read_polymers
from lenscalc.material.polymer_library import shipped_polymers

SHIPPED = list(shipped_polymers().values())
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


@pytest.fixture
def own(tmp_path):
    def write(text, name="own.toml"):
        path = tmp_path / name
        path.write_text(text, encoding="utf-8")
        return path

    return write


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
        ("[436.0, 656.3]", "[436.0, 500.0, 656.3]", "two ends"),
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


def test_an_own_file_is_told_with_its_path_and_one_of_the_library_by_its_name(own):
    path = own(OWN.replace('"air"', '"aether"'))
    for is_own, name in ((True, str(path)), (False, "own.toml")):
        with pytest.raises(InputError) as error:
            read_polymers(path, own=is_own)
        assert str(error.value).startswith(f"{name}: [polymer.copolymer_c] basis")


def test_files_that_cannot_be_read(own, tmp_path):
    with pytest.raises(FileError, match=r"nowhere\.toml"):
        polymers(file=tmp_path / "nowhere.toml")
    with pytest.raises(FileError, match="no such folder"):
        polymers(folder=tmp_path / "nowhere")
    (tmp_path / "latin.toml").write_bytes("# Säge".encode("latin-1"))
    with pytest.raises(FileError, match="UTF-8"):
        polymers(file=tmp_path / "latin.toml")
