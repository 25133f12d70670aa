"""Figures of contour rows, and what a manager should know before setting them out."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from aanplant.brief import CHOOSE, Brief
from aanplant.layout.block import Layout
from aanplant.layout.contour_course import Course
from aanplant.layout.contour_grade import (
    HALF_OF_SLOPE,
    STEEPEST_PERCENT,
    STEEPEST_WITH_COVER_PERCENT,
    RowGrades,
)
from aanplant.layout.side_load import PostBends, post_bends
from aanplant.working import Finding, Input, Value, Working

SOURCE = "nrcs-331"
TOLD_LOAD_SHARE = 0.01
"""A side load below a hundredth of the tension is not worth a sentence (judgement)."""


def contour_figures(brief: Brief, laid: Layout) -> tuple[Working, ...]:
    """Make the figures of contour rows; none for straight rows."""
    course = laid.course
    if course is None:
        return ()
    smoothing, smallest = (
        brief.as_input(f"rows.{key}") for key in ("smoothing", "smallest_radius")
    )
    made = []
    if course.base_height_m is not None:
        asked = brief.as_input("rows.base_height", "asked")
        tried = Input("heights_tried", course.heights_tried, "", "measured")
        made.append(
            Working("layout.base_height", course.base_height_m, "m", (asked, tried), "practice")
        )
    if np.isfinite(course.smallest_radius_m).any():
        made.append(
            Working(
                "layout.tightest_radius",
                float(course.smallest_radius_m.min()),
                "m",
                (smoothing, smallest),
                "measured",
            )
        )
    made.append(
        Working(
            "layout.length_folded",
            float(course.folds.length_m.sum()),
            "m",
            (Input("rows_cut", len(course.folds), "", "measured"), smallest),
            "measured",
        )
    )
    made.extend(_grades(brief, laid, course))
    made.extend(_side_load(post_bends(laid.positions)))
    return tuple(made)


def _grades(brief: Brief, laid: Layout, course: Course) -> Iterator[Working]:
    grades = course.grades
    if grades is None or not np.isfinite(grades.steepest_percent).any():
        return
    pieces = Input("pieces", int(np.isfinite(grades.steepest_percent).sum()), "", "measured")
    limit = _limit(brief)
    yield Working(
        "layout.contour_grade_least", float(np.nanmin(grades.mean_percent)), "%", (pieces,),
        "measured",
    )  # fmt: skip
    yield Working(
        "layout.contour_grade_most", float(np.nanmax(grades.steepest_percent)), "%", (pieces,),
        "measured",
    )  # fmt: skip
    yield Working(
        "layout.rows_steep",
        len(np.unique(laid.rows.row[grades.is_over])),
        "",
        (pieces, *limit),
        SOURCE,
    )


def _limit(brief: Brief) -> tuple[Input, ...]:
    """Name what limits the grade along rows, as inputs of a figure."""
    if brief.rows.steepest_along is not None:
        return (brief.as_input("rows.steepest_along"),)
    most = STEEPEST_WITH_COVER_PERCENT if brief.rows.alley_cover else STEEPEST_PERCENT
    return (
        Input("steepest_along", most, "%", "default:rows.steepest_along", SOURCE),
        Input("share_of_slope", HALF_OF_SLOPE, "", "default:rows.steepest_along", SOURCE),
        brief.as_input("rows.alley_cover"),
    )


def _side_load(bends: PostBends) -> Iterator[Working]:
    if not len(bends.span_m):
        return
    worst = int(np.argmax(bends.load_share))
    yield Working(
        "layout.side_load",
        float(bends.load_share[worst]),
        "",
        (
            Input("turn", float(abs(bends.turn_deg[worst])), "deg", "measured"),
            Input("span", float(bends.span_m[worst]), "m", "measured"),
        ),
        "arithmetic",
    )


def contour_advice(brief: Brief, laid: Layout) -> Iterator[Finding]:
    """Say how contour rows run, where they fail, and what straight rows have that they lack."""
    course = laid.course
    if course is None:
        yield from _base_unused(brief)
        return
    yield from _base(brief, course)
    yield from _left_unused(brief)
    yield from _folds(brief, course)
    if course.grades is None:
        yield Finding("layout", "care", "layout.contour_no_heights", source=SOURCE)
    else:
        yield from _steep(laid, course.grades)
        yield from _flat(brief, laid, course.grades)
    yield from _posts(laid)
    yield Finding(
        "layout",
        "care",
        "layout.contour_turns",
        {
            "room": (laid.least_room_m, "m"),
            "depth": (laid.turns.depth_needed_m(laid.turns.turns[0]), "m"),
        },
        "layout.turn_room",
    )
    on_base = laid.rows.row[laid.rows.line == 0]
    if len(on_base):
        yield Finding(
            "layout",
            "care",
            "layout.contour_setting_out",
            {"row": int(on_base[0]), "width": (laid.rows.row_width_m, "m")},
        )
    else:
        yield Finding("layout", "care", "layout.contour_receiver")


def _base_unused(brief: Brief) -> Iterator[Finding]:
    """Say that straight rows know no base line."""
    rules = brief.rows
    given: dict[str, Value | tuple[Value, str]] = {}
    if rules.base_line:
        given = {"key": "rows.base_line", "given": rules.base_line}
    elif rules.base_height != CHOOSE:
        given = {"key": "rows.base_height", "given": (rules.base_height, "m")}
    if given:
        yield Finding("layout", "care", "layout.base_line_unused", given, source="brief")


def _base(brief: Brief, course: Course) -> Iterator[Finding]:
    smoothing = (brief.rows.smoothing, "m")
    if course.base_height_m is None:
        yield Finding(
            "layout", "note", "layout.contour_drawn",
            {"file": brief.rows.base_line, "smoothing": smoothing},
        )  # fmt: skip
    elif course.heights_tried:
        yield Finding(
            "layout",
            "note",
            "layout.contour_chosen",
            {
                "height": (course.base_height_m, "m"),
                "count": course.heights_tried,
                "smoothing": smoothing,
            },
            "layout.base_height",
        )


def _left_unused(brief: Brief) -> Iterator[Finding]:
    if brief.vines.pattern != "free":
        yield Finding(
            "layout", "note", "layout.contour_pattern", {"pattern": brief.vines.pattern},
            "layout.vines",
        )  # fmt: skip
    if brief.rows.bearing != CHOOSE:
        yield Finding(
            "layout", "note", "layout.contour_bearing", {"asked": (brief.rows.bearing, "deg")},
            "layout.bearing",
        )  # fmt: skip


def _folds(brief: Brief, course: Course) -> Iterator[Finding]:
    folds = course.folds
    if not len(folds):
        return
    nearest = int(np.argmin(np.abs(folds.across_m)))
    if not folds.across_m[nearest]:
        yield Finding(
            "layout",
            "care",
            "layout.contour_base_tight",
            {"radius": (brief.rows.smallest_radius, "m")},
            "layout.length_folded",
            place=_place(folds.xy[nearest]),
        )
    yield Finding(
        "layout",
        "care",
        "layout.contour_folds",
        {
            "count": len(folds),
            "radius": (brief.rows.smallest_radius, "m"),
            "length": (round(float(folds.length_m.sum())), "m"),
            "from": (float(abs(folds.across_m[nearest])), "m"),
        },
        "layout.length_folded",
        place=_place(folds.xy[nearest]),
    )


def _steep(laid: Layout, grades: RowGrades) -> Iterator[Finding]:
    over = np.flatnonzero(grades.is_over)
    if not len(over):
        return
    rows = laid.rows
    first = over[np.argmin(np.abs(rows.across_m[over]))]
    middle = rows.point_at(int(first), float(rows.length_m[first]) / 2.0)
    yield Finding(
        "layout",
        "care",
        "layout.contour_steep",
        {
            "count": len(np.unique(rows.row[over])),
            "steepest": (round(float(np.nanmax(grades.steepest_percent)), 1), "%"),
            "length": (round(float(grades.over_m.sum())), "m"),
            "row": int(rows.row[first]),
            "from": (float(abs(rows.across_m[first])), "m"),
        },
        "layout.rows_steep",
        SOURCE,
        place=_place(middle),
    )


def _flat(brief: Brief, laid: Layout, grades: RowGrades) -> Iterator[Finding]:
    flat = np.nan_to_num(grades.mean_percent, nan=np.inf) < brief.rows.least_along
    if flat.any():
        yield Finding(
            "layout",
            "note",
            "layout.contour_flat",
            {
                "count": len(np.unique(laid.rows.row[flat])),
                "least": (brief.rows.least_along, "%"),
            },
            "layout.contour_grade_least",
            SOURCE,
        )


def _posts(laid: Layout) -> Iterator[Finding]:
    bends = post_bends(laid.positions)
    load = float(bends.load_share.max(initial=0.0))
    if load < TOLD_LOAD_SHARE:
        return
    worst = int(np.argmax(bends.load_share))
    yield Finding(
        "layout",
        "note",
        "layout.contour_side_load",
        {
            "share": (round(100.0 * load, 1), "%"),
            "row": int(laid.rows.row[laid.positions.line_posts_piece[worst]]),
            "radius": (round(float(bends.radius_m[worst]), 1), "m"),
        },
        "layout.side_load",
        place=_place(laid.positions.line_posts_xy[worst]),
    )


def _place(xy: NDArray[np.float64]) -> tuple[float, float]:
    return float(xy[0]), float(xy[1])
