"""What the page of a reading says where it was stumbled over: two sets of readings, a power outside its limits, which sheet is loaded."""

import tomllib

import pytest
import tomli_w
from shown import page, words
from test_reading_page import all_unfolded

from lenscalc.demo import demo_text, demo_titles
from lenscalc.web.reading.reading_page import STILL
from lenscalc.web.reading.readings_form import HOW_LABEL as HOW

FILE = "one_reading.py"
C = demo_text("copolymer_c.toml")
JUST_OUTSIDE = (
    C.replace("[1.4902, 1.4904, 1.4903, 1.4901, 1.4904]", "[1.4921, 1.4923, 1.4922, 1.4921, 1.4923]").replace("value = 15.0", "value = 15.2")
    .replace("value = -15.0", "value = -15.2").replace("value = 0.9\n", "value = 0.92\n").replace("_power_D = 20.5", "_power_D = 20.0")
)  # fmt: skip


def sheet(**changes):
    """Copolymer C with other readings or another label."""
    data = tomllib.loads(C)
    data["reading"][0] |= {k: v for k, v in changes.items() if k in ("n", "u_repeatability", "dof_repeatability")}
    data["lens"] |= {k: v for k, v in changes.items() if k == "labelled_power_D"}
    return tomli_w.dumps(data)


def loaded(text, name="mine.toml"):
    at = page(FILE)
    at.file_uploader(key="upload_sheet").set_value((name, text.encode(), "application/toml")).run()
    assert not at.exception
    return at


def test_readings_pasted_over_half_of_the_rows_are_asked_about():
    at = loaded(C)  # somebody's own: the demo's would give way
    turn = at.session_state["sheet table: readings"]["turn"]
    edits = {"edited_rows": {0: {"n": "1.4620"}, 1: {"n": "1.4622"}, 2: {"n": "1.4621"}}, "added_rows": [], "deleted_rows": []}
    at.session_state[f"sheet table: readings {turn}"] = edits
    at.run()
    [told] = [i.value for i in at.info if "look like two sets" in i.value]
    assert "readings 1 to 3 (mean 1.4621) and readings 4 and 5 (mean 1.4903)" in told
    assert "are they of the same specimen" in told
    text = words(at)
    assert "more of them do not help" in text
    assert "in place of 5" not in text
    assert "Which radii would give the label?](#" not in text


def test_a_power_outside_is_said_first_with_the_radii_and_a_link_to_them():
    text = words(loaded(sheet(n=[1.4620, 1.4621, 1.4622])))
    answer = text.partition("What to improve first?")[2] or text
    assert "**The power itself: a lens cut to these dimensions has 16.664 D, u 0.057 D, and that lies 3.44 D below the lower limit" in answer
    assert "A smaller uncertainty cannot bring it in; other radii can." in answer
    assert "For exactly 20.50 D with this index: front 12.186 mm, back −12.186 mm" in answer
    assert "More under [Which radii would give the label?](#radii-for-the-label)" in answer


def test_a_power_just_outside_is_told_alike_under_every_question():
    """20.402 D against 20.40 D, u 0.059 D: not decided, and nowhere that no u counts or that it lies 0.00 D beyond."""
    text = words(loaded(JUST_OUTSIDE))
    assert "? not decided: the power lies too near a limit for its uncertainty" in text
    assert "power **20.402 D, u 0.059 D**, 0.002 D beyond the upper limit of 20.40 D; the probability that it conforms is 0.4" in text
    assert "A smaller u would decide which, and does not move the power in; other radii do." in text
    assert (
        "How well the index must be known cannot be said: the best value lies outside, so near a limit that its u leaves open on which side of it "
        "the power lies; a smaller u would decide which."
    ) in text
    assert "cannot bring it in" not in text
    assert "the power itself lies outside the limits" not in text


def test_a_back_radius_without_its_minus_is_asked_about():
    text = loaded(C.replace("value = -15.0", "value = 15.0"))
    assert [i.value for i in text.info][-1] == (
        "With a back radius of −15 mm the power would be 20.42 D: a back surface that bulges outwards has a minus."
    )


def test_a_plano_surface_is_ticked_and_not_typed():
    at = page(FILE)
    helps = [f.help for f in at.number_input if f.label in ("Front radius, mm", "Back radius, mm")]
    assert len(helps) == 2
    assert not [h for h in helps if "plano" in h]


