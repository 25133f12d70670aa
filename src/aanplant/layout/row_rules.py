"""All that the fitting of straight rows hangs on, and what was found by it, kept."""

from collections.abc import Callable
from dataclasses import dataclass, field

from shapely.geometry.base import BaseGeometry

from aanplant.brief import Brief
from aanplant.layout.direction import Sweep, sweep
from aanplant.layout.direction_limits import steepest_of
from aanplant.layout.lattice import Lattice
from aanplant.layout.numbering import Corner, numbered_from
from aanplant.layout.offsets import most_vines
from aanplant.layout.plantable import HeadlandRule
from aanplant.layout.rows import OFFSET_STEPS, Rows
from aanplant.layout.steepness import Measure
from aanplant.layout.turns import Machine
from aanplant.site import Site
from aanplant.site.terrain import Terrain
from aanplant.stock import Stock

BEARINGS = 180
KEPT = 4
"""Blocks, or rules for one block, whose bearings are not counted again."""
Steepest = dict[Measure, float]


@dataclass(frozen=True)
class RowRules:
    """Ground and rules by which straight rows are fitted; the same ones give the same rows.

    Parameters
    ----------
    ground : shapely Polygon or MultiPolygon
        The field. [m]
    skip : shapely geometry
        Where nothing stands. [m]
    terrain : Terrain or None
        Its heights.
    row_width_m, headland_m, side_margin_m, shortest_m, longest_m, cross_alley_m, headland_rule
        As for ``rows.fit``.
    lattice : Lattice
        How vines follow one another.
    anchor_distance_m : float
        How far anchors stand beyond end posts. [m]
    corner : str
        Where row 1 begins.
    machine : Machine
        Whose time is reckoned.
    """

    ground: BaseGeometry
    skip: BaseGeometry
    terrain: Terrain | None
    row_width_m: float
    lattice: Lattice
    headland_m: float
    side_margin_m: float
    headland_rule: HeadlandRule
    shortest_m: float
    longest_m: float | None
    cross_alley_m: float
    anchor_distance_m: float
    corner: Corner
    machine: Machine

    def most_vines(self, bearing_deg: float) -> Rows:
        """Numbered rows at the offset, of those tried, that holds most vines."""
        rows = most_vines(
            self.ground,
            bearing_deg,
            self.row_width_m,
            [step * self.row_width_m / OFFSET_STEPS for step in range(OFFSET_STEPS)],
            self.lattice,
            headland_m=self.headland_m,
            side_margin_m=self.side_margin_m,
            headland_rule=self.headland_rule,
            shortest_m=self.shortest_m,
            longest_m=self.longest_m,
            cross_alley_m=self.cross_alley_m,
        )
        return numbered_from(rows, self.corner)

    def steepest(self, rows: Rows, terrain: Terrain) -> Steepest:
        """Steepest place of numbered rows. [%]."""
        return steepest_of(rows, self.lattice, self.skip, self.anchor_distance_m, terrain)


@dataclass(frozen=True)
class Counted:
    """All bearings, counted by the same rules.

    Parameters
    ----------
    sweep : Sweep
        By rows and vines alone.
    steepest : tuple of dict
        Steepest place of the rows of each bearing; none without heights. [%]
    laid : dict of float to tuple
        Rows laid at a bearing and their steepest place, as far as anyone asked.
    """

    sweep: Sweep
    steepest: tuple[Steepest, ...]
    laid: dict[float, tuple[Rows, Steepest]] = field(default_factory=dict)

    def laid_at(self, rules: RowRules, bearing_deg: float) -> tuple[Rows, Steepest]:
        """Lay rows at a bearing and measure them, once."""
        if bearing_deg not in self.laid:
            rows = rules.most_vines(bearing_deg)
            measured = {} if rules.terrain is None else rules.steepest(rows, rules.terrain)
            self.laid[bearing_deg] = (rows, measured)
        return self.laid[bearing_deg]


_COUNTED: dict[RowRules, Counted] = {}


def counted(rules: RowRules, check: Callable[[float], None]) -> Counted:
    """Count all bearings, or take what was counted by the same rules a short while ago.

    A change of a weight, of the canopy or of what comes later asks for the same bearings again.

    Parameters
    ----------
    rules : RowRules
        Ground and rules.
    check : callable
        Called with the fraction done; may raise to stop.
    """
    if rules in _COUNTED:
        return _COUNTED[rules]
    steepest: list[Steepest] = []
    done = 0

    def look_at(rows: Rows) -> None:
        nonlocal done
        if rules.terrain is not None:
            steepest.append(rules.steepest(numbered_from(rows, rules.corner), rules.terrain))
        done += 1
        check(done / BEARINGS)

    found = sweep(
        rules.ground,
        rules.row_width_m,
        rules.lattice.spacing_m,
        bearings_deg=tuple(range(BEARINGS)),
        headland_m=rules.headland_m,
        side_margin_m=rules.side_margin_m,
        headland_rule=rules.headland_rule,
        end_gap_m=rules.lattice.end_gap_m,
        pattern=rules.lattice.pattern,
        shortest_m=rules.shortest_m,
        longest_m=rules.longest_m,
        cross_alley_m=rules.cross_alley_m,
        machine=rules.machine,
        look_at=look_at,
    )
    while len(_COUNTED) >= KEPT:
        _COUNTED.pop(next(iter(_COUNTED)), None)
    return _COUNTED.setdefault(rules, Counted(found, tuple(steepest)))


def rules_of(brief: Brief, site: Site, stock: Stock) -> RowRules:
    """Return the rules of a brief for straight rows on a site."""
    rules, asked = brief.rows, brief.machine
    return RowRules(
        ground=site.field,
        skip=site.skip,
        terrain=site.terrain,
        row_width_m=stock.row_width_m,
        lattice=Lattice(stock.vine_spacing_m, brief.vines.pattern, rules.end_gap, phase_m=0.0),
        headland_m=room_at_ends_m(brief),
        side_margin_m=rules.side_margin,
        headland_rule=rules.headland_rule,
        shortest_m=rules.shortest,
        longest_m=rules.longest,
        cross_alley_m=alley_between_posts_m(brief),
        anchor_distance_m=rules.anchor_distance,
        corner=rules.first_row_corner,
        machine=Machine(
            width_m=asked.width,
            turning_radius_m=asked.turning_radius,
            row_speed_m_s=asked.row_speed / 3.6,
            turn_speed_m_s=asked.turn_speed / 3.6,
        ),
    )


def room_at_ends_m(brief: Brief) -> float:
    """Free room ahead of an end post: the headland and the anchor before it. [m]."""
    return brief.rows.headland + brief.rows.anchor_distance


def alley_between_posts_m(brief: Brief) -> float:
    """Cross alley from end post to end post: its clear width and the anchors on both sides. [m]."""
    outside = brief.rows.alley_anchors == "outside"
    return brief.rows.cross_alley + (2.0 * brief.rows.anchor_distance if outside else 0.0)
