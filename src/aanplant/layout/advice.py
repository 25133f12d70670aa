"""What a manager should know about a laid-out block before setting it out."""

from collections.abc import Iterator

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from aanplant.brief import Brief
from aanplant.inputs import Exclusion
from aanplant.layout.block import Layout
from aanplant.layout.contour_advice import contour_advice
from aanplant.layout.counts import POST_WIDTH_M
from aanplant.layout.direction import Sweep
from aanplant.layout.direction_choice import pareto
from aanplant.layout.direction_limits import limit_findings
from aanplant.layout.direction_reasons import reasons
from aanplant.layout.light_figures import light_findings
from aanplant.layout.positions import widest_span_m
from aanplant.layout.slope_figures import slope_advice
from aanplant.layout.turning import NONE
from aanplant.site import Site
from aanplant.stock import Stock
from aanplant.working import Finding

PARALLEL_WITHIN_DEG = 30.0
"""A power line this close to the row bearing counts as parallel (judgement)."""
POWER_LINE_NEAR_M = 50.0
"""A power line within this of the field is spoken of (judgement)."""
_BURIED = ("pipe", "cable", "drain")


def advice(brief: Brief, site: Site, stock: Stock, laid: Layout) -> tuple[Finding, ...]:
    """Collect the findings of the stage, in the order a reader meets the things they speak of."""
    return (
        *_bearing(laid),
        *light_findings(laid),
        *_rows(laid, brief),
        *contour_advice(brief, laid),
        *slope_advice(brief, stock, laid),
        *_turning(laid),
        *_widths(brief, stock),
        *_alleys(brief, laid),
        *_left_out(laid),
        *_power_lines(brief, site, laid),
        *_buried(site),
    )


def _bearing(laid: Layout) -> Iterator[Finding]:
    compared = laid.sweep
    if compared is None:
        return
    if compared.is_within.any():
        yield _chosen(compared, laid.bearing_deg)
    yield from limit_findings(compared, laid.bearing_deg)
    yield from reasons(compared, laid.bearing_deg)


def _chosen(compared: Sweep, bearing_deg: float) -> Finding:
    chosen = int(np.argmin(np.abs(compared.bearing_deg - bearing_deg)))
    return Finding(
        "layout",
        "note",
        "layout.bearing_chosen",
        {
            "count": len(compared),
            "pareto": int(pareto(compared).sum()),
            "bearing": (bearing_deg, "deg"),
            "vines": int(compared.vines[chosen]),
            "ends": int(compared.row_ends[chosen]),
            "most": int(compared.vines.max()),
        },
        "layout.bearing",
    )


def _rows(laid: Layout, brief: Brief) -> Iterator[Finding]:
    if laid.rows.dropped_count:
        yield Finding(
            "layout",
            "note",
            "layout.rows_dropped",
            {
                "count": laid.rows.dropped_count,
                "shortest": (brief.rows.shortest, "m"),
                "length": (laid.rows.dropped_length_m, "m"),
            },
            "layout.rows_dropped",
        )


def _turning(laid: Layout) -> Iterator[Finding]:
    turns = laid.turns
    best = turns.turns[0]
    depth = (turns.depth_needed_m(best), "m")
    failing = turns.count(NONE)
    ends = len(turns.kind)
    if failing:
        x, y = turns.failed_xy[0]
        yield Finding(
            "layout",
            "care",
            "layout.turn_room",
            {
                "failing": failing,
                "ends": ends,
                "depth": (turns.depth_needed_m(turns.turns[-1]), "m"),
                "room": (laid.least_room_m, "m"),
            },
            "layout.turns_failing",
            place=(float(x), float(y)),
        )
    reversing = sum(turns.count(turn.kind) for turn in turns.turns[1:])
    if reversing:
        yield Finding(
            "layout",
            "note",
            "layout.turn_reversing",
            {"count": reversing, "ends": ends, "depth": depth},
            "layout.turn_depth",
        )


