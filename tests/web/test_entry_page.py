"""The entry: what the tool must not be used for stands on its first screen, and whole at its end."""

import pytest
from shown import page as opened

from lenscalc.conditions import CAUTION

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")


def test_that_it_is_no_medical_device_stands_at_the_head_and_the_whole_caution_at_the_end():
    at = opened("what_for.py")
    said = next(m.value for m in at.markdown if "Not a medical device" in m.value).removeprefix(":small[").removesuffix("]")
    device = said[said.index("Not a medical device") :]
    assert device.endswith("does not choose an implant for a patient.")
    assert f" {device} " in CAUTION
    assert [w.value for w in at.warning] == [CAUTION]


@pytest.mark.parametrize("width", [1400, 600, 390])
def test_it_is_read_without_scrolling(page, address, go, width):
    page.set_viewport_size({"width": width, "height": 900})
    go(page, address, "What did you come for?")
    playwright.expect(page.get_by_text("it does not choose an implant for a patient").first).to_be_in_viewport(ratio=1.0)
