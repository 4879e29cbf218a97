"""The trade's judgement: tolerance, label, adequacy."""

from lenscalc.decision.adequacy import largest_u, largest_u_n_lens
from lenscalc.decision.decide import REQUIRED_PROBABILITY, RULE, Decision, decide, proposed_label_D
from lenscalc.decision.tolerance import TOLERANCE_EDITION, power_tolerance_D, tolerance_of

__all__ = [
    "REQUIRED_PROBABILITY", "RULE", "TOLERANCE_EDITION", "Decision", "decide", "largest_u", "largest_u_n_lens", "power_tolerance_D",
    "proposed_label_D", "tolerance_of",
]  # fmt: skip
