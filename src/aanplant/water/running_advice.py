"""Whether the day of the peak holds all sets; by how much not, and the nearest change."""

import math
from collections.abc import Sequence

import numpy as np

from aanplant.brief import Brief
from aanplant.brief.vine_water import DAY_H, clock_h, free_hours, powered_hours
from aanplant.water.application import sets_in_a_day
from aanplant.water.designed import DesignedSystem
from aanplant.water.emitters import LITRES_PER_HOUR
from aanplant.water.needs import WaterNeeds
from aanplant.water.schedule import Run
from aanplant.water.system_figures import M3_H
from aanplant.working import Finding, Level, Value

Values = dict[str, Value | tuple[Value, str]]
MINUTES = 60
_SLACK_H = 1e-6


def running_advice(
    brief: Brief, system: DesignedSystem, needs: WaterNeeds, runs: Sequence[Run]
) -> tuple[Finding, ...]:
    """Say how the sets run on a day of the peak.

    Parameters
    ----------
    brief : Brief
        Gives the hours in which water may run.
    system : DesignedSystem
        Its sets and the flow there is.
    needs : WaterNeeds
        Hours of each set.
    runs : sequence of Run
        Of that day.
    """
    rules, age = brief.watering, needs.thirstiest
    sets, each = len(system.system.sets), float(needs.set_hours[age])
    taken, free, day = sets * each, free_hours(rules), powered_hours(rules)
    values: Values = {
        "sets": sets,
        "each": (round(each, 1), "h"),
        "taken": (round(taken, 1), "h"),
        "free": (round(free, 1), "h"),
        "age": age + 1,
    }
    if rules.turn_every is not None and not needs.bridges_turns(age, brief.water.storage):
        return (_on_turns(brief, values, taken, day),)
    if taken <= free + _SLACK_H:
        values |= {
            "start": time_of_day(rules.starts_at, runs[0].start_h),
            "end": time_of_day(rules.starts_at, runs[-1].end_h),
            "spare": (round(max(free - taken, 0.0), 1), "h"),
        }
        return (_found("note", "running.peak_day", values),)
    values["short"] = (round(taken - free, 1), "h")
    if taken <= day + _SLACK_H:
        values["hours"] = (math.ceil(taken * 10.0) / 10.0, "h")
        return (_found("care", "running.more_hours", values),)
    fewer = sets_in_a_day(day, each)
    if not fewer:
        now = system.law.flow_m3_s / LITRES_PER_HOUR
        values |= {
            "day": (round(day, 1), "h"),
            "now": (now, "L/h"),
            "hours": (math.ceil(min(taken, DAY_H) * 10.0) / 10.0, "h"),
        }
        return (_found("stop", "running.drippers_slow", values),)
    flow = _largest_of(system, fewer)
    values |= {"fewer": fewer, "flow": (math.ceil(flow * M3_H * 10.0) / 10.0, "m3/h")}
    if flow <= system.system.flow_limit_m3_s:
        return (_found("stop", "running.fewer_sets", values),)
    values["share"] = (math.floor(100.0 * fewer / sets), "%")
    return (_found("stop", "running.too_much", values),)


def _on_turns(brief: Brief, values: Values, taken: float, day: float) -> Finding:
    """Say what a turn of the canal must bring, where no store carries water to the days between."""
    rules = brief.watering
    every, turn = rules.turn_every or 1, rules.turn_hours or 0.0
    # A turn over several days loses the hours without power on each.
    there = min(turn, day) if turn <= DAY_H else turn * day / DAY_H
    needed = every * taken
    values |= {
        "every": every,
        "turn": (round(turn, 1), "h"),
        "needed": (math.ceil(needed * 10.0) / 10.0, "h"),
        "usable": (round(there, 1), "h"),
    }
    if needed <= there + _SLACK_H:
        return _found("care", "running.turn_days", values)
    values |= {
        "short": (math.ceil((needed - there) * 10.0) / 10.0, "h"),
        "share": (math.floor(100.0 * there / needed), "%"),
    }
    return _found("stop", "running.turn_too_short", values)


def _largest_of(system: DesignedSystem, sets: int) -> float:
    """Return what the largest of so many even sets of whole rows takes at most. [m3/s]."""
    laterals = system.system.laterals
    row = int(np.bincount(laterals.piece, laterals.emitters).max()) * system.law.flow_m3_s
    mean = float(system.system.sets.flow_m3_s.sum()) / sets
    return mean if sets == 1 else mean + row


def time_of_day(starts_at: str, hours: float) -> str:
    """Write the time so many hours after a time of day, such as "21:20"."""
    minutes = round((clock_h(starts_at) + hours) * MINUTES) % round(DAY_H * MINUTES)
    return f"{minutes // MINUTES:02d}:{minutes % MINUTES:02d}"


def _found(level: Level, message: str, values: Values) -> Finding:
    return Finding("water", level, message, values, "water.day_hours", "arithmetic")
