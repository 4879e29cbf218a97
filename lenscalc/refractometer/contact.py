"""The contact liquid between a solid specimen and the prism."""

from __future__ import annotations

USUAL_MARGIN = 0.01  # from memory, common practice; the standards read say only "higher than the specimen's"


def contact_liquid_problem(n_specimen: float, n_contact_liquid: float, n_prism: float | None) -> str | None:
    """Why a reading through this liquid is not the specimen's; None if it is.

    The liquid must have a higher index than the specimen (JIS K 7142:2014, modified ISO 489; ASTM D542 alike) and a lower one than the prism. A
    lower liquid reflects totally before the specimen does, and the border then belongs to the liquid. Prism contact only; a V-block needs a
    matching liquid.

    >>> contact_liquid_problem(1.49, 1.47, 1.75)
    'n_contact_liquid = 1.47 is not above the reading 1.49: the border then belongs to the liquid, not to the specimen; use a liquid of higher index'
    >>> contact_liquid_problem(1.49, 1.65, 1.75) is None
    True
    """
    if n_contact_liquid <= n_specimen:
        return (
            f"n_contact_liquid = {n_contact_liquid:g} is not above the reading {n_specimen:g}: the border then belongs to the liquid, "
            "not to the specimen; use a liquid of higher index"
        )
    if n_prism is not None and n_contact_liquid >= n_prism:
        return f"n_contact_liquid = {n_contact_liquid:g} is not below n_prism = {n_prism:g}: no border can be read; use a liquid of lower index"
    return None


def contact_liquid_remark(n_specimen: float, n_contact_liquid: float) -> str | None:
    """A sentence where the liquid is above the specimen by less than is usual.

    >>> contact_liquid_remark(1.49, 1.495)
    'n_contact_liquid = 1.495 is only 0.0050 above the reading: at least 0.01 is usual'
    """
    margin = n_contact_liquid - n_specimen
    if 0 < margin < USUAL_MARGIN:
        return f"n_contact_liquid = {n_contact_liquid:g} is only {margin:.4f} above the reading: at least {USUAL_MARGIN:g} is usual"
    return None
