"""The library of published polymers, and the lab's own beside them.

Files: `lenscalc/material/polymers/*.toml`, one a paper. The lab's own: every `.toml` of `~/.lenscalc/polymers` (read only if the folder is there),
or a file that is named. A published value is never the lot in hand: read the lot.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

from lenscalc.errors import FileError, InputError, UnknownNameError
from lenscalc.material.polymer_file import read_polymers
from lenscalc.material.polymer_record import Polymer
from lenscalc.own_file import path_of, refuse_device


def polymer(name: str, *, file: str | Path | None = None, folder: str | Path | None = None) -> Polymer:
    """The polymer of this key, such as `pmma_beadie_2015`: the paper belongs to the name, for no polymer has a book value.

    Parameters as in `polymers`.

    Raises
    ------
    UnknownNameError
        with the nearest key.

    >>> p = polymer("pmma_beadie_2015")
    >>> p.material, p.paper, p.range_nm, round(float(p.n(587.5618)), 6)
    ('poly(methyl methacrylate)', 'Beadie et al. 2015', (420.0, 1620.0), 1.492527)
    """
    known = {p.key: p for p in polymers(file=file, folder=folder)}
    if name not in known:
        like = [key for key, p in known.items() if str(name).lower() in f"{key} {p.material}".lower()]
        raise UnknownNameError(str(name), like or known, what="polymer")
    return known[name]


def polymers(*, file: str | Path | None = None, folder: str | Path | None = None) -> tuple[Polymer, ...]:
    """Every polymer that is known, sorted by its key.

    Parameters
    ----------
    file : path
        A TOML file of own materials, in the format of the shipped ones.
    folder : path
        A folder of such files instead of `~/.lenscalc/polymers`.

    Raises
    ------
    FileError, InputError
        naming file, table and key; an own entry may not bear the key of a shipped one.

    >>> len(polymers()) >= 15, len({p.source.title for p in polymers()}) >= 10
    (True, True)
    """
    paths = [*_own_files(folder), *([path_of(file)] if file is not None else [])]
    found = dict(shipped_polymers())
    for path in dict.fromkeys(p.resolve() for p in paths):
        refuse_device(path)
        for p in read_polymers(path, own=True):
            if p.key in found:
                there = f"that comes with lenscalc ({found[p.key].paper})" if not found[p.key].own else "of another own file"
                raise InputError(f"{path}: [polymer.{p.key}] bears the key of an entry {there}; choose another key", quantity="key", value=p.key)
            found[p.key] = p
    return tuple(found[key] for key in sorted(found))


def _own_files(folder: str | Path | None) -> list[Path]:
    if folder is not None:
        if not path_of(folder).is_dir():
            raise FileError(f"{folder}: no such folder")
        return sorted(Path(folder).glob("*.toml"))
    try:
        return sorted((Path.home() / ".lenscalc" / "polymers").glob("*.toml"))
    except RuntimeError:  # an account without a home
        return []


@cache
def shipped_polymers() -> Mapping[str, Polymer]:
    """Those that come with lenscalc, whatever a lab keeps beside them."""
    shelf: Traversable = files("lenscalc.material") / "polymers"
    papers = sorted((f for f in shelf.iterdir() if f.name.endswith(".toml")), key=lambda f: f.name)
    return {p.key: p for paper in papers for p in read_polymers(paper, own=False)}
