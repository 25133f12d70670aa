"""The sections of the brief on what vines drink: demand by year, watering, the first season."""

from typing import Annotated, Literal, Self

from pydantic import AfterValidator, Field, StringConstraints, model_validator

from aanplant.brief.climate import MonthDay
from aanplant.brief.fields import MEMORY, PRACTICE, Default, Quantity, Section, refusal

MONTHS = 12
STAGES = 4
Rule = Literal["deficit", "interval", "calendar"]
_Share = Annotated[float, Quantity("", 0.0, 1.0)]
_Height = Annotated[float, Quantity("m", 0.05, 5.0)]
_Depth = Annotated[float, Quantity("m", 0.05, 6.0)]
_Width = Annotated[float, Quantity("m", 0.1, 15.0)]
_Millimetres = Annotated[float, Quantity("mm", 0.0, 1000.0)]
DAY_H = 24.0
MINUTES = 60.0
ClockTime = Annotated[str, StringConstraints(pattern=r"^([01]\d|2[0-3]):[0-5]\d$")]
"""Time of day, such as "18:00"."""
_Days = Annotated[int, Field(ge=1, le=300)]


def _twelve(values: tuple[float, ...]) -> tuple[float, ...]:
    if values and len(values) != MONTHS:
        raise refusal(f"{len(values)} numbers", "12, January first, or none")
    return values


_ByMonth = Annotated[tuple[_Millimetres, ...], AfterValidator(_twelve)]


class DemandRules(Section):
    """How large the vines are year by year, and what that makes them drink."""

    cover_by_year: Annotated[tuple[_Share, ...], Field(min_length=1, max_length=20), PRACTICE] = (
        0.03,
        0.10,
        0.22,
        0.35,
    )
    """Share of the ground that leaves shade at noon in midsummer, from the first year on; the last
    is that of full bearing. No published table of it was found: look at your own young blocks."""
    height_by_year: Annotated[tuple[_Height, ...], Field(min_length=1, max_length=20), PRACTICE] = (
        0.5,
        1.2,
        1.8,
        1.8,
    )
    """Height of the leaves above the ground, year by year."""
    root_depth_by_year: Annotated[
        tuple[_Depth, ...], Field(min_length=1, max_length=20), PRACTICE
    ] = (0.3, 0.5, 0.8, 1.0)
    """Depth that most roots reach, year by year; never below the depth of the soil."""
    root_width_by_year: Annotated[
        tuple[_Width, ...], Field(min_length=1, max_length=20), PRACTICE
    ] = (0.6, 1.2, 2.0, 2.5)
    """Width of the ground that the roots of one vine fill, year by year."""
    stages: Annotated[
        tuple[_Days, ...], Field(min_length=STAGES, max_length=STAGES), Default("fao-56-grapes")
    ] = (30, 60, 40, 80)
    """Days from bud-break on: first leaves, growth, full leaf, ageing."""
    full_leaf: Annotated[float, Quantity("", 0.1, 1.2), Default("vine-cover")] = 0.65
    """How open the pores of wine grapes' leaves are in full leaf, a well-watered crop being 1."""
    ageing_leaf: Annotated[float, Quantity("", 0.1, 1.2), Default("vine-cover")] = 0.43
    """The same when the leaves fall."""
    easy_share: Annotated[float, Quantity("", 0.1, 0.8), Default("fao-56-grapes")] = 0.45
    """Share of the available water that vines take with ease, where they use 5 mm a day."""
    wetted_width: Annotated[float, Quantity("m", 0.1, 10.0)] | None = None
    """Width of the strip that drippers wet, where it was dug up and measured."""
    wet_surface: Annotated[float, Quantity("", 0.05, 1.0), PRACTICE] = 0.5
    """Share of that strip whose surface is wet: below it water spreads wider."""
    water_held: Annotated[float, Quantity("mm/m", 10.0, 300.0), Default("soil-water-handbook")] = (
        110.0
    )
    """Available water of a metre of soil where no pit tells; fine sandy loam."""
    peak_days: Annotated[int, Field(ge=1, le=31), PRACTICE] = 7
    """The peak is the thirstiest run of so many days in a season."""
    peak_assurance: Annotated[float, Quantity("", 0.5, 0.99), PRACTICE] = 0.9
    """Share of the years whose peak the system must meet."""
    et0_by_month: _ByMonth = ()
    """Reference evapotranspiration of a mean year, January first, where there is no weather."""
    rain_by_month: _ByMonth = ()
    """Rain of a mean year, January first, where there is no weather."""

    @model_validator(mode="after")
    def _rain_goes_with_evapotranspiration(self) -> Self:
        if bool(self.et0_by_month) != bool(self.rain_by_month):
            raise refusal("one of et0_by_month and rain_by_month", "both, or neither")
        return self


