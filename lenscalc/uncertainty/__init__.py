"""Numbers with their uncertainty; knows nothing of optics."""

from lenscalc.uncertainty.budget import BudgetLine, budget
from lenscalc.uncertainty.budget_table import as_text, to_frame
from lenscalc.uncertainty.conformity import conformance_probability, coverage_factor
from lenscalc.uncertainty.estimate import Estimate, combine, estimate
from lenscalc.uncertainty.input import Input, InputDistribution
from lenscalc.uncertainty.line import Line, fit_line
from lenscalc.uncertainty.propagate import InputLine, Propagated, correlation_matrix, propagate
from lenscalc.uncertainty.random_trials import Trials, Validation, run_trials
from lenscalc.uncertainty.rounding import decimals_for, numerical_tolerance, probability_text, with_u
from lenscalc.uncertainty.sobol import SobolIndices, sobol_indices
from lenscalc.uncertainty.source import Distribution, Source, standard_u
from lenscalc.uncertainty.trials import TrialInterval, interval_by_trials

__all__ = [
    "BudgetLine", "Distribution", "Estimate", "Input", "InputDistribution", "InputLine", "Line", "Propagated", "SobolIndices", "Source",
    "TrialInterval", "Trials", "Validation", "as_text", "budget", "combine", "conformance_probability", "correlation_matrix", "coverage_factor",
    "decimals_for", "estimate", "fit_line", "interval_by_trials", "numerical_tolerance", "probability_text", "propagate", "run_trials",
    "sobol_indices", "standard_u", "to_frame", "with_u",
]  # fmt: skip
