"""The inputs of a page as a file: the command takes it, and gives the figures that stand on the page, to the last digit shown."""

import csv
import io
import json
import re
import tomllib

import numpy as np
import pytest
from called import lenscalc as command
from shown import opened, page, words
from streamlit.elements.widgets.button import ButtonMixin

from lenscalc.conditions import LINES_NM
from lenscalc.web.lecture.best_shape_page import _um
from lenscalc.web.lecture.index_change_page import _change
from lenscalc.web.shown.figures import signed


@pytest.fixture
def offered(monkeypatch):
    """What the buttons of a page save, by the name of the file; without a browser a button gives no bytes by itself."""
    held = {}
    drawn = ButtonMixin._download_button

    def noted(self, *, data, file_name, **settings):
        held[file_name] = data() if callable(data) else data
        return drawn(self, data=data, file_name=file_name, **settings)

    monkeypatch.setattr(ButtonMixin, "_download_button", noted)
    return held


def by_batch(text, folder, *compute):
    """The results of the command for a table, as columns."""
    (folder / "in.csv").write_text(text, encoding="utf-8")
    done = command("batch", str(folder / "in.csv"), str(folder / "out.csv"), *(x for name in compute for x in ("--compute", name)))
    assert done.returncode == 0, done.stderr
    rows = list(csv.DictReader(io.StringIO((folder / "out.csv").read_text(encoding="utf-8"))))
    assert not any(row["problem"] for row in rows)
    return {name: [row[name] for row in rows] for name in rows[0]}


def power(columns):
    return np.array(columns["power_D"], dtype=float)


def test_lenses_whose_index_has_changed(offered, tmp_path):
    at = page("index_change.py", index_change="0.0043", show_power_D="18")
    found = by_batch(offered["changed_index.csv"], tmp_path)
    changes = [_change(F - 18.0) for F in power(found)]
    for end in (max, min):
        assert f"**{end(changes, key=lambda text: float(text.split()[0]))}**" in words(at)


def test_colours(offered, tmp_path):
    at = page("coloured_focus.py", show_power_D="22")
    found = by_batch(offered["colours.csv"], tmp_path)
    F = power(found).reshape(-1, 3)
    assert list(found["note_line"][:3]) == ["F", "e", "C"]
    assert set(found["note_line"]) <= set(LINES_NM)
    table = at.table[0].value
    assert list(table["blue less red"]) == [f"{signed(x, 2)} D" for x in F[:, 0] - F[:, 2]]
    assert F[:, 1] == pytest.approx(22.0, abs=2e-3)  # in green as meant, but for the aqueous, which is not 1.336 at 546 nm to the last digit


def test_one_lens_in_three_media(offered, tmp_path):
    at = page("in_three_media.py", front_radius_mm="12", with_other_medium="true")
    found = by_batch(offered["three_media.csv"], tmp_path)
    assert [f"{signed(F, 2)} D" for F in power(found)] == list(at.table[0].value["as it is"])
    assert len(power(found)) == 4


def test_a_bent_lens(offered, tmp_path):
    at = page("best_shape.py", show_shape_factor="1", shape_medium="air", shape_power_D="30")
    found = by_batch(offered["bent_lens.csv"], tmp_path, "*", "zernike_4_0_um", "rms_spot_best_focus_mm")
    assert f"spreads a point over **{_um(1000 * float(found['rms_spot_best_focus_mm'][0]))}**" in words(at)
    shown = re.search(r"c_\{40\}\(X=1\) = (-?[0-9.]+)", "\n".join(x.value for x in opened(at).get("latex")))[1]
    assert f"{float(found['zernike_4_0_um'][0]):.5f}" == shown
    assert power(found)[0] == pytest.approx(30.0, rel=1e-10, abs=0.0)  # a file holds twelve digits


def test_the_points_of_a_chart_are_a_series(offered, tmp_path):
    """What is saved of single points is charted by the command to the same answer."""
    at = page("moved.py")
    (tmp_path / "chart.csv").write_bytes(offered["control_chart.csv"])
    (tmp_path / "limits.toml").write_bytes(offered["limits.toml"])
    said = json.loads(command("control", str(tmp_path / "chart.csv"), "--json").stdout)
    assert said["sentence"].rstrip(".") in words(at)
    frozen = json.loads(command("control", str(tmp_path / "chart.csv"), "--limits", str(tmp_path / "limits.toml"), "--json").stdout)
    assert frozen["sentence"] == said["sentence"]
    assert tomllib.loads(offered["limits.toml"].decode())["limits"]["points"] == 25
