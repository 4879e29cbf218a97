"""In a notebook results show themselves: a sheet that was followed, an evaluation, an index, an estimate, the powers of a lens.

The hooks are IPython's own, set by the names of the types, so that nothing is imported before something is shown and the core knows nothing of it.
`import lenscalc` sets them where IPython is running; elsewhere `%load_ext lenscalc.notebook` does. Charts are altair's and show themselves anyway.
"""

from __future__ import annotations

import sys
from importlib import import_module
from typing import Any

SHOWN = {  # (module, type): the function of `shown` that makes its HTML
    ("lenscalc.chain.follow", "Followed"): "followed",
    ("lenscalc.chain.evaluate", "Evaluation"): "evaluation",
    ("lenscalc.refractometer.index_in_use", "IndexInUse"): "index_in_use",
    ("lenscalc.uncertainty.estimate", "Estimate"): "estimate",
    ("lenscalc.uncertainty.propagate", "Propagated"): "propagated",
    ("lenscalc.lens.thick_lens", "Powers"): "quantities",
    ("lenscalc.lens.sensitivity", "Sensitivities"): "quantities",
    ("lenscalc.decision.decide", "Decision"): "quantities",
}


def show_results() -> None:
    """Set the hooks of the notebook that is running; nothing happens where none is."""
    running = getattr(sys.modules.get("IPython"), "get_ipython", lambda: None)()
    if running is not None:
        load_ipython_extension(running)


def load_ipython_extension(shell: Any) -> None:
    """Set the hooks (`%load_ext lenscalc.notebook`)."""
    formatter = shell.display_formatter.formatters["text/html"]
    for (module, name), function in SHOWN.items():
        formatter.for_type_by_name(module, name, _shown_by(function))


def unload_ipython_extension(shell: Any) -> None:
    """Take the hooks away again (`%unload_ext lenscalc.notebook`)."""
    formatter = shell.display_formatter.formatters["text/html"]
    for module, name in SHOWN:
        formatter.deferred_printers.pop((module, name), None)
        formatter.type_printers.pop(getattr(sys.modules.get(module), name, None), None)


def html_of(result: Any) -> str:
    """What a notebook shows of a result, as HTML.

    Raises
    ------
    InputError
        for a result of a type that has no view.

    >>> from lenscalc.uncertainty import Estimate, Source
    >>> "1.4900, u 0.0030" in html_of(Estimate(1.49, {Source("calibration"): 0.003}))
    True
    """
    from lenscalc.errors import InputError

    kind = type(result)
    function = SHOWN.get((kind.__module__, kind.__name__))
    if function is None:
        known = ", ".join(sorted(name for _, name in SHOWN))
        raise InputError(f"a result of type {kind.__name__} has no view of its own; there is one for {known}")
    return str(_shown_by(function)(result))


def _shown_by(function: str) -> Any:
    def show(result: Any) -> str:
        return str(getattr(import_module("lenscalc.notebook.shown"), function)(result))

    return show
