"""The soil's water from day to day: rain and irrigation in, evaporation, vines and drains out.

The dual crop coefficient of FAO-56, for any number of soil zones, ages of vines and years
at once: axis 0 of every daily array is the day, the other axes are what runs side by side.
"""

from dataclasses import dataclass, fields
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from aanplant.water.soil_day import AdjustBy, Day, How, RootZone, State, easy_share_of, one_day
from aanplant.water.watering import Watering

Array = NDArray[np.float64]
Wetting = Literal["morning", "evening"]


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
    irrigation_by_group_mm, use_by_group_mm : ndarray, shape (groups, ...)
        Irrigation, and what soil and vines used, by the groups of days asked for.
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
    use_by_group_mm: Array
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
        Group of each day, from 0, by which irrigation and use are summed.
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
    how = How(wetting == "morning", adjust_by, rain_wets_all, under_canopy)
    start = State(
        _filled(start_mm, shape),
        _filled(first_top, shape),
        _filled(1.0 if rain_wets_all else soil.wetted, shape),
    )
    state = start
    length = len(days.et0_mm)
    group = np.zeros(length, dtype=np.int64) if groups is None else groups
    by_group = np.zeros((2, int(group.max(initial=0)) + 1, *shape))
    sums = [np.zeros(shape) for _ in _SUMS]
    daily = {name: np.empty((length, *shape)) for name in _KEPT} if keep_daily else {}
    for day in range(length):
        weather = Day(*(one[day] for one in parts))
        wish = weather.basal * weather.et0
        easy = easy_share_of(soil.easy, wish, adjust_by)
        given = watering.net_mm(day, state.root_zone_mm, easy * soil.available_mm)
        state, flows = one_day(soil, state, weather, given, how)
        by_group[0, group[day]] += given
        by_group[1, group[day]] += flows[0] + flows[1]
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
        irrigation_by_group_mm=by_group[0],
        use_by_group_mm=by_group[1],
        daily=daily,
    )


_SUMS = (
    "rain_mm", "irrigation_mm", "evaporation_mm", "transpiration_mm", "drainage_mm", "wish_mm",
    "stress_days",
)  # fmt: skip
_KEPT = ("evaporation", "transpiration", "drainage", "irrigation", "root_zone", "top_soil")


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
