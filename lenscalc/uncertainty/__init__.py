"""Numbers with their uncertainty; knows nothing of optics."""

from lenscalc.uncertainty.acceptance import GUARD_BAND_RULES, AcceptanceLimits, GuardBandRule, acceptance_limits, acceptance_limits_at
from lenscalc.uncertainty.agreement import Agreement, agreement
from lenscalc.uncertainty.budget import BudgetLine, budget
from lenscalc.uncertainty.budget_table import as_text, to_frame
from lenscalc.uncertainty.capability import ProcessCapability, measurement_capability, process_capability, uncertainty_ratio
from lenscalc.uncertainty.conformity import conformance_probability, coverage_factor, nonconformance_probability
from lenscalc.uncertainty.estimate import Estimate, combine, errors_only, estimate
from lenscalc.uncertainty.input import Input, InputDistribution
from lenscalc.uncertainty.kept_trials import Trials, Validation
from lenscalc.uncertainty.line import Line, fit_line
from lenscalc.uncertainty.propagate import InputLine, Propagated, correlation_matrix, propagate
from lenscalc.uncertainty.random_trials import run_trials
from lenscalc.uncertainty.risk import GlobalRisks, SpecificRisk, global_risks, guard_band_at_global_risk, specific_risk
from lenscalc.uncertainty.rounding import decimals_for, numerical_tolerance, probability_text, with_u
from lenscalc.uncertainty.sobol import SobolIndices, sobol_indices
from lenscalc.uncertainty.source import Distribution, Source, standard_u
from lenscalc.uncertainty.through import through
from lenscalc.uncertainty.trials import TrialInterval, interval_by_trials

__all__ = [
    "GUARD_BAND_RULES", "AcceptanceLimits", "Agreement", "BudgetLine", "Distribution", "Estimate", "GlobalRisks", "GuardBandRule", "Input",
    "InputDistribution", "InputLine", "Line", "ProcessCapability", "Propagated", "SobolIndices", "Source", "SpecificRisk", "TrialInterval",
    "Trials", "Validation", "acceptance_limits", "acceptance_limits_at", "agreement", "as_text", "budget", "combine", "conformance_probability",
    "correlation_matrix", "coverage_factor", "decimals_for", "errors_only", "estimate", "fit_line", "global_risks", "guard_band_at_global_risk",
    "interval_by_trials", "measurement_capability", "nonconformance_probability", "numerical_tolerance", "probability_text", "process_capability",
    "propagate", "run_trials", "sobol_indices", "specific_risk", "standard_u", "through", "to_frame", "uncertainty_ratio", "with_u",
]  # fmt: skip
