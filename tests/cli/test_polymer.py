"""`lenscalc polymer`: what has been published, one of them with what to mind, and own entries beside them."""

from math import isclose

from called import answer, lenscalc


def test_polymer_lists_every_one_with_its_paper():
    a = answer("polymer")
    rows = {row["key"]: row for row in a["polymers"]}
    assert len(rows) >= 15
    assert round(rows["pmma_szczurowski_2013"]["n_e"], 6) == 1.492611  # worked from the printed coefficients, outside the package
    assert round(rows["pmma_szczurowski_2013"]["abbe_d"], 2) == 58.00
    assert rows["pmma_bodurov_2016"]["abbe_d"] is None  # its range ends before the line C
    assert "not the lot in hand" in a["warnings"][0]
    done = lenscalc("polymer")
    assert done.returncode == 0
    for word in (*rows, "Beadie et al. 2015", "not the lot in hand", "Not a medical device"):
        assert word in done.stdout


def test_polymer_shows_one_with_what_to_mind():
    a = answer("polymer", "polystyrene_sultanova_2009")
    assert [(i["at"], round(i["n"], 6)) for i in a["indices"]][:2] == [("d", 1.591630), ("e", 1.596395)]
    assert round(a["abbe_d"], 2) == 29.53
    assert a["source"]["doi"] == "10.12693/APhysPolA.116.585"
    assert a["caution"]
    for word in ("not the lot in hand", "the basis is unknown", "one-term fit"):
        assert any(word in warning for warning in a["warnings"])
    asked = answer("polymer", "pmma_beadie_2015", "--wavelength-nm", "546.07", "--wavelength-nm", "1000")
    assert [i["wavelength_nm"] for i in asked["indices"]] == [546.07, 1000.0]
    done = lenscalc("polymer", "pmma_kasarova_2007")
    assert done.returncode == 0
    for word in ("Kasarova", "d (587.56 nm)", "1.4914", "not read in the paper itself", "Not a medical device"):
        assert word in done.stdout
    assert "none of the lines" in lenscalc("polymer", "pmma_infrared_nyakuchena_2023").stdout


def test_polymer_takes_own_materials_beside_the_published_ones(tmp_path):
    text = (
        '[source]\nmeasured_by = "us"\nmeasured_on = 2026-03-31\nmethod = "v-block"\n[polymer.copolymer_c]\nmaterial = "copolymer C"\n'
        'form = "cauchy"\ncoefficients = { a = [1.52, 0.0055] }\nrange_nm = [436.0, 700.0]\nbasis = "air"\nu_n = 2e-4\n'
    )
    own = tmp_path / "own.toml"
    own.write_text(text, encoding="utf-8")
    a = answer("polymer", "copolymer_c", "--file", str(own), "--wavelength-nm", "500")
    assert isclose(a["indices"][0]["n"], 1.52 + 0.0055 / 0.25)
    assert a["basis"] == "air"
    assert any("an own entry" in warning for warning in a["warnings"])
    own.write_text(text.replace("u_n = 2e-4\n", ""), encoding="utf-8")
    done = lenscalc("polymer", "copolymer_c", "--file", str(own))
    assert done.returncode == 2
    assert "own.toml: [polymer.copolymer_c] u_n is missing" in done.stderr
