"""Numbers with their uncertainty; knows nothing of optics."""

from lenscalc.uncertainty.agreement import Agreement, agreement
from lenscalc.uncertainty.budget import BudgetLine, budget
from lenscalc.uncertainty.conformity import conformance_probability, coverage_factor
from lenscalc.uncertainty.estimate import Estimate, combine, estimate
from lenscalc.uncertainty.line import Line, fit_line
from lenscalc.uncertainty.propagate import Input, Propagated, correlation_matrix, propagate
from lenscalc.uncertainty.rounding import decimals_for, probability_text, with_u
from lenscalc.uncertainty.source import Distribution, Source, standard_u
from lenscalc.uncertainty.through import through
from lenscalc.uncertainty.trials import TrialInterval, interval_by_trials

__all__ = [
    "Agreement", "BudgetLine", "Distribution", "Estimate", "Input", "Line", "Propagated", "Source", "TrialInterval", "agreement", "budget", "combine",
    "conformance_probability", "correlation_matrix", "coverage_factor", "decimals_for", "estimate", "fit_line", "interval_by_trials",
    "probability_text", "propagate", "standard_u", "through", "with_u",
]  # fmt: skip
