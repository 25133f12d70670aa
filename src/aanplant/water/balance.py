"""The soil's water from day to day: rain and irrigation in, evaporation, vines and drains out.

The dual crop coefficient of FAO-56, for any number of soil zones, ages of vines and years
at once: axis 0 of every daily array is the day, the other axes are what runs side by side.
"""

from dataclasses import dataclass, fields
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from aanplant.water.evaporation import LEAST_EXPOSED, LEAST_P, MOST_P, STANDARD_DEMAND_MM
from aanplant.water.watering import Watering

Array = NDArray[np.float64]
Wetting = Literal["morning", "evening"]
AdjustBy = Literal["vine", "all", "nothing"]

WETS_ALL_MM = 3.0
"""Rain of a day without watering that wets the whole ground."""
_STRESSED = 1.0 - 1e-9
_NOTHING_MM = 1e-300


@dataclass(frozen=True)
class Days:
    """Weather and crop of every day, arrays of shape (days, ...) that broadcast.

    Parameters
    ----------
    et0_mm, rain_mm : ndarray
        Reference evapotranspiration, and rain less what runs off. [mm]
    basal : ndarray
        Basal coefficient of the vines over the ground that is reckoned. [-]
    upper : ndarray
        Most that soil and vines evaporate together, Kc max. [-]
    cover : ndarray
        Share of that ground under leaves. [-]
    """

    et0_mm: Array
    rain_mm: Array
    basal: Array
    upper: Array
    cover: Array


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


@dataclass(frozen=True)
class Balance:
    """Sums over the days of a run, arrays of the shape that runs side by side. [mm].

    Parameters
    ----------
    rain_mm, irrigation_mm, evaporation_mm, transpiration_mm, drainage_mm : ndarray
        In and out.
    wish_mm : ndarray
        What the vines would have taken with water enough.
    stress_days : ndarray
        Days on which they went short.
    start, end : State
        Before the first day and after the last.
    irrigation_by_group_mm : ndarray, shape (groups, ...)
        Irrigation by the groups of days asked for.
    daily : dict of str to ndarray, shape (days, ...)
        ``evaporation``, ``transpiration``, ``drainage``, ``irrigation``, ``root_zone``,
        ``top_soil`` where the run was asked to keep them; else empty. [mm]
    """

    rain_mm: Array
    irrigation_mm: Array
    evaporation_mm: Array
    transpiration_mm: Array
    drainage_mm: Array
    wish_mm: Array
    stress_days: Array
    start: State
    end: State
    irrigation_by_group_mm: Array
    daily: dict[str, Array]

    @property
    def gap_mm(self) -> Array:
        """In less out less what the soil gained: nothing but rounding. [mm]."""
        gained = self.start.root_zone_mm - self.end.root_zone_mm
        used = self.evaporation_mm + self.transpiration_mm + self.drainage_mm
        return self.rain_mm + self.irrigation_mm - used - gained


