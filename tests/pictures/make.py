"""The pictures of the README, taken from the pages as they are: `python tests/pictures/make.py [NAME ...]`, with Debian's chromium."""

import io
import shutil
import sys
from pathlib import Path

from PIL import Image
from playwright.sync_api import sync_playwright

HOME = Path(__file__).parent
sys.path.insert(0, str(HOME.parent / "benchmarks"))
from server import served  # noqa: E402

WIDTH, MOST_BYTES = 1100, 150_000
PICTURES = {  # name: address, height of what is shown
    "entry": ("", 860),
    "one_reading": ("one_reading", 900),
    "a_file": ("a_file", 820),
    "a_lens": ("a_lens?labelled_power_D=20.5", 800),
    "an_eye": ("an_eye?schematic_eye=the+Bennett%E2%80%93Rabbetts+eye,+relaxed", 1080),
}


def small(data):
    """The same picture with a palette of its own, which a page with few colours does not miss."""
    out = io.BytesIO()
    Image.open(io.BytesIO(data)).convert("RGB").quantize(256, Image.Quantize.FASTOCTREE, dither=Image.Dither.NONE).save(out, "PNG", optimize=True)
    return out.getvalue()


def make(names):
    with served() as (address, _), sync_playwright() as p:
        browser = p.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        for name in names:
            where, height = PICTURES[name]
            page = browser.new_context(viewport={"width": WIDTH, "height": height}, color_scheme="light").new_page()
            page.goto(f"{address}/{where}")
            page.get_by_role("heading", level=1).wait_for(timeout=90_000)
            page.wait_for_function("document.querySelector('[data-testid=stApp]').dataset.testScriptState === 'notRunning'", timeout=90_000)
            page.wait_for_timeout(4000)  # the pictures on the page draw themselves
            data = small(page.screenshot())
            assert len(data) < MOST_BYTES, f"{name}: {len(data)} bytes"
            (HOME / f"{name}.png").write_bytes(data)
            print(f"{name}.png, {len(data) / 1000:.0f} kB")
        browser.close()


if __name__ == "__main__":
    make(sys.argv[1:] or list(PICTURES))
