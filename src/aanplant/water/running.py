"""Running the system: the sets' hours on a day of the peak, and their minutes week by week."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aanplant.brief import Brief
from aanplant.brief.vine_water import DAY_H, free_hours, powered, powered_hours
from aanplant.water.application import longest_interval_d, most_net_depth_mm, sets_in_a_day
from aanplant.water.designed import DesignedSystem
from aanplant.water.needs import WaterNeeds
from aanplant.water.running_advice import running_advice
from aanplant.water.schedule import Run, in_turn
from aanplant.working import Finding, Input, Working

Values = NDArray[np.float64]
Whole = NDArray[np.int64]
MINUTES = 60.0


@dataclass(frozen=True)
class Running:
    """When which set runs.

    Parameters
    ----------
    age : int
        Year of age of the thirstiest peak, the first being 0; its day is scheduled.
    hours_each : float
        That every set runs on that day. [h]
    turn_every : int or None
        Days from one turn of the canal to the next, where no store carries water between; a set
        then runs the hours of all of them in its turn. [d]
    runs : tuple of Run
        Spells of that day, in order; empty where the turns say when there is water.
    free_h : float
        Hours of a day in which water may run. [h]
    week : tuple of str
        First day of each week of the first season; empty where a tanker waters.
    minutes : ndarray, shape (n_weeks, n_sets)
        That each set runs in that week, by its main soil zone. [min]
    waterings : ndarray of int, shape (n_weeks, n_sets)
        Into how many runs they are parted.
    figures, findings
        What is to be said.
    """

    age: int
    hours_each: float
    turn_every: int | None
    runs: tuple[Run, ...]
    free_h: float
    week: tuple[str, ...]
    minutes: Values
    waterings: Whole
    figures: tuple[Working, ...]
    findings: tuple[Finding, ...]


def run_sets(brief: Brief, system: DesignedSystem, needs: WaterNeeds) -> Running:
    """Schedule the day of the peak, and the first season week by week.

    Parameters
    ----------
    brief : Brief
        Gives ``watering``: the time of the first set, the hours, and when there is no power.
    system : DesignedSystem
        Its sets.
    needs : WaterNeeds
        What the vines need.
    """
    rules, age = brief.watering, needs.thirstiest
    sets, hours = len(system.system.sets), float(needs.set_hours[age])
    runs = in_turn(sets, hours, powered(rules.starts_at, rules.no_power), DAY_H)
    turn_every = None if needs.bridges_turns(age, brief.water.storage) else rules.turn_every
    # Soils follow the zones; where there are none, the one soil serves all sets.
    zone = np.minimum(np.maximum(system.system.sets.zone, 0), len(needs.soils) - 1)
    first = needs.first
    by_dripper = first.by == "dripper"
    minutes = (MINUTES * first.hours_each * first.waterings)[:, zone]
    return Running(
        age,
        hours,
        turn_every,
        runs if turn_every is None else (),
        free_hours(rules),
        first.week if by_dripper else (),
        minutes if by_dripper else np.zeros((0, sets)),
        first.waterings[:, zone] if by_dripper else np.zeros((0, sets), np.int64),
        _figures(brief, sets, hours, needs),
        running_advice(brief, system, needs, runs),
    )


def _figures(brief: Brief, sets: int, hours: float, needs: WaterNeeds) -> tuple[Working, ...]:
    rules, age = brief.watering, needs.thirstiest
    each = Input("set_hours", hours, "h/d", f"figure:water.set_hours.year_{age + 1}")
    free = (
        brief.as_input("watering.hours_a_day"),
        Input("powered_hours", powered_hours(rules), "h", "brief:watering.no_power"),
    )
    made = [
        Working(
            "water.day_hours",
            sets * hours,
            "h/d",
            (Input("sets", sets, "", "figure:water.sets"), each),
            "arithmetic",
        ),
        Working(
            "water.sets_a_day",
            sets_in_a_day(free_hours(rules), hours),
            "",
            (*free, each),
            "arithmetic",
        ),
    ]
    return (*made, _interval(brief, needs)) if rules.rule == "deficit" else tuple(made)


def _interval(brief: Brief, needs: WaterNeeds) -> Working:
    """Days that the easily had water lasts on the peak, in the soil that holds least."""
    age = needs.thirstiest
    soil = min(needs.soils, key=lambda one: float(one.available_mm[age]))
    rooted, held = float(needs.demand.rooted[age]), float(soil.available_mm[age])
    easy, peak = brief.demand.easy_share, float(needs.peak_mm[age])
    depth = most_net_depth_mm(brief.watering.trigger * easy, rooted, held)
    return Working(
        "water.longest_interval",
        longest_interval_d(depth, peak),
        "d",
        (
            brief.as_input("watering.trigger"),
            brief.as_input("demand.easy_share"),
            Input("rooted", rooted, "", "brief:demand.root_width_by_year"),
            Input("available", held, "mm", "measured"),
            Input("peak", peak, "mm/d", f"figure:water.peak.year_{age + 1}"),
        ),
        "arithmetic",
        about=soil.name,
    )