def _widths(brief: Brief, stock: Stock) -> Iterator[Finding]:
    machine = brief.machine
    clear_m = stock.row_width_m - POST_WIDTH_M
    if machine.width >= clear_m:
        yield Finding(
            "layout",
            "stop",
            "layout.machine_wider",
            {"width": (machine.width, "m"), "clear": (clear_m, "m")},
            "layout.clear_width",
        )
    elif machine.least_clear_width > clear_m:
        yield Finding(
            "layout",
            "care",
            "layout.clear_width",
            {"clear": (clear_m, "m"), "needed": (machine.least_clear_width, "m")},
            "layout.clear_width",
        )


def _alleys(brief: Brief, laid: Layout) -> Iterator[Finding]:
    if not len(laid.rows.alleys):
        return
    if brief.rows.cross_alley < brief.machine.least_clear_width:
        yield Finding(
            "layout",
            "stop",
            "layout.alley_narrow",
            {
                "alley": (brief.rows.cross_alley, "m"),
                "needed": (brief.machine.least_clear_width, "m"),
            },
        )
    inside = len(laid.positions.end_posts_xy) - len(laid.anchors_xy)
    if inside and brief.ends.assembly == "tie-back":
        yield Finding("layout", "care", "layout.alley_inside", {"count": inside}, "trellis.anchors")


def _left_out(laid: Layout) -> Iterator[Finding]:
    if laid.positions.line_posts_left_out:
        yield Finding(
            "layout",
            "care",
            "layout.posts_left_out",
            {
                "count": laid.positions.line_posts_left_out,
                "span": (round(widest_span_m(laid.positions), 2), "m"),
            },
            "layout.line_posts",
        )


def _power_lines(brief: Brief, site: Site, laid: Layout) -> Iterator[Finding]:
    for item in site.exclusions:
        distance_m = item.geometry.distance(site.boundary)
        if item.kind != "power line" or distance_m > POWER_LINE_NEAR_M:
            continue
        yield Finding(
            "layout",
            "care",
            "layout.power_line_near",
            {"name": _called(item), "height": (brief.machine.height, "m")},
        )
        angle_deg = _angle_to_rows_deg(item.geometry, laid.bearing_deg)
        if angle_deg <= PARALLEL_WITHIN_DEG:
            rows = shapely.MultiLineString(list(laid.rows.lines()))
            yield Finding(
                "layout",
                "care",
                "layout.power_line_parallel",
                {
                    "name": _called(item),
                    "angle": (round(angle_deg), "deg"),
                    "distance": (round(float(item.geometry.distance(rows)), 1), "m"),
                },
            )


def _angle_to_rows_deg(geometry: BaseGeometry, bearing_deg: float) -> float:
    """Smallest angle between the rows and any stretch of a line or corridor, 0 to 90. [deg]."""
    lines = [_middle_line(part) for part in shapely.get_parts(geometry)]
    lines = [line for line in lines if isinstance(line, LineString)]
    if not lines:
        return 90.0
    steps = np.concatenate([np.diff(np.asarray(line.coords)[:, :2], axis=0) for line in lines])
    towards = np.degrees(np.arctan2(steps[:, 0], steps[:, 1]))
    apart = np.abs((towards - bearing_deg + 90.0) % 180.0 - 90.0)
    return float(apart.min())


def _middle_line(part: BaseGeometry) -> BaseGeometry:
    """Line along the middle of a corridor drawn as an area; anything else as it is."""
    if not isinstance(part, Polygon):
        return part
    corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(part))
    if np.hypot(*(corners[1] - corners[0])) > np.hypot(*(corners[2] - corners[1])):
        corners = corners[1:]
    return LineString([corners[:2].mean(axis=0), corners[2:4].mean(axis=0)])


def _buried(site: Site) -> Iterator[Finding]:
    for item in site.exclusions:
        if item.kind in _BURIED and item.geometry.intersects(site.boundary):
            yield Finding("layout", "care", "layout.buried_service", {"name": _called(item)})


def _called(item: Exclusion) -> str:
    return (
        f"The {item.kind} {item.name}"
        if item.name and item.kind not in item.name
        else f"The {item.name or item.kind}"
    )
