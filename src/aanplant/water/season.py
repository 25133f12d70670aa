"""Every season of the weather through the soil of every zone, for vines of every age."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from aanplant.brief import Brief
from aanplant.water.balance import Balance, Days, run
from aanplant.water.coefficients import upper_limit
from aanplant.water.demand import VineDemand
from aanplant.water.rooting import RootedSoil
from aanplant.water.rule import watering_rule
from aanplant.water.soil_day import RootZone
from aanplant.water.watering import Watering
from aanplant.water.years import PLACES, WaterYears

Array = NDArray[np.float64]
M3_PER_HA_MM = 10.0
MONTHS = 12
SETTLED_MM = 0.01
"""Years hand their soil water on until no start moves by more than this."""
FULLEST_COVER = 0.99
WINTER_START_SHARE = 0.5
"""Share of the available water that is gone when harvest is over, at the first try."""


@dataclass(frozen=True)
class SeasonBalance:
    """Water of every season; arrays of shape (n_years, n_ages, n_zones), mm over the block.

    Parameters
    ----------
    irrigation_mm : ndarray
        That reaches the ground of roots and drippers. [mm]
    transpiration_mm, wish_mm : ndarray
        What the vines took and would have taken. [mm]
    evaporation_mm, drainage_mm : ndarray
        From the ground that roots fill, and below it. [mm]
    stress_days : ndarray
        Days on which the vines went short. [d]
    by_month_mm : ndarray, shape (12, n_years, n_ages, n_zones)
        Irrigation by calendar month, January first. [mm]
    to_bring_mm : ndarray, shape (366, n_years, n_ages, n_zones)
        What drippers must bring each day to make good what the vines and the ground of their
        roots used. [mm]
    areas_ha : ndarray, shape (n_zones,)
        Of the zones. [ha]
    delivered : float
        Share of the water drawn that reaches the roots. [-]
    passes : int
        How often the years handed on their soil water.
    """

    irrigation_mm: Array
    transpiration_mm: Array
    wish_mm: Array
    evaporation_mm: Array
    drainage_mm: Array
    stress_days: Array
    by_month_mm: Array
    to_bring_mm: Array
    areas_ha: Array
    delivered: float
    passes: int

    @property
    def drawn_m3(self) -> Array:
        """Water drawn at the source for the whole block, shape (n_years, n_ages). [m3]."""
        return np.asarray((self.irrigation_mm * self.areas_ha).sum(axis=-1) * self._per_mm)

    @property
    def drawn_by_month_m3(self) -> Array:
        """The same by calendar month, shape (12, n_years, n_ages). [m3]."""
        return np.asarray((self.by_month_mm * self.areas_ha).sum(axis=-1) * self._per_mm)

    @property
    def drawn_by_day_m3(self) -> Array:
        """Water to draw each day so that nothing is lacking, shape (366, n_years, n_ages). [m3]."""
        return np.asarray((self.to_bring_mm * self.areas_ha).sum(axis=-1) * self._per_mm)

    def drawn_at(self, quantile: float) -> Array:
        """Water drawn that so large a share of years does not pass, shape (n_ages,). [m3]."""
        return np.asarray(np.quantile(self.drawn_m3, quantile, axis=0))

    def stress_days_at(self, quantile: float) -> Array:
        """Days of stress by zone that so large a share of years does not pass. [d].

        Returns
        -------
        ndarray, shape (n_ages, n_zones)
        """
        return np.asarray(np.quantile(self.stress_days, quantile, axis=0))

    def over(self, area_ha: float) -> "SeasonBalance":
        """Return the same for so large an area, shared out as the zones are."""
        return replace(self, areas_ha=self.areas_ha * (area_ha / self.areas_ha.sum()))

    @property
    def _per_mm(self) -> float:
        return M3_PER_HA_MM / self.delivered


def season_balance(
    brief: Brief,
    years: WaterYears,
    demand: VineDemand,
    soils: tuple[RootedSoil, ...],
    *,
    wetted: float,
    efficiency: float | None = None,
) -> SeasonBalance:
    """Run every year, age and zone side by side.

    The ground that roots fill is reckoned as a field of its own: it bears the whole vine,
    rain falls on it, and of the drippers' water it gets what falls on it. The soil water at
    the end of a year is the next one's start.

    Parameters
    ----------
    brief : Brief
        What is asked: ``demand`` and ``watering``.
    years : WaterYears
        Weather.
    demand : VineDemand
        Of ``vine_demand``, for these years.
    soils : tuple of RootedSoil
        Of ``rooted_soils``, for the same ages.
    wetted : float
        Share of the ground that drippers wet, above 0. [-]
    efficiency : float, optional
        Share of the water at the drippers that counts, such as emission uniformity; the
        brief's when left out. [-]

    Raises
    ------
    ValueError
        If ``wetted`` or ``efficiency`` is not in (0, 1].
    """
    share = brief.watering.efficiency if efficiency is None else efficiency
    if not 0.0 < share <= 1.0 or not 0.0 < wetted <= 1.0:
        raise ValueError(f"wetted and efficiency must be in (0, 1], got {wetted}, {share}")
    # Axes of the days: place of the year, year, age, zone.
    days, zone = root_ground(brief, years, demand, soils, wetted=wetted)
    served = served_share(demand, wetted)[:, None]
    rule = watering_rule(brief, years, served)
    found, passes = hand_on(days, zone, rule, years)
    rooted = demand.rooted[:, None]
    return SeasonBalance(
        found.irrigation_mm * served,
        found.transpiration_mm * rooted,
        found.wish_mm * rooted,
        found.evaporation_mm * rooted,
        found.drainage_mm * rooted,
        found.stress_days,
        _by_month(found.irrigation_by_group_mm, years.month) * served,
        found.use_by_group_mm * served,
        np.array([one.area_ha for one in soils]),
        share * (1.0 - brief.watering.losses),
        passes,
    )


def served_share(demand: VineDemand, wetted: float) -> Array:
    """Share of the ground over which drippers' water is spread, as roots find it. [-].

    Roots narrower than the wetted strip get only what falls on them; wider ones get all
    that falls along their length.

    Returns
    -------
    ndarray, shape (n_ages,)
    """
    return np.asarray(np.maximum(demand.across, wetted))


def root_ground(
    brief: Brief,
    years: WaterYears,
    demand: VineDemand,
    soils: tuple[RootedSoil, ...],
    *,
    wetted: float,
) -> tuple[Days, RootZone]:
    """Reckon the ground that roots fill as a field of its own.

    Parameters
    ----------
    brief, years, demand, soils, wetted
        As for ``season_balance``.

    Returns
    -------
    tuple of Days and RootZone
        Axes: day, year, age, zone; and age, zone.
    """
    rooted = demand.rooted[:, None]
    basal = demand.basal[..., None] / rooted
    cover = demand.leaves[:, None, None, None] * np.minimum(demand.cover[:, None] / rooted, 1.0)
    upper = upper_limit(
        basal,
        demand.height_m[:, None],
        years.wind_m_s[:, :, None, None],
        years.least_humidity_pct[:, :, None, None],
    )
    days = Days(
        years.et0_mm[:, :, None, None],
        years.rain_mm[:, :, None, None],
        basal,
        upper,
        np.minimum(cover, FULLEST_COVER),
    )
    zone = RootZone(
        np.stack([one.available_mm for one in soils], axis=1),
        brief.demand.easy_share,
        np.array([one.evaporable_mm for one in soils]),
        np.array([one.readily_mm for one in soils]),
        np.minimum(brief.demand.wet_surface * wetted / demand.across[:, None], 1.0),
    )
    return days, zone


def _by_month(by_day: Array, month: NDArray[np.int64]) -> Array:
    return np.stack([by_day[month == one].sum(axis=0) for one in range(1, MONTHS + 1)])


def hand_on(days: Days, zone: RootZone, rule: Watering, years: WaterYears) -> tuple[Balance, int]:
    """Run all years at once, and again from where the years before them ended, until settled.

    Returns
    -------
    tuple of Balance and int
        Of the last run, and how many runs it took; as one run through the whole record,
        but that a year after a gap starts as the others do on the mean.
    """
    follows = np.concatenate([[False], np.diff(years.harvest_year) == 1])
    group = np.arange(PLACES)
    start: Array = WINTER_START_SHARE * np.asarray(zone.available_mm)
    top: Array = np.asarray(zone.evaporable_mm)
    found = run(days, zone, rule, start_mm=start, top_start_mm=top, groups=group)

    def handed(end: Array) -> Array:
        return np.where(follows[:, None, None], np.roll(end, 1, axis=0), end.mean(axis=0))

    for passes in range(1, years.years + 2):
        after, after_top = handed(found.end.root_zone_mm), handed(found.end.top_soil_mm)
        moved = max(np.abs(after - start).max(), np.abs(after_top - top).max())
        if moved < SETTLED_MM:
            return found, passes
        start, top = after, after_top
        found = run(days, zone, rule, start_mm=start, top_start_mm=top, groups=group)
    return found, years.years + 2
