"""A plain function compiled, with the package's own functions that it calls. Imports numba; only work that is large comes here.

No cache on disk: it does not see an edit in another file and would answer with the old formula. No parallel loops of the compiler's own: with its
fallback threading two sessions in one kernel abort the process; slices in threads are as fast, because a kernel lets go of the interpreter's lock.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from functools import cache
from types import FunctionType
from typing import Any

import numba


@cache
def compiled(function: Callable[..., Any]) -> Callable[..., Any]:
    """The function compiled; plano needs division by zero as arrays do it, hence the error model.

    >>> from lenscalc.light.vergence import vergence_downstream
    >>> round(compiled(vergence_downstream)(50.0, 10.0, 1.0), 6)
    100.0
    """
    assert isinstance(function, FunctionType)
    known = dict(function.__globals__)
    for name in function.__code__.co_names:
        called = known.get(name)
        if isinstance(called, FunctionType) and called.__module__.startswith("lenscalc."):
            known[name] = compiled(called)
    rebuilt = FunctionType(function.__code__, known, function.__name__, function.__defaults__, function.__closure__)
    result: Callable[..., Any] = numba.njit(error_model="numpy", nogil=True)(rebuilt)
    return result


def threads() -> int:
    """How many slices may run side by side: the cores that this process is allowed."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
