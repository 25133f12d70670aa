"""Choose the base line of contour rows and fit the rows beside it."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString
from shapely.geometry.base import BaseGeometry

from aanplant.brief import CHOOSE, Brief
from aanplant.errors import InputError
from aanplant.layout.contour_grade import RowGrades, row_grades
from aanplant.layout.contour_rows import Folds, fit_along
from aanplant.layout.contours import contour_lines, heights_in, longest_across
from aanplant.layout.curves import smoothed
from aanplant.layout.rows import Rows
from aanplant.site import Site
from aanplant.stock import Stock

HEIGHTS_TRIED = 5
"""Base lines compared when one is to be chosen, evenly over the ground of the field."""
_WHERE = "brief.toml: rows"
_SHORTEST_STEP_M = 0.05
_NO_TURN = 1e-9
_OVERLAP_M = 0.01


@dataclass(frozen=True)
class Course:
    """How contour rows come to run as they do.

    Parameters
    ----------
    base_xy : ndarray, shape (n, 2)
        The base line as read or found, before it was smoothed. [m]
    base_height_m : float or None
        Height of the contour; None for a drawn line. [m]
    heights_tried : int
        Heights compared where one was to be chosen, else 0.
    smallest_radius_m : ndarray, shape (n_rows,)
        Tightest curve of every row; infinite where straight. [m]
    folds : Folds
        Where rows had to be cut because they cannot keep their distance.
    grades : RowGrades or None
        None without heights.
    """

    base_xy: NDArray[np.float64]
    base_height_m: float | None
    heights_tried: int
    smallest_radius_m: NDArray[np.float64]
    folds: Folds
    grades: RowGrades | None


@dataclass(frozen=True)
class _Fitted:
    rows: Rows
    folds: Folds
    base_xy: NDArray[np.float64]
    height_m: float | None


def rows_along_contours(
    brief: Brief,
    site: Site,
    stock: Stock,
    *,
    headland_m: float,
    alley_m: float,
    numbered: Callable[[Rows], Rows],
) -> tuple[Rows, Course]:
    """Fit rows beside the base line that the brief asks for.

    To choose, contours at ``HEIGHTS_TRIED`` heights are tried. The one is taken beside
    which most row length runs within its grade limit; the lowest of several.

    Parameters
    ----------
    brief, site, stock
        What is asked, the ground and the spacing.
    headland_m, alley_m : float
        Room ahead of end posts, and between them across an alley. [m]
    numbered : callable
        Gives rows their numbers.

    Raises
    ------
    InputError
        If there is no base line to be had.
    """

    def fitted(line_xy: NDArray[np.float64], height_m: float | None) -> _Fitted:
        rules = brief.rows
        reach = float(np.hypot(*np.ptp(np.reshape(site.field.bounds, (2, 2)), axis=0)))
        rows, folds = fit_along(
            site.field,
            smoothed(line_xy, rules.smoothing, reach_m=reach),
            stock.row_width_m,
            headland_m=headland_m,
            side_margin_m=rules.side_margin,
            smallest_radius_m=rules.smallest_radius,
            shortest_m=rules.shortest,
            longest_m=rules.longest,
            cross_alley_m=alley_m,
            headland_rule=rules.headland_rule,
        )
        return _Fitted(rows, folds, line_xy, height_m)

    if site.base_line is not None:
        _check_reaches(site.base_line, site.field, brief.rows.base_line)
        taken, tried = fitted(site.base_line, None), 0
    elif brief.rows.base_height == CHOOSE:
        lines = _lines_to_try(site)
        taken = max(
            (fitted(line, height) for height, line in lines),
            key=lambda one: _length_within_limits(brief, site, one.rows),
        )
        tried = len(lines)
    else:
        taken, tried = fitted(*_line_at(site, float(brief.rows.base_height))), 0
    rows = numbered(taken.rows)
    return rows, Course(
        taken.base_xy, taken.height_m, tried, tightest_m(rows), taken.folds,
        _grades(brief, site, rows),
    )  # fmt: skip


def tightest_m(rows: Rows) -> NDArray[np.float64]:
    """Smallest radius along every row, shape (n_rows,); infinite where straight. [m]."""
    paths = rows.paths
    if paths is None:
        return np.full(len(rows), np.inf)
    step = np.diff(paths.chainage_m)
    cosine = (paths.tangent_xy[1:] * paths.tangent_xy[:-1]).sum(axis=1)
    sine = (
        paths.tangent_xy[:-1, 0] * paths.tangent_xy[1:, 1]
        - paths.tangent_xy[:-1, 1] * paths.tangent_xy[1:, 0]
    )
    turn = np.abs(np.arctan2(sine, cosine))
    owner = np.repeat(np.arange(len(paths)), np.diff(paths.first))
    # A shorter step tells little but rounding; and between rows there is none.
    real = (step > _SHORTEST_STEP_M) & (owner[1:] == owner[:-1]) & (turn > _NO_TURN)
    tightest = np.full(len(rows), np.inf)
    np.minimum.at(tightest, owner[1:][real], step[real] / turn[real])
    return tightest


def strips(rows: Rows, field: BaseGeometry, side_margin_m: float) -> BaseGeometry:
    """Ground of rows: half a row width to both sides, clear of the side margin. [m]."""
    half = rows.row_width_m / 2.0 + _OVERLAP_M
    ground = shapely.buffer(rows.lines(), half, cap_style="flat", join_style="mitre")
    return shapely.intersection(shapely.union_all(ground), field.buffer(-side_margin_m))


def _grades(brief: Brief, site: Site, rows: Rows) -> RowGrades | None:
    if site.terrain is None:
        return None
    rules = brief.rows
    return row_grades(
        rows, site.terrain, steepest_percent=rules.steepest_along, has_cover=rules.alley_cover
    )


def _length_within_limits(brief: Brief, site: Site, rows: Rows) -> float:
    grades = _grades(brief, site, rows)
    over = 0.0 if grades is None else float(grades.over_m.sum())
    return round(float(rows.length_m.sum()) - over, 3)


def _lines_to_try(site: Site) -> list[tuple[float, NDArray[np.float64]]]:
    if site.terrain is None:
        raise _no_heights()
    heights = heights_in(site.terrain, site.field)
    if not len(heights):
        raise _no_heights()
    shares = (np.arange(HEIGHTS_TRIED) + 0.5) / HEIGHTS_TRIED
    found = []
    for height in np.unique(np.round(np.quantile(heights, shares), 1)).tolist():
        line = longest_across(contour_lines(site.terrain, height), site.field)
        if line is not None:
            found.append((height, line))
    if not found:
        raise InputError(
            f"{_WHERE}.base_height",
            "no contour that runs through the field from side to side",
            'rows.base_line, or rows.course = "straight"',
        )
    return found


def _line_at(site: Site, height_m: float) -> tuple[NDArray[np.float64], float]:
    if site.terrain is None:
        raise _no_heights()
    line = longest_across(contour_lines(site.terrain, height_m), site.field)
    if line is None:
        known = heights_in(site.terrain, site.field)
        span = f"from {known[0]:.1f} to {known[-1]:.1f} m" if len(known) else "nowhere known"
        raise InputError(
            f"{_WHERE}.base_height",
            f"{height_m:g} m, at which no contour runs through the field from side to side",
            f"a height of the field, which lies {span}",
        )
    return line, height_m


def _check_reaches(line_xy: NDArray[np.float64], field: BaseGeometry, where: str) -> None:
    if not LineString(line_xy).intersects(field):
        away = LineString(line_xy).distance(field)
        raise InputError(
            where, f"a base line {away:.0f} m outside the field", "a line through the field"
        )


def _no_heights() -> InputError:
    return InputError(
        f"{_WHERE}.course",
        "contour rows without heights of the ground",
        "block.heights, or the base line as a file in rows.base_line",
    )
