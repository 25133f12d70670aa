"""The end of a row from the side: end post and what holds it, first line posts, wires, vines."""

import math
from itertools import pairwise

from aanplant.messages import word
from aanplant.report.paper import Box
from aanplant.report.style import INK, PEN, SOFT
from aanplant.report.svg import Drawing
from aanplant.report.trellis_draft import Draft, break_mark, heights, run, scale_that_fits
from aanplant.report.trellis_parts import parts_of
from aanplant.report.trellis_view import (
    PEG_IN_GROUND_M,
    VINE_TO_WIRE_M,
    TrellisView,
    measure,
)
from aanplant.units import UnitSystem

_LEFT, _RIGHT, _BELOW = 21.0, 24.0, 15.0
"""Room for figures beside the drawing and below it. [mm]"""
_ARM_M = 0.05
"""Drawn of an arm's thickness."""
_PAST_M = 0.5
"""Drawn beyond the last thing that must be seen."""
_ABOVE_M = 0.15
_BELOW_TOP_M = 0.05
"""The highest place on a post where a wire holds; practice."""
_UP_TO_LONGEST = 12.0
"""A first bay longer than this is broken off. [m]"""


def elevation_scale(view: TrellisView, area: Box) -> int:
    """Denominator at which the end of a row fits an area."""
    width_m = _reach_m(view) + _must_show_m(view)
    height_m = _top_m(view) + _depth_m(view)
    return scale_that_fits(
        width_m, height_m, area.width - _LEFT - _RIGHT, area.height - _BELOW
    )  # fmt: skip


def elevation_height_mm(view: TrellisView, denominator: int) -> float:
    """Room an elevation takes at a scale. [mm]."""
    return (_top_m(view) + _depth_m(view)) * 1000.0 / denominator + _BELOW


def draw_elevation(
    drawing: Drawing, view: TrellisView, area: Box, denominator: int,
    system: UnitSystem = "metric",
) -> None:  # fmt: skip
    """Draw the end of a row, the row running to the right until the area ends."""
    per_m = 1000.0 / denominator
    draft = Draft(
        drawing,
        area.x + _LEFT + _reach_m(view) * per_m,
        area.y + _top_m(view) * per_m,
        denominator,
    )
    last_m = (area.right - _RIGHT - draft.x_mm) / per_m
    numbers = {part.name: part.number for part in parts_of(view, system)}
    draft.ground(-_reach_m(view), last_m)
    posts = _line_posts_m(view, last_m)
    if view.system.wires:
        _draw_held(draft, view)
        _draw_wires(draft, view, posts, last_m)
        _draw_end_post(draft, view)
        for at in posts:
            _draw_line_post(draft, view, at)
    vines = _vines_m(view, last_m)
    _draw_vines(draft, view, vines)
    break_mark(drawing, draft.x(last_m), draft.y(-0.1), draft.y(_top_m(view) - _ABOVE_M))
    _measure_heights(draft, view, area, last_m, system)
    _measure_lengths(draft, view, posts, vines, system)
    _number_parts(draft, view, numbers, posts, vines)


def end_top(view: TrellisView) -> tuple[float, float]:
    """Top of the end post from its foot. [m]."""
    lean, above = math.radians(view.lean_deg), view.system.end_post_top_m
    return (-above * math.sin(lean), above * math.cos(lean))


def _reach_m(view: TrellisView) -> float:
    """How far the drawing reaches back from the foot of the end post. [m]."""
    if not view.system.wires:
        return _PAST_M + view.vine_m / 2.0
    back = [-end_top(view)[0] + 0.2]
    if view.has_anchors:
        back.append(view.anchor_m + _rod_m(view)[0] + 0.3)
    return max(*back, _PAST_M)


def _held_m(view: TrellisView) -> float:
    """Where tie, rail or strut meets the end post, above the ground. [m]."""
    ends = view.ends
    at = {"tie-back": ends.tie_height, "h-brace": ends.rail_height, "strut": ends.strut_height}
    return at[ends.assembly]