def test_a_remark_is_a_sentence_and_says_where_a_mounting_is_told():
    at = loaded(sheet(n=[1.4902, 1.4903, 1.4902, 1.4903, 1.4917, 1.4918, 1.4917, 1.4918]))
    [told] = [i.value for i in at.info if "look like two sets" in i.value]
    assert told.startswith("At 589.29 nm, 20 °C readings 1 to 4")
    assert told.endswith(f"If they are re-reads of two mountings, open “{HOW}”, tick “More columns” and say so in the column “mounting”.")
    at.session_state[f"fold: {HOW}"] = True
    assert "More columns" in [c.label for c in at.run().checkbox]


def test_the_card_says_no_number_that_its_picture_says():
    text = words(page(FILE))
    assert "The probability that its power lies within **20.10 to 20.90 D** is **above 0.999** (required: 0.95)." in text
    assert "20.22 to 20.78" not in text
    assert "about the label of" not in text


def test_the_power_names_the_index_that_it_has():
    assert "with the index found above, 1.48962, in the eye's medium of 1.336" in words(page(FILE))


def test_few_readings_are_told_by_the_name_of_the_field():
    """What the page calls the column; the key of the sheet, which the command names beside it, is left out."""
    at = loaded(sheet(n=[1.4902, 1.4903]))
    [told] = [i.value for i in at.info if "degree of freedom" in i.value]
    assert "if earlier lots have told it better, give the u of one reading, pooled" in told


def test_a_row_of_how_each_was_read_says_what_it_stands_for():
    at = page(FILE)
    at.session_state[f"fold: {HOW}"] = True
    at.run()
    assert "A row stands for all readings of one line, temperature and direction (here 5): what is said in it holds for each of them." in words(at)


def test_the_menu_of_the_demo_is_in_words_and_says_what_is_loaded():
    at = page(FILE)
    menu = at.selectbox(key="demo_sheet")
    assert menu.options == [f"{title} ({name})" for name, title in demo_titles().items()]
    assert menu.placeholder == "now: Copolymer C, lot 7: read hydrated"
    for name in ("copolymer_e.toml", "copolymer_b.toml", "copolymer_b.toml"):  # twice the same, to start over
        at.selectbox(key="demo_sheet").set_value(name).run()
        assert at.selectbox(key="demo_sheet").placeholder == f"now: {demo_titles()[name]}"
        assert demo_titles()[name] in words(at)
    at.file_uploader(key="upload_sheet").set_value(("lot nine.toml", C.encode(), "application/toml")).run()
    assert at.selectbox(key="demo_sheet").placeholder == "now: the sheet that was uploaded"
    at.file_uploader(key="upload_sheet").set_value(("none.toml", b"n = ", "application/toml")).run()
    assert at.selectbox(key="demo_sheet").placeholder == "now: the sheet that was uploaded"


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (C, "**✔ would conform**: 20.419 D, u 0.060 D, 0.32 D inside the lower limit of 20.10 D"),
        (sheet(n=[1.462, 1.4621, 1.4622]),
         "**✘ would not conform**: 16.664 D, u 0.057 D, 3.44 D beyond the lower limit of 20.10 D; mind 1 remark above"),
        (sheet(n=[1.4934, 1.4935, 1.4936]), "**? not decided**: 20.848 D, u 0.060 D, 0.05 D inside the upper limit of 20.90 D; mind 1 remark above"),
        (C.replace("labelled_power_D = 20.5\n", ""), "**no decision**: 20.419 D, u 0.060 D"),
        (C.partition("[lens]")[0], "index in the eye: 1.48962, u 0.00040"),
    ],
)
def test_the_verdict_stays_in_view(text, told):
    """One line at the bottom of the window."""
    assert f":small[{told}. Not a medical device; it does not choose an implant for a patient.]" in words(loaded(text))


def test_no_verdict_stays_in_view_where_there_is_none():
    at = page(FILE)
    at.number_input(key=f"sheet: {at.session_state['how many sheets were taken into the session']} lens.center_thickness_mm.value").set_value(0.1)
    text = words(at.run())
    assert ":small[– no answer yet: *The lens that would be cut*: edge thickness -0.506 mm at “Optic diameter” = 6: must be 0 or more" in text
    assert "would conform" not in text


