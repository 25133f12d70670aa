"""How long the roots of vines are out of store and ground: warming up, soaking, waiting."""

import math
from collections.abc import Sequence
from datetime import date, datetime, time, timedelta

from aanplant.brief import Brief
from aanplant.work.nursery_dates import warm_up
from aanplant.work.nursery_order import shared_out
from aanplant.work.planting_day import Soak
from aanplant.work.planting_pace import Pace

DAY_H = 24.0


def warm_up_days(brief: Brief, day: date, *, is_south: bool) -> int:
    """Days that vines planted on a day stand in the warm before it. [d]."""
    rules = brief.planting
    if not rules.warm_up or rules.keep != "cold store" or brief.climate.plant_form != "dormant":
        return 0
    steps = sorted(warm_up(is_south=is_south), key=lambda step: step.until)
    # Dates run round the year: the first step begins half a year before its day of the year.
    first = min(steps, key=lambda step: step.days)
    order = sorted(steps, key=lambda step: (step.until < first.until, step.until))
    today = day.strftime("%m-%d")
    for step in order:
        if _round(today, first.until) <= _round(step.until, first.until):
            return step.days
    return order[-1].days


def days_between(brief: Brief, day: date, *, is_south: bool) -> int:
    """Days between the day of receiving vines and that of planting them, -1 on the same. [d]."""
    if brief.planting.keep == "none":
        return -1
    return warm_up_days(brief, day, is_south=is_south)


def _round(month_day: str, first: str) -> tuple[bool, str]:
    """Order days of the year from half a year before ``first`` on."""
    month = int(first[:2])
    begins = f"{(month + 5) % 12 + 1:02d}-{first[3:]}"
    return month_day < begins, month_day


def soak_times(brief: Brief, pace: Pace, day: date, vines: int) -> tuple[Soak, ...]:
    """When the vines of a day go into water, so that none lies in it too long or too short.

    They go in when work ends on the day before, where that is neither too long nor too
    short for any of them; else as late as may be. Where the day is longer than longest less
    shortest soak, they go in in turns.

    Parameters
    ----------
    brief : Brief
        ``nursery.soaking`` is the longest time.
    pace : Pace
        Hours of work and the shortest time.
    day : date
        The day of planting.
    vines : int
        Planted on it.
    """
    longest, shortest, hours = brief.nursery.soaking, pace.least_soak_h, pace.hours
    if longest <= 0.0:
        return ()
    shortest = min(shortest, longest / 2.0)
    turns = max(1, math.ceil(hours / (longest - shortest) - 1e-9))
    begins = datetime.combine(day, time()) + timedelta(hours=brief.planting.start_hour)
    evening = begins + timedelta(hours=hours - DAY_H)
    found = []
    for turn, count in enumerate(shared_out(vines, [1.0] * turns)):
        plant_from = begins + timedelta(hours=hours * turn / turns)
        until = begins + timedelta(hours=hours * (turn + 1) / turns)
        earliest = until - timedelta(hours=longest)
        latest = plant_from - timedelta(hours=shortest)
        start = evening if earliest <= evening <= latest else latest
        most = min(longest, brief.planting.longest_out)
        found.append(Soak(count, start, plant_from, until, start + timedelta(hours=most)))
    return tuple(found)


def longest_wait_h(
    brief: Brief, arrives: date, soaks: Sequence[Soak], day: date, hours: float
) -> float:
    """Longest time from store, heap or, without either, the lorry in the morning, to the ground.

    Parameters
    ----------
    brief : Brief
        Where vines are kept.
    arrives : date
        Day on which the lorry came.
    soaks : sequence of Soak
        Of the day.
    day : date
        The day of planting, in usual weather.
    hours : float
        Of work in a day. [h]
    """
    if brief.planting.keep != "none":
        if not soaks:
            return 0.0
        return max((soak.until - soak.start).total_seconds() for soak in soaks) / 3600.0
    return (day - arrives).days * DAY_H + hours


def roots_until(brief: Brief, arrives: date, soaks: Sequence[Soak], day: date) -> datetime:
    """Hour after which no root may be out of the ground: of the soak, and of the lorry.

    Parameters
    ----------
    brief : Brief
        How long roots may be out.
    arrives : date
        Day on which the lorry came.
    soaks : sequence of Soak
        Of the day.
    day : date
        The day of planting.
    """
    allowed = timedelta(hours=brief.planting.longest_out)
    opening = timedelta(hours=brief.planting.start_hour)
    until = max(
        (soak.latest for soak in soaks), default=datetime.combine(day, time()) + opening + allowed
    )
    if brief.planting.keep != "none":
        return until
    return min(until, datetime.combine(arrives, time()) + opening + allowed)
