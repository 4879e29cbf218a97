"""Which column is which: quantities in other units, labels, columns of one's own, misspellings."""

import csv

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lenscalc.batch import heading_of, run_batch
from lenscalc.batch.units import conversion, units_of
from lenscalc.chain import INPUT_COLUMNS
from lenscalc.errors import FileError, InputError
from lenscalc.quantities import is_quantity, quantity

HEADER = "front_radius_mm,back_radius_mm,center_thickness_mm,n_lens"
DIMENSIONS = tuple(HEADER.split(","))


def results(tmp_path, text, **options):
    (tmp_path / "in.csv").write_text(text, encoding="utf-8")
    done = run_batch(str(tmp_path / "in.csv"), str(tmp_path / "out.csv"), **options)
    with open(tmp_path / "out.csv", encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file)), done


def test_columns_of_ones_own_travel_untouched_and_are_named_once(tmp_path):
    text = f"colour,{HEADER},supplier,candidate\n 007 ,15,-15,0.9,1.49,'x,A\n" + "1e3,15,-15,0.9,1.49,,B\n" * 30
    rows, done = results(tmp_path, text, block_rows=4)
    assert (rows[0]["colour"], rows[0]["supplier"], rows[1]["colour"], rows[0]["candidate"]) == (" 007 ", "'x", "1e3", "A")
    assert round(float(rows[0]["power_D"]), 6) == 20.469666  # worked from Gullstrand's equation, by hand
    assert [n for n in done.notes if "colour, supplier" in n and "not used" in n] == list(done.notes)


def test_a_column_that_speaks_of_an_uncertainty_and_is_not_read_is_told_so(tmp_path):
    _, done = results(tmp_path, f"{HEADER},colour,sigma_n,U(n_lens),n_lens_std\n15,-15,0.9,1.49,red,0.001,0.002,0.001\n")
    assert done.notes[0].startswith("Not read, although their names speak of an uncertainty: sigma_n, U(n_lens), n_lens_std. A column of ")
    assert "a quantity without one counts as exact" in done.notes[0]
    assert "colour, sigma_n" in done.notes[1]
    _, done = results(tmp_path, f"{HEADER},u_n_lens,note_sigma_n,time_s\n15,-15,0.9,1.49,0.001,0.001,60\n")
    assert [n for n in done.notes if "uncertainty" in n] == []


@pytest.mark.parametrize(
    ("name", "meant"),
    [
        ("front_raduis_mm", "front_radius_mm"),
        ("Front_Radius_mm", "front_radius_mm"),
        ("front_radius", "front_radius_mm"),
        ("n_lense", "n_lens"),
        ("u_n_len", "u_n_lens"),
        ("labeled_power_D", "labelled_power_D"),
        ("tolerance", "tolerance_D"),
        ("medium", "n_medium"),
    ],
)
def test_a_near_misspelling_is_an_error_that_names_what_was_meant(name, meant):
    with pytest.raises(InputError, match=rf"did you mean {meant}\?.*note_"):
        heading_of((*DIMENSIONS, name))


def test_all_names_that_are_no_ones_are_told_at_once():
    with pytest.raises(InputError) as caught:
        heading_of((*DIMENSIONS, "Front radius", "n_lense", "axis_deg", "power_D", "problem", "colour"))
    told = str(caught.value)
    assert "'Front radius'; did you mean front_radius_mm? Unknown column 'n_lense'; did you mean n_lens?" in told
    assert "'axis_deg'" in told
    assert "columns 'power_D', 'problem': the results have columns of this name" in told
    assert told.count("note_") == 1
    assert "colour" not in told


@pytest.mark.parametrize(
    ("heading", "name", "factor"),
    [
        ("Front radius, mm", "front_radius_mm", 1), ("front  RADIUS,mm", "front_radius_mm", 1), ("Centre thickness, µm", "center_thickness_mm", 1e-3),
        ("Centre thickness [µm]", "center_thickness_mm", 1e-3), ("u of the front radius, mm", "u_front_radius_mm", 1), ("Abbe number", "abbe_d", 1),
        ("Standard uncertainty of the Abbe number", "u_abbe_d", 1), ("State of the index", "index_state", 1), ("Candidate", "candidate", 1),
        ("Water content, %", "water_mass_fraction_wet", 1e-2), ("Change of index with temperature, 1/K", "dn_dt_per_K", 1),
    ],
)  # fmt: skip
def test_a_heading_in_words_with_its_unit_is_its_column(heading, name, factor):
    found = heading_of((*(n for n in (*DIMENSIONS, "n_lens") if n != name), heading))
    assert found.names[heading] == name
    assert found.in_words == (heading,)
    assert float(found.conversions[heading].factor if heading in found.conversions else 1) == factor


def test_a_label_with_a_unit_that_cannot_be_is_refused_and_one_without_its_unit_asked_for_it():
    with pytest.raises(InputError, match="front_radius_mm cannot be in 'kg'"):
        heading_of(("Front radius, kg", *DIMENSIONS[1:]))
    with pytest.raises(InputError, match=r"unknown column 'Front radius'; did you mean front_radius_mm\?"):
        heading_of(("Front radius", *DIMENSIONS[1:]))


def test_an_uncertainty_of_half_a_name_is_told_whose_it_may_be():
    with pytest.raises(InputError, match=r"unknown uncertainty 'u_n'; is it u_n_\w+( or u_n_\w+)*\?.*note_") as caught:
        heading_of((*DIMENSIONS, "u_n"))
    assert "u_n_lens" in str(caught.value)


