"""What there is to say about planting: what is the neck, who waits too long, what goes where."""

import math
from collections.abc import Collection, Iterator, Sequence
from datetime import date

from aanplant.brief import Brief
from aanplant.layout import Layout
from aanplant.site import Site
from aanplant.water.first_season_advice import drawn_m3
from aanplant.water.right import months_of
from aanplant.work.lot_rows import LotRows
from aanplant.work.planting_day import Places, PlantingDay
from aanplant.work.planting_pace import (
    SECONDS_PER_HOUR,
    Pace,
    days_to_plant,
    method_row,
)
from aanplant.work.tasks import Delivery
from aanplant.working import Finding, Value

Values = dict[str, Value | tuple[Value, str]]

PUMPED_SLACK = 0.1
"""So much more than the vines need is not worth a word (judgement)."""
PACE = "work.planting_pace"
WAIT = "work.planting_longest_wait"


def planting_advice(  # noqa: PLR0917 - what the planting was made from
    brief: Brief,
    site: Site,
    layout: Layout,
    pace: Pace,
    lots: Sequence[LotRows],
    places: Places,
    days: Sequence[PlantingDay],
    deliveries: Sequence[Delivery],
) -> Iterator[Finding]:
    """Yield the findings on pace, method, lots, waiting and dates.

    Parameters
    ----------
    brief, site, layout
        What is asked, the ground and the rows.
    pace : Pace
        Vines a day.
    lots : sequence of LotRows
        Rows of each lot.
    places : Places
        Of all vines.
    days : sequence of PlantingDay
        Empty while the month of planting is open.
    deliveries : sequence of Delivery
        In their order.
    """
    yield from _neck(brief, pace)
    yield from _range(pace, len(places.row))
    yield from _method(brief, site, layout)
    if pace.least_soak_h > brief.nursery.soaking:
        values: Values = {"least": (pace.least_soak_h, "h"), "most": (brief.nursery.soaking, "h")}
        yield Finding("work", "care", "planting.soak_short", values, source="planting-guides")
    yield from _lots(lots, places)
    if days:
        yield from _waits(brief, days)
        yield from _water(brief, days)
        yield from _pumped(brief, days)
        yield from _dates(site, days, deliveries)


def rest_day_advice(
    days: Sequence[PlantingDay], days_off: Collection[date], week_days: Collection[int]
) -> Iterator[Finding]:
    """Say when somebody must come on a day off to put vines into water.

    Parameters
    ----------
    days : sequence of PlantingDay
        Of planting.
    days_off : collection of date
        Days on which nobody works.
    week_days : collection of int
        Days of the week on which people work, Monday 0.
    """
    rests = sorted(
        {
            soak.start.date()
            for day in days
            for soak in day.soaks
            if soak.start.weekday() not in week_days or soak.start.date() in days_off
        }
    )
    if rests:
        values: Values = {"count": len(rests), "first": rests[0].isoformat()}
        yield Finding("work", "note", "planting.soak_on_rest_day", values)


def _neck(brief: Brief, pace: Pace) -> Iterator[Finding]:
    """Say what holds the crew back, with the nearest change."""
    values: Values = {"pace": pace.vines_per_day, "crew": pace.crew}
    rules = brief.planting
    if pace.neck == "basin":
        turns = max(1.0, pace.hours / pace.least_soak_h) if pace.least_soak_h else 1.0
        needed = math.ceil(pace.crew / turns - 1e-9)
        yield Finding(
            "work",
            "care",
            "planting.neck_basin",
            {**values, "basin": rules.basin, "needed": needed},
            PACE,
        )
    if pace.neck == "water" and brief.first_season.by == "tanker" and pace.water:
        tankers = math.ceil(pace.crew * rules.tankers / pace.water - 1e-9)
        yield Finding(
            "work",
            "care",
            "planting.neck_tanker",
            {
                **values,
                "tankers": rules.tankers,
                "needed": tankers,
                "trip": (_trip_hours(brief, pace, tankers=rules.tankers), "h"),
            },
            PACE,
        )
    elif pace.neck == "water":
        yield Finding(
            "work",
            "care",
            "planting.neck_sets",
            {**values, "hours": (rules.water_hours, "h")},
            PACE,
        )


