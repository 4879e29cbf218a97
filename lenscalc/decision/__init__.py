"""The trade's judgement: tolerance, label, adequacy, lot, ranking."""

from lenscalc.decision.adequacy import largest_u, largest_u_n_lens
from lenscalc.decision.better import better_probability
from lenscalc.decision.criterion import Criterion, Direction, Limit, departure, keeps, read_criterion, read_limit
from lenscalc.decision.decide import REQUIRED_PROBABILITY, RULE, Decision, decide, proposed_label_D
from lenscalc.decision.instrument import REFERENCE_LINES, decimals_table, instrument_adequacy, work_on_first
from lenscalc.decision.lot import (
    LotForecast,
    all_off_probability,
    expected_yield,
    lot_forecast,
    none_off_probability,
    yield_below_probability,
    yield_quantile,
)
from lenscalc.decision.pareto import pareto_set
from lenscalc.decision.rank_trials import TRIALS, RankTrials, rank_trials
from lenscalc.decision.ranking import AMONG, ASSUMED, ASSUMED_SEPARATE, COMPARED, NORMALISED, Ranking, rank_candidates
from lenscalc.decision.remeasured import remeasured
from lenscalc.decision.replicates import more_mountings_text, mountings_worth, replicates_worth
from lenscalc.decision.rules import RuleOutcome, by_rules
from lenscalc.decision.slips import slips
from lenscalc.decision.tolerance import (
    TOLERANCE_EDITION,
    ToleranceTable,
    power_tolerance_D,
    read_tolerance_table,
    shipped_tolerance_table,
)
from lenscalc.decision.toric import ToricConformity, toric_conformity

__all__ = [
    "AMONG", "ASSUMED", "ASSUMED_SEPARATE", "COMPARED", "NORMALISED", "REFERENCE_LINES", "REQUIRED_PROBABILITY", "RULE", "TOLERANCE_EDITION",
    "TRIALS", "Criterion", "Decision", "Direction", "Limit", "LotForecast", "RankTrials", "Ranking", "RuleOutcome", "ToleranceTable",
    "ToricConformity", "all_off_probability", "better_probability", "by_rules", "decide", "decimals_table", "departure", "expected_yield",
    "instrument_adequacy", "keeps", "largest_u", "largest_u_n_lens", "lot_forecast", "more_mountings_text", "mountings_worth",
    "none_off_probability", "pareto_set", "power_tolerance_D", "proposed_label_D", "rank_candidates", "rank_trials", "read_criterion", "read_limit",
    "read_tolerance_table", "remeasured", "replicates_worth", "shipped_tolerance_table", "slips", "toric_conformity", "work_on_first",
    "yield_below_probability", "yield_quantile",
]  # fmt: skip
