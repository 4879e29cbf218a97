"""Group contributions: counted as by hand, how far they miss polymers, what cannot be counted."""

import sys

import numpy as np
import pytest

from lenscalc import InputError
from lenscalc.material import (
    molar_refraction,
    molar_refraction_from_increments,
    molar_refraction_index,
    sellmeier_index,
)
from lenscalc.material.group_contributions import INCREMENTS_CM3_PER_MOL

LINES = {"d": 587.5618, "F": 486.1327, "C": 656.2725}
PMMA = {k: sellmeier_index(nm, [0.99654, 0.18964, 0.00411], [0.00787, 0.02191, 3.85727]) for k, nm in LINES.items()}  # Szczurowski 2013, as there


@pytest.mark.parametrize(
    ("R", "M", "density", "words"),
    [
        (24.744, 100.117, 1.188, "density_kg_per_m3 = 1.188 kg/m³: must be 500 to 5000 kg/m³; is it in g/cm³"),
        (124.744, 100.117, 1188, r"= 1.48\d*: must be below 0.727, an index of 3; are R, ρ and M of one repeat unit"),
        (8.25, 11.0, 1000, r"\(n² − 1\)/\(n² \+ 2\) = 0.75: must be below 0.727, an index of 3"),
        (0.0, 100.117, 1188, "molar_refraction_cm3_per_mol = 0"),
        (24.744, 0.1, 1188, "molar_mass_g_per_mol = 0.1 g/mol"),
        (np.nan, 100.0, 1188, "molar_refraction_cm3_per_mol is missing"),
    ],
)
def test_odd_refractions_are_named(R, M, density, words):
    with pytest.raises(InputError, match=words):
        molar_refraction_index(R, molar_mass_g_per_mol=M, density_kg_per_m3=density)


# counted on the structural formula by hand: increments, and molar mass from C 12.011, H 1.008, O 15.999, Cl 35.45, Br 79.904, N 14.007
UNITS = {
    "[*]CC([*])(C)C(=O)OC": ({"C": 5, "H": 8, "O carbonyl": 1, "O ether": 1}, 100.117),  # methyl methacrylate
    "[*]CC([*])c1ccccc1": ({"C": 8, "H": 8, "C=C": 3}, 104.152),  # styrene
    "[*]CC([*])(C)C(=O)OCCO": ({"C": 6, "H": 10, "O carbonyl": 1, "O ether": 1, "O hydroxyl": 1}, 130.143),  # 2-hydroxyethyl methacrylate
    "[*]CCO[*]": ({"C": 2, "H": 4, "O ether": 1}, 44.053),  # ethylene oxide
    "[*]CC([*])C(=O)OCCc1ccccc1": ({"C": 11, "H": 12, "O carbonyl": 1, "O ether": 1, "C=C": 3}, 176.215),  # 2-phenylethyl acrylate
    "[*]CC([*])C(=O)O": ({"C": 3, "H": 4, "O carbonyl": 1, "O hydroxyl": 1}, 72.063),  # acrylic acid
    "[*]CC([*])(C)C(=O)OCC1CO1": ({"C": 7, "H": 10, "O carbonyl": 1, "O ether": 2, "ring of 3": 1}, 142.154),  # glycidyl methacrylate
    "[*]CC([*])C(=O)OC1CCC1": ({"C": 7, "H": 10, "O carbonyl": 1, "O ether": 1, "ring of 4": 1}, 126.155),  # cyclobutyl acrylate
    "[*]CC([*])Cl": ({"C": 2, "H": 3, "Cl": 1}, 62.496),  # vinyl chloride
    "[*]CC([*])c1ccc(Br)cc1": ({"C": 8, "H": 7, "C=C": 3, "Br": 1}, 183.048),  # 4-bromostyrene
    "[*]CC([*])(C)C(=O)OCCN(C)C": ({"C": 8, "H": 15, "O carbonyl": 1, "O ether": 1, "N tertiary amine": 1}, 157.213),
    "C=C(C)C(=O)OC": ({"C": 5, "H": 8, "O carbonyl": 1, "O ether": 1, "C=C": 1}, 100.117),  # the monomer itself
    "C#CCN": ({"C": 3, "H": 5, "C≡C": 1, "N primary amine": 1}, 55.080),
}  # fmt: skip


@pytest.mark.parametrize("smiles", UNITS)
def test_increments_are_counted_as_by_hand(smiles):
    counts, mass = UNITS[smiles]
    unit = molar_refraction(smiles)
    assert unit.increments == counts
    assert unit.molar_mass_g_per_mol == pytest.approx(mass, abs=0.01)
    assert unit.molar_refraction_cm3_per_mol == pytest.approx(sum(k * INCREMENTS_CM3_PER_MOL[name] for name, k in counts.items()))


