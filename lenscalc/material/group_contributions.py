"""The molar refraction of a repeat unit as a sum over its atoms and multiple bonds.

Sodium D line, cm³/mol, after Eisenlohr 1910. Fitted to open-chain liquids: rings, conjugation and the packing of a polymer are not in it.
"""

from __future__ import annotations

from collections.abc import Mapping
from importlib import import_module
from typing import Any, NamedTuple

from lenscalc.errors import InputError, UnknownNameError
from lenscalc.quantities import whole_number

# Read in a Polish chemistry textbook (issuu.com/kwspz, chemia 12, p. 160): C, H, O in carbonyl and ether, C=C, C≡C, the small rings. O in hydroxyl,
# the halogens and the amines: from memory, to be confirmed against the text.
INCREMENTS_CM3_PER_MOL: dict[str, float] = {
    "C": 2.418,
    "H": 1.100,
    "O carbonyl": 2.211,
    "O ether": 1.643,
    "O hydroxyl": 1.525,
    "C=C": 1.733,
    "C≡C": 2.398,
    "ring of 3": 0.71,
    "ring of 4": 0.48,
    "Cl": 5.967,
    "Br": 8.865,
    "I": 13.900,
    "N primary amine": 2.322,
    "N secondary amine": 2.502,
    "N tertiary amine": 2.840,
}  # fmt: skip
_MULTIPLE = {"DOUBLE": "C=C", "TRIPLE": "C≡C"}


class MolarRefraction(NamedTuple):
    """Molar refraction and molar mass of a repeat unit, and the increments that were counted. For `molar_refraction_index`; never sets a power."""

    molar_refraction_cm3_per_mol: float
    molar_mass_g_per_mol: float
    increments: dict[str, int]


def molar_refraction_from_increments(increments: Mapping[str, int]) -> float:
    """Molar refraction from counts of increments, cm³/mol; the names are those of `INCREMENTS_CM3_PER_MOL`. Ester O: one carbonyl, one ether.

    Do not use it to set a power: an index from it misses by up to 0.02.

    Raises
    ------
    InputError
        for an increment that is not known, or a count that is no whole number.

    >>> round(molar_refraction_from_increments({"C": 5, "H": 8, "O carbonyl": 1, "O ether": 1}), 3)        # methyl methacrylate, polymerised
    24.744
    """
    for name, count in increments.items():
        if name not in INCREMENTS_CM3_PER_MOL:
            raise UnknownNameError(name, INCREMENTS_CM3_PER_MOL, what="increment")
        whole_number(name, count, 0)
    return float(sum(count * INCREMENTS_CM3_PER_MOL[name] for name, count in increments.items()))


def molar_refraction(smiles_of_repeat_unit: str) -> MolarRefraction:
    """Molar refraction of a repeat unit by group contributions, from its SMILES with [*] where the chain goes on.

    Needs the optional library: `pip install 'lenscalc[chem]'`. Do not use it to set a power: an index from it misses by up to 0.02. A SMILES
    without [*] is a whole molecule (a monomer, a liquid to compare with). The benzene ring counts as three C=C, as the method does.

    Raises
    ------
    InputError
        for a SMILES that cannot be read, has one end only, or holds an atom for which there is no increment (silicon, fluorine, amide nitrogen).
    ImportError
        without the optional library.

    >>> unit = molar_refraction("[*]CC([*])(C)C(=O)OC")                                                  # methyl methacrylate, polymerised
    >>> round(unit.molar_refraction_cm3_per_mol, 3), round(unit.molar_mass_g_per_mol, 2)
    (24.744, 100.12)
    """
    counts, mass = _counted(smiles_of_repeat_unit)
    return MolarRefraction(molar_refraction_from_increments(counts), mass, counts)