def _trip_hours(brief: Brief, pace: Pace, *, tankers: int) -> float:
    """Longest time to refill at which the tankers keep up with the crew, not below 0. [h]."""
    rules = brief.first_season
    vines_a_load = rules.tanker / brief.water.at_planting
    a_load_h = vines_a_load * pace.hours * tankers / pace.crew
    return max(0.0, round(a_load_h - vines_a_load * rules.vine_seconds / SECONDS_PER_HOUR, 2))


def _range(pace: Pace, vines: int) -> Iterator[Finding]:
    if pace.low is None or pace.high is None:
        return
    yield Finding(
        "work",
        "note",
        "planting.rate_range",
        {
            "low": pace.low,
            "high": pace.high,
            "crew": pace.crew,
            "longest": days_to_plant(vines, pace.low, 1),
            "shortest": days_to_plant(vines, pace.high, 1),
        },
        "work.planting_pace_crew",
        "memory",
    )


def _method(brief: Brief, site: Site, layout: Layout) -> Iterator[Finding]:
    """Say where the method does not suit the soil, the rows or the crew."""
    rules = brief.planting
    heaviest = method_row(rules.method, "greatest clay")
    if heaviest is not None:
        most = float(heaviest["high"])
        clay = _top_clay(site)
        heavy = [name for name, share in clay if share > most]
        if heavy:
            values: Values = {"zones": ", ".join(heavy), "most": (most, "%")}
            yield Finding("work", "care", "planting.soil_heavy", values)
        elif not clay:
            yield Finding("work", "note", "planting.soil_unknown", {"most": (most, "%")})
    least = method_row(rules.method, "vines in a row")
    if least is not None:
        held = layout.positions.vines
        short = int(((held > 0) & (held < float(least["low"]))).sum())
        if short:
            values = {"count": short, "least": int(least["low"])}
            yield Finding("work", "care", "planting.rows_short", values, source="planting-guides")
    people = method_row(rules.method, "people at a machine")
    if people is not None:
        machines = rules.machines
        needed = int(people["low"]) * machines
        if needed > brief.work.crew:
            values = {"crew": brief.work.crew, "needed": needed, "machines": machines}
            yield Finding("work", "care", "planting.crew_small", values)


def _top_clay(site: Site) -> list[tuple[str, float]]:
    """Clay of the top layer of each zone where it is known. [%]."""
    if site.soil is None:
        return []
    return [
        (zone.name, float(zone.profile.layers[0].clay_pct))
        for zone in site.soil.zones
        if zone.profile is not None
        and zone.profile.layers
        and zone.profile.layers[0].clay_pct is not None
    ]


def _lots(lots: Sequence[LotRows], places: Places) -> Iterator[Finding]:
    for lot in lots:
        if lot.planted > lot.vines:
            values: Values = {"lot": lot.lot, "vines": lot.vines, "short": lot.planted - lot.vines}
            yield Finding("work", "care", "planting.lot_short", values, source="brief")
    if len(lots) > 1:
        named = "; ".join(f"{lot.lot}: {rows_of(lot, places)}" for lot in lots if lot.planted)
        yield Finding("work", "note", "planting.lots_in_rows", {"lots": named})


def rows_of(lot: LotRows, places: Places) -> str:
    """First and last row of a lot, with the vine where it begins or ends inside a row."""
    first, last = lot.first, lot.last - 1
    begin, end = int(places.row[first]), int(places.row[last])
    starts_inside = first > 0 and places.row[first - 1] == begin
    ends_inside = last + 1 < len(places.row) and places.row[last + 1] == end
    one = f"{begin}.{int(places.number[first])}" if starts_inside else f"{begin}"
    other = f"{end}.{int(places.number[last])}" if ends_inside else f"{end}"
    return one if one == other else f"{one}–{other}"


def _waits(brief: Brief, days: Sequence[PlantingDay]) -> Iterator[Finding]:
    """Say when vines lie in water longer than they may be out; the calendar sees to the lorry."""
    allowed = brief.planting.longest_out
    worst = max(days, key=lambda day: day.wait_h)
    if worst.wait_h > allowed and brief.planting.keep != "none":
        values: Values = {"wait": (worst.wait_h, "h"), "allowed": (allowed, "h")}
        yield Finding("work", "care", "planting.soak_too_long", values, WAIT)


