"""Heights, distances and part numbers beside the end of a row."""

import math
from itertools import pairwise

from aanplant.messages import word
from aanplant.report.paper import Box
from aanplant.report.trellis_draft import Draft, heights, run
from aanplant.report.trellis_extent import braced_m, depth_m, end_top, held_m, rod_m
from aanplant.report.trellis_view import TrellisView, measure
from aanplant.units import UnitSystem

LEFT_MM, RIGHT_MM = 21.0, 24.0
"""Room for figures beside the drawing. [mm]"""


def measure_heights(
    draft: Draft, view: TrellisView, area: Box, last_m: float, system: UnitSystem
) -> None:
    """Write heights: of the end post and what holds it at the left, of posts and wires right."""

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
            left.append(level(held_m(view)))
    elif trellis.stake_length_m:
        stake = trellis.stake_length_m - view.stake_in_ground_m
        right += [level(stake), level(-view.stake_in_ground_m)]
        left = []
    x = area.right - RIGHT_MM + 5.0
    heights(draft.drawing, x, _once(right), from_x_mm=draft.x(last_m) + 1.2, align="start",
            low_mm=low, high_mm=high)  # fmt: skip
    heights(draft.drawing, area.x + LEFT_MM - 4.0, _once(left), from_x_mm=area.x + LEFT_MM,
            align="end", low_mm=low, high_mm=high)  # fmt: skip


def _once(levels: list[tuple[float, str]]) -> list[tuple[float, str]]:
    """Levels without those that stand at the height of another with the same figure."""
    lettered = {text.partition(" ")[2] for _, text in levels}
    return [one for one in dict.fromkeys(levels) if one[1] not in lettered]


def measure_lengths(
    draft: Draft, view: TrellisView, posts: list[float], vines: list[float], system: UnitSystem
) -> None:
    """Write distances along the row below the drawing: vines above, posts and anchor below."""
    y = draft.y(-depth_m(view)) + 5.5
    if not view.system.wires:
        stops = vines[:2]
        if len(stops) > 1:
            run(draft.drawing, y, [draft.x(at) for at in stops], [measure(view.vine_m, system)])
        return
    near = [0.0, *vines[:2]] if view.end_gap_m else vines[:2]
    texts = [measure(after - before, system) for before, after in pairwise(near)]
    if len(near) > 1:
        run(draft.drawing, y, [draft.x(at) for at in near], texts)
    far = sorted({0.0, *posts, *braced_m(view), *([-view.anchor_m] if view.has_anchors else [])})
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


def number_parts(
    draft: Draft, view: TrellisView, numbers: dict[str, int], posts: list[float],
    vines: list[float],
) -> None:  # fmt: skip
    """Draw the numbers of the parts where they stand."""
    ends, trellis = view.ends, view.system
    lean = math.tan(math.radians(view.lean_deg))
    back, deep = rod_m(view) if view.has_anchors else (0.0, 0.0)
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
