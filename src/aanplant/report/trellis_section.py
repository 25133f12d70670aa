"""The trellis across the row: post, arms and every wire where it hangs, with heights and widths."""

from itertools import pairwise

from aanplant.report.paper import Box
from aanplant.report.style import PEN, SOFT
from aanplant.report.svg import Drawing
from aanplant.report.trellis_draft import Draft, heights, run, scale_that_fits
from aanplant.report.trellis_parts import parts_of
from aanplant.report.trellis_view import PEG_IN_GROUND_M, VINE_TO_WIRE_M, TrellisView, measure
from aanplant.units import UnitSystem

_LEFT, _RIGHT, _BELOW, _STEP = 17.0, 26.0, 3.0, 5.0
"""Room for figures beside and below the drawing, and between level dimension lines. [mm]"""
_ABOVE_M, _BESIDE_M = 0.12, 0.3
_SAME_M = 2e-3


def section_scale(view: TrellisView, area: Box) -> int:
    """Denominator at which the section fits an area."""
    room = area.height - _BELOW - _STEP * len(_widths_m(view))
    return scale_that_fits(
        2.0 * _half_m(view), _top_m(view) + _depth_m(view), area.width - _LEFT - _RIGHT, room
    )


def section_height_mm(view: TrellisView, denominator: int) -> float:
    """Room a section takes at a scale. [mm]."""
    tall = (_top_m(view) + _depth_m(view)) * 1000.0 / denominator
    return tall + _BELOW + _STEP * len(_widths_m(view))


def section_width_mm(view: TrellisView, denominator: int) -> float:
    """Room it takes in the width. [mm]."""
    return 2.0 * _half_m(view) * 1000.0 / denominator + _LEFT + _RIGHT


def draw_section(
    drawing: Drawing, view: TrellisView, area: Box, denominator: int,
    system: UnitSystem = "metric",
) -> None:  # fmt: skip
    """Draw the section from the top of an area, in its middle."""
    per_m = 1000.0 / denominator
    middle = area.x + (area.width + _LEFT - _RIGHT) / 2.0
    widths = _widths_m(view)
    top_mm = area.y + _STEP * len(widths)
    draft = Draft(drawing, middle, top_mm + _top_m(view) * per_m, denominator)
    trellis, half = view.system, _half_m(view)
    draft.ground(-half, half)
    if trellis.wires:
        draft.timber((0.0, 0.0), (0.0, -trellis.post_embedment_m), view.post_m, dash="1.2 0.7")
        draft.timber((0.0, 0.0), (0.0, trellis.post_top_m), view.post_m, name="post")
    for arm in trellis.arms:
        for side in (-1.0, 1.0):
            tip = (side * arm.half_width_m, arm.height_m + arm.rise_m)
            draft.timber((0.0, arm.height_m), tip, 0.045, name="section-arm")
    _draw_vine(draft, view)
    for mark in view.marks:
        for across in mark.across_m:
            draft.dot((across, mark.wire.height_m), hollow=mark.wire.movable)
    _letter_wires(draft, view)
    for index, width in enumerate(widths):
        y = area.y + _STEP * (len(widths) - index) - 1.0
        height = _height_of(view, width)
        ends = [draft.x(-width / 2.0), draft.x(width / 2.0)]
        for x in ends:
            drawing.line(x, draft.y(height) - 1.2, x, y, stroke=SOFT, width=0.1, dash="0.6 0.6")
        run(drawing, y, ends, [measure(width, system)])
    _measure_heights(draft, view, half, system)
    numbers = {part.name: part.number for part in parts_of(view, system)}
    _number_parts(draft, view, numbers)


def _half_m(view: TrellisView) -> float:
    across = [abs(x) for mark in view.marks for x in mark.across_m]
    tips = [arm.half_width_m for arm in view.system.arms]
    return max([*across, *tips, view.post_m]) + _BESIDE_M


def _top_m(view: TrellisView) -> float:
    stake = view.system.stake_length_m - view.stake_in_ground_m
    tips = [arm.height_m + arm.rise_m for arm in view.system.arms]
    wires = [mark.wire.height_m for mark in view.marks]
    return max([view.system.post_top_m, stake, view.peg_m, *tips, *wires]) + _ABOVE_M


def _depth_m(view: TrellisView) -> float:
    return max(view.system.post_embedment_m, view.stake_in_ground_m, PEG_IN_GROUND_M)


def _widths_m(view: TrellisView) -> list[float]:
    """Distinct widths between wires on arms and from tip to tip, the least first. [m]."""
    found = [2.0 * mark.wire.offset_m for mark in view.marks if mark.wire.offset_m]
    found += [2.0 * arm.half_width_m for arm in view.system.arms]
    widths = sorted(found)
    return widths[:1] + [
        wide for narrow, wide in pairwise(widths) if wide - narrow > _SAME_M
    ]  # fmt: skip


