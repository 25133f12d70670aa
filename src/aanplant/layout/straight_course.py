"""Fit straight rows: at the bearing asked for, or at the best of all that are compared."""

from collections.abc import Callable

import numpy as np

from aanplant.brief import CHOOSE, Brief
from aanplant.layout.direction import Sweep
from aanplant.layout.direction_choice import recommend
from aanplant.layout.direction_criteria import judged
from aanplant.layout.direction_limits import measured_at, with_limits
from aanplant.layout.row_rules import counted, rules_of
from aanplant.layout.rows import Rows
from aanplant.site import Site
from aanplant.stock import Stock

NEAR_LIMITS = 1.1
"""Another offset of the same rows hardly makes a tenth of their steepest place (judgement)."""


def straight_rows(
    brief: Brief, site: Site, stock: Stock, *, check: Callable[[float], None] = lambda _: None
) -> tuple[Rows, Sweep | None]:
    """Fit rows at the bearing asked for or, of those compared, at the best one.

    Bearings are compared by rows and vines, slope, sun and wind, within the limits on slope.
    The rows laid may stand at another offset than those compared, so their slopes are measured
    again: should they pass a limit after all, the next best bearing is tried, and where no
    bearing seemed to keep within the limits, all that came near to it are.

    Parameters
    ----------
    brief, site, stock
        What is asked, the ground and the spacing.
    check : callable
        Called with the fraction done; may raise to stop.
    """
    rules = rules_of(brief, site, stock)
    if brief.rows.bearing != CHOOSE:
        return rules.most_vines(float(brief.rows.bearing)), None
    found = counted(rules, check)
    compared = judged(found.sweep, brief, site, stock)
    if site.terrain is not None:
        compared = with_limits(compared, brief, found.steepest)
    laid: dict[int, Rows] = {}
    while (at := recommend(compared)) not in laid:
        is_near = compared.worst_share <= NEAR_LIMITS
        near = [] if compared.is_within.any() else np.flatnonzero(is_near).tolist()
        for each in {at, *near} - set(laid):
            laid[each], measured = found.laid_at(rules, float(compared.bearing_deg[each]))
            if site.terrain is not None:
                compared = measured_at(compared, each, measured)
    return laid[at], compared
