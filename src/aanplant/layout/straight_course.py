"""Fit straight rows: at the bearing asked for, or at the best of all that are compared."""

import numpy as np
from shapely.geometry.base import BaseGeometry

from aanplant.brief import CHOOSE, Brief
from aanplant.layout.direction import Sweep, sweep
from aanplant.layout.direction_choice import recommend
from aanplant.layout.direction_criteria import judged
from aanplant.layout.direction_limits import measured_at, steepest_of, with_limits
from aanplant.layout.lattice import Lattice
from aanplant.layout.numbering import numbered_from
from aanplant.layout.offsets import most_vines
from aanplant.layout.rows import OFFSET_STEPS, Rows
from aanplant.layout.steepness import Measure
from aanplant.layout.turns import Machine
from aanplant.site import Site
from aanplant.stock import Stock

NEAR_LIMITS = 1.1
"""Another offset of the same rows hardly makes a tenth of their steepest place (judgement)."""


def straight_rows(brief: Brief, site: Site, stock: Stock) -> tuple[Rows, Sweep | None]:
    """Fit rows at the bearing asked for or, of those compared, at the best one.

    The rows laid may stand at another offset than those compared, so their slopes are measured
    again: should they pass a limit after all, the next best bearing is tried, and where no
    bearing seemed to keep within the limits, all that came near to it are.
    """
    if brief.rows.bearing != CHOOSE:
        rows = _most_vines(brief, site.field, stock, float(brief.rows.bearing))
        return numbered(brief, rows), None
    compared = compare_bearings(brief, site, stock)
    laid: dict[int, Rows] = {}
    while (at := recommend(compared)) not in laid:
        is_near = compared.worst_share <= NEAR_LIMITS
        near = [] if compared.is_within.any() else np.flatnonzero(is_near).tolist()
        for each in {at, *near} - set(laid):
            bearing_deg = float(compared.bearing_deg[each])
            laid[each] = numbered(brief, _most_vines(brief, site.field, stock, bearing_deg))
            if site.terrain is not None:
                measured = steepest_of(laid[each], brief, site, stock, site.terrain)
                compared = measured_at(compared, each, measured)
    return laid[at], compared


def compare_bearings(brief: Brief, site: Site, stock: Stock) -> Sweep:
    """Compare all bearings by rows and vines, slope, sun and wind, within the limits on slope."""
    rules, terrain = brief.rows, site.terrain
    steepest: list[dict[Measure, float]] = []

    def measure(rows: Rows) -> None:
        if terrain is not None:
            steepest.append(steepest_of(numbered(brief, rows), brief, site, stock, terrain))

    counted = sweep(
        site.field,
        stock.row_width_m,
        stock.vine_spacing_m,
        headland_m=room_at_ends_m(brief),
        side_margin_m=rules.side_margin,
        headland_rule=rules.headland_rule,
        end_gap_m=rules.end_gap,
        pattern=brief.vines.pattern,
        shortest_m=rules.shortest,
        longest_m=rules.longest,
        cross_alley_m=alley_between_posts_m(brief),
        machine=machine_of(brief),
        look_at=measure,
    )
    swept = judged(counted, brief, site, stock)
    return swept if terrain is None else with_limits(swept, brief, steepest)


def numbered(brief: Brief, rows: Rows) -> Rows:
    """Count rows from the corner that the brief asks for."""
    return numbered_from(rows, brief.rows.first_row_corner)


def room_at_ends_m(brief: Brief) -> float:
    """Free room ahead of an end post: the headland and the anchor before it. [m]."""
    return brief.rows.headland + brief.rows.anchor_distance


def alley_between_posts_m(brief: Brief) -> float:
    """Cross alley from end post to end post: its clear width and the anchors on both sides. [m]."""
    outside = brief.rows.alley_anchors == "outside"
    return brief.rows.cross_alley + (2.0 * brief.rows.anchor_distance if outside else 0.0)


def machine_of(brief: Brief) -> Machine:
    """Return the brief's machine as the turns reckon with it."""
    asked = brief.machine
    return Machine(
        width_m=asked.width,
        turning_radius_m=asked.turning_radius,
        row_speed_m_s=asked.row_speed / 3.6,
        turn_speed_m_s=asked.turn_speed / 3.6,
    )


def _most_vines(brief: Brief, field: BaseGeometry, stock: Stock, bearing_deg: float) -> Rows:
    """Rows at the offset, of those tried, that holds most vines; the smallest when several do."""
    rules = brief.rows
    return most_vines(
        field,
        bearing_deg,
        stock.row_width_m,
        [step * stock.row_width_m / OFFSET_STEPS for step in range(OFFSET_STEPS)],
        Lattice(stock.vine_spacing_m, brief.vines.pattern, rules.end_gap, phase_m=0.0),
        headland_m=room_at_ends_m(brief),
        side_margin_m=rules.side_margin,
        headland_rule=rules.headland_rule,
        shortest_m=rules.shortest,
        longest_m=rules.longest,
        cross_alley_m=alley_between_posts_m(brief),
    )
