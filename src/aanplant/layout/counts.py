"""The figures of a laid-out block, with their working."""

import numpy as np

from aanplant.brief import CHOOSE, Brief
from aanplant.layout.block import Layout
from aanplant.layout.direction_criteria import WEIGHED_BY
from aanplant.layout.turning import NONE
from aanplant.layout.turns import pass_time_s
from aanplant.stock import Stock
from aanplant.working import Input, Working

STOP_S = 4.0
"""Time lost when the machine stops to change direction (judgement)."""
POST_WIDTH_M = 0.1
"""Taken off the row width for the clear width between posts (judgement)."""


def figures(
    brief: Brief, stock: Stock, laid: Layout, site_figures: tuple[Working, ...]
) -> tuple[Working, ...]:
    """Make the figures of the stage.

    Parameters
    ----------
    brief, stock
        What was asked, and the spacing.
    laid : Layout
        The block without figures.
    site_figures : tuple of Working
        Figures of the ground; the area is among them.
    """
    positions, rows = laid.positions, laid.rows
    row_width, vine_spacing = _spacing(stock)
    area = next(figure for figure in site_figures if figure.key == "site.area")
    bearing = _bearing(brief, laid)
    vines_count = len(positions)
    pieces = int((positions.vines > 0).sum())
    lattice = (
        row_width,
        vine_spacing,
        brief.as_input("rows.end_gap"),
    )
    left_out = Working(
        "layout.left_out",
        positions.left_out,
        "",
        (Input("places_in_rows", vines_count + positions.left_out, "", "measured"),),
        "measured",
    )
    vines = Working(
        "layout.vines",
        vines_count,
        "vines",
        (
            area.as_input("area"),
            bearing.as_input("bearing"),
            *lattice,
            left_out.as_input("left_out"),
        ),
        "measured",
    )
    lines = Working(
        "layout.rows",
        len(np.unique(rows.row[positions.vines > 0])),
        "",
        (bearing.as_input("bearing"), lattice[0]),
        "measured",
    )
    ends = Working(
        "layout.row_ends", 2 * pieces, "", (Input("pieces", pieces, "", "measured"),), "arithmetic"
    )
    length = Working(
        "layout.row_length",
        float(positions.row_length_m.sum()),
        "m",
        (Input("pieces", pieces, "", "measured"), *_room(brief)),
        "measured",
    )
    planted_ha = vines_count * stock.area_per_vine_m2 / 1e4
    return (
        bearing,
        left_out,
        vines,
        lines,
        ends,
        length,
        Working(
            "layout.mean_row_length",
            float(length.value) / pieces,
            "m",
            (length.as_input("row_length"), ends.as_input("row_ends")),
            "arithmetic",
        ),
        Working(
            "layout.area_planted",
            planted_ha,
            "ha",
            (vines.as_input("vines"), lattice[0], lattice[1]),
            "arithmetic",
        ),
        Working(
            "layout.density",
            vines_count / float(area.value),
            "vines/ha",
            (vines.as_input("vines"), area.as_input("area")),
            "arithmetic",
        ),
        Working(
            "layout.line_posts",
            len(positions.line_posts_xy),
            "",
            (vines.as_input("vines"), brief.as_input("trellis.post_every")),
            "measured",
        ),
        Working(
            "layout.end_posts",
            len(positions.end_posts_xy),
            "",
            (ends.as_input("row_ends"),),
            "arithmetic",
        ),
        Working(
            "layout.rows_dropped",
            rows.dropped_count,
            "",
            (brief.as_input("rows.shortest"),),
            "measured",
        ),
        Working(
            "layout.clear_width",
            stock.row_width_m - POST_WIDTH_M,
            "m",
            (lattice[0], Input("post_width", POST_WIDTH_M, "m", "default:post_width", "practice")),
            "arithmetic",
        ),
        *_turning(brief, laid, row_width, ends, length),
    )


def _bearing(brief: Brief, laid: Layout) -> Working:
    if laid.course is not None:
        course = brief.as_input("rows.course")
        return Working(
            "layout.bearing", laid.bearing_deg, "deg", (course,), "measured",
            message="layout.bearing_mean",
        )  # fmt: skip
    asked = brief.as_input("rows.bearing", "asked")
    if brief.rows.bearing != CHOOSE:
        return Working("layout.bearing", laid.bearing_deg, "deg", (asked,), "brief")
    assert laid.sweep is not None  # noqa: S101 - chosen bearings come from a sweep
    compared = Input("bearings_compared", len(laid.sweep.bearing_deg), "", "measured")
    weighed = [
        brief.as_input(f"weights.{key}")
        for key in ("vines_given_up", *WEIGHED_BY)
        if key == "vines_given_up" or brief.setting(f"weights.{key}") > 0.0
    ]
    limits = [brief.as_input(f"ground.{each.limit.name}") for each in laid.sweep.limits]
    inputs = (asked, compared, *limits, *weighed)
    return Working("layout.bearing", laid.bearing_deg, "deg", inputs, "practice")


def _spacing(stock: Stock) -> tuple[Input, Input]:
    made = {figure.key: figure for figure in stock.figures}
    return (
        made["stock.row_width"].as_input("row_width"),
        made["stock.vine_spacing"].as_input("vine_spacing"),
    )


def _room(brief: Brief) -> tuple[Input, ...]:
    keys = ("headland", "anchor_distance", "side_margin", "shortest", "longest", "cross_alley")
    return tuple(brief.as_input(f"rows.{key}") for key in keys)


def _failing(laid: Layout, depth: Working, ends: Working) -> tuple[Working, ...]:
    """Count turns that fail; not for rows that bend, between which none is driven."""
    if laid.course is not None:
        return ()
    return (
        Working(
            "layout.turns_failing",
            laid.turns.count(NONE),
            "",
            (depth.as_input("turn_depth"), ends.as_input("row_ends")),
            "turns",
        ),
    )


def _turning(
    brief: Brief, laid: Layout, row_width: Input, ends: Working, length: Working
) -> tuple[Working, ...]:
    machine, turns = brief.machine, laid.turns
    radius, width = (brief.as_input(f"machine.{key}") for key in ("turning_radius", "width"))
    best = turns.turns[0]
    depth = Working(
        "layout.turn_depth", turns.depth_needed_m(best), "m", (radius, width, row_width), "turns"
    )
    usual = max(turns.turns, key=lambda turn: turns.count(turn.kind))
    time_s = pass_time_s(
        float(length.value),
        float(ends.value) / 2.0,
        usual,
        row_speed_m_s=machine.row_speed / 3.6,
        turn_speed_m_s=machine.turn_speed / 3.6,
        stop_s=STOP_S,
    )
    return (
        depth,
        Working(
            "layout.turn_room",
            laid.least_room_m,
            "m",
            (brief.as_input("rows.headland"), brief.as_input("rows.anchor_distance")),
            "measured",
        ),
        *_failing(laid, depth, ends),
        Working(
            "layout.pass_time",
            float(time_s) / 3600.0,
            "h",
            (
                length.as_input("row_length"),
                Input("turns", int(ends.value) // 2, "", "figure:layout.row_ends"),
                Input("turn_length", usual.length_m, "m", "measured", "turns"),
                Input("stops", usual.stops, "", "measured"),
                Input("stop_time", STOP_S, "s", "default:stop_time", "practice"),
                brief.as_input("machine.row_speed"),
                brief.as_input("machine.turn_speed"),
            ),
            "turns",
        ),
    )