@pytest.mark.parametrize("name", ["cylinder_D", "axis_deg", "front_radius_across_mm", "back_radius_across_mm"])
def test_a_toric_lens_is_not_decided_as_one_without_a_cylinder(name):
    with pytest.raises(InputError, match=rf"column '{name}': a row is a lens with one power in all meridians.*toric_lens.*note_"):
        heading_of((*DIMENSIONS, name))
    heading_of((*DIMENSIONS, f"note_{name}"))


@pytest.mark.parametrize("name", ["lens", "colour", "comment", "supplier [of us]", "batch", "pupil", "note_n_lense", "lot"])
def test_a_name_far_from_ours_is_no_error(name):
    heading_of((*DIMENSIONS, name))


@pytest.mark.parametrize("name", ["u_supplier", "power_D", "u_power_D", "problem", "warning", "back_focal_length_mm"])
def test_a_name_that_the_results_bear_and_an_unknown_uncertainty_are_errors(name):
    with pytest.raises(InputError, match="note_"):
        heading_of((*DIMENSIONS, name))


def test_a_missing_column_is_named_with_what_may_be_meant():
    with pytest.raises(InputError, match=r"missing column center_thickness_mm; 'thickness_mm' stands there: is it center_thickness_mm\?"):
        heading_of(("front_radius_mm", "back_radius_mm", "thickness_mm", "n_lens"))
    with pytest.raises(InputError, match=r"missing column n_lens \(or n_reading"):
        heading_of(DIMENSIONS[:3])
    heading_of(DIMENSIONS[:3], ("n_lens",))


@pytest.mark.parametrize(
    ("heading", "name", "cell", "value"),
    [  # inch 25.4 mm, 0 °C 273.15 K, °F 9/5·°C + 32: definitions
        ("center_thickness [µm]", "center_thickness_mm", "900", 0.9),
        ("center_thickness_mm [µm]", "center_thickness_mm", "1100", 1.1),
        ("center_thickness (um)", "center_thickness_mm", "900", 0.9),
        ("center_thickness_um", "center_thickness_mm", "900", 0.9),
        ("front_radius_mm [inch]", "front_radius_mm", "0.5", 12.7),
        ("front_radius_inch", "front_radius_mm", "-0.5", -12.7),
        ("front_radius_m", "front_radius_mm", "0.015", 15.0),
        ("front_radius_mm [mm]", "front_radius_mm", "15", 15.0),
        ("u_front_radius_um", "u_front_radius_mm", "20", 0.02),
        ("reading_wavelength_um", "reading_wavelength_nm", "0.58929", 589.29),
        ("reading_wavelength [µm]", "reading_wavelength_nm", "0.54607", 546.07),
        ("reading_temperature [K]", "reading_temperature_degC", "293.15", 20.0),
        ("reading_temperature_degF", "reading_temperature_degC", "68", 20.0),
        ("u_reading_temperature [K]", "u_reading_temperature_degC", "0.2", 0.2),
        ("u_reading_temperature [°F]", "u_reading_temperature_degC", "0.9", 0.5),
        ("water_mass_fraction_wet [%]", "water_mass_fraction_wet", "38", 0.38),
        ("water_mass_fraction_wet_percent", "water_mass_fraction_wet", "38", 0.38),
        ("u_front_curvature [1/m]", "u_front_curvature_per_mm", "0.1", 0.0001),
        ("density [g/cm³]", "density_kg_per_m3", "1.19", 1190.0),
        ("dn_dt [1/K]", "dn_dt_per_K", "-0.0001", -0.0001),
        ("labelled_power [dpt]", "labelled_power_D", "20", 20.0),
        ("n_medium [1]", "n_medium", "1.336", 1.336),
    ],
)
def test_another_unit_is_converted_when_the_heading_says_so(heading, name, cell, value):
    from lenscalc.batch import Block

    names = (*(n for n in DIMENSIONS if n != name), heading)
    found = heading_of(names)
    table = found.table(Block({n: np.array([cell], dtype=object) for n in names}))
    assert float(table[name][0]) == value
    table = found.table(Block({n: np.array([float(cell)]) for n in names}))
    assert float(table[name][0]) == pytest.approx(value, rel=4e-16, abs=0.0)


@pytest.mark.parametrize("heading", ["n_lens [%]", "n_lens [mm]", "center_thickness_mm [kg]", "reading_temperature [mm]", "u_n_lens [%]"])
def test_a_unit_that_cannot_be_is_refused(heading):
    with pytest.raises(InputError, match="units that are understood"):
        heading_of((*DIMENSIONS[:2], "center_thickness_mm" if "thickness" not in heading else "n_reading", "n_lens", heading))


def test_what_is_no_number_is_not_converted_and_says_so(tmp_path):
    rows, done = results(tmp_path, "front_radius_mm [inch],back_radius_mm,center_thickness [µm],n_lens\nplano,-15,900,1.49\n0.5,-15,thick,1.49\n")
    assert rows[0]["front_radius_mm"] == "plano"
    assert rows[0]["problem"] == ""
    assert "center_thickness_mm = 'thick' is not a number" in rows[1]["problem"]
    assert done.notes[0] == "Converted, as the heading says: 'front_radius_mm [inch]' to front_radius_mm."


def test_the_same_quantity_twice_is_refused():
    with pytest.raises(FileError, match="'front_radius_mm' and 'front_radius_inch' are both front_radius_mm"):
        heading_of((*DIMENSIONS, "front_radius_inch"))


@given(st.sampled_from([n for n in INPUT_COLUMNS if is_quantity(n)]), st.floats(-1e3, 1e3), st.data())
def test_every_unit_goes_there_and_back(name, value, data):
    q = quantity(name)
    unit = data.draw(st.sampled_from(units_of(q) or ("1",)))
    to = conversion(q, unit)
    back = float(to.apply(np.array([value]))[0])
    assert (back - float(to.shift)) / float(to.factor) == pytest.approx(value, rel=1e-12, abs=1e-9)
