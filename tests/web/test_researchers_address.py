"""What the address of a researcher's page says and cannot be is told below its field; nothing is put in its place without a word."""

import pytest
from shown import page


@pytest.mark.parametrize(
    ("file", "name", "text", "told"),
    [
        ("worth_making.py", "weight_power_D", "99", "Weight of the power = 99: the slider goes from 0.1 to 5. So the address says; here stands 1 in"),
        ("worth_making.py", "weight_power_D", "twice", "Weight of the power = 'twice' is not a number"),
        ("worth_making.py", "way_power_D", "best", "Power, D = 'best' is not offered: it may be near its own label, high is good"),
        ("worth_making.py", "rank_by", "colour", "“What counts?” = 'colour' is not offered"),
        ("worth_making.py", "rank_limits", "colour", "here stands “nothing” in its place"),
        ("worth_making.py", "rank_source", "mine", "“Which results?” = 'mine' is not offered: it may be those of the table of candidates, "),
        ("worth_making.py", "one_instrument", "maybe", "it may be true, false. So the address says; here stands “yes” in its place"),
        ("a_file.py", "compute", "all", "compute = 'all' is not offered"),
        ("a_file.py", "besides", "colour", "besides = 'colour' is not offered"),
        ("a_file.py", "candidates_across", "left", "Across = 'left' is not offered"),
        ("a_file.py", "all_columns", "some", "All columns of these rows = 'some' is not offered"),
        ("a_sweep.py", "sweep_of", "colour", "What the design is made of = 'colour' is not offered"),
        ("a_sweep.py", "how_front_radius_mm", "slowly", "Front radius, mm = 'slowly' is not offered: it may be one value"),
    ],
)
def test_it_is_told_once_and_the_page_still_answers(file, name, text, told):
    at = page(file, **{name: text})
    assert not at.exception
    assert [told in e.value for e in at.error] == [True]
    assert at.table or at.get("vega_lite_chart")


def test_what_is_offered_is_taken_without_a_word():
    at = page("worth_making.py", weight_power_D="2", way_abbe_d="low is good", one_instrument="false")
    assert not at.error
    assert (at.slider(key="weight_power_D").value, at.checkbox(key="one_instrument").value) == (2.0, False)
    assert "power near its own label and low Abbe number" in "\n".join(m.value for m in at.markdown)


def test_the_sentence_goes_as_soon_as_the_field_is_changed():
    at = page("worth_making.py", weight_power_D="99")
    at.slider(key="weight_power_D").set_value(2.0).run()
    assert not at.error


def test_a_column_that_another_table_lacks_gives_way_though_the_address_named_it():
    at = page("a_file.py", candidates_across="Centre thickness, mm")
    assert at.selectbox(key="candidates_across").value == "center_thickness_mm"
    table = "front_radius_mm,back_radius_mm,center_thickness_mm,n_lens\n15,-15,0.9,1.49\n14,-15,0.9,1.48\n"  # one thickness: nothing to draw over
    at.file_uploader(key="upload_candidates").set_value(("other.csv", table.encode(), "text/csv")).run()
    assert not at.error
    assert at.selectbox(key="candidates_across").value == "n_lens"
    at = page("worth_making.py", rank_by="Power, D", rank_limits="Density of the lens, kg/m³")
    assert [e.value.partition(":")[0] for e in at.error] == ["Limits to keep, on = 'Density of the lens, kg/m³' is not offered"]
