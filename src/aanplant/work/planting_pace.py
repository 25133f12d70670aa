"""How many vines a day can be planted: by the crew, by the soaking basins, and by the water."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from aanplant import tables
from aanplant.brief import Brief
from aanplant.working import Input, Working

TABLE = "planting_methods.csv"
CREW_PACE = "work.planting_pace_crew"
WATER_PACE = "work.planting_pace_water"
SECONDS_PER_HOUR = 3600.0
MACHINES = ("towed planter", "guided planter")
"""Methods whose pace hangs on the machine, not on the number of people."""
WITH_HOLES = ("spade", "auger")


@dataclass(frozen=True, slots=True)
class Pace:
    """Vines a day, and what holds them there.

    Parameters
    ----------
    vines_per_day : int
        The least of what follows. [vines/d]
    crew, basin, water : int or None
        What each could pass in a day; None where it sets no limit. [vines/d]
    low, high : int or None
        Ends of the table's range for the crew, None where the pace was given. [vines/d]
    least_soak_h : float
        Shortest time in water. [h]
    hours : float
        Of work in a day. [h]
    figures : tuple of Working
        Behind them.
    """

    vines_per_day: int
    crew: int
    basin: int | None
    water: int | None
    low: int | None
    high: int | None
    least_soak_h: float
    hours: float
    figures: tuple[Working, ...]

    def days(self, vines: int, *, crews: int = 1) -> int:
        """Whole days in which so many vines are planted, by so many crews like this one."""
        limits = [self.crew * crews, *(one for one in (self.basin, self.water) if one is not None)]
        return days_to_plant(vines, max(1, min(limits)), 1)

    @property
    def neck(self) -> str:
        """What sets the pace: crew, basin or water."""
        named = {"crew": self.crew, "basin": self.basin, "water": self.water}
        return min(
            (name for name, value in named.items() if value is not None),
            key=lambda name: named[name] or 0,
        )


def method_row(method: str, subject: str) -> Mapping[str, str] | None:
    """Return the first row on a method, the one that counts; None where the table has none."""
    return next(
        (
            row
            for row in tables.rows(TABLE)
            if row["method"] == method and row["subject"] == subject
        ),
        None,
    )


def days_to_plant(vines: int, rate: float, workers: int) -> int:
    """Whole days that planting takes.

    Parameters
    ----------
    vines : int
        To plant. [vines]
    rate : float
        Of one worker. [vines/d]
    workers : int
        Who plant.
    """
    return math.ceil(vines / (rate * workers) - 1e-9)


def pace_of(
    brief: Brief,
    *,
    hours: float,
    sets: int,
    vines: Working,
    vine_flow: Working,
    norm: float | None = None,
) -> Pace:
    """Work out the pace of planting.

    Parameters
    ----------
    brief : Brief
        Its sections ``planting``, ``nursery``, ``work``, ``water`` and ``first_season``.
    hours : float
        Of work in a day. [h]
    sets : int
        Sets of the irrigation, 0 where no system is planned.
    vines : Working
        In the block. [vines]
    vine_flow : Working
        Of the drippers of one vine. [L/h]
    norm : float, optional
        Person-hours of planting one vine where the estate has its own; those of the table
        when left out. [h]
    """
    crew, low, high = _crew_pace(brief, hours, norm)
    soak = least_soak(brief)
    made = [crew]
    basin = _basin_pace(brief, soak, hours) if brief.planting.basin else None
    if brief.first_season.by == "tanker":
        water: Working | None = _tanker_pace(brief, hours)
    else:
        water = _sets_pace(brief, sets, vines, vine_flow) if sets else None
    made += [each for each in (basin, water) if each is not None]
    pace = Working(
        "work.planting_pace",
        max(1, math.floor(min(float(each.value) for each in made) + 1e-9)),
        "vines/d",
        tuple(each.as_input(each.key.removeprefix("work.planting_pace_")) for each in made),
        "arithmetic",
    )
    return Pace(
        int(pace.value),
        int(crew.value),
        None if basin is None else int(basin.value),
        None if water is None else int(water.value),
        low,
        high,
        float(soak.value),
        hours,
        (*made, pace),
    )


def least_soak(brief: Brief) -> Input:
    """Shortest time that roots lie in water. [h]."""
    if brief.planting.least_soak is not None:
        return brief.as_input("planting.least_soak", "least_soak")
    row = method_row(brief.planting.method, "hours of soaking")
    hours = float(row["high"]) if row else 0.0
    return Input("least_soak", hours, "h", f"table:{TABLE}", row["source"] if row else "practice")


def _crew_pace(
    brief: Brief, hours: float, norm: float | None
) -> tuple[Working, int | None, int | None]:
    """Pace of the crew, and the ends of the table's range where the table gives it."""
    rules, crew = brief.planting, brief.work.crew
    if brief.nursery.planting_rate:
        given = brief.as_input("nursery.planting_rate", "planting_rate")
        return (
            Working(
                CREW_PACE, given.value, "vines/d", (given,), "arithmetic", message="work.pace_given"
            ),
            None,
            None,
        )
    by_machine = rules.method in MACHINES
    if norm and rules.rate is None and not by_machine:
        people = brief.as_input("work.crew", "crew")
        own = Input("hours_per_vine", norm, "h", "file:estate.toml")
        value = max(1, math.floor(crew * hours / norm + 1e-9))
        figure = Working(CREW_PACE, value, "vines/d", (people, _hours(hours), own), "arithmetic",
                         message="work.pace_by_norm")  # fmt: skip
        return (figure, None, None)
    row = method_row(rules.method, "rate of a machine" if by_machine else "rate of a worker")
    if row is None:
        raise ValueError(f"no rate for planting by {rules.method}")
    low, high = float(row["low"]), float(row["high"])
    rate = (
        Input("rate", (low + high) / 2.0, "vines/d", f"table:{TABLE}", row["source"])
        if rules.rate is None
        else brief.as_input("planting.rate", "rate")
    )
    number = rules.machines if by_machine else crew
    value = math.floor(float(rate.value) * number)
    ends = (int(low * number), int(high * number)) if rules.rate is None else (None, None)
    source = rate.source or "arithmetic"
    if by_machine:
        inputs = (brief.as_input("planting.machines", "machines"), rate)
        figure = Working(CREW_PACE, value, "vines/d", inputs, source, message="work.pace_machines")
    else:
        inputs = (brief.as_input("work.crew", "crew"), rate)
        figure = Working(CREW_PACE, value, "vines/d", inputs, source, message="work.pace_workers")
    return (figure, *ends)


