"""What the vines of a block drink: by day, by year of age, in every year of the weather."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aanplant.brief import Brief
from aanplant.site.planting_time import bud_break_of
from aanplant.water.coefficients import basal_from_cover, full_stand
from aanplant.water.rooting import by_age, rooted_across, rooted_share
from aanplant.water.years import PLACES, WaterYears

Array = NDArray[np.float64]
FIRST_LEAVES = 0.2
"""Share of the season's leaves that stand when the first stage ends (judgement)."""


@dataclass(frozen=True)
class VineDemand:
    """Water that vines take with enough of it, arrays of shape (366, n_years, n_ages) by day.

    Parameters
    ----------
    cover, height_m, rooted : ndarray, shape (n_ages,)
        Shade at noon in midsummer, height, and the share of the ground that roots fill, from
        the first year of age to full bearing. [-, m, -]
    across : ndarray, shape (n_ages,)
        Share of the width between rows that roots fill. [-]
    leaves : ndarray, shape (366,)
        Share of the season's leaves on each day. [-]
    basal : ndarray
        Coefficient of the vines alone, over the whole ground. [-]
    use_mm : ndarray
        Water of the vines alone, over the whole ground. [mm]
    area_per_vine_m2 : float
        [m2]
    peak_days : int
        Length of the thirstiest spell.
    peak_mm : ndarray, shape (n_years, n_ages)
        Its mean daily use in each year. [mm/d]
    """

    cover: Array
    height_m: Array
    rooted: Array
    across: Array
    leaves: Array
    basal: Array
    use_mm: Array
    area_per_vine_m2: float
    peak_days: int
    peak_mm: Array

    @property
    def ages(self) -> int:
        """Years of age told apart; the last is full bearing."""
        return len(self.cover)

    def peak_at(self, assurance: float) -> Array:
        """Peak that so large a share of years does not pass, shape (n_ages,). [mm/d]."""
        return np.asarray(np.quantile(self.peak_mm, assurance, axis=0))

    def litres_per_vine(self, depth_mm: Array | float) -> Array:
        """Turn a depth over the ground into litres a vine. [L]."""
        return np.asarray(depth_mm) * self.area_per_vine_m2


def vine_demand(brief: Brief, years: WaterYears) -> VineDemand:
    """Reckon what vines of each age drink in every year of the weather.

    Parameters
    ----------
    brief : Brief
        What is asked: ``demand`` and the spacing.
    years : WaterYears
        Weather, year beside year.

    References
    ----------
    .. [1] Allen, Pereira (2009), Irrigation Science 28: 17-34, without the evaporation of bare
       ground, which is no vine's litres.
    """
    rules, vines = brief.demand, brief.vines
    ages = len(rules.cover_by_year)
    cover, height = by_age(rules.cover_by_year, ages), by_age(rules.height_by_year, ages)
    width = by_age(rules.root_width_by_year, ages)
    start = years.place(bud_break_of(brief, is_south=years.is_south))
    leaves, stomatal = leaf_course(
        start, rules.stages, full_leaf=rules.full_leaf, ageing_leaf=rules.ageing_leaf
    )
    full = full_stand(
        height,
        stomatal[:, None, None],
        years.wind_m_s[:, :, None],
        years.least_humidity_pct[:, :, None],
    )
    basal = basal_from_cover(leaves[:, None, None] * cover, height, full)
    use = basal * years.et0_mm[:, :, None]
    return VineDemand(
        cover,
        height,
        rooted_share(width, row_width_m=vines.row_width, vine_spacing_m=vines.vine_spacing),
        rooted_across(width, row_width_m=vines.row_width),
        leaves,
        basal,
        use,
        vines.row_width * vines.vine_spacing,
        rules.peak_days,
        peak_of(use, rules.peak_days),
    )


def leaf_course(
    bud_break: int, stages: tuple[int, ...], *, full_leaf: float, ageing_leaf: float
) -> tuple[Array, Array]:
    """Leaves and the openness of their pores over a year, each of shape (366,).

    Leaves grow from bud-break to the end of the growth stage and stand to leaf fall; the
    pores stay open until the leaves age, then close on a straight line.

    Parameters
    ----------
    bud_break : int
        Place of the day in the year.
    stages : tuple of int, length 4
        First leaves, growth, full leaf, ageing. [d]
    full_leaf, ageing_leaf : float
        Openness in full leaf, and at leaf fall. [-]

    Returns
    -------
    tuple of ndarray
        Share of the season's leaves, and openness. [-]
    """
    first, growth, middle, _ = np.cumsum(stages)
    fall = int(np.sum(stages))
    since = np.arange(PLACES, dtype=np.float64) - bud_break
    since = np.where(since < 0.0, since + PLACES, since)
    leaves = np.interp(since, [0.0, first, growth], [0.0, FIRST_LEAVES, 1.0])
    stomatal = np.interp(since, [middle, fall], [full_leaf, ageing_leaf])
    return np.where(since < fall, leaves, 0.0), stomatal


def peak_of(daily: Array, days: int) -> Array:
    """Largest mean of so many days on end, along axis 0; shape of the other axes."""
    sums = np.concatenate([np.zeros((1, *daily.shape[1:])), daily.cumsum(axis=0)])
    return np.asarray((sums[days:] - sums[:-days]).max(axis=0) / days)
