"""Shelter against frost and wind: what each way would have spared, and what it takes."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aanplant import tables
from aanplant.brief.climate import ProtectionRules
from aanplant.site.frost import FEWEST_YEARS
from aanplant.site.planting_window import day_in, later
from aanplant.site.seasons import Values

M3_HA_PER_MM = 10.0
SPRING_DAYS = 120
"""Days after bud-break in which frost is counted."""


@dataclass(frozen=True, slots=True)
class FrostOption:
    """One way to lose less to frost.

    Parameters
    ----------
    option : str
        Name, as in ``frost_options.csv``.
    damage_years : int
        Years with frost damage, had it been there.
    avoided_years : int
        Years that it would have spared.
    water_flow_m3_h_ha : float
        Water while it runs. [m3/h a hectare]
    water_worst_m3_ha : float
        Water in the year with most frost nights. [m3/ha]
    number : float
        Machines, or hectares under sprinklers; 0 for what is neither.
    cost : float
        In the estate's currency; nan where no price is given.
    source : str
        Source id of what it can do.
    """

    option: str
    damage_years: int
    avoided_years: int
    water_flow_m3_h_ha: float
    water_worst_m3_ha: float
    number: float
    cost: float
    source: str


@dataclass(frozen=True, slots=True)
class FrostDamage:
    """Frost after bud-break in the record, and the ways to have less of it.

    Parameters
    ----------
    years : int
        Springs that are known.
    damage_years : int
        Springs with frost after bud-break, nothing being done.
    options : tuple of FrostOption
        By table order; empty when too few springs are known.
    """

    years: int
    damage_years: int
    options: tuple[FrostOption, ...]


@dataclass(frozen=True, slots=True)
class Windbreak:
    """Room that a windbreak takes and shelter that it gives, by its height.

    Parameters
    ----------
    sheltered_m : float
        Depth of the shelter behind it. [m]
    roots_m : float
        Distance within which its roots take from the vines. [m]
    shade_m : float
        Length of its shadow at noon at the equinox, on the side away from the sun. [m]
    clearance_m : float
        The greater of the two. [m]
    """

    sheltered_m: float
    roots_m: float
    shade_m: float
    clearance_m: float


def frost_nights(
    tmin_c: Values,
    first_day: np.datetime64,
    year: int,
    *,
    bud_break: str,
    threshold_c: float,
    is_south: bool,
) -> int | None:
    """Nights with frost in the 120 days from bud-break; None when the record doesn't cover them."""
    start = int((day_in(bud_break, year, is_south=is_south) - first_day).astype(int))
    if start < 0 or start + SPRING_DAYS > len(tmin_c):
        return None
    nights = tmin_c[start : start + SPRING_DAYS]
    return None if np.isnan(nights).any() else int((nights <= threshold_c).sum())


def frost_damage(
    tmin_c: Values,
    first_day: np.datetime64,
    years: NDArray[np.int64],
    *,
    bud_break: str,
    threshold_c: float,
    is_south: bool,
    area_ha: float,
    prices: ProtectionRules,
) -> FrostDamage:
    """Count years with frost after bud-break, without and with each way of protection.

    Parameters
    ----------
    tmin_c : ndarray, shape (n,)
        Lowest temperature in the coldest place, day by day from ``first_day``. [°C]
    first_day : datetime64[D]
        Day of ``tmin_c[0]``.
    years : ndarray of int
        Harvest years to look at.
    bud_break : str
        Month and day.
    threshold_c : float
        Green growth is damaged at or below this. [°C]
    is_south : bool
        Hemisphere.
    area_ha : float
        Area to protect. [ha]
    prices : ProtectionRules
        Prices, None where not known.
    """

    def nights(start: str, limit_c: float) -> list[int]:
        counted = (
            frost_nights(
                tmin_c, first_day, int(year), bud_break=start, threshold_c=limit_c,
                is_south=is_south,
            )
            for year in years
        )  # fmt: skip
        return [count for count in counted if count is not None]

    bare = nights(bud_break, threshold_c)
    damaged = sum(count > 0 for count in bare)
    if len(bare) < FEWEST_YEARS:
        return FrostDamage(len(bare), damaged, ())
    price_of = {"wind machine": prices.wind_machine_price, "overhead water": prices.overhead_price}
    options = []
    for row in tables.rows("frost_options.csv"):
        start = later(bud_break, int(row["later_days"]), is_south=is_south)
        left = sum(count > 0 for count in nights(start, threshold_c - float(row["warmer_c"])))
        number = (
            math.ceil(area_ha / float(row["serves_ha"]))
            if row["serves_ha"]
            else area_ha * (float(row["water_mm_h"]) > 0.0)
        )
        price = price_of.get(row["option"])
        flow = M3_HA_PER_MM * float(row["water_mm_h"])
        options.append(
            FrostOption(
                row["option"],
                left,
                damaged - left,
                flow,
                flow * float(row["hours_a_night"]) * max(bare),
                number,
                number * (math.nan if price is None else price),
                row["source"],
            )
        )
    return FrostDamage(len(bare), damaged, tuple(options))


def windbreak(height_m: float, latitude_deg: float) -> Windbreak:
    """Say how far a windbreak shelters and how far vines should stand from it.

    Parameters
    ----------
    height_m : float
        Grown. [m]
    latitude_deg : float
        For the length of its shadow. [deg]
    """
    times = {row["rule"]: float(row["times_height"]) for row in tables.rows("windbreak_rules.csv")}
    shade_m = height_m * float(np.tan(np.radians(abs(latitude_deg))))
    roots_m = height_m * times["roots"]
    return Windbreak(height_m * times["shelter"], roots_m, shade_m, max(roots_m, shade_m))
