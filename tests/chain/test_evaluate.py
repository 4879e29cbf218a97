"""The chain on a table: what it gives back, and in how many ways it may be asked."""

import numpy as np
import pandas as pd
import pytest
from one_row import GONE, ROW, evaluated

from lenscalc import InputError, evaluate, power_sensitivity, thick_lens
from lenscalc.errors import UnknownNameError


@pytest.mark.parametrize("media", [{}, {"n_medium": 1.0}, {"n_medium": 1.0, "n_medium_behind": 1.336}], ids=["eye", "air", "air in front"])
def test_powers_and_sensitivities_are_those_of_the_lens(media):
    columns = evaluated(**media, labelled_power_D=GONE).columns
    for wanted in (thick_lens, power_sensitivity):
        for name, value in wanted(15, -15, 0.9, 1.49, **media)._asdict().items():
            np.testing.assert_array_equal(columns[name][0], value, err_msg=name)


def test_labels_and_notes_are_carried_along():
    assert evaluated(lot="C-07", note_colour="red").problems[0] == ""


def test_frames_constants_and_mappings_are_the_same():
    frame = pd.DataFrame({k: [v, v] for k, v in ROW.items()})
    plain = evaluate({k: [v, v] for k, v in ROW.items()})
    lens = {k: v for k, v in ROW.items() if k not in ("n_lens", "u_n_lens")}
    held = evaluate({"n_lens": [1.49, 1.49], "u_n_lens": [3e-4, 3e-4]}, constants=lens)
    for name, values in plain.columns.items():
        for other in (evaluate(frame), held):
            np.testing.assert_array_equal(other.columns[name], values)
    with pytest.raises(InputError, match="n_lens is given as a constant"):
        evaluate(frame, constants={"n_lens": 1.5})
    assert list(evaluate(frame).frame().columns) == [*plain.columns, "problem", "warning"]


def test_compute_picks_columns():
    whole, few = evaluated(), evaluated(compute=("power_D", "u_power_D"))
    assert list(few.columns) == ["power_D", "u_power_D"]
    assert few.columns["power_D"][0] == whole.columns["power_D"][0]
    assert "largest_u_n_lens" not in whole.columns
    assert {*whole.columns, "largest_u_n_lens"} == set(evaluated(compute=("*", "largest_u_n_lens")).columns)
    with pytest.raises(UnknownNameError, match="did you mean power_D"):
        evaluated(compute=("powr_D",))


def test_progress_is_told():
    told = []
    evaluate({k: [v] * 5 for k, v in ROW.items()}, on_progress=lambda done, total: told.append((done, total)))
    assert told[-1] == (5, 5)
