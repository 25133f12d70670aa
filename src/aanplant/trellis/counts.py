"""How many of each part stand along the rows, down to the staple."""

from dataclasses import dataclass

import numpy as np

from aanplant.brief import Brief
from aanplant.brief.ends import EndRules
from aanplant.layout import Layout
from aanplant.trellis.end_fit import ends_as_built
from aanplant.trellis.row_geometry import TrellisRows
from aanplant.trellis.systems import System

STAPLED_AT_END = 2
"""Staples that fix a wire on an end post; common practice, no source."""
WRAP_M = 1.0
"""Wire wrapped and knotted on a tie or a brace; common practice, no source."""


@dataclass(frozen=True, slots=True)
class TrellisCounts:
    """Parts of all rows together.

    Parameters
    ----------
    line_posts, exposed_posts, end_posts : int
        Posts in the rows, those of them in full wind, and posts at the ends.
    anchors : int
        Of ends that are tied back.
    brace_posts, rails : int
        Second posts and rails of H-braces.
    struts : int
        Struts, and as many blocks under them; also at ends that are braced inside.
    inside_ends : int
        Ends of a tied-back trellis that have no anchor outside, and get a strut.
    brace_wire_m : float
        Wire of ties and braces. [m]
    strainers : int
        One for each strand of each row.
    fixed_places, hooks : int
        Places where a fixed strand meets a post; hooks of movable strands on line posts.
    pair_clips : int
        Clips that hold movable strands together between posts.
    arms : int
        Cross arms, on line and end posts.
    stakes : int
        One a vine in a bush vineyard, else 0.
    """

    line_posts: int
    exposed_posts: int
    end_posts: int
    anchors: int
    brace_posts: int
    rails: int
    struts: int
    inside_ends: int
    brace_wire_m: float
    strainers: int
    fixed_places: int
    hooks: int
    pair_clips: int
    arms: int
    stakes: int


def count_parts(brief: Brief, system: System, layout: Layout, rows: TrellisRows) -> TrellisCounts:
    """Count the parts of a trellis.

    Parameters
    ----------
    brief : Brief
        Its ends and materials.
    system : System
        Wires, arms and stakes.
    layout : Layout
        Anchors and vines.
    rows : TrellisRows
        Rows with their line posts.
    """
    stakes = len(layout.positions) if system.stake_length_m > 0.0 else 0
    if not system.wires:
        return TrellisCounts(0, 0, 0, 0, 0, 0, 0, 0, 0.0, 0, 0, 0, 0, 0, stakes)
    ends, pieces = ends_as_built(brief, system), len(rows)
    line_posts, end_posts = int(rows.line_posts.sum()), 2 * pieces
    anchors = len(layout.anchors_xy) if ends.assembly == "tie-back" else 0
    inside = end_posts - anchors if ends.assembly == "tie-back" else 0
    braced = end_posts if ends.assembly == "h-brace" else 0
    struts = end_posts if ends.assembly == "strut" else inside
    fixed = sum(wire.strands for wire in system.wires if not wire.movable)
    movable = sum(wire.strands for wire in system.wires if wire.movable)
    pairs = sum(-(-wire.strands // 2) for wire in system.wires if wire.movable)
    spans = line_posts + pieces
    wire_m = anchors * tie_wire_m(ends, brief.rows.anchor_distance) + braced * brace_wire_m(ends)
    return TrellisCounts(
        line_posts=line_posts,
        exposed_posts=int(rows.line_posts[rows.rows_deep <= brief.posts.exposed_rows].sum()),
        end_posts=end_posts,
        anchors=anchors,
        brace_posts=braced,
        rails=braced,
        struts=struts,
        inside_ends=inside,
        brace_wire_m=wire_m,
        strainers=system.strands * pieces,
        fixed_places=fixed * (line_posts + STAPLED_AT_END * end_posts),
        hooks=movable * line_posts,
        pair_clips=pairs * spans * brief.materials.pair_clips,
        arms=len(system.arms) * (line_posts + end_posts),
        stakes=stakes,
    )


def tie_wire_m(rules: EndRules, anchor_distance_m: float) -> float:
    """Wire of one tie from post to anchor, all its strands. [m]."""
    lean_m = rules.tie_height * np.tan(np.radians(rules.lean))
    across = np.hypot(rules.tie_height, anchor_distance_m - lean_m)
    return float(rules.brace_wire_strands * across + WRAP_M)


def brace_wire_m(rules: EndRules) -> float:
    """Wire across one H-brace, all its strands. [m]."""
    across = np.hypot(rules.rail_height, rules.post_distance)
    return float(rules.brace_wire_strands * across + WRAP_M)