def basin_pace(basin: float, least_soak_h: float, hours: float) -> int:
    """Vines that pass through soaking basins in a day of work. [vines/d].

    The basins are full in the morning. Where a soak is shorter than the day, room that
    comes free is filled again, and as many vines pass as full basins fit in the day.
    """
    turns = hours / least_soak_h if least_soak_h > 0.0 else math.inf
    return math.floor(min(basin * max(1.0, turns), 1e9) + 1e-9)


def _basin_pace(brief: Brief, soak: Input, hours: float) -> Working:
    basin = brief.as_input("planting.basin", "basin")
    return Working(
        "work.planting_pace_basin",
        basin_pace(float(basin.value), float(soak.value), hours),
        "vines/d",
        (basin, soak, _hours(hours)),
        "arithmetic",
    )


def tanker_pace(
    litres: float, load: float, trip_hours: float, vine_seconds: float, hours: float
) -> int:
    """Vines that one tanker waters in a day of work. [vines/d].

    Parameters
    ----------
    litres : float
        For a vine. [L]
    load : float
        What the tanker carries. [L]
    trip_hours : float
        To fill, drive and come back. [h]
    vine_seconds : float
        To water one vine. [s]
    hours : float
        Of work in a day. [h]
    """
    vines_a_load = load / litres
    return math.floor(
        vines_a_load * hours / (trip_hours + vines_a_load * vine_seconds / SECONDS_PER_HOUR) + 1e-9
    )


def _tanker_pace(brief: Brief, hours: float) -> Working | None:
    rules, litres = brief.first_season, brief.water.at_planting
    if litres <= 0.0:
        return None
    one = tanker_pace(litres, rules.tanker, rules.trip_hours, rules.vine_seconds, hours)
    return Working(
        WATER_PACE,
        one * brief.planting.tankers,
        "vines/d",
        (
            brief.as_input("planting.tankers", "tankers"),
            brief.as_input("water.at_planting", "litres"),
            brief.as_input("first_season.tanker", "load"),
            brief.as_input("first_season.trip_hours", "trip_hours"),
            brief.as_input("first_season.vine_seconds", "vine_seconds"),
            _hours(hours),
        ),
        "arithmetic",
        message="work.pace_tankers",
    )


def _sets_pace(brief: Brief, sets: int, vines: Working, vine_flow: Working) -> Working | None:
    """Vines that can be watered in the hours in which sets may run, one after the other."""
    litres, flow = brief.water.at_planting, float(vine_flow.value)
    if litres <= 0.0 or flow <= 0.0:
        return None
    turns = math.floor(brief.planting.water_hours * flow / litres + 1e-9)
    return Working(
        WATER_PACE,
        max(1, math.floor(turns * float(vines.value) / sets)),
        "vines/d",
        (
            brief.as_input("planting.water_hours", "water_hours"),
            vine_flow.as_input("vine_flow"),
            brief.as_input("water.at_planting", "litres"),
            vines.as_input("vines"),
            Input("sets", sets, "", "measured"),
        ),
        "arithmetic",
        message="work.pace_sets",
    )


def _hours(hours: float) -> Input:
    return Input("hours_of_work", hours, "h", "file:estate.toml")