def _height_of(view: TrellisView, width_m: float) -> float:
    """Where what is this wide hangs, the highest of it. [m]."""
    wires = [
        mark.wire.height_m
        for mark in view.marks
        if abs(2.0 * mark.wire.offset_m - width_m) <= _SAME_M
    ]
    tips = [
        arm.height_m + arm.rise_m
        for arm in view.system.arms
        if abs(2.0 * arm.half_width_m - width_m) <= _SAME_M
    ]
    return max([*wires, *tips])


def _draw_vine(draft: Draft, view: TrellisView) -> None:
    beside = view.post_m / 2.0 + 0.06 if view.system.wires else 0.0
    bottom, top = -PEG_IN_GROUND_M, view.peg_m - PEG_IN_GROUND_M
    draft.line((beside + 0.04, bottom), (beside + 0.04, top), width=0.35, stroke=PEN, name="peg")
    if view.system.stake_length_m:
        stake = view.system.stake_length_m - view.stake_in_ground_m
        draft.timber((-0.07, -view.stake_in_ground_m), (-0.07, stake), 0.04, name="stake")
    crop = view.crop_height_m
    head = max(crop - VINE_TO_WIRE_M, 0.2) if view.system.wires else min(crop, 0.6)
    lines = [((beside, 0.0), (beside, head))]
    for mark in view.marks:
        if mark.wire.carries_crop and abs(mark.wire.height_m - crop) <= _SAME_M:
            lines += [((beside, head), (x, crop)) for x in mark.across_m]
    if not view.system.wires:
        lines += [
            ((0.0, head), (side, head + lift))
            for side, lift in ((-0.25, 0.25), (-0.09, 0.34), (0.09, 0.34), (0.25, 0.25))
        ]
    for start, end in lines:
        draft.line(start, end, width=0.7, stroke=SOFT, dash="1.6 0.8")


def _letter_wires(draft: Draft, view: TrellisView) -> None:
    for mark in view.marks:
        x = draft.x(max(mark.across_m)) + 1.6
        draft.drawing.text(x, draft.y(mark.wire.height_m) - 1.0, mark.letter, size=2.7,
                           face="figure", halo=0.2)  # fmt: skip


def _measure_heights(draft: Draft, view: TrellisView, half: float, system: UnitSystem) -> None:
    trellis = view.system

    def level(height: float, text: str = "") -> tuple[float, str]:
        shown = measure(height, system) if height else "0"
        return (draft.y(height), f"{text} {shown}".strip())

    right = [level(0.0), *(level(mark.wire.height_m, mark.letter) for mark in view.marks)]
    left = [level(0.0)]
    if trellis.wires:
        left += [level(trellis.post_top_m), level(-trellis.post_embedment_m)]
    for arm in trellis.arms:
        left.append(level(arm.height_m))
        if arm.rise_m:
            left.append(level(arm.height_m + arm.rise_m))
    if trellis.stake_length_m:
        stake = trellis.stake_length_m - view.stake_in_ground_m
        left += [level(stake), level(-view.stake_in_ground_m)]
    low, high = draft.y(-_depth_m(view)) + 2.0, draft.y(_top_m(view))
    if view.marks:
        x = draft.x(half) + 4.0
        heights(draft.drawing, x, list(dict.fromkeys(right)), from_x_mm=draft.x(half) + 0.5,
                align="start", low_mm=low, high_mm=high)  # fmt: skip
    heights(draft.drawing, draft.x(-half) - 3.0, list(dict.fromkeys(left)),
            from_x_mm=draft.x(-half) - 0.5, align="end", low_mm=low, high_mm=high)  # fmt: skip


def _number_parts(draft: Draft, view: TrellisView, numbers: dict[str, int]) -> None:
    trellis = view.system
    beside = view.post_m / 2.0 + 0.1 if trellis.wires else 0.04
    places: dict[str, tuple[tuple[float, float], tuple[float, float]]] = {
        "line_post": ((0.0, -0.6 * trellis.post_embedment_m), (-8.0, 2.0)),
        "peg": ((beside, -0.2), (8.0, 4.0)),
        "stake": ((-0.07, 0.3), (-7.0, -2.0)),
    }
    if trellis.arms:
        arm = trellis.arms[-1]
        at = (-0.6 * arm.half_width_m, arm.height_m + 0.6 * arm.rise_m)
        places["arm"] = (at, (-4.0, -6.0))
    for name, number in numbers.items():
        if name in places:
            draft.balloon(number, *places[name])