class WateringRules(Section):
    """How the block will be watered, and what limits it."""

    rule: Annotated[Rule, PRACTICE] = "deficit"
    """deficit: when the soil lacks enough; interval: every so many days; calendar: as written."""
    trigger: Annotated[float, Quantity("", 0.1, 2.0), PRACTICE] = 0.8
    """Water when this share of the easily had water is gone; above 1 the vines go short on
    purpose."""
    refill: Annotated[float, Quantity("", 0.05, 1.0), PRACTICE] = 0.9
    """Share of what the root zone lacks that is given; below 1 leaves room for rain."""
    interval: Annotated[int, Field(ge=1, le=60), PRACTICE] = 7
    """Days from one watering to the next."""
    by_month: _ByMonth = ()
    """Water of each month for the calendar, January first, spread over its days at the interval."""
    start: MonthDay = ""
    """First day of watering; bud-break when left out."""
    end: MonthDay = ""
    """Last day of watering; leaf fall when left out."""
    efficiency: Annotated[float, Quantity("", 0.3, 1.0), Default("drip-yearbook")] = 0.9
    """Share of the water given that reaches the roots of the worst watered vines. Where the
    system as designed waters less evenly, its own uniformity counts instead; where it waters more
    evenly, this stands: drippers clog and wear."""
    losses: Annotated[float, Quantity("", 0.0, 0.6), PRACTICE] = 0.05
    """Share lost between the source and the block, by leaks, evaporation and flushing."""
    hours_a_day: Annotated[float, Quantity("h", 1.0, 24.0), PRACTICE] = 20.0
    """Hours in which water may run on the peak day."""
    starts_at: Annotated[ClockTime, PRACTICE] = "18:00"
    """Time of day at which the first set is opened."""
    no_power: tuple[tuple[ClockTime, ClockTime], ...] = ()
    """Times of day at which the pump may not run, such as [["17:00", "19:00"]]: power is dear, or
    there is none."""
    turn_every: Annotated[int, Field(ge=1, le=60)] | None = None
    """Days from one turn of the canal to the next; none when water may be drawn every day."""
    turn_hours: Annotated[float, Quantity("h", 0.5, 240.0)] | None = None
    """Hours that a turn lasts."""
    short_years: Annotated[float, Quantity("", 0.0, 1.0), PRACTICE] = 0.0
    """Share of years in which the source does not give the whole water right."""
    short_supply: Annotated[float, Quantity("", 0.0, 1.0), PRACTICE] = 1.0
    """Share of the right that it gives in such years."""

    @model_validator(mode="after")
    def _power_comes_and_goes(self) -> Self:
        for start, end in self.no_power:
            if start == end:
                raise refusal(f"no_power from {start} to {end}", "two different times of day")
        if not powered(self.starts_at, self.no_power):
            raise refusal("no_power that leaves no hour of the day", "some hours with power")
        return self

    @model_validator(mode="after")
    def _a_turn_has_days_and_hours(self) -> Self:
        if (self.turn_every is None) != (self.turn_hours is None):
            raise refusal("one of turn_every and turn_hours", "both, or neither")
        if self.rule == "calendar" and not self.by_month:
            raise refusal('rule = "calendar" without by_month', "the water of each month")
        return self


def clock_h(time: str) -> float:
    """Hours since midnight of a time of day such as "18:30". [h]."""
    hours, minutes = time.split(":")
    return int(hours) + int(minutes) / MINUTES


def powered(
    starts_at: str, no_power: tuple[tuple[str, str], ...]
) -> tuple[tuple[float, float], ...]:
    """Return the spells in which the pump may run, in the 24 h from the first set on. [h]."""
    opens = clock_h(starts_at)
    pauses = sorted(
        ((clock_h(start) - opens) % DAY_H, (clock_h(end) - clock_h(start)) % DAY_H)
        for start, end in no_power
    )
    # A pause that began before the first set is opened ends after it.
    over = max((start + long - DAY_H for start, long in pauses), default=0.0)
    spells, at = [], 0.0
    for start, long in [(0.0, max(over, 0.0)), *pauses]:
        if start > at:
            spells.append((at, start))
        at = max(at, start + long)
    return (*spells, (at, DAY_H)) if at < DAY_H else tuple(spells)


def powered_hours(watering: WateringRules) -> float:
    """Return the hours of a day in which the pump may run. [h]."""
    spells = powered(watering.starts_at, watering.no_power)
    return sum(end - start for start, end in spells)


def free_hours(watering: WateringRules) -> float:
    """Return the hours of a day in which water may run. [h]."""
    return min(watering.hours_a_day, powered_hours(watering))


class FirstSeasonRules(Section):
    """How the new vines are watered from the day of planting."""

    planted: MonthDay = ""
    """Day of planting; the first of the month of work.planting, or 1 August (1 February in the
    north), when left out."""
    by: Annotated[Literal["dripper", "tanker"], PRACTICE] = "dripper"
    """What brings the water in the first season; a tanker where drippers come later."""
    trigger: Annotated[float, Quantity("", 0.1, 1.0), PRACTICE] = 0.6
    """Water when this share of the easily had water is gone: new roots are soon in dry soil."""
    assurance: Annotated[float, Quantity("", 0.5, 0.99), PRACTICE] = 0.8
    """Share of the years whose week the plan must meet."""
    most_a_time: Annotated[float, Quantity("L", 0.5, 50.0), MEMORY] = 6.0
    """Most water a vine can use at one watering by tanker before it runs away or below the
    roots."""
    tanker: Annotated[float, Quantity("L", 100.0, 50000.0), PRACTICE] = 5000.0
    """What the tanker carries."""
    trip_hours: Annotated[float, Quantity("h", 0.1, 24.0), PRACTICE] = 1.0
    """Time to fill the tanker, drive and come back, without the watering."""
    vine_seconds: Annotated[float, Quantity("s", 1.0, 600.0), PRACTICE] = 10.0
    """Time to water one vine by hose from the tanker."""
