"""What else speaks for a row direction: slope, sunlight and wind."""

from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from aanplant.brief import Brief
from aanplant.layout.direction import Criterion, Sweep
from aanplant.layout.row_sunlight import KEPT, RowSunlight, rows_in_sun, slopes_over
from aanplant.site import Site
from aanplant.site.terrain import Terrain
from aanplant.stock import Stock

Numbers = NDArray[np.float64]

WORST_PERCENTILE = 95.0
"""The steepest twentieth of a field is left out of its worst slope (judgement)."""
STEP_PCT = 5.0
"""Slopes, light and wind that differ by less over all bearings count for less (judgement)."""
LOAD_STEP = 0.25
"""The same for afternoon sun, as a share of the most (judgement)."""
WEIGHED_BY = {
    "vines": "vines",
    "row_ends": "row_ends",
    "machine_time": "machine_time_h",
    "mean_row_length": "mean_row_length_m",
    "short_rows": "short_rows",
    "grade": "grade_worst_pct",
    "cross_slope": "cross_slope_worst_pct",
    "season_light": "season_light_pct",
    "afternoon_load": "afternoon_load_mj_m2",
    "wind": "wind_across_pct",
}
"""Criterion behind each key of ``[weights]``."""


def judged(swept: Sweep, brief: Brief, site: Site, stock: Stock) -> Sweep:
    """Add slope, sunlight and wind to a sweep, and the manager's weights.

    Parameters
    ----------
    swept : Sweep
        Directions compared by rows and vines.
    brief : Brief
        With its canopy and weights.
    site : Site
        Slopes are weighed where it has heights.
    stock : Stock
        Whose row width counts.

    Raises
    ------
    InputError
        If the brief's canopy does not fit its rows.
    """
    bearing = swept.bearing_deg
    for criterion in (
        *_slope_criteria(site.terrain, site.field, tuple(bearing.tolist())),
        *light_criteria(rows_in_sun(brief, site, stock, bearing)),
        *wind_criteria(bearing, brief.canopy.damaging_wind),
    ):
        swept = swept.with_criterion(criterion)
    known = {criterion.name for criterion in swept.criteria}
    weights = {
        name: float(brief.setting(f"weights.{key}"))
        for key, name in WEIGHED_BY.items()
        if name in known
    }
    return replace(swept, weights=weights, vines_within=brief.weights.vines_given_up)


@lru_cache(KEPT)
def _slope_criteria(
    terrain: Terrain | None, field: BaseGeometry, bearings_deg: tuple[float, ...]
) -> tuple[Criterion, ...]:
    return tuple(slope_criteria(np.array(bearings_deg), slopes_over(terrain, field)))


def slope_criteria(bearing_deg: Numbers, slopes: Numbers) -> Iterator[Criterion]:
    """Mean and worst slope along the rows, and worst across them, either way up. [%].

    Parameters
    ----------
    bearing_deg : ndarray, shape (n_bearings,)
        Directions. [deg]
    slopes : ndarray, shape (n, 2)
        Rise to the east and north at places of the field; none where heights are unknown. [-]
    """
    if not len(slopes):
        return
    angle = np.radians(bearing_deg)
    along = np.abs(np.stack([np.sin(angle), np.cos(angle)], axis=1) @ slopes.T) * 100.0
    across = np.abs(np.stack([np.cos(angle), -np.sin(angle)], axis=1) @ slopes.T) * 100.0
    yield Criterion("grade_mean_pct", "down", along.mean(axis=1), STEP_PCT)
    yield Criterion("grade_worst_pct", "down", worst(along), STEP_PCT)
    yield Criterion("cross_slope_worst_pct", "down", worst(across), STEP_PCT)


def worst(values: Numbers) -> Numbers:
    """Value that 95 in 100 places of each bearing do not pass, shape (n_bearings,)."""
    return np.asarray(np.percentile(values, WORST_PERCENTILE, axis=1))


def wind_criteria(bearing_deg: Numbers, from_deg: float | None) -> Iterator[Criterion]:
    """Share of a wind's pressure that meets the rows broadside: sin² of the angle. [%].

    Rows along the wind that breaks shoots let it pass between them (common practice).
    """
    if from_deg is None:
        return
    across = np.sin(np.radians(bearing_deg - from_deg)) ** 2
    yield Criterion("wind_across_pct", "down", across * 100.0, STEP_PCT)


def light_criteria(light: RowSunlight) -> Iterator[Criterion]:
    """Light of the season taken, and afternoon sun on the fruit. [%, MJ/m2]."""
    load = light.afternoon_load_mj_m2
    yield Criterion("season_light_pct", "up", light.season_share * 100.0, STEP_PCT)
    yield Criterion("afternoon_load_mj_m2", "down", load, LOAD_STEP * float(load.max()))
