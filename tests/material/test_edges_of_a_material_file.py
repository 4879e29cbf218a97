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
range_nm = [436.0, 656.3]
temperature_degC = {degC}
basis = "air"
u_n = {u}
"""


def written(tmp_path, **more):
    path = tmp_path / "own.toml"
    path.write_text(TEXT.format(**{"year": 2020, "a": 1.5, "degC": 20.0, "u": 1e-4, **more}), encoding="utf-8")
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
