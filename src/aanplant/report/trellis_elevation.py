"""The end of a row from the side: end post and what holds it, first line posts, wires, vines."""

import math

from aanplant.report.paper import Box
from aanplant.report.style import INK, PEN, SOFT
from aanplant.report.svg import Drawing
from aanplant.report.trellis_draft import TIMBER, Draft, break_mark, scale_that_fits
from aanplant.report.trellis_extent import (
    ABOVE_M,
    PAST_M,
    depth_m,
    end_top,
    line_posts_m,
    must_show_m,
    reach_m,
    rod_m,
    top_m,
    vines_m,
)
from aanplant.report.trellis_measures import (
    LEFT_MM,
    RIGHT_MM,
    measure_heights,
    measure_lengths,
    number_parts,
)
from aanplant.report.trellis_parts import parts_of
from aanplant.report.trellis_view import PEG_IN_GROUND_M, VINE_TO_WIRE_M, TrellisView
from aanplant.units import UnitSystem

_BELOW = 15.0
"""Room for figures below the drawing. [mm]"""
_ARM_M = 0.05
"""Drawn of an arm's thickness."""
_BELOW_TOP_M = 0.05
"""The highest place on a post where a wire holds; practice."""


def elevation_scale(view: TrellisView, area: Box) -> int:
    """Denominator at which the end of a row fits an area."""
    width_m = reach_m(view) + must_show_m(view)
    height_m = top_m(view) + depth_m(view)
    return scale_that_fits(
        width_m, height_m, area.width - LEFT_MM - RIGHT_MM, area.height - _BELOW
    )  # fmt: skip


def elevation_height_mm(view: TrellisView, denominator: int) -> float:
    """Room an elevation takes at a scale. [mm]."""
    return (top_m(view) + depth_m(view)) * 1000.0 / denominator + _BELOW


def draw_elevation(
    drawing: Drawing, view: TrellisView, area: Box, denominator: int,
    system: UnitSystem = "metric",
) -> None:  # fmt: skip
    """Draw the end of a row, the row running to the right until the area ends."""
    per_m = 1000.0 / denominator
    draft = Draft(
        drawing,
        area.x + LEFT_MM + reach_m(view) * per_m,
        area.y + top_m(view) * per_m,
        denominator,
    )
    last_m = (area.right - RIGHT_MM - draft.x_mm) / per_m
    numbers = {part.name: part.number for part in parts_of(view, system)}
    draft.ground(-reach_m(view), last_m)
    posts = line_posts_m(view, last_m)
    if view.system.wires:
        _draw_held(draft, view)
        _draw_wires(draft, view, posts, last_m)
        _draw_end_post(draft, view)
        for at in posts:
            _draw_line_post(draft, view, at)
    vines = vines_m(view, last_m)
    _draw_vines(draft, view, vines)
    break_mark(drawing, draft.x(last_m), draft.y(-0.1), draft.y(top_m(view) - ABOVE_M))
    measure_heights(draft, view, area, last_m, system)
    measure_lengths(draft, view, posts, vines, system)
    number_parts(draft, view, numbers, posts, vines)


def _draw_end_post(draft: Draft, view: TrellisView) -> None:
    lean, deep = math.radians(view.lean_deg), view.system.end_post_embedment_m
    foot = (deep * math.sin(lean), -deep * math.cos(lean))
    draft.timber((0.0, 0.0), foot, view.end_post_m, dash="1.2 0.7")
    draft.timber((0.0, 0.0), end_top(view), view.end_post_m, name="end-post")


def _draw_line_post(draft: Draft, view: TrellisView, at: float) -> None:
    draft.timber((at, 0.0), (at, -view.system.post_embedment_m), view.post_m, dash="1.2 0.7")
    draft.timber((at, 0.0), (at, view.system.post_top_m), view.post_m, name="line-post")
    for arm in view.system.arms:
        low, high = sorted((arm.height_m, arm.height_m + arm.rise_m))
        draft.timber((at, low - _ARM_M / 2.0), (at, high + _ARM_M / 2.0), 1.3 * view.post_m)


