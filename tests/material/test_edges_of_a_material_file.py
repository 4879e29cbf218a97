"""What a material's file may just say, and what its coefficients give when they are wrong."""

import pytest

from lenscalc import InputError
from lenscalc.material import polymer

TEXT = """
[source]
authors = "Nobody"
title = "On nothing"
year = {year}
read_in = "the paper"

[polymer.copolymer_c]
material = "copolymer C"
form = "cauchy"
coefficients = {{ a = [{a}, 0.0] }}
range_nm = {range_nm}
temperature_degC = {degC}
basis = "air"
u_n = {u}
"""


def written(tmp_path, **more):
    path = tmp_path / "own.toml"
    path.write_text(TEXT.format(**{"year": 2020, "a": 1.5, "range_nm": [436.0, 656.3], "degC": 20.0, "u": 1e-4, **more}), encoding="utf-8")
    return polymer("copolymer_c", file=path)


@pytest.mark.parametrize(
    "just", [{"year": 1800}, {"year": 2100}, {"degC": -100.0}, {"degC": 300.0}, {"u": 0.1}, {"u": 1e-7}, {"a": 1.0}, {"a": 3.0}]
)
def test_the_ends_of_a_range_belong_to_it(tmp_path, just):
    assert float(written(tmp_path, **just).n(546.07)) == just.get("a", 1.5)


@pytest.mark.parametrize(
    ("beyond", "told"), [({"year": 1799}, "year = 1799"), ({"year": 2101}, "year = 2101"), ({"a": 0.9}, "n = 0.9"), ({"a": 3.5}, "n = 3.5")]
)
def test_just_beyond_is_refused_with_the_value(tmp_path, beyond, told):
    with pytest.raises(InputError, match=told.replace(".", r"\.")):
        written(tmp_path, **beyond)


@pytest.mark.parametrize("range_nm", [[100.0, 600.0], [500.0, 20000.0]])
def test_the_ends_of_what_a_range_may_be_belong_to_it(tmp_path, range_nm):
    own = written(tmp_path, range_nm=range_nm)
    assert own.range_nm == tuple(range_nm)
    assert float(own.n(range_nm[0])) == float(own.n(range_nm[1])) == 1.5


@pytest.mark.parametrize(
    ("range_nm", "told"),
    [([-0.5, 600.0], r"\[1\] = -0.5 nm: must be 0 to 1e\+06 nm"), ([500.0, 1000000.5], r"\[2\] = 1e\+06 nm: must be 0 to 1e\+06 nm"),
     ([500.0, 1e6], "within 100 to 20000 nm$"),
     ([99.9, 600.0], "within 100 to 20000 nm$"), ([500.0, 20001.0], "within 100 to 20000 nm$"),
     ([0.4, 0.7], "within 100 to 20000 nm; is it in µm"),
     ([0.4, 100.0], "within 100 to 20000 nm$"), ([0.4, 99.9], "within 100 to 20000 nm; is it in µm"), ([600.0, 600.0], "must rise")],
)  # fmt: skip
def test_what_is_no_range_is_refused(tmp_path, range_nm, told):
    with pytest.raises(InputError, match=told):
        written(tmp_path, range_nm=range_nm)


WHOLE = {
    "authors": '"Nobody"', "title": '"On nothing"', "journal": '"J. Nothing"', "year": "2020", "doi": '"10.1000/1"', "read_in": '"the paper"',
    "seen": '"quoted"', "material": '"C"', "form": '"cauchy"', "coefficients": "{ a = [1.5, 0.0] }", "range_nm": "[436.0, 656.3]",
    "temperature_degC": "20.0", "basis": '"air"', "u_n": "1e-4", "u_n_from": '"the paper"', "note": '"nothing"',
}  # fmt: skip
MAY_BE_MISSING = {"journal", "doi", "seen", "temperature_degC", "u_n", "u_n_from", "note"}


@pytest.mark.parametrize("missing", WHOLE)
def test_which_keys_of_a_published_polymer_may_be_missing(tmp_path, missing):
    lines = {key: f"{key} = {value}\n" for key, value in WHOLE.items() if key != missing}
    path, keys = tmp_path / "own.toml", list(WHOLE)
    source, entry = ("".join(lines.get(key, "") for key in part) for part in (keys[:7], keys[7:]))
    path.write_text(f"[source]\n{source}[polymer.c]\n{entry}", encoding="utf-8")
    if missing in MAY_BE_MISSING:
        found = polymer("c", file=path)
        assert float(found.n(546.07)) == 1.5
        parts = {"journal": "; J. Nothing", "doi": "; doi 10.1000/1"}
        seen = "read" if missing == "seen" else "quoted, seen"
        told = "".join(text for key, text in parts.items() if key != missing)
        assert found.source.in_words == f"Nobody (2020): On nothing{told}; {seen} in the paper"
    else:
        table = r"\[source\]" if missing in keys[:7] else r"\[polymer\.c\]"
        with pytest.raises(InputError, match=f"{table} {missing} is missing$"):
            polymer("c", file=path)


