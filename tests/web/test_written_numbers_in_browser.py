"""Numbers typed and pasted into a field as people write them: a browser whose language writes a point drops a comma, and 0,03 becomes 3."""

import pytest

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")

TAKEN = [
    ("14,5", "14.5"), ("0,03", "0.03"), (",5", ".5"), ("−12,5", "-12.5"), ("–3", "-3"),
    ("‒3", "-3"), ("1e-3", "1e-3"), ("1,5e-3", "1.5e-3"), ("14.5", "14.5"),
]
WHOLE_ONLY = [(" 14,5\t", "14.5"), ("\u00a014.5 ", "14.5")]
POINT = "There is a decimal point already"
NOT_TAKEN = ["14.5.2", "1.234,5", "1,234.5", "15 mm", "20,5 °C", "abc", "1 000", "14'900", "--5", "1e", "<b>1</b>"]
TYPED = [  # what is left, and what is not taken: the rest is not either, it would make another number
    ("14·9", "14", "·"), ("2×7", "2", "×"), ("14 900", "14", "a blank"), ("14'900", "14", "'"), ("950 µm", "950", "a blank"), ("−2·10", "-2", "·"),
]


@pytest.fixture
def field(page, address, go):
    go(page, f"{address}/a_lens", "A lens by its dimensions")
    return page.get_by_role("spinbutton", name="Front radius, mm", exact=True)


def pasted(page, field, text):
    field.focus()
    field.press("Control+a")
    page.keyboard.insert_text(text)


def test_a_comma_and_a_printed_minus_sign_are_taken(page, field):
    for text, stands in TAKEN:
        field.focus()
        field.press("Control+a")
        page.keyboard.type(text)
        assert (field.input_value(), text) == (stands, text)
    for text, stands in TAKEN + WHOLE_ONLY:
        pasted(page, field, text)
        assert (field.input_value(), text) == (stands, text)
    pasted(page, field, "14,5")
    field.press("Enter")
    page.wait_for_url("**front_radius_mm=14.5*")
    assert field.evaluate("field => field.validationMessage") == ""


def test_digits_chosen_behind_a_minus_and_the_next_number_with_its_own(page, field):
    """A double click chooses the digits alone; the minus that is typed is the one that stands there, and not a second."""
    back = page.get_by_role("spinbutton", name="Back radius, mm", exact=True)
    for typed, stands in (("-15.2", "-15.2"), ("−14,9", "-14.9"), ("14.8", "-14.8")):
        back.focus()
        for key in ("Home", "ArrowRight", "Shift+End"):
            back.press(key)
        page.keyboard.type(typed)
        assert (back.input_value(), typed) == (stands, typed)
        assert back.evaluate("field => field.validationMessage") == ""


def test_what_is_no_number_is_not_taken_and_said(page, field):
    said = "field => field.validationMessage"
    for text in NOT_TAKEN:
        pasted(page, field, text)
        assert field.input_value() == "15.000"
        assert field.evaluate(said) == f"“{text}” does not belong to a number: write digits and one decimal point, no unit"
        assert page.locator(".lenscalc-refused").inner_text() == field.evaluate(said)
    for text, left, sign in TYPED:
        field.press("Control+a")
        page.keyboard.type(text)
        assert field.input_value() == left
        assert field.evaluate(said).startswith(f"“{sign}” does not belong to a number")
    field.press("Control+a")
    page.keyboard.type("14.5,2")  # the rest is not taken either: 14.52 is another number
    assert (field.input_value(), field.evaluate(said)) == ("14.5", POINT)
    field.press("Backspace")
    assert (field.input_value(), field.evaluate(said)) == ("14", "")
    page.keyboard.type(",7")
    assert (field.input_value(), field.evaluate(said)) == ("14.7", "")
    page.keyboard.type(",")
    field.press("Enter")
    page.wait_for_url("**front_radius_mm=14.7*")
    playwright.expect(page.get_by_role("alert").filter(has_text=POINT)).to_be_visible()  # also when its field has been left
    page.locator("[data-testid=stNumberInput]", has=field).get_by_role("button", name="Increment").click()
    playwright.expect(page.locator(".lenscalc-refused")).to_have_count(0)


def test_every_page_hears_it_also_after_going_there_from_another(page, field):
    page.get_by_role("link", name="What did you come for?").click()
    page.get_by_role("link", name="How sharp is its image?").click()
    page.get_by_role("heading", name="How sharp is its image?", level=1).wait_for()
    radius = page.get_by_role("spinbutton", name="Front radius, mm", exact=True)
    pasted(page, radius, "14,5")
    assert radius.input_value() == "14.5"


def test_it_takes_no_room(page, field):
    scripts = page.locator("[data-testid=stElementContainer]:has(script)")  # this one, and those of the frame
    playwright.expect(scripts).to_have_count(2)
    for script in scripts.all():
        playwright.expect(script).to_be_hidden()


def test_the_tabulator_leads_from_number_to_number_and_a_question_mark_to_what_one_means(page, field):
    field.focus()
    page.keyboard.press("Tab")
    u = page.get_by_role("spinbutton", name="u of the front radius, mm", exact=True)
    playwright.expect(u).to_be_focused()
    stood = u.input_value()
    page.keyboard.press("?")
    playwright.expect(page.get_by_role("button", name="Help for u of the front radius, mm")).to_be_focused()
    page.get_by_text("Possible: 0 or more mm").first.wait_for()
    page.keyboard.press("Tab")
    playwright.expect(u).to_be_focused()
    assert u.input_value() == stood
    assert u.evaluate("field => field.validationMessage") == ""


def test_a_first_click_chooses_the_whole_number_and_a_second_a_place_in_it(page, field):
    field.click()
    page.keyboard.type("15,8")
    assert field.input_value() == "15.8"
    field.press("Enter")
    page.wait_for_url("**front_radius_mm=15.8*")
    field.click(position={"x": 12, "y": 12})
    page.keyboard.press("End")
    page.keyboard.type("5")
    assert field.input_value() == "15.8005"  # as the field writes it, 15.800, and one digit more