def run(
    days: Days,
    soil: RootZone,
    watering: Watering,
    *,
    start_mm: Array | float = 0.0,
    top_start_mm: Array | float | None = None,
    wetting: Wetting = "morning",
    adjust_by: AdjustBy = "vine",
    rain_wets_all: bool = True,
    under_canopy: bool = True,
    groups: NDArray[np.int64] | None = None,
    keep_daily: bool = False,
) -> Balance:
    """Reckon the water of the soil day by day.

    Parameters
    ----------
    days : Days
        Weather and crop.
    soil : RootZone
        What the soil holds.
    watering : Watering
        When water is given.
    start_mm, top_start_mm : ndarray or float, optional
        What root zone and top soil lack at first; a dry top soil when left out. [mm]
    wetting : {"morning", "evening"}
        Whether the day's rain and irrigation are there for its evaporation, as in FAO-56
        example 35, or come after it.
    adjust_by : {"vine", "all", "nothing"}
        By what demand of the day the easily had share moves: the vines', that of vines and
        soil (as the paper prints), or not at all.
    rain_wets_all : bool
        Whether 3 mm of rain on a day without watering wets the whole ground, until the next
        watering.
    under_canopy : bool
        Whether drippers lie under the leaves.
    groups : ndarray of int, shape (days,), optional
        Group of each day, from 0, by which irrigation is summed.
    keep_daily : bool
        Whether to keep every day.

    Returns
    -------
    Balance
        Closed to the last digits: see ``Balance.gap_mm``.

    Raises
    ------
    ValueError
        If the soil can't hold water or irrigation wets no ground.

    References
    ----------
    .. [1] Allen, Pereira, Raes, Smith (1998), FAO Irrigation and Drainage Paper 56, ch. 7-8.
    """
    _check(soil)
    parts = (days.et0_mm, days.rain_mm, days.basal, days.upper, days.cover)
    shape = np.broadcast_shapes(
        *(one.shape[1:] for one in parts),
        *(np.shape(getattr(soil, one.name)) for one in fields(soil)),
        np.shape(start_mm),
    )
    first_top = soil.evaporable_mm if top_start_mm is None else top_start_mm
    how = _How(wetting == "morning", adjust_by, rain_wets_all, under_canopy)
    start = State(
        _filled(start_mm, shape),
        _filled(first_top, shape),
        _filled(1.0 if rain_wets_all else soil.wetted, shape),
    )
    state = start
    length = len(days.et0_mm)
    group = np.zeros(length, dtype=np.int64) if groups is None else groups
    by_group = np.zeros((int(group.max(initial=0)) + 1, *shape))
    sums = [np.zeros(shape) for _ in _SUMS]
    daily = {name: np.empty((length, *shape)) for name in _KEPT} if keep_daily else {}
    for day in range(length):
        weather = _Day(*(one[day] for one in parts))
        wish = weather.basal * weather.et0
        easy = _easy(soil.easy, wish, adjust_by)
        given = watering.net_mm(day, state.root_zone_mm, easy * soil.available_mm)
        state, flows = _one_day(soil, state, weather, given, how)
        by_group[group[day]] += given
        for number, flow in enumerate((weather.rain, given, *flows)):
            sums[number] += flow
        if keep_daily:
            today = (*flows[:3], given, state.root_zone_mm, state.top_soil_mm)
            for name, values in zip(_KEPT, today, strict=True):
                daily[name][day] = values
    return Balance(
        **dict(zip(_SUMS, sums, strict=True)),
        start=start,
        end=state,
        irrigation_by_group_mm=by_group,
        daily=daily,
    )


_SUMS = (
    "rain_mm", "irrigation_mm", "evaporation_mm", "transpiration_mm", "drainage_mm", "wish_mm",
    "stress_days",
)  # fmt: skip
_KEPT = ("evaporation", "transpiration", "drainage", "irrigation", "root_zone", "top_soil")


@dataclass(frozen=True, slots=True)
class _How:
    """The ways in which a run may go."""

    early: bool
    adjust_by: AdjustBy
    rain_wets_all: bool
    under_canopy: bool


@dataclass(frozen=True, slots=True)
class _Day:
    """One day of ``Days``."""

    et0: Array
    rain: Array
    basal: Array
    upper: Array
    cover: Array


def _one_day(
    soil: RootZone, state: State, day: _Day, given: Array, how: _How
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
    easy = _easy(soil.easy, wish + dried if how.adjust_by == "all" else wish, how.adjust_by)
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


def _filled(value: Array | float, shape: tuple[int, ...]) -> Array:
    return np.broadcast_to(np.asarray(value, dtype=np.float64), shape)


def _check(soil: RootZone) -> None:
    wetted = np.asarray(soil.wetted)
    if np.any(np.asarray(soil.available_mm) <= 0.0):
        raise ValueError("available_mm must be above 0")
    if np.any(np.asarray(soil.evaporable_mm) <= np.asarray(soil.readily_mm)):
        raise ValueError("evaporable_mm must be above readily_mm")
    if np.any((wetted <= 0.0) | (wetted > 1.0)):
        raise ValueError("wetted must be in (0, 1]")


def _easy(printed: Array | float, demand_mm: Array, adjust_by: AdjustBy) -> Array:
    """Share that is easily had on a day of this demand, FAO-56 table 22."""
    if adjust_by == "nothing":
        return np.asarray(printed, dtype=np.float64)
    moved = np.asarray(printed) + 0.04 * (STANDARD_DEMAND_MM - demand_mm)
    return np.clip(moved, LEAST_P, MOST_P)
