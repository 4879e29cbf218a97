"""One line read at two temperatures, with an Abbe number that is stated: nothing is fitted over lines, and no Abbe number is printed back."""

from called import answer

from lenscalc.demo import demo_text


def test_a_stated_abbe_number_beside_two_temperatures(tmp_path):
    text = demo_text("copolymer_c.toml")
    slope = 'dn_dt_per_K = -2.0e-4\nu_dn_dt_per_K = 2.0e-5\nstate = "hydrated"'
    second = '[[reading]]\nwavelength_nm = 589.29\ntemperature_degC = 35.0\nu_temperature_degC = 0.2\nbasis = "air"\nn = [1.4872, 1.4874]\n\n'
    sheet = tmp_path / "two.toml"
    sheet.write_text(text.replace(f"[temperature]\n{slope}\n", "").replace("[dispersion]", f"{second}[dispersion]"), encoding="utf-8")
    told = answer("index", str(sheet))
    assert "abbe_d" not in told
    assert told["n_lens"] < 1.4905
