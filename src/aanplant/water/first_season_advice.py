"""What a manager must know of the first season's water."""

import math
from collections.abc import Iterator

import numpy as np

from aanplant.brief import Brief
from aanplant.site.texture import WHOLE_PCT
from aanplant.water.first_season import WEEK_D
from aanplant.water.needs import WaterNeeds
from aanplant.water.right import MONTHS, months_of
from aanplant.working import Finding, Value

Values = dict[str, Value | tuple[Value, str]]
GROWERS_WEEK_L = (20.0, 30.0)
"""Litres that growers give a young vine in a week of its first summer (from memory)."""


def drawn_m3(brief: Brief, at_vines_m3: float) -> float:
    """Return the water to draw at the source for so much at the vines. [m3]."""
    return at_vines_m3 / (1.0 - brief.watering.losses)


def first_season_advice(brief: Brief, needs: WaterNeeds) -> Iterator[Finding]:
    """Yield what to know of the first season.

    Parameters
    ----------
    brief : Brief
        What is asked.
    needs : WaterNeeds
        What the vines need.
    """
    yield _plan_of(brief, needs)
    yield from _first_litres(needs)
    yield from _first_season_outside(brief, needs)


def _plan_of(brief: Brief, needs: WaterNeeds) -> Finding:
    first = needs.first
    week, zone = (
        int(at) for at in np.unravel_index(int(first.litres.argmax()), first.litres.shape)
    )
    values: Values = {
        "planted": (first.planted, "month-day"),
        "planting": (round(first.planting_m3), "m3"),
        "litres": (round(first.planting_litres, 1), "L"),
        "planting_hours": (round(first.planting_hours, 1), "h"),
        "total": (round(first.total_m3(brief.demand.peak_assurance)), "m3"),
        "assurance": (round(WHOLE_PCT * brief.demand.peak_assurance, 1), "%"),
        "weeks": (round(float(first.volume_m3.sum())), "m3"),
        "weekly": (round(WHOLE_PCT * brief.first_season.assurance, 1), "%"),
        "week": (first.week[week], "month-day"),
        "most": (round(float(first.litres[week, zone]), 1), "L"),
        "waterings": int(first.waterings[week, zone]),
        "trips": first.planting_trips,
    }
    if first.by == "dripper":
        values["hours"] = (round(float(first.hours_each[week, zone]), 1), "h")
        return Finding(
            "water",
            "note",
            "water.first_by_dripper",
            values,
            "water.first_season",
            "fao-evapotranspiration",
        )
    thirstiest = int(first.trips.argmax())
    values |= {
        "most_trips": int(first.trips[thirstiest]),
        "hours": (round(float(first.tanker_hours[thirstiest]), 1), "h"),
        "all_trips": int(first.trips.sum()) + first.planting_trips,
    }
    return Finding(
        "water",
        "note",
        "water.first_by_tanker",
        values,
        "water.first_season",
        "fao-evapotranspiration",
    )


def _first_litres(needs: WaterNeeds) -> Iterator[Finding]:
    """Drippers that give a young vine more in a week than growers do, to keep ground wet."""
    first = needs.first
    most = float(first.litres.max())
    if first.by != "dripper" or most <= GROWERS_WEEK_L[1]:
        return
    drunk = WEEK_D * float(needs.demand.litres_per_vine(needs.peak_mm)[0])
    values: Values = {
        "most": (round(most, 1), "L"),
        "drunk": (round(drunk, 1), "L"),
        "share": (round(WHOLE_PCT * drunk / most), "%"),
        "low": (GROWERS_WEEK_L[0], "L"),
        "high": (GROWERS_WEEK_L[1], "L"),
    }
    yield Finding("water", "note", "water.first_wets_ground", values, "water.peak_drunk.year_1",
                  "memory")  # fmt: skip


def _first_season_outside(brief: Brief, needs: WaterNeeds) -> Iterator[Finding]:
    """Water of the first season that falls in months in which the right gives none."""
    if brief.water.water_right is None:
        return
    counted = months_of(brief.water.right_months)
    first = needs.first
    month = np.array([int(day[:2]) for day in first.week])
    is_outside = ~counted[month - 1]
    at = brief.demand.peak_assurance
    outside, inside = (first.season_m3(at, weeks) for weeks in (is_outside, ~is_outside))
    if not counted[int(first.planted[:2]) - 1]:
        outside += first.planting_m3
    else:
        inside += first.planting_m3
    outside, inside = drawn_m3(brief, outside), drawn_m3(brief, inside)
    yield from _first_season_over(brief, inside, outside)
    if outside <= brief.water.storage:
        return
    opens = next(at + 1 for at in range(MONTHS) if counted[at] and not counted[at - 1])
    values: Values = {
        "outside": (math.ceil(outside), "m3"),
        "storage": (brief.water.storage, "m3"),
        "planted": (first.planted, "month-day"),
        "months": brief.water.right_months,
        "opens": (f"{opens:02d}-01", "month-day"),
    }
    yield Finding(
        "water", "care", "water.first_outside_months", values, "water.first_season", "arithmetic"
    )


def _first_season_over(brief: Brief, inside: float, outside_m3: float) -> Iterator[Finding]:
    """Water of the first season beside what the right leaves in its months, and the store."""
    water = brief.water
    left = max((water.water_right or 0.0) - water.committed, 0.0)
    there = left + max(water.storage - outside_m3, 0.0)
    if inside <= there or left <= 0.0:
        return
    values: Values = {
        "needed": (math.ceil(inside), "m3"),
        "there": (math.floor(there), "m3"),
        "short": (math.ceil(inside - there), "m3"),
        "assurance": (round(WHOLE_PCT * brief.demand.peak_assurance, 1), "%"),
        "share": (math.floor(WHOLE_PCT * there / inside), "%"),
    }
    yield Finding(
        "water", "stop", "water.first_over_right", values, "water.first_season_share", "arithmetic"
    )
