"""What sheets of a simulated instrument have found: errors that readings share, worked by hand."""

import warnings

import numpy as np
import pytest
import simulated

from lenscalc.chain import follow_index
from lenscalc.errors import RangeWarning
from lenscalc.refractometer import sheet_from_data


def followed(data):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", RangeWarning)  # the scatter of a fit: counted apart, not a matter of coverage
        return follow_index(sheet_from_data(data)).index.n


def _parts(n, *names):
    return float(np.sqrt(sum(float(part[0]) ** 2 for source, part in n.parts.items() if source.name.startswith(names))))


EXACT = {"u_repeatability": 1e-7, "dof_repeatability": 1e9}


def _alone(**tables):
    """A sheet on which nothing is uncertain but what the test puts in."""
    return {
        "provenance": "invented for the tests",
        "specimen": {"material": "copolymer A", "state": "hydrated"},
        "instrument": {"kind": "v-block", "resolution": 0.0, "u_calibration": 0.0, **tables.pop("instrument", {})},
        "temperature": {"dn_dt_per_K": -1e-4, "u_dn_dt_per_K": 0.0, "state": "hydrated"},
        **tables,
    }


def _at(nm, n, degC=20.0, **keys):
    return {"wavelength_nm": nm, "temperature_degC": degC, "u_temperature_degC": 0.0, "n": [n], **EXACT, **keys}


def test_a_certificate_is_common_to_both_lines():
    """By hand: a specimen of the certified piece's own index at both lines has the certificate's error whole at both, and so in between."""
    lines = {587.5618: 1.5200, 501.5678: 1.5248}
    water = [{"name": "water", "kind": "water", **_at(nm, simulated.water(nm, 20.0))} for nm in lines]
    certificate = {"u_certified": 2e-4, "certified_temperature_degC": 20.0, "certified_basis": "air"}
    piece = [{"name": "piece", "kind": "certified", "n_certified": n, **certificate, **_at(nm, n)} for nm, n in lines.items()]
    data = _alone(
        reading=[_at(nm, n, basis="air") for nm, n in lines.items()],
        calibration={"model": "offset and slope", "reference": [*water, *piece]},
    )
    assert _parts(followed(data), "certificate of piece") == pytest.approx(2e-4, rel=0.01, abs=0.0)


def test_a_compensation_cancels_between_water_and_specimen():
    """By hand: read at one temperature, both are moved by the same step; what is not known of it goes out with the offset."""
    compensation = {"temperature_compensation": "other", "compensation_per_K": -1.5e-4, "u_compensation_per_K": 5e-5, "compensation_to_degC": 20.0}
    water = {"name": "water", "kind": "water", **_at(546.07, 1.3341, 24.0)}
    data = _alone(instrument=compensation, reading=[_at(546.07, 1.49, 24.0, basis="air")], calibration={"reference": [water]})
    n = followed(data)
    assert _parts(n, "temperature compensation") == pytest.approx(0.0, abs=1e-12)
    assert _parts(n, "water, IAPWS R9-97") == pytest.approx(1.5e-5, rel=0.01, abs=0.0)


def test_temperature_errors_in_a_slope_that_is_carried_on():
    """By hand: what the thermometer shares moves the level by 3e-4·0.2; 0.2 K of its own at each end tilts the line by √2·3e-4·0.2/5 per kelvin,
    and 35 °C lies 7.5 K from its middle. More than either alone: independent errors make √5·3e-4·0.2, a shared one 3e-4·0.2."""
    readings = [_at(546.07, 1.5 - 3e-4 * (T - 35.0), T, basis="air", u_temperature_degC=0.2) for T in (25.0, 30.0)]
    data = _alone(reading=readings)
    del data["temperature"]
    level, tilt = 3e-4 * 0.2, 2.0**0.5 * 3e-4 * 0.2 / 5 * 7.5
    assert _parts(followed(data), "temperature of the specimen") == pytest.approx(np.hypot(level, tilt), rel=0.01, abs=0.0)
