"""One day of the soil: what rain and irrigation bring, what soil and vines take, what drains."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from aanplant.water.evaporation import LEAST_EXPOSED, LEAST_P, MOST_P, STANDARD_DEMAND_MM

Array = NDArray[np.float64]
AdjustBy = Literal["vine", "all", "nothing"]

WETS_ALL_MM = 3.0
"""Rain of a day without watering that wets the whole ground."""
_STRESSED = 1.0 - 1e-9
_NOTHING_MM = 1e-300


@dataclass(frozen=True)
class RootZone:
    """The soil, arrays or numbers that broadcast against one day of ``Days``.

    Parameters
    ----------
    available_mm : ndarray or float
        Between field capacity and wilting point, to the depth of roots. [mm]
    easy : ndarray or float
        Share of it that is easily had where vines use 5 mm/d, p. [-]
    evaporable_mm, readily_mm : ndarray or float
        TEW and REW of the top soil. [mm]
    wetted : ndarray or float
        Share of the ground that irrigation wets, above 0. [-]
    """

    available_mm: Array | float
    easy: Array | float
    evaporable_mm: Array | float
    readily_mm: Array | float
    wetted: Array | float = 1.0


@dataclass(frozen=True)
class State:
    """What root zone and top soil lack at the end of a day. [mm]."""

    root_zone_mm: Array
    top_soil_mm: Array
    wetted: Array


@dataclass(frozen=True, slots=True)
class How:
    """The ways in which a run may go, as ``balance.run`` tells them."""

    early: bool
    adjust_by: AdjustBy
    rain_wets_all: bool
    under_canopy: bool


@dataclass(frozen=True, slots=True)
class Day:
    """One day of ``balance.Days``."""

    et0: Array
    rain: Array
    basal: Array
    upper: Array
    cover: Array


def one_day(
    soil: RootZone, state: State, day: Day, given: Array, how: How
) -> tuple[State, tuple[Array, ...]]:
    """Carry the soil over one day.

    Returns
    -------
    tuple of State and tuple of ndarray
        Evaporation, transpiration, drainage, the vines' wish, and 1 where they went short.
    """
    available, evaporable = soil.available_mm, soil.evaporable_mm
    wet = state.wetted
    if how.rain_wets_all:
        kept = np.where(day.rain >= WETS_ALL_MM, 1.0, wet)
        wet = np.where(given > 0.0, soil.wetted, kept)
    exposed = _exposed(wet, day.cover, under_canopy=how.under_canopy)
    to_top, arriving = day.rain + given / wet, day.rain + given
    top, lacking = state.top_soil_mm, state.root_zone_mm
    drained: Array = np.zeros_like(lacking)
    if how.early:
        top = np.maximum(top - to_top, 0.0)
        lacking, drained = _topped_up(lacking - arriving)

    # FAO-56 eq. 71 and 74: what the soil evaporates.
    reduction = np.clip((evaporable - top) / (evaporable - soil.readily_mm), 0.0, 1.0)
    dried = np.minimum(reduction * (day.upper - day.basal), exposed * day.upper) * day.et0
    if how.early:
        # No more leaves the top soil than it holds, or a little water would do harm.
        dried = np.minimum(dried, exposed * (evaporable - top))
    # FAO-56 eq. 84: what the vines take; neither takes what is not there.
    wish = day.basal * day.et0
    easy = easy_share_of(soil.easy, wish + dried if how.adjust_by == "all" else wish, how.adjust_by)
    closing = np.clip((available - lacking) / ((1.0 - easy) * available), 0.0, 1.0)
    there = available - lacking + (0.0 if how.early else arriving)
    scale = np.minimum(1.0, there / np.maximum(closing * wish + dried, _NOTHING_MM))
    taken, dried = scale * closing * wish, scale * dried

    if how.early:
        top = np.minimum(top + dried / exposed, evaporable)
        lacking = lacking + taken + dried
    else:
        spare = np.maximum(to_top - top, 0.0)
        top = np.clip(top - to_top + dried / exposed + spare, 0.0, evaporable)
        lacking, drained = _topped_up(lacking - arriving + taken + dried)
    short = (closing * scale < _STRESSED) & (wish > 0.0)
    return State(lacking, top, wet), (dried, taken, drained, wish, short.astype(np.float64))


def _exposed(wet: Array, cover: Array, *, under_canopy: bool) -> Array:
    """Share of ground both wet and sunlit, as ``evaporation.exposed_share``."""
    shaded = np.where(wet < 1.0, wet * (1.0 - 2.0 / 3.0 * cover), wet) if under_canopy else wet
    return np.maximum(np.minimum(1.0 - cover, shaded), LEAST_EXPOSED)


def _topped_up(lacking: Array) -> tuple[Array, Array]:
    """Let what the root zone can't hold drain: what is lacking still, and what drains."""
    drained = np.maximum(-lacking, 0.0)
    return lacking + drained, drained


def easy_share_of(printed: Array | float, demand_mm: Array, adjust_by: AdjustBy) -> Array:
    """Share that is easily had on a day of this demand, FAO-56 table 22."""
    if adjust_by == "nothing":
        return np.asarray(printed, dtype=np.float64)
    moved = np.asarray(printed) + 0.04 * (STANDARD_DEMAND_MM - demand_mm)
    return np.clip(moved, LEAST_P, MOST_P)
