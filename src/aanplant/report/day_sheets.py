"""The day sheets of planting: a page a day, for gloves and a pencil."""

from collections import Counter
from collections.abc import Sequence
from datetime import date, datetime
from pathlib import Path
from typing import Any

from aanplant.messages import fill, show_date, word
from aanplant.plan import Plan
from aanplant.report.bound import print_paper, properties
from aanplant.report.sheet import heading_of
from aanplant.units import UnitSystem, show, show_number
from aanplant.work.lot_rows import Stretch
from aanplant.work.planting_day import Planted, PlantingDay, Soak
from aanplant.work.planting_pace import WITH_HOLES

_HEADS = ("row", "from", "count", "planted", "watered", "other")
_EVENING = ("planted", "left", "refused", "started", "ended", "by")
_LONGEST_RUN_SHOWN_IN_MINUTES_H = 3.0
_MOST_LOADS = 60
"""More loads than this are not struck off one by one."""


def write_day_sheets(
    plan: Plan, path: Path, *, made: datetime, system: UnitSystem = "metric"
) -> None:
    """Write the day sheets as PDF.

    Parameters
    ----------
    plan : Plan
        With days of planting.
    path : Path
        Where to write.
    made : datetime
        When the plan is made; its date stands on every sheet.
    system : {"metric", "imperial"}
        Units shown.
    """
    print_paper("day-sheets", day_sheets_data(plan, made=made, system=system), path, made=made)


def day_sheets_data(plan: Plan, *, made: datetime, system: UnitSystem) -> dict[str, Any]:
    """Gather all texts of the sheets, by the names the template uses."""
    stops = sum(finding.level == "stop" for finding in plan.findings)
    names = ("steps", "jobs", "evening", "standing")
    return {
        **properties(plan, made),
        "name": heading_of(plan),
        "words": {name: word(f"day_sheets.{name}") for name in names},
        "paper": word("day_sheets.title"),
        "stop": fill("sheet.stops", count=stops) if stops else "",
        "heads": [word(f"day_sheets.head.{name}") for name in _HEADS],
        "evening": [word(f"day_sheets.{name}") for name in _EVENING],
        "days": [_sheet(plan, day, system) for day in plan.planting.days],
    }


def _sheet(plan: Plan, day: PlantingDay, system: UnitSystem) -> dict[str, Any]:
    return {
        "date": _date(day.date),
        "usual": fill("day_sheets.usual", date=_date(day.usual)) if day.usual != day.date else "",
        "number": fill("day_sheets.number", day=day.number, days=len(plan.planting.days)),
        "facts": _facts(day, system),
        "steps": _steps(plan, day, system),
        "loads": day.tanker_trips if day.tanker_trips <= _MOST_LOADS else 0,
        "parts": [
            {"heading": _heading(part), "rows": [_row(one) for one in part.stretches]}
            for part in day.parts
        ],
        "jobs": [[show_number(people), word(f"day_sheets.job.{job}")] for job, people in day.jobs],
    }


def _facts(day: PlantingDay, system: UnitSystem) -> list[list[str]]:
    """Return the numbers of the day that are read first, each with its word."""
    water = show(round(day.water_m3, 1), "m3", system)
    facts = [
        [show_number(day.vines), word("day_sheets.vines")],
        [show_number(day.people), word("day_sheets.people")],
        [water, word("day_sheets.water")],
    ]
    if day.tanker_trips:
        facts.append([show_number(day.tanker_trips), word("day_sheets.trips")])
    if day.set_runs:
        pumped = show(round(day.pumped_m3, 1), "m3", system)
        facts.append([pumped, word("day_sheets.pumped")])
    named = [number for number, _ in day.set_runs if number]
    if named:
        facts.append([", ".join(map(str, named)), word("day_sheets.sets")])
    return [*facts, [_moment(day.roots_until, day.date), word("day_sheets.until")]]


