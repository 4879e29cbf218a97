"""The command and the Python lines that give what a page has computed of a table."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from json import dumps
from shlex import quote


def command_of(source: str, target: str, compute: Sequence[str], constants: Mapping[str, str], signs: str = "") -> str:
    """What to type.

    >>> command_of("my table.csv", "results.csv", ("*", "mtf"), {"beam": "model-eye"})
    "lenscalc batch 'my table.csv' results.csv --set beam=model-eye --compute '*' --compute mtf"
    """
    told = [f"--set {quote(f'{n}={v}')}" for n, v in constants.items()] + [f"--compute {quote(n)}" for n in compute]
    return " ".join(["lenscalc batch", quote(source), quote(target), *told]) + signs


def python_of(source: str, target: str, compute: Sequence[str], constants: Mapping[str, str], **signs: str | None) -> str:
    """The same in Python.

    >>> print(python_of("a.csv", "results.csv", (), {}, decimal=","))
    from lenscalc.batch import run_batch
    <BLANKLINE>
    run_batch("a.csv", "results.csv", decimal=",")
    """
    told = [dumps(source), dumps(target)]
    told += [f"compute={dumps(list(compute))}"] if compute else []
    told += [f"constants={dumps(dict(constants))}"] if constants else []
    told += [f"{n}={dumps(v)}" for n, v in signs.items() if v]
    return f"from lenscalc.batch import run_batch\n\nrun_batch({', '.join(told)})"