def _rod_m(view: TrellisView) -> tuple[float, float]:
    """How far the anchor lies beyond its rod's eye, and below it. [m]."""
    depth = view.ends.anchor_depth
    run_m = view.anchor_m - view.ends.tie_height * math.tan(math.radians(view.lean_deg))
    return (depth * run_m / view.ends.tie_height, depth)


def _must_show_m(view: TrellisView) -> float:
    if not view.system.wires or not view.first_bay_m:
        return view.end_gap_m + 2.5 * view.vine_m + _PAST_M
    return max(min(view.first_bay_m[1], _UP_TO_LONGEST), view.end_gap_m) + _PAST_M


def _top_m(view: TrellisView) -> float:
    stake = view.system.stake_length_m - view.stake_in_ground_m
    tips = [arm.height_m + arm.rise_m for arm in view.system.arms]
    wires = [mark.wire.height_m for mark in view.marks]
    top = max(
        view.system.post_top_m, end_top(view)[1], stake, *tips, *wires, view.peg_m,
        *([_held_m(view)] if wires else []),
    )  # fmt: skip
    return top + _ABOVE_M


def _depth_m(view: TrellisView) -> float:
    depths = [view.stake_in_ground_m, PEG_IN_GROUND_M]
    if view.system.wires:
        depths += [view.system.end_post_embedment_m, view.system.post_embedment_m]
        depths += [view.ends.anchor_depth + 0.1] if view.has_anchors else []
        depths += [view.ends.block_depth] if view.ends.assembly == "strut" else []
    return max(depths)


def _line_posts_m(view: TrellisView, last_m: float) -> list[float]:
    if not view.first_bay_m or not view.system.wires:
        return []
    first = view.first_bay_m[1]
    count = max(int((last_m - view.post_m - first) / view.bay_m) + 1, 0) if first < last_m else 0
    return [first + index * view.bay_m for index in range(count)]


def _vines_m(view: TrellisView, last_m: float) -> list[float]:
    start = view.end_gap_m if view.system.wires else 0.0
    count = int((last_m - 0.15 - start) / view.vine_m) + 1
    return [start + index * view.vine_m for index in range(max(count, 1))]


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
    back, deep = _rod_m(view)
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
            x, y, radius * 1000.0 / draft.denominator, fill="#E9DFC8", stroke=INK, width=0.22
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
            start = posts[0] if posts else min(_PAST_M, last_m)
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


def _measure_heights(
    draft: Draft, view: TrellisView, area: Box, last_m: float, system: UnitSystem
) -> None:
    def level(height: float, text: str = "") -> tuple[float, str]:
        shown = measure(height, system) if height else "0"
        return (draft.y(height), f"{text} {shown}".strip())

    low, high = area.bottom - 4.0, area.y + 1.0
    trellis, ends = view.system, view.ends
    right = [level(0.0)]
    left = [level(0.0)]
    if trellis.wires:
        right += [level(mark.wire.height_m, mark.letter) for mark in view.marks]
        right += [level(trellis.post_top_m), level(-trellis.post_embedment_m)]
        lean = math.cos(math.radians(view.lean_deg))
        left += [level(end_top(view)[1]), level(-trellis.end_post_embedment_m * lean)]
        if view.has_anchors:
            left.append(level(-ends.anchor_depth))
        if view.has_anchors or ends.assembly != "tie-back":
            left.append(level(_held_m(view)))
    elif trellis.stake_length_m:
        stake = trellis.stake_length_m - view.stake_in_ground_m
        right += [level(stake), level(-view.stake_in_ground_m)]
        left = []
    x = area.right - _RIGHT + 5.0
    heights(draft.drawing, x, _once(right), from_x_mm=draft.x(last_m) + 1.2, align="start",
            low_mm=low, high_mm=high)  # fmt: skip
    heights(draft.drawing, area.x + _LEFT - 4.0, _once(left), from_x_mm=area.x + _LEFT,
            align="end", low_mm=low, high_mm=high)  # fmt: skip


def _once(levels: list[tuple[float, str]]) -> list[tuple[float, str]]:
    """Levels without those that stand at the height of another with the same figure."""
    named = {text.split()[-1] if text[0].isalpha() else "" for _, text in levels}
    kept = dict.fromkeys(levels)
    return [one for one in kept if one[1][0].isalpha() or one[1] not in named]