def _steps(plan: Plan, day: PlantingDay, system: UnitSystem) -> list[str]:
    """Return what is ticked off, in the order of time; the loads of a tanker come last."""
    rules, steps = plan.brief.planting, []
    if day.out_of_store is not None:
        vines = show_number(day.vines)
        steps.append(fill("day_sheets.step.store", date=_date(day.out_of_store), vines=vines))
    steps += [_soak(soak, day.date) for soak in day.soaks]
    if not day.soaks:
        steps.append(word("day_sheets.step.no_soak"))
    if rules.method in WITH_HOLES and rules.holes_ahead:
        rows = rows_text(plan, day.stretches)
        steps.append(fill("day_sheets.step.holes", rows=rows))
    steps.append(word("day_sheets.step.carry"))
    if day.set_runs:
        steps.append(word("day_sheets.step.closed"))
    for number, hours in day.set_runs:
        time = _time(hours)
        steps.append(
            fill("day_sheets.step.set", set=number, time=time)
            if number
            else fill("day_sheets.step.drippers", time=time)
        )
    if day.holes_for is not None:
        rows = rows_text(plan, day.holes_next)
        steps.append(fill("day_sheets.step.dig", date=_date(day.holes_for), rows=rows))
    if day.tanker_trips:
        litres = show(plan.brief.water.at_planting, "L", system)
        water = show(round(day.water_m3, 1), "m3", system)
        steps.append(fill("day_sheets.step.tanker", water=water, litres=litres))
    return steps


def _soak(soak: Soak, day: date) -> str:
    return fill(
        "day_sheets.step.soak",
        when=_moment(soak.start, day, always=True),
        vines=show_number(soak.vines),
        begin=f"{soak.plant_from:%H:%M}",
        until=f"{soak.until:%H:%M}",
        latest=_moment(soak.latest, day),
    )


def rows_text(plan: Plan, stretches: Sequence[Stretch]) -> str:
    """Name rows as ranges, and by their vines those of which only a part is meant.

    Parameters
    ----------
    plan : Plan
        Whose rows they are.
    stretches : sequence of Stretch
        In the order of the rows.
    """
    pieces = Counter(plan.layout.rows.row.tolist())
    whole = Counter(one.row for one in stretches if one.is_whole)
    full = [row for row in dict.fromkeys(one.row for one in stretches) if whole[row] == pieces[row]]
    starts = [at for at, row in enumerate(full) if at == 0 or row != full[at - 1] + 1]
    ends = [*starts[1:], len(full)][: len(starts)]
    found = [_range(full[start], full[end - 1]) for start, end in zip(starts, ends, strict=True)]
    spans: list[tuple[int, int, int]] = []
    for one in stretches:
        if whole[one.row] == pieces[one.row]:
            continue
        if spans and spans[-1][0] == one.row and spans[-1][2] + 1 == one.first:
            spans[-1] = (one.row, spans[-1][1], one.last)
        else:
            spans.append((one.row, one.first, one.last))
    found += [
        fill("day_sheets.part_of_row", row=row, first=first, last=last)
        for row, first, last in spans
    ]
    return ", ".join(found)


def _range(first: int, last: int) -> str:
    return str(first) if first == last else fill("day_sheets.range", first=first, last=last)


def _heading(part: Planted) -> str:
    values = {"delivery": part.delivery, "vines": show_number(part.vines)}
    if not part.lot:
        return fill("day_sheets.rows_no_lot", **values)
    return fill("day_sheets.rows", lot=part.lot, **values)


def _row(one: Stretch) -> list[str]:
    return [str(one.row), _range(one.first, one.last), show_number(one.vines)]


def _date(day: date) -> str:
    weekday = word(f"day_sheets.weekday.{day.weekday()}")
    return fill("day_sheets.date", weekday=weekday, date=show_date(day))


def _moment(moment: datetime, day: date, *, always: bool = False) -> str:
    """Write an hour; with its date where that isn't the day's, or always."""
    hour = f"{moment:%H:%M}"
    if moment.date() == day and not always:
        return hour
    weekday = word(f"day_sheets.weekday.{moment.weekday()}")
    return fill("day_sheets.hour", weekday=weekday, date=show_date(moment), hour=hour)


def _time(hours: float) -> str:
    if hours <= _LONGEST_RUN_SHOWN_IN_MINUTES_H:
        return show(round(hours * 60.0), "min")
    return show(round(hours, 1), "h")