# measured: PMMA and polystyrene as in refractiveindex.info (CC0), d line; densities and the other polymers from memory
@pytest.mark.parametrize(
    ("smiles", "density", "n"),
    [
        ("[*]CC([*])(C)C(=O)OC", 1188.0, 1.4906),
        ("[*]CC([*])c1ccccc1", 1050.0, 1.5916),
        ("[*]CC([*])(C)C(=O)OCCO", 1270.0, 1.51),
        ("[*]CC([*])Cl", 1385.0, 1.5415),
    ],
)
def test_increments_predict_polymers_within_the_stated_half_width(smiles, density, n):
    unit = molar_refraction(smiles)
    found = molar_refraction_index(unit.molar_refraction_cm3_per_mol, molar_mass_g_per_mol=unit.molar_mass_g_per_mol, density_kg_per_m3=density)
    assert found.n == pytest.approx(n, abs=found.half_width)
    assert found.n != pytest.approx(n, abs=0.001)  # and not better than that: nobody sets a power with it


@pytest.mark.parametrize(
    ("smiles", "words"),
    [
        ("", "cannot be read as SMILES"),
        ("  ", "cannot be read as SMILES"),
        ("PMMA", "cannot be read as SMILES"),
        (None, "None cannot be read as SMILES"),
        ("[*]CC(C)", r"has 1 \[\*\]: mark both ends"),
        ("[*][*]", "mark both ends"),
        ("[*]O[Si]([*])(C)C", "no increment for"),
        ("[*]CC([*])(C)C(=O)OCC(F)(F)F", "no increment for F"),
        ("[*]CC([*])N1CCCC1=O", "no increment for this nitrogen .amide"),
        ("[*]CC([*])C#N", "no increment for this nitrogen"),
        ("[*]CC([*])C(=O)[O-]", "no increment for O as it is bound here"),
        ("CSC", "no increment for S"),
        ("CC~N", "no increment for this nitrogen"),
        ("NC~C", "no increment for this nitrogen"),
        ("[*]=CC[*]", "no increment for one of its bonds"),
        ("C~C", "no increment for one of its bonds"),  # any bond, an aromatic one without a ring, four-fold, dative: none of them is C≡C or single
        ("C:C", "no increment for one of its bonds"),
        ("C$C", "no increment for one of its bonds"),
        ("CC->N", "no increment for one of its bonds"),
        ("N", "no increment for this nitrogen"),
        ("C[NH+](C)C", "no increment for this nitrogen"),
        ("C[CH2]", "no increment for C as it is bound here"),
        ("C[CH2+]", "no increment for C as it is bound here"),
    ],
)
def test_what_cannot_be_counted_is_named(smiles, words):
    with pytest.raises(InputError, match=words):
        molar_refraction(smiles)


def test_without_the_optional_library_it_says_what_to_install(monkeypatch):
    monkeypatch.setitem(sys.modules, "rdkit.Chem", None)
    with pytest.raises(ImportError, match=r"pip install 'lenscalc\[chem\]'"):
        molar_refraction("C")


@pytest.mark.parametrize(
    ("increments", "words"),
    [
        ({"O carbonil": 1}, "unknown increment 'O carbonil'; did you mean O carbonyl"),
        ({"C": -1}, "C = -1"),
        ({"C": 1.5}, "C = 1.5: must be"),
        ({"C": True}, "whole"),
    ],
)
def test_odd_counts_are_named(increments, words):
    with pytest.raises(InputError, match=words):
        molar_refraction_from_increments(increments)


# another system, by groups: table "příspěvky k molární refrakci při 20 °C" of the University of Chemistry and Technology, Prague (read at
# old.vscht.cz/fch/prikladnik/prikladnik/tab/refr.html), cm³/mol; the two share neither numbers nor the way in which they are cut up
@pytest.mark.parametrize(
    ("increments", "group"),
    [
        ({"C": 1, "H": 2}, 4.647), ({"Cl": 1}, 5.844), ({"Br": 1}, 8.741), ({"I": 1}, 13.954), ({"O ether": 1}, 1.764),
        ({"O hydroxyl": 1, "H": 1}, 2.546), ({"C": 1, "O carbonyl": 1}, 4.601), ({"N primary amine": 1, "H": 2}, 4.438),
        ({"N secondary amine": 1, "H": 1}, 3.610), ({"N tertiary amine": 1}, 2.744), ({"C=C": 1}, 1.575), ({"C≡C": 1}, 1.977),
    ],
)  # fmt: skip
def test_another_system_of_increments_is_near(increments, group):
    assert molar_refraction_from_increments(increments) == pytest.approx(group, abs=0.45)


# n_D and density at 20 °C from memory, to be confirmed against a handbook: 1,1-dimethylcyclopropane and ethylcyclobutane
@pytest.mark.parametrize(
    ("carbons", "ring", "n", "density"), [(5, "ring of 3", 1.3668, 0.6604), (6, "ring of 4", 1.4020, 0.7284)]
)  # fmt: skip
def test_a_small_ring_adds_a_little(carbons, ring, n, density):
    measured = carbons * (12.011 + 2 * 1.008) / density * (n * n - 1.0) / (n * n + 2.0)
    found = molar_refraction_from_increments({"C": carbons, "H": 2 * carbons, ring: 1})
    assert found == pytest.approx(measured, abs=0.15)
