"""Figures and advice on rows that run on a slope."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from aanplant.brief import Brief
from aanplant.layout.block import Layout
from aanplant.layout.steepness import SlopeLimit, slope_limits, steepness
from aanplant.stock import Stock
from aanplant.working import Finding, Input, Level, Value, Working

TOLD_SHARE = 0.001
"""A difference below a thousandth of the rows is not worth a sentence (judgement)."""
_MESSAGES: dict[str, tuple[Level, str]] = {
    "row_grade": ("care", "layout.row_grade"),
    "machine_grade": ("care", "layout.machine_grade"),
    "machine_side_slope": ("care", "layout.machine_side_slope"),
}
_FIGURES = {"grade": "row_grade_steepest", "across": "cross_slope_steepest"}


def slope_figures(laid: Layout, made: tuple[Working, ...]) -> tuple[Working, ...]:
    """Make the figures of rows on a slope; none without heights.

    Parameters
    ----------
    laid : Layout
        The block.
    made : tuple of Working
        Its other figures; the row length is among them.
    """
    slopes = laid.slopes
    if slopes is None or not np.isfinite(slopes.grade_percent).any():
        return ()
    row_length = next(figure for figure in made if figure.key == "layout.row_length")
    pieces = Input("pieces", int(np.isfinite(slopes.grade_percent).sum()), "", "measured")
    ground = Working(
        "layout.row_length_ground",
        float(slopes.ground_m.sum()),
        "m",
        (pieces, row_length.as_input("row_length")),
        "measured",
    )

    def steepest(key: str, values: NDArray[np.float64]) -> Working:
        return Working(
            f"layout.{key}", float(np.nanmax(np.abs(values))), "%", (pieces,), "measured"
        )

    return (
        Working(
            "layout.row_grade_mean",
            float(np.nanmean(np.abs(slopes.mean_grade_percent))),
            "%",
            (pieces,),
            "measured",
        ),
        Working(
            "layout.row_grade_steepest",
            float(np.nanmax(np.abs(slopes.grade_percent))),
            "%",
            (pieces,),
            "measured",
        ),
        Working(
            "layout.cross_slope_steepest",
            float(np.nanmax(np.abs(slopes.across_percent))),
            "%",
            (pieces,),
            "horn",
        ),
        ground,
        Working(
            "layout.ground_difference",
            float(ground.value) - float(row_length.value),
            "m",
            (ground.as_input("row_length_ground"), row_length.as_input("row_length")),
            "arithmetic",
        ),
    )


def slope_advice(brief: Brief, stock: Stock, laid: Layout) -> Iterator[Finding]:
    """Say which rows are too steep for soil or machine, and what the plan does not show."""
    wants_ground = brief.rows.spacing_along == "ground"
    slopes = laid.slopes
    if wants_ground:
        unknown = len(laid.rows) if slopes is None else int(_unknown(laid).sum())
        if unknown:
            yield Finding(
                "layout", "care", "layout.ground_unknown", {"count": unknown}, source="brief"
            )
    if slopes is None:
        return
    for limit in slope_limits(brief):
        yield from _too_steep(laid, limit, steepness(slopes, limit.measure))
    yield from _difference(stock, laid, is_along_ground=wants_ground)


def _too_steep(laid: Layout, limit: SlopeLimit, percent: NDArray[np.float64]) -> Iterator[Finding]:
    row, count = _worst(laid, percent, limit.most_percent)
    if not count:
        return
    worst = (round(float(np.nanmax(percent)), 1), "%")
    values: dict[str, Value | tuple[Value, str]] = {
        "count": count,
        "limit": (limit.most_percent, "%"),
        "row": row,
        "grade" if limit.measure == "grade" else "slope": worst,
    }
    yield Finding(
        "layout",
        *_MESSAGES[limit.name],
        values,
        f"layout.{_FIGURES[limit.measure]}",
        limit.source,
        place=_middle(laid, percent),
    )


def _unknown(laid: Layout) -> NDArray[np.bool_]:
    assert laid.slopes is not None  # noqa: S101 - asked only where there are slopes
    held = laid.positions.row_length_m > 0.0
    unknown: NDArray[np.bool_] = held & np.isnan(laid.slopes.grade_percent)
    return unknown


def _worst(laid: Layout, steepness: NDArray[np.float64], limit: float) -> tuple[int, int]:
    """Row of the steepest piece, and how many pieces are above the limit."""
    count = int((np.nan_to_num(steepness) > limit).sum())
    return (int(laid.rows.row[np.nanargmax(steepness)]), count) if count else (0, 0)


def _middle(laid: Layout, steepness: NDArray[np.float64]) -> tuple[float, float]:
    worst = np.array([np.nanargmax(steepness)])
    x, y = laid.rows.point_at(worst, laid.rows.length_m[worst] / 2.0)[0]
    return float(x), float(y)


def _difference(stock: Stock, laid: Layout, *, is_along_ground: bool) -> Iterator[Finding]:
    assert laid.slopes is not None  # noqa: S101 - asked only where there are slopes
    plan_m = float(laid.positions.row_length_m.sum())
    longer_m = float(laid.slopes.ground_m.sum()) - plan_m
    if longer_m < TOLD_SHARE * plan_m:
        return
    factor = 1.0 + longer_m / plan_m
    spacing = stock.vine_spacing_m
    values = {
        "longer": (round(longer_m), "m"),
        "share": (round(100.0 * longer_m / plan_m, 2), "%"),
        "spacing": (spacing, "m"),
        "other": (round(spacing / factor if is_along_ground else spacing * factor, 3), "m"),
    }
    figure = "layout.ground_difference"
    if is_along_ground:
        yield Finding("layout", "note", "layout.spaced_on_ground", values, figure, "measured")
    else:
        yield Finding("layout", "note", "layout.spaced_on_plan", values, figure, "measured")
