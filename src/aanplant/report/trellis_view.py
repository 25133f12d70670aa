"""What a drawing of the trellis shows: its wires by letter, its parts, and the end of a row."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from aanplant import tables
from aanplant.brief.ends import EndRules
from aanplant.messages import term
from aanplant.plan import Plan
from aanplant.trellis import Trellis
from aanplant.trellis.end_fit import ends_as_built
from aanplant.trellis.posts import Post, post_of
from aanplant.trellis.systems import STAKE, System, system_of
from aanplant.trellis.wires import WireLine
from aanplant.units import UnitSystem, show_number, shown_in

PAIR_APART_M = 0.06
"""Drawn between the wires of a movable pair that hangs on an arm."""
PEG_IN_GROUND_M = 0.3
"""Drawn of a peg; common practice, no source."""
VINE_TO_WIRE_M = 0.1
"""A vine is headed about this far below the wire it is trained to; practice."""
_SAME_M = 1e-3
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@dataclass(frozen=True, slots=True)
class Mark:
    """A wire line as it is drawn.

    Parameters
    ----------
    letter : str
        Stands on the drawing and in the list of wires.
    wire : WireLine
        What it is.
    across_m : tuple of float
        Where each strand lies from the middle of the row. [m]
    """

    letter: str
    wire: WireLine
    across_m: tuple[float, ...]


@dataclass(frozen=True)
class TrellisView:
    """All that the drawings of a trellis tell of.

    Parameters
    ----------
    system : System
        Wires, arms and posts.
    ends : EndRules
        What holds the ends of rows.
    marks : tuple of Mark
        Wires from the ground up, lettered.
    post_m, end_post_m : float
        Thickness of a line post and of an end post, as drawn. [m]
    post_name, exposed_post_name : str
        Timber and size of a line post, and of one in the rows that meet the full wind; ""
        where those are alike or not known yet.
    anchor_m : float
        From the foot of the end post to the anchor. [m]
    has_anchors : bool
        Whether any end of a row is tied to an anchor.
    end_gap_m, vine_m : float
        End post to first vine, and vine to vine. [m]
    first_bay_m : tuple of float
        Least, usual and greatest distance from an end post to the first line post; empty
        where a block has no line posts. [m]
    bay_m : float
        Line post to line post. [m]
    stake_in_ground_m : float
        Of the stake at a vine. [m]
    peg_m, peg_mm : float
        Length of the peg at a vine [m], and its diameter [mm].
    counts : mapping of str to int
        How many of each part stand in the block, by the part's name; empty while not known.
    """

    system: System
    ends: EndRules
    marks: tuple[Mark, ...]
    post_m: float
    end_post_m: float
    post_name: str
    exposed_post_name: str
    anchor_m: float
    has_anchors: bool
    end_gap_m: float
    vine_m: float
    first_bay_m: tuple[float, ...]
    bay_m: float
    stake_in_ground_m: float
    peg_m: float
    peg_mm: float
    counts: Mapping[str, int]

    @property
    def lean_deg(self) -> float:
        """Of the end post away from the row. [deg]."""
        return self.ends.lean if self.ends.assembly == "tie-back" else 0.0

    @property
    def crop_height_m(self) -> float:
        """Where vines are headed: at the lowest wire that carries the crop. [m]."""
        return min(
            (mark.wire.height_m for mark in self.marks if mark.wire.carries_crop),
            default=max(self.system.stake_length_m - self.stake_in_ground_m, 0.3),
        )


def view_of(plan: Plan) -> TrellisView:
    """Gather what is drawn of a plan's trellis.

    Parameters
    ----------
    plan : Plan
        At least up to its layout.
    """
    brief, system = plan.brief, system_of(plan.brief)
    post = post_of(brief)
    bay_m = plan.stock.vine_spacing_m * brief.trellis.post_every
    return TrellisView(
        system=system,
        ends=ends_as_built(brief, system),
        marks=_marks(system, post.width_m),
        post_m=post.width_m,
        end_post_m=brief.ends.post_diameter / 1000.0,
        post_name=_post_name(post),
        exposed_post_name=_exposed_post_name(plan),
        anchor_m=brief.rows.anchor_distance,
        has_anchors=brief.ends.assembly == "tie-back" and len(plan.layout.anchors_xy) > 0,
        end_gap_m=brief.rows.end_gap,
        vine_m=plan.stock.vine_spacing_m,
        first_bay_m=_first_bays(plan, bay_m),
        bay_m=bay_m,
        stake_in_ground_m=next(
            (
                float(row["embedment_m"])
                for row in tables.rows("trellis_posts.csv")
                if row["part"] == STAKE and row["system"] == system.name
            ),
            0.0,
        ),
        peg_m=brief.materials.peg_length,
        peg_mm=brief.materials.peg_diameter,
        counts=_counts(plan),
    )


def measure(length_m: float, system: UnitSystem = "metric") -> str:
    """Write a length as drawings do: in whole millimetres, or in inches to a tenth."""
    value = shown_in(1000.0 * length_m, "mm", system)[0]
    shown = show_number(round(value, 1) if system == "imperial" else round(value))
    return shown.replace("-", "−")


def _marks(system: System, post_m: float) -> tuple[Mark, ...]:
    upward = sorted(system.wires, key=lambda wire: (wire.height_m, wire.offset_m))
    return tuple(
        Mark(_letter(index), wire, _across(wire, post_m)) for index, wire in enumerate(upward)
    )


def _letter(index: int) -> str:
    turn, place = divmod(index, len(_LETTERS))
    return _LETTERS[place] + (str(turn) if turn else "")


def _across(wire: WireLine, post_m: float) -> tuple[float, ...]:
    """Where the strands lie: on the faces of the post, or at their offset on either side."""
    face = post_m / 2.0
    if not wire.offset_m:
        return tuple(face if at % 2 == 0 else -face for at in range(wire.strands))
    sides = []
    for side, count in ((1.0, (wire.strands + 1) // 2), (-1.0, wire.strands // 2)):
        first = -(count - 1) / 2.0 * PAIR_APART_M
        sides += [side * (wire.offset_m + first + at * PAIR_APART_M) for at in range(count)]
    return tuple(sides)


def _post_name(post: Post) -> str:
    return f"{term(post.name)} mm" if post.kind == "round" else term(post.name)


def _exposed_post_name(plan: Plan) -> str:
    made = plan.results.get("trellis")
    holding = made.holding if isinstance(made, Trellis) else None
    if holding is None or not holding.is_exposed.any() or holding.is_exposed.all():
        return ""
    name = _post_name(holding.exposed_post)
    return "" if name == _post_name(holding.post) else name


def _counts(plan: Plan) -> dict[str, int]:
    made = plan.results.get("trellis")
    if not isinstance(made, Trellis):
        return {}
    counts = made.counts
    return {
        "end_post": counts.end_posts,
        "tie": counts.anchors,
        plan.brief.ends.anchor: counts.anchors,
        "brace_post": counts.brace_posts,
        "rail": counts.rails,
        "brace_wire": counts.rails,
        "strut": counts.struts,
        "block": counts.struts,
        "line_post": counts.line_posts,
        "arm": counts.arms,
        "stake": counts.stakes,
        "peg": len(plan.layout.positions),
    }


def _first_bays(plan: Plan, bay_m: float) -> tuple[float, ...]:
    """Least, usual and greatest distance from end post to first line post.

    Rows that begin over a place where nothing may stand are left out.
    """
    positions = plan.layout.positions
    nearest = np.full(len(positions.end_posts_xy), np.inf)
    by_piece = np.argsort(positions.line_posts_piece, kind="stable")
    pieces = positions.line_posts_piece[by_piece]
    for at, piece in enumerate(positions.end_posts_piece.tolist()):
        low, high = np.searchsorted(pieces, [piece, piece + 1])
        away = positions.line_posts_xy[by_piece[low:high]] - positions.end_posts_xy[at]
        nearest[at] = np.hypot(away[:, 0], away[:, 1]).min(initial=np.inf)
    usual = nearest < bay_m + plan.brief.rows.end_gap + plan.stock.vine_spacing_m
    found = np.sort(nearest[usual])
    if not len(found):
        return ()
    return (float(found[0]), float(found[len(found) // 2]), float(found[-1]))