def test_own_numbers_are_not_kept_or_printed_as_invented():
    """A record and a print say where numbers come from: a changed sheet of the demo waits until somebody has said it anew."""

    def offered(at):
        return "Keep this in the records" in [b.label for b in at.button]

    at = all_unfolded(page("one_reading.py"))
    assert offered(at)
    next(f for f in at.number_input if f.label == "Front radius, mm").set_value(14.9)
    at.run()
    assert not offered(at)
    assert [i.value for i in at.info if "still said to come from “invented for the demo”" in i.value]
    (origin,) = (f for f in at.text_input if f.value == "invented for the demo")
    origin.set_value("bench 2, today")
    at.run()
    assert offered(at)
    assert not [i.value for i in at.info if "still said to come from" in i.value]


def test_a_changed_sheet_of_the_demo_is_not_called_the_demos_any_more():
    panel = "The specimen, and whose numbers these are"
    at = all_unfolded(page(FILE))
    assert "**Copolymer C, lot 7" in words(at)
    assert "*Invented for the demo*: these numbers show the way, and are nobody's lens." in words(at)
    assert panel in [e.label for e in at.expander]
    next(f for f in at.number_input if f.label == "Front radius, mm").set_value(14.9)
    text = words(at.run())
    assert "Begun from the demo's sheet *Copolymer C, lot 7: read hydrated*; still as there: calibration, " in text
    assert "invented" not in text.lower()
    next(f for f in at.text_input if f.value == "invented for the demo").set_value("bench 2, *today*")
    text = words(at.run())
    assert "optic diameter, u of the dimensions. Where the numbers come from now: *bench 2, \\*today\\**." in text
    assert "say under" not in text


def test_what_is_still_the_demos_is_said_once_something_is_changed_and_grows_shorter():
    def still(at):
        return next((m.value.partition("; still as there: ")[2] for m in at.markdown if m.value.startswith("Begun from the demo")), "")

    at = page(FILE)
    assert still(at) == ""
    turn = at.session_state["how many sheets were taken into the session"]
    readings = at.session_state["sheet table: readings"]["turn"]
    edits = {"edited_rows": {0: {"n": "1.4950"}}, "added_rows": [], "deleted_rows": []}
    at.session_state[f"sheet table: readings {readings}"] = edits
    at.run()
    assert still(at) == (
        "**4 of 5 readings**, calibration, dn/dT, Abbe number, u of the specimen against its lens, the refractometer, "
        "measured medium, temperature of the readings, their line, labelled power, front radius, back radius, thickness, optic diameter."
    )
    at.number_input(key=f"sheet: {turn} lens.front_radius_mm.value").set_value(15.2)
    at.number_input(key=f"sheet: {turn} lens.labelled_power_D").set_value(21.0)
    at.session_state["fold: From the bench to the eye"] = True
    at.run()
    assert "front radius" not in still(at)
    assert still(at).endswith(", optic diameter, u of the dimensions.")
    assert "labelled power" not in still(at)
    at.number_input(key=f"sheet: {turn} temperature.dn_dt_per_K").set_value(-1.5e-4)
    at.session_state[STILL] = True
    at.run()
    assert still(at).startswith("**4 of 5 readings**, calibration, Abbe number, ")
    assert still(at).endswith(", u of the change of index with temperature, u of the dimensions.")
    assert "u of the front radius 0.02 mm; " in "".join(m.value for m in at.markdown)
    [whole] = [m.value for m in at.markdown if m.value.startswith("- What was read: ")]
    assert "- The refractometer: Resolution of the refractometer 0.0001; u of its calibration 0.0002; u of the operator 0.00005" in whole
    assert "Change of index with temperature −" not in whole
    assert "u of the change of index with temperature 0.00002 1/K" in whole
    assert "- The specimen, and whose numbers these are: Time in the liquid 168 h; u of the specimen against its lens 0.0001" in whole
    at.file_uploader(key="upload_sheet").set_value(("mine.toml", C.encode(), "application/toml")).run()
    at.number_input(key=f"sheet: {turn + 1} lens.front_radius_mm.value").set_value(15.2).run()
    assert "Changed here" in words(at)
    assert still(at) == ""


def test_the_verdict_comes_before_whose_numbers_they_are():
    text = words(page(FILE))
    assert text.index("In short: **✔ would conform") < text.index("Invented for the demo")
