"""An uncertainty on a sheet counts, or it is said that it does not: with its value taken away, or put where nothing uses it, it is refused."""

import copy

import pytest
from whole_sheets import MEDIUM, SHEETS, STATED, WATER, sheet

from lenscalc.chain import follow
from lenscalc.errors import SheetError
from lenscalc.refractometer import sheet_from_data
from lenscalc.refractometer.schema import SCHEMA, Limits

ADDED_TO = ("plain", "expansion", "dry", "cut dry", "shift", "slope", "medium", "compensated", "prism", "three lines", "temperatures")


def tables(data):
    """Every table of a sheet by its name in the schema; of several alike the first."""
    for name in SCHEMA:
        at = data
        for key in filter(None, name.split(".")):
            at = at.get(key, {})
            at = at[0] if isinstance(at, list) else at
        if at and isinstance(at, dict):
            yield name, at


def is_u(key):
    return key.startswith(("u_", "dof_"))


def figures(data):
    return {name: str(column[0]) for name, column in follow(sheet_from_data(data)).evaluation.columns.items()}


WITHOUT = [
    (of, name, key)
    for of, data in SHEETS.items()
    for name, table in tables(data)
    for key in table
    if is_u(key) and (key.removeprefix("u_") in table or key.startswith("dof_"))
]


@pytest.mark.parametrize(("of", "name", "key"), WITHOUT)
def test_without_its_value_it_is_refused(of, name, key):
    data = copy.deepcopy(SHEETS[of])
    del dict(tables(data))[name][f"u_{key.removeprefix('dof_')}" if key.startswith("dof_") else key.removeprefix("u_")]
    with pytest.raises(SheetError, match=r"^sheet: \["):
        sheet_from_data(data)


ADDED = [(of, name, key) for of in ADDED_TO for name, table in tables(SHEETS[of]) for key in SCHEMA[name] if is_u(key) and key not in table]


@pytest.mark.parametrize(("of", "name", "key"), ADDED)
def test_put_in_it_counts_or_is_refused(of, name, key):
    data, kind = copy.deepcopy(SHEETS[of]), SCHEMA[name][key]
    dict(tables(data))[name][key] = kind.lower if kind == Limits(1.0, 1e9) else kind.upper if isinstance(kind, Limits) else 1e-3
    try:
        found = figures(data)
    except SheetError:
        return
    assert found != figures(SHEETS[of])


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (sheet(temperature={"volume_expansion_per_K": 3e-4, "u_volume_expansion_per_K": 3e-5, "u_dn_dt_per_K": 1e-5, "state": "hydrated"}),
         r"\[temperature\] u_dn_dt_per_K is given without dn_dt_per_K: it says nothing by itself"),
        (sheet(lens={**SHEETS["plain"]["lens"], "u_linear_swelling": 0.01}), r"\[lens\] u_linear_swelling is given without linear_swelling"),
        (sheet(hydration={**WATER, "u_mass_g": 1e-3}, lens=SHEETS["cut dry"]["lens"]),
         r"\[hydration\] u_mass_g is given without mass_wet_g and mass_dry_g"),
        (sheet(medium={**STATED, "u_temperature_degC": 0.2}), r"\[medium\] u_temperature_degC is given beside n_measured_medium: it belongs to"),
        (sheet(medium={**STATED, "abbe_d": MEDIUM["abbe_d"], "u_abbe_d": 1.0}), r"\[medium\] abbe_d is given beside n_measured_medium"),
        ({**SHEETS["shift"], "hydration": {**SHEETS["shift"]["hydration"], "dry_density_kg_per_m3": 1200.0, "u_dry_density_kg_per_m3": 10.0}},
         r"\[hydration\] dry_density_kg_per_m3 is given beside hydration_shift"),
    ],
)  # fmt: skip
def test_it_is_said_what_it_misses(data, told):
    with pytest.raises(SheetError, match=told):
        follow(sheet_from_data(data))


@pytest.mark.parametrize(("more", "told"), [({}, ["profilometer"]), ({"dimensions": "exact"}, [])])
def test_a_gauge_that_measured_nothing_is_told(more, told):
    """A lab's own form may name all its gauges; where no dimension has an uncertainty none is missed."""
    lens = {**SHEETS["plain"]["lens"], "gauge": {"profilometer": {"u_scale_relative": 1e-3}}, **more}
    if more:
        lens |= {name: {k: v for k, v in table.items() if k != "u"} for name, table in lens.items() if isinstance(table, dict) and "u" in table}
    remarks = sheet_from_data(sheet(lens=lens)).remarks
    assert [r.split()[2] for r in remarks if "named by no dimension as its instrument, and its scale error is not in the budget" in r] == told