def test_a_wavelength_in_micrometres_is_told_up_to_the_ends(tmp_path):
    own = written(tmp_path, range_nm=[500.0, 625.0])
    for nm, hint in ((0.5, True), (0.625, True), (0.499, False), (0.626, False)):
        with pytest.raises(InputError) as found:
            own.n(nm)
        assert str(found.value).endswith("is it in µm? write it in nm") == hint


def test_one_wavelength_gives_a_number_and_a_column_a_column(tmp_path):
    own = written(tmp_path)
    assert isinstance(own.n(546.07), float)
    assert own.n([546.07]).shape == (1,)
    assert own.n([[500.0, 550.0, 600.0]]).shape == (1, 3)


@pytest.mark.parametrize("table", ["source", "polymer"])
def test_a_file_without_one_of_its_tables_says_so(tmp_path, table):
    path = tmp_path / "own.toml"
    whole = TEXT.format(year=2020, a=1.5, degC=20.0, u=1e-4, range_nm=[436.0, 656.3])
    source, polymers = whole.split("[polymer.copolymer_c]")
    path.write_text("[polymer.copolymer_c]" + polymers if table == "source" else source, encoding="utf-8")
    with pytest.raises(InputError, match=rf"\[{table}\] is missing"):
        polymer("copolymer_c", file=path)


@pytest.mark.parametrize("missing", ["measured_by", "measured_on", "method"])
def test_what_somebody_measured_says_who_when_and_how(tmp_path, missing):
    told = {"measured_by": '"lab"', "measured_on": "2026-01-05", "method": '"minimum deviation"'}
    source = "[source]\n" + "".join(f"{key} = {value}\n" for key, value in told.items() if key != missing)
    polymers = TEXT.format(year=2020, a=1.5, degC=20.0, u=1e-4, range_nm=[436.0, 656.3]).split("[polymer.copolymer_c]")[1]
    path = tmp_path / "own.toml"
    path.write_text(source + "[polymer.copolymer_c]" + polymers, encoding="utf-8")
    with pytest.raises(InputError, match=f"{missing} is missing"):
        polymer("copolymer_c", file=path)


def test_an_index_that_falls_below_1_is_named_and_not_one_before_it(tmp_path):
    """n = 0.7 + 0.1/L²: 1 at 577.35 nm; of 200 places from 436 to 656.3 nm the first beyond is 577.7005, where n = 0.999636."""
    path = tmp_path / "own.toml"
    path.write_text(TEXT.format(year=2020, a=0.7, degC=20.0, u=1e-4, range_nm=[436.0, 656.3]).replace("[0.7, 0.0]", "[0.7, 0.1]"), encoding="utf-8")
    with pytest.raises(InputError, match=r"n = 0\.999636 within the range"):
        polymer("copolymer_c", file=path)


def test_a_source_says_where_it_was_read_and_a_range_holds_its_ends(tmp_path):
    own = written(tmp_path)
    assert own.source.in_words.endswith(" in the paper")
    assert own.covers(436.0, 656.3)
    assert not own.covers(435.9)
    assert not own.covers(500.0, 656.4)


@pytest.mark.parametrize(("c", "allowed"), [(1e6, True), (-1e6, True), (1000000.5, False), (-1000000.5, False)])
def test_a_coefficient_is_a_million_at_most(tmp_path, c, allowed):
    """n² = 1 + 1.2·L²/(L² − 0.01) + L²/(L² − c): at 0.5 µm 1 + 0.3/0.24, the rest is 3e-7."""
    path = tmp_path / "own.toml"
    text = TEXT.format(year=2020, a=1.5, degC=20.0, u=1e-4, range_nm=[436.0, 656.3]).replace('"cauchy"', '"sellmeier"')
    path.write_text(text.replace("a = [1.5, 0.0]", f"b = [1.2, 1.0], c_um2 = [0.01, {c}]"), encoding="utf-8")
    if allowed:
        assert float(polymer("copolymer_c", file=path).n(500.0)) == pytest.approx(1.5, abs=3e-7)
    else:
        with pytest.raises(InputError, match=r"coefficients\.c_um2\[2\] = -?1e\+06: must be -1e\+06 to 1e\+06$"):
            polymer("copolymer_c", file=path)