def _water(brief: Brief, days: Sequence[PlantingDay]) -> Iterator[Finding]:
    """Say on which days more sets must run than there are hours for."""
    hours = brief.planting.water_hours
    over = [day for day in days if sum(run for _, run in day.set_runs) > hours + 1e-9]
    if over:
        worst = max(over, key=lambda day: sum(run for _, run in day.set_runs))
        yield Finding(
            "work",
            "care",
            "planting.sets_run_long",
            {
                "count": len(over),
                "day": worst.date.isoformat(),
                "sets": len(worst.set_runs),
                "run": (round(sum(run for _, run in worst.set_runs), 1), "h"),
                "hours": (hours, "h"),
            },
            "work.planting_water_day",
        )
    flow = brief.water.flow_available
    if brief.first_season.by == "tanker" and flow:
        filling = days[0].water_m3 / flow
        if filling > hours:
            values: Values = {"water": (round(days[0].water_m3, 1), "m3"), "flow": (flow, "m3/h"),
                      "filling": (round(filling, 1), "h")}  # fmt: skip
            yield Finding("work", "care", "planting.source_slow", values)


def _pumped(brief: Brief, days: Sequence[PlantingDay]) -> Iterator[Finding]:
    """Say how much more whole sets pump than the vines of each day are to get."""
    needed, pumped = sum(day.water_m3 for day in days), sum(day.pumped_m3 for day in days)
    if pumped <= needed * (1.0 + PUMPED_SLACK):
        return
    values: Values = {
        "needed": (round(needed), "m3"),
        "pumped": (round(pumped), "m3"),
        "more": (round(pumped - needed), "m3"),
    }
    yield Finding("work", "care", "planting.pumped", values, "work.planting_pumped", "arithmetic")
    if brief.water.water_right is None:
        return
    counted = months_of(brief.water.right_months)
    outside = sum(day.pumped_m3 for day in days if not counted[day.usual.month - 1])
    outside = drawn_m3(brief, outside)
    if outside > brief.water.storage:
        values = {
            "outside": (math.ceil(outside), "m3"),
            "storage": (brief.water.storage, "m3"),
            "months": brief.water.right_months,
        }
        yield Finding("work", "care", "planting.pumped_outside", values, "work.planting_pumped",
                      "arithmetic")  # fmt: skip


def _dates(
    site: Site, days: Sequence[PlantingDay], deliveries: Sequence[Delivery]
) -> Iterator[Finding]:
    """Say whether planting ends after what is booked, after the window, or after vines keep."""
    last = max(day.usual for day in days)
    late = [delivery for delivery in deliveries if _ended(days, delivery) > delivery.keeps_until]
    if late:
        values: Values = {"delivery": late[0].number, "until": late[0].keeps_until.isoformat()}
        yield Finding("work", "care", "planting.keeps_no_longer", values)
    over = [delivery for delivery in deliveries if _ended(days, delivery) > delivery.planted_by]
    if over:
        values = {
            "delivery": over[0].number,
            "ended": _ended(days, over[0]).isoformat(),
            "booked": over[0].planted_by.isoformat(),
        }
        yield Finding("work", "care", "planting.after_calendar", values, PACE)
    if site.climate is None:
        return
    window = site.climate.record.planting.window
    if window.days <= 0:
        return
    opens, closes, day = window.opens, window.closes, last.strftime("%m-%d")
    inside = opens <= day <= closes if opens <= closes else not closes < day < opens
    if not inside:
        values = {"last": last.isoformat(), "closes": (closes, "month-day"),
                  "days": len(days)}  # fmt: skip
        yield Finding("work", "care", "planting.ends_late", values, "work.planting_days")


def _ended(days: Sequence[PlantingDay], delivery: Delivery) -> date:
    """Last day, in usual weather, on which vines of a delivery are planted."""
    return max(
        (day.usual for day in days if any(part.delivery == delivery.number for part in day.parts)),
        default=delivery.arrives,
    )
