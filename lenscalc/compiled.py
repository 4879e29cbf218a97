"""A plain function compiled, with the package's own functions that it calls. Imports numba; only work that is large comes here.

No cache on disk: it does not see an edit in another file and would answer with the old formula. No parallel loops of the compiler's own: with its
fallback threading two sessions in one kernel abort the process; slices in threads are as fast, because a kernel lets go of the interpreter's lock.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from types import FunctionType
from typing import Any

import numba
from llvmlite import ir
from numba.core import cgutils, types
from numba.extending import intrinsic


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


def _fetching(to_write: int) -> Callable[..., Any]:
    if numba.config.DISABLE_JIT:  # type: ignore[attr-defined]
        return lambda column, row: None

    def fetch(typing: Any, column: Any, row: Any) -> Any:
        def code(context: Any, builder: Any, signature: Any, given: Any) -> Any:
            data = context.make_array(signature.args[0])(context, builder, given[0]).data
            byte, number = ir.IntType(8).as_pointer(), ir.IntType(32)
            kind = ir.FunctionType(ir.VoidType(), [byte, number, number, number])
            instruction = cgutils.get_or_insert_function(builder.module, kind, "llvm.prefetch.p0")  # type: ignore[no-untyped-call]
            address = builder.bitcast(builder.gep(data, [given[1]]), byte)
            builder.call(instruction, [address, number(to_write), number(3), number(1)])  # 3: keep near, 1: data
            return context.get_dummy_value()

        return types.void(column, types.int64), code

    result: Callable[..., Any] = intrinsic(fetch)
    return result


# Inside a kernel, (column, row): a hint to bring this row near, to read or to write it; a row beyond the end does no harm.
fetch_to_read, fetch_to_write = _fetching(0), _fetching(1)