def _measure_lengths(
    draft: Draft, view: TrellisView, posts: list[float], vines: list[float], system: UnitSystem
) -> None:
    y = draft.y(-_depth_m(view)) + 5.5
    if not view.system.wires:
        stops = vines[:2]
        if len(stops) > 1:
            run(draft.drawing, y, [draft.x(at) for at in stops], [measure(view.vine_m, system)])
        return
    near = [0.0, *vines[:2]] if view.end_gap_m else vines[:2]
    texts = [measure(after - before, system) for before, after in pairwise(near)]
    if len(near) > 1:
        run(draft.drawing, y, [draft.x(at) for at in near], texts)
    far = sorted({0.0, *posts, *_braced_m(view), *([-view.anchor_m] if view.has_anchors else [])})
    texts = [measure(after - before, system) for before, after in pairwise(far)]
    if posts and far.index(posts[0]) == far.index(0.0) + 1:
        least, usual, most = view.first_bay_m
        if most - least > view.post_m:
            texts[far.index(0.0)] = word("trellis_drawing.first_bay").format(
                usual=measure(usual, system), least=measure(least, system),
                most=measure(most, system),
            )  # fmt: skip
    if len(far) > 1:
        run(draft.drawing, y + 6.0, [draft.x(at) for at in far], texts)


def _braced_m(view: TrellisView) -> tuple[float, ...]:
    """Where a brace or strut stands in the row. [m]."""
    if view.ends.assembly == "h-brace":
        return (view.ends.post_distance,)
    return (view.ends.strut_distance,) if view.ends.assembly == "strut" else ()


def _number_parts(
    draft: Draft, view: TrellisView, numbers: dict[str, int], posts: list[float],
    vines: list[float],
) -> None:  # fmt: skip
    ends, trellis = view.ends, view.system
    lean = math.tan(math.radians(view.lean_deg))
    back, deep = _rod_m(view) if view.has_anchors else (0.0, 0.0)
    high = trellis.end_post_top_m
    places: dict[str, tuple[tuple[float, float], tuple[float, float]]] = {
        "end_post": ((-0.9 * end_top(view)[1] * lean, 0.9 * end_top(view)[1]), (-7.0, -2.0)),
        "tie": ((-0.55 * view.anchor_m, 0.45 * ends.tie_height), (-7.0, -3.0)),
        "peg": ((vines[-1] - 0.05, 0.25), (-6.0, -2.0)),
    }
    places["tie"] = (_on_tie(view, 0.45), (-7.0, -3.0))
    for name in ("helix", "plate", "deadman"):
        places[name] = ((-view.anchor_m - back * 0.8, -deep * 0.8), (7.0, 1.5))
    if posts:
        places["line_post"] = ((posts[0], 0.35 * trellis.post_top_m), (6.0, -2.0))
        if trellis.arms:
            arm = trellis.arms[-1]
            places["arm"] = ((posts[0], arm.height_m), (6.0, -5.0))
    at, rail = ends.post_distance, ends.rail_height
    places["brace_post"] = ((at, 0.8 * high), (6.0, -4.0))
    places["rail"] = ((0.35 * at, rail), (3.0, -7.0))
    places["brace_wire"] = ((0.6 * at, 0.6 * rail), (5.0, 4.0))
    places["strut"] = ((0.55 * ends.strut_distance, 0.45 * ends.strut_height), (5.0, -5.0))
    places["block"] = ((ends.strut_distance + 0.1, -ends.block_depth / 2.0), (7.0, 2.0))
    places["stake"] = ((vines[0] + 0.07, 0.8 * trellis.stake_length_m * 0.7), (6.0, -3.0))
    for name, number in numbers.items():
        if name in places:
            draft.balloon(number, *places[name])


def _on_tie(view: TrellisView, share: float) -> tuple[float, float]:
    """Return a point of the tie, by its share of the way up. [m]."""
    height = view.ends.tie_height
    tied = -height * math.tan(math.radians(view.lean_deg))
    return (-view.anchor_m + share * (tied + view.anchor_m), share * height)
