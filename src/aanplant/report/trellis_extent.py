"""How much of a row's end is drawn, and where its posts and vines stand in it."""

import math

from aanplant.report.trellis_view import PEG_IN_GROUND_M, TrellisView

PAST_M = 0.5
"""Drawn beyond the last thing that must be seen."""
ABOVE_M = 0.15
"""Left free above the highest thing."""
_UP_TO_LONGEST = 12.0
"""A first bay longer than this is broken off. [m]"""


def end_top(view: TrellisView) -> tuple[float, float]:
    """Top of the end post from its foot. [m]."""
    lean, above = math.radians(view.lean_deg), view.system.end_post_top_m
    return (-above * math.sin(lean), above * math.cos(lean))


def reach_m(view: TrellisView) -> float:
    """How far the drawing reaches back from the foot of the end post. [m]."""
    if not view.system.wires:
        return PAST_M + view.vine_m / 2.0
    back = [-end_top(view)[0] + 0.2]
    if view.has_anchors:
        back.append(view.anchor_m + rod_m(view)[0] + 0.3)
    return max(*back, PAST_M)


def held_m(view: TrellisView) -> float:
    """Where tie, rail or strut meets the end post, above the ground. [m]."""
    ends = view.ends
    at = {"tie-back": ends.tie_height, "h-brace": ends.rail_height, "strut": ends.strut_height}
    return at[ends.assembly]


def rod_m(view: TrellisView) -> tuple[float, float]:
    """How far the anchor lies beyond its rod's eye, and below it. [m]."""
    depth = view.ends.anchor_depth
    run_m = view.anchor_m - view.ends.tie_height * math.tan(math.radians(view.lean_deg))
    return (depth * run_m / view.ends.tie_height, depth)


def must_show_m(view: TrellisView) -> float:
    """How far into the row the drawing must reach. [m]."""
    if not view.system.wires or not view.first_bay_m:
        return view.end_gap_m + 2.5 * view.vine_m + PAST_M
    return max(min(view.first_bay_m[1], _UP_TO_LONGEST), view.end_gap_m) + PAST_M


def top_m(view: TrellisView) -> float:
    """How high the drawing reaches above the ground. [m]."""
    stake = view.system.stake_length_m - view.stake_in_ground_m
    tips = [arm.height_m + arm.rise_m for arm in view.system.arms]
    wires = [mark.wire.height_m for mark in view.marks]
    top = max(
        view.system.post_top_m, end_top(view)[1], stake, *tips, *wires, view.peg_m,
        *([held_m(view)] if wires else []),
    )  # fmt: skip
    return top + ABOVE_M


def depth_m(view: TrellisView) -> float:
    """How deep the drawing reaches below the ground. [m]."""
    depths = [view.stake_in_ground_m, PEG_IN_GROUND_M]
    if view.system.wires:
        depths += [view.system.end_post_embedment_m, view.system.post_embedment_m]
        depths += [view.ends.anchor_depth + 0.1] if view.has_anchors else []
        depths += [view.ends.block_depth] if view.ends.assembly == "strut" else []
    return max(depths)


def braced_m(view: TrellisView) -> tuple[float, ...]:
    """Where a brace or strut stands in the row. [m]."""
    if view.ends.assembly == "h-brace":
        return (view.ends.post_distance,)
    return (view.ends.strut_distance,) if view.ends.assembly == "strut" else ()


def line_posts_m(view: TrellisView, last_m: float) -> list[float]:
    """Where line posts stand, from the end post, up to where the drawing ends. [m]."""
    if not view.first_bay_m or not view.system.wires:
        return []
    first = view.first_bay_m[1]
    count = max(int((last_m - view.post_m - first) / view.bay_m) + 1, 0) if first < last_m else 0
    return [first + index * view.bay_m for index in range(count)]


def vines_m(view: TrellisView, last_m: float) -> list[float]:
    """Where vines stand, from the end post, up to where the drawing ends. [m]."""
    start = view.end_gap_m if view.system.wires else 0.0
    count = int((last_m - 0.15 - start) / view.vine_m) + 1
    return [start + index * view.vine_m for index in range(max(count, 1))]