def _counted(smiles: str) -> tuple[dict[str, int], float]:
    try:
        chem = import_module("rdkit.Chem")
        rd_logger = import_module("rdkit.rdBase")
    except ImportError:
        raise ImportError("molar_refraction reads SMILES with the optional library rdkit: pip install 'lenscalc[chem]'") from None
    with rd_logger.BlockLogs():  # what is wrong is said below, once
        molecule = chem.MolFromSmiles(smiles) if isinstance(smiles, str) and smiles.strip() else None
    if molecule is None:
        raise InputError(f"smiles_of_repeat_unit = {smiles!r} cannot be read as SMILES; methyl methacrylate is [*]CC([*])(C)C(=O)OC",
                         quantity="smiles_of_repeat_unit", value=smiles)  # fmt: skip
    chem.Kekulize(molecule)
    atoms = [a for a in molecule.GetAtoms() if a.GetSymbol() != "*"]
    ends = molecule.GetNumAtoms() - len(atoms)
    if not atoms or ends == 1:
        raise InputError(
            f"smiles_of_repeat_unit = {smiles!r} has {ends} [*]: mark both ends where the chain goes on, or none for a whole molecule",
            quantity="smiles_of_repeat_unit", value=smiles,
        )  # fmt: skip
    weight = chem.GetPeriodicTable().GetAtomicWeight
    mass, found = 0.0, []
    for atom in atoms:
        hydrogens = atom.GetTotalNumHs()
        mass += weight(atom.GetSymbol()) + hydrogens * weight("H")
        found += ["H"] * hydrogens + [_increment_of(atom, smiles)]
    found += [name for bond in molecule.GetBonds() if (name := _bond_increment(bond, smiles))]
    found += [f"ring of {len(ring)}" for ring in molecule.GetRingInfo().AtomRings() if len(ring) in (3, 4)]
    return {name: found.count(name) for name in INCREMENTS_CM3_PER_MOL if name in found}, float(mass)


def _increment_of(atom: Any, smiles: str) -> str:
    """The increment of one heavy atom."""
    symbol = atom.GetSymbol()
    near = [(b.GetOtherAtom(atom), b.GetBondTypeAsDouble()) for b in atom.GetBonds()]
    neutral = not atom.GetFormalCharge() and not atom.GetNumRadicalElectrons()
    if neutral and symbol in ("C", "Cl", "Br", "I"):
        return str(symbol)
    to_carbon = all(other.GetSymbol() in ("C", "*") for other, _ in near)
    if neutral and symbol == "O" and to_carbon:
        if [order for _, order in near] == [2.0]:
            return "O carbonyl"
        return "O hydroxyl" if atom.GetTotalNumHs() else "O ether"
    single = all(b.GetBondTypeAsDouble() == 1.0 for other, _ in near for b in other.GetBonds())  # all bonds of its neighbours, its own among them
    if neutral and symbol == "N" and to_carbon and single and 1 <= len(near) <= 3:
        return f"N {('primary', 'secondary', 'tertiary')[len(near) - 1]} amine"
    kind = "this nitrogen (amide, nitrile, on a double bond)" if symbol == "N" else f"{symbol} as it is bound here"
    raise InputError(
        f"smiles_of_repeat_unit = {smiles!r}: there is no increment for {kind}; known are {', '.join(INCREMENTS_CM3_PER_MOL)}",
        quantity="smiles_of_repeat_unit", value=smiles,
    )  # fmt: skip


def _bond_increment(bond: Any, smiles: str) -> str | None:
    kind = str(bond.GetBondType())
    pair = {bond.GetBeginAtom().GetSymbol(), bond.GetEndAtom().GetSymbol()}
    if kind == "SINGLE" or (kind, pair) == ("DOUBLE", {"C", "O"}):
        return None
    if pair == {"C"} and kind in _MULTIPLE:
        return _MULTIPLE[kind]
    raise InputError(
        f"smiles_of_repeat_unit = {smiles!r}: there is no increment for one of its bonds; known are single ones, C=O, C=C and C≡C",
        quantity="smiles_of_repeat_unit", value=smiles,
    )  # fmt: skip
