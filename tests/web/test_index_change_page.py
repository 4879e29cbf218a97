"""How does power answer to the index? Figures of the core, by page, command and Python alike."""

import numpy as np
import pytest
from shown import by_command, by_python, page, words

from lenscalc.web.lecture.show_materials import show_materials

FILE = "index_change.py"


def test_a_low_index_pays_more():
    """By the rule of a thin lens, 20·0.001/(n − 1.336): 0.204 D at 1.4339 (PDMS) and 0.0768 D at 1.5964 (polystyrene)."""
    text = words(page(FILE))
    assert "makes a 20 D lens of PDMS A 2009 (index 1.434) **0.20 D stronger**, one of polystyrene 2009 (index 1.596) only **0.077 D st" in text
    assert "An error of 0.001 is 1.02 % of it in PDMS A 2009, where the step is 0.0979" in text
    assert "**2.7 times as steep**" in text  # 0.2604/0.0979 = 2.66


@pytest.mark.parametrize(("change", "power"), [(0.001, 20.0), (-0.0034, 27.5)])
def test_page_command_and_python_give_the_same(change, power):
    at = page(FILE)
    at.slider(key="index_change").set_value(change)
    at.slider(key="show_power_D").set_value(power).run()
    assert not at.exception
    moved, names = by_python(at)
    cut, after = by_command(at)
    most = int(np.argmax(np.abs(moved)))
    assert after["power_D"] - power == pytest.approx(moved[most], abs=1e-9)
    assert cut["front_radius_mm"] == pytest.approx(names["lens"].front_radius_mm[most], abs=1e-9)
    side = "weaker" if change < 0 else "stronger"
    assert f"**{abs(moved[most]):.2f} D {side}**" in words(at)
    assert list(at.table[0].value["radius"]) == [f"{R:.2f} mm" for R in names["lens"].front_radius_mm]


def test_one_material_none_and_no_change():
    at = page(FILE)
    at.pills(key="materials").set_value([show_materials()["pmma_beadie_2015"].short]).run()
    assert not at.exception
    assert "times as steep" not in words(at)
    at.slider(key="index_change").set_value(0.0).run()
    assert "every lens has its **20 D**" in words(at)
    at.pills(key="materials").set_value([]).run()
    assert not at.exception
    assert "Choose a material" in at.info[0].value
    assert not at.table


def test_more_than_the_picture_holds_is_told():
    at = page(FILE)
    at.pills(key="materials").set_value([m.short for m in show_materials().values()][:9]).run()
    assert not at.exception
    assert len(at.error) == 1
    assert "9 are chosen; 7 fit the picture, take 2 away" in at.error[0].value


def test_every_material_can_be_cut_at_the_ends_of_the_sliders():
    at = page(FILE)
    at.slider(key="index_change").set_value(-0.005)
    names = [m.short for m in show_materials().values()]
    for power in (5.0, 30.0):
        at.slider(key="show_power_D").set_value(power)
        for i in range(0, len(names), 7):
            at.pills(key="materials").set_value(names[i : i + 7]).run()
            assert not at.exception
            assert not at.error


def test_the_materials_are_generic_and_say_where_they_come_from():
    """n_e of the facts, computed from the database's coefficients: PMMA 1.494490 (Beadie), PDMS A 1.433873."""
    known = show_materials()
    assert known["pmma_beadie_2015"].n_lens == pytest.approx(1.494490, abs=2e-6)
    assert known["pdms_a_schneider_2009"].n_lens == pytest.approx(1.433873, abs=2e-6)
    assert all(m.source for m in known.values())
    assert len({m.short for m in known.values()}) == len(known)
    assert sum(key.startswith("copolymer_") and "invented" in m.source for key, m in known.items()) == 6
