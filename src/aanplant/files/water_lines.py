"""The water of a block as lists: one line a year of age, one line a week of the first season."""

import math
from typing import Any

import numpy as np

from aanplant.water.needs import WaterNeeds

Table = list[dict[str, Any]]
QUANTILES = (0.1, 0.5, 0.9)


def water_tables(needs: WaterNeeds) -> dict[str, Table]:
    """Return ``water_by_age`` and ``water_weeks``; what isn't known is null."""
    return {"water_by_age": _by_age(needs), "water_weeks": _weeks(needs)}


def _by_age(needs: WaterNeeds) -> Table:
    drawn, right = needs.season.drawn_m3, needs.right
    low, middle, high = np.quantile(drawn, QUANTILES, axis=0)
    drunk = needs.demand.litres_per_vine(needs.peak_mm)
    stress = needs.season.stress_days_at(QUANTILES[-1]).max(axis=1)
    return [
        {
            "age": age + 1,
            "is_full_bearing": age == needs.demand.ages - 1,
            "cover": float(needs.demand.cover[age]),
            "peak_mm_d": float(needs.peak_mm[age]),
            "peak_drunk_l": float(drunk[age]),
            "peak_vine_l": float(needs.peak_litres[age]),
            "peak_block_m3_d": float(needs.peak_m3_d[age]),
            "set_hours": float(needs.set_hours[age]),
            "peak_hours": None if needs.peak_hours is None else float(needs.peak_hours[age]),
            "season_m3_10": float(low[age]),
            "season_m3_50": float(middle[age]),
            "season_m3_90": float(high[age]),
            "stress_days_90": float(stress[age]),
            "right_left_m3": None if right is None else right.left_m3,
            "share_of_years_enough": None if right is None else float(right.probability[age]),
            "worst_year_short_m3": None if right is None else float(right.worst_m3[age]),
            "dry_decade_m3": None if right is None else _known(float(right.decade_m3[age])),
            "turn_store_m3": (
                None if needs.turn_store_m3 is None else float(needs.turn_store_m3[age])
            ),
        }
        for age in range(needs.demand.ages)
    ]


def _weeks(needs: WaterNeeds) -> Table:
    """One line a week and soil zone, the zone null where there are none."""
    first = needs.first
    return [
        {
            "week": day,
            "zone": soil.name or None,
            "rain_mm": float(first.rain_mm[week]),
            "litres_a_vine": float(first.litres[week, zone]),
            "waterings": int(first.waterings[week, zone]),
            "hours_each": _known(float(first.hours_each[week, zone])),
            "block_m3": float(first.volume_m3[week]),
            "tanker_trips": int(first.trips[week]),
            "tanker_hours": float(first.tanker_hours[week]),
        }
        for week, day in enumerate(first.week)
        for zone, soil in enumerate(needs.soils)
    ]


def _known(value: float) -> float | None:
    return None if math.isnan(value) else value
