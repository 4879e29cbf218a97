"""The reference cases agree, and are what they say they are."""

import copy
from pathlib import Path

import pytest

from lenscalc.verify import FUNCTIONS, half_unit, lines_of, reference_files, run, worst_by_source

ROOT = Path(__file__).parents[2]
FILES = reference_files()
CASES = [(data, case) for data in FILES for case in data["case"]]


@pytest.mark.parametrize(("data", "case"), CASES, ids=[case["name"] for _, case in CASES])
def test_a_case_agrees_with_what_is_printed(data, case):
    for line in lines_of({**data, "case": [case]}):
        assert line.agrees, f"{line.quantity}: computed {line.computed!r}, printed {line.expected}, allowed ±{line.tolerance:g}; {line.source}"


def test_enough_of_them_from_outside():
    published = {(s["authors"], s["title"]) for d in FILES for s in d["sources"].values() if s["kind"] == "published" and s["seen"] != "memory"}
    cases = [c for d in FILES for c in d["case"] if d["sources"][c["source"]]["kind"] == "published"]
    assert len(cases) >= 60
    assert len(published) >= 12


def test_names_are_unique():
    names = [case["name"] for _, case in CASES]
    assert len(names) == len(set(names))


@pytest.mark.parametrize("data", FILES, ids=[d["subject"] for d in FILES])
def test_a_file_is_well_formed(data):
    used = {case["source"] for case in data["case"]}
    assert used == set(data["sources"])
    for source in data["sources"].values():
        assert {"authors", "title", "seen", "kind"} <= set(source)
        assert source["seen"] in ("read", "quoted", "memory")
        assert source["kind"] in ("published", "derived by hand", "reference library", "common practice, no source")
        if source["seen"] == "quoted":
            assert source["quoted_in"]
        if source["kind"] == "derived by hand":
            assert "working" in source or all("note" in c or "where" in c for c in data["case"])
        if source["kind"] == "reference library":
            assert source["version"]
            assert (ROOT / source["script"]).is_file()
    for case in data["case"]:
        assert case["where"]
        assert all(isinstance(printed, str) for printed in case["expected"].values())
        assert ("tolerance" in case) == ("tolerance_reason" in case)


@pytest.mark.parametrize("function", FUNCTIONS)
def test_every_public_formula_has_a_case_from_outside(function):
    assert any(case["function"] == function for _, case in CASES)


def test_a_falsified_value_is_found():
    data = copy.deepcopy(next(d for d in FILES if any(c["name"] == "rayoptics_biconvex_in_aqueous" for c in d["case"])))
    case = next(c for c in data["case"] if c["name"] == "rayoptics_biconvex_in_aqueous")
    assert all(line.agrees for line in lines_of({**data, "case": [case]}))
    case["expected"]["power_D"] = "20.4696672"
    wrong = [line.quantity for line in lines_of({**data, "case": [case]}) if not line.agrees]
    assert wrong == ["power_D"]


def test_the_tolerance_is_half_a_unit_of_the_last_digit():
    assert half_unit("1.33299") == 5e-6
    assert half_unit("2.50") == 0.005
    assert half_unit("50000838") == 0.5


def test_the_worst_of_each_source_counts_every_value():
    lines = run()
    worst = worst_by_source(lines)
    assert sum(w.values for w in worst) == len(lines)
    assert all(w.worst <= 1 + 1e-6 for w in worst)