def _draw_held(draft: Draft, view: TrellisView) -> None:
    ends = view.ends
    thick = ends.strut_diameter / 1000.0
    if ends.assembly == "h-brace":
        at, height = ends.post_distance, ends.rail_height
        draft.timber((at, 0.0), (at, -view.system.end_post_embedment_m), view.end_post_m,
                     dash="1.2 0.7")  # fmt: skip
        draft.timber((at, 0.0), (at, end_top(view)[1]), view.end_post_m, name="brace-post")
        draft.timber((0.0, height), (at, height), thick, name="rail")
        draft.line((0.0, 0.08), (at, height), width=0.45, name="brace-wire")
        return
    if ends.assembly == "strut":
        at, deep = ends.strut_distance, ends.block_depth
        draft.timber((at + 0.2, -deep / 2.0), (at - 0.1, -deep / 2.0), deep, fill="#E4E2DC")
        draft.timber((at, 0.0), (0.0, ends.strut_height), thick, name="strut")
        return
    if view.has_anchors:
        _draw_anchor(draft, view)


def _draw_anchor(draft: Draft, view: TrellisView) -> None:
    ends = view.ends
    lean = math.radians(view.lean_deg)
    tied = (-ends.tie_height * math.tan(lean), ends.tie_height)
    eye = (-view.anchor_m, 0.0)
    back, deep = rod_m(view)
    end = (-view.anchor_m - back, -deep)
    draft.line(tied, eye, width=0.45, name="tie")
    draft.line(eye, end, width=0.7, name="rod")
    length = math.hypot(tied[0] - eye[0], tied[1])
    across = (tied[1] / length, -(tied[0] - eye[0]) / length)
    if ends.anchor == "deadman":
        # Its lower edge lies at the depth asked.
        radius = 0.1
        x, y = draft.x(end[0]), draft.y(end[1] + radius)
        draft.drawing.circle(
            x, y, radius * 1000.0 / draft.denominator, fill=TIMBER, stroke=INK, width=0.22
        )
        return
    half = (ends.helix_diameter / 1000.0 if ends.anchor == "helix" else ends.plate_length) / 2.0
    draft.line(
        (end[0] - half * across[0], end[1] - half * across[1]),
        (end[0] + half * across[0], end[1] + half * across[1]),
        width=0.9, name="anchor",
    )  # fmt: skip


def _draw_wires(draft: Draft, view: TrellisView, posts: list[float], last_m: float) -> None:
    lean = math.tan(math.radians(view.lean_deg))
    top = end_top(view)[1] - _BELOW_TOP_M
    for mark in view.marks:
        height = mark.wire.height_m
        width = 0.5 if mark.wire.carries_crop else 0.28
        dash = "3 0.7 0.7 0.7" if mark.wire.movable else ""
        start = -height * lean
        if height > top:
            # A wire above the end post comes down to its top in the first bay.
            start = posts[0] if posts else min(PAST_M, last_m)
            draft.line((-top * lean, top), (start, height), width=width, dash=dash)
        draft.line((start, height), (last_m, height), width=width, dash=dash,
                   name=f"wire-{mark.letter}")  # fmt: skip


def _draw_vines(draft: Draft, view: TrellisView, vines: list[float]) -> None:
    crop = view.crop_height_m
    head = max(crop - VINE_TO_WIRE_M, 0.2) if view.system.wires else min(crop, 0.6)
    stake = view.system.stake_length_m - view.stake_in_ground_m
    for at in vines:
        if view.system.stake_length_m:
            draft.timber((at + 0.07, -view.stake_in_ground_m), (at + 0.07, stake), 0.04)
        draft.line(
            (at - 0.05, -PEG_IN_GROUND_M), (at - 0.05, view.peg_m - PEG_IN_GROUND_M),
            width=0.3, stroke=PEN,
        )  # fmt: skip
        x, up = draft.x(at), 1000.0 / draft.denominator
        arm = 0.42 * view.vine_m * up
        rise = (crop - head) * up
        shape = f"M{x:.3f} {draft.y_mm:.3f}L{x:.3f} {draft.y(head):.3f}"
        if view.system.wires:
            for side in (-1.0, 1.0):
                shape += (
                    f"M{x:.3f} {draft.y(head):.3f}q{side * 0.1 * arm:.3f} {-rise:.3f} "
                    f"{side * 0.3 * arm:.3f} {-rise:.3f}h{side * 0.7 * arm:.3f}"
                )
        else:
            for side, lift in ((-0.25, 0.25), (-0.09, 0.34), (0.09, 0.34), (0.25, 0.25)):
                shape += f"M{x:.3f} {draft.y(head):.3f}l{side * up:.3f} {-lift * up:.3f}"
        draft.drawing.path(shape, stroke=SOFT, width=0.55, cap="round")
