"""The tables of the report's part on work: tasks by month, days of planting, rounds, orders."""

from collections.abc import Sequence
from datetime import date

from aanplant.messages import fill, show_date, show_month, word
from aanplant.plan import Plan
from aanplant.report.gantt_marks import days_short
from aanplant.report.site_words import Table
from aanplant.units import UnitSystem, show, show_number, shown_in
from aanplant.work.aftercare import ROUND_WORD, Round
from aanplant.work.planting_day import PlantingDay
from aanplant.work.task_names import task_name
from aanplant.work.tasks import Calendar

_DASH = "–"
_SEASONS = (0, 1, 2, 3)
"""Those of the rounds; the last is only the winter behind the third."""


def task_table(calendar: Calendar) -> Table:
    """Tasks in the order of their first day, the month named once."""
    rows, month = [], ""
    for item in calendar.booked:
        own = show_month(item.start.year, item.start.month)
        task = item.task
        rows.append([
            own if own != month else "",
            task_name(task),
            days_short(item.start, item.end),
            task.crew or _DASH,
            _hours(task.person_hours),
            f"{task.machine.replace('-', ' ')}, {_hours(task.machine_hours)} h" if task.machine
            else _DASH,
            show_number(item.float_days),
        ])  # fmt: skip
        month = own
    names = ("month", "task", "days", "crew", "hours", "machine", "slack")
    return Table(_heads(names), rows, left=(0, 1, 2, 3, 5), title=word("work_report.table.tasks"))


def day_table(days: Sequence[PlantingDay], system: UnitSystem) -> Table:
    """Return each day of planting with its vines, people, water and waiting roots."""
    has_lost = any(day.usual != day.date for day in days)
    has_trips = any(day.tanker_trips for day in days)
    has_runs = any(day.set_runs for day in days)
    rows = []
    for day in days:
        water, _ = shown_in(day.water_m3, "m3", system)
        row = [show_date(day.date), *([show_date(day.usual)] if has_lost else []),
               show_number(day.vines), show_number(day.people),
               f"{show_number(round(water, 1))}"]  # fmt: skip
        if has_runs:
            pumped, _ = shown_in(day.pumped_m3, "m3", system)
            row.append(show_number(round(pumped, 1)))
        if has_trips:
            row.append(show_number(day.tanker_trips))
        rows.append([*row, show_number(round(day.wait_h, 1))])
    unit = shown_in(1.0, "m3", system)[1].replace("m3", "m³")
    names = (
        *(("date_dry", "date_usual") if has_lost else ("date",)),
        "vines",
        "people",
        "water",
        *(["pumped"] if has_runs else []),
        *(["trips"] if has_trips else []),
        "wait",
    )
    heads = [fill(f"work_head.{name}", unit=unit) for name in names]
    return Table(heads, rows, title=word("work_report.table.days"), is_wide=True)


def round_table(rounds: Sequence[Round]) -> Table:
    """Hours of each round by season."""
    hours: dict[str, dict[int, float]] = {}
    for one in rounds:
        by_year = hours.setdefault(one.id, {})
        by_year[one.year] = by_year.get(one.year, 0.0) + one.person_hours
    last = _SEASONS[-1]
    years = [year for year in _SEASONS if any(one.year == year for one in rounds)]
    rows = [
        [word(f"{ROUND_WORD}{kind}"), *(_hours(by_year.get(year, 0.0)) for year in years),
         _hours(sum(by_year.values()))]
        for kind, by_year in hours.items()
    ]  # fmt: skip
    sums = [sum(by_year.get(year, 0.0) for by_year in hours.values()) for year in years]
    rows.append([word("work_head.all"), *map(_hours, sums), _hours(sum(sums))])
    heads = [
        word("work_head.round"),
        *(word("work_head.winter") if year == last else fill("work_head.season", number=year + 1)
          for year in years),
        word("work_head.all"),
    ]  # fmt: skip
    return Table(heads, rows, title=word("work_report.table.rounds"), is_wide=True)


def order_table(plan: Plan, system: UnitSystem) -> Table:
    """Things to order, the first to be ordered at the top."""
    dated = [
        (by.latest, by, line)
        for by, line in zip(plan.planting.orders, plan.work.orders, strict=True)
        if by.latest is not None
    ]
    rows = [
        [
            fill("work_report.late", day=show_date(latest)) if by.is_late else show_date(latest),
            line.name,
            show(line.order, line.unit if line.unit != "each" else "", system),
            by.supplier or _DASH,
            _day(by.needed),
        ]
        for latest, by, line in sorted(dated, key=lambda item: item[0])
    ]
    names = ("latest", "thing", "amount", "supplier", "needed")
    return Table(_heads(names), rows, left=(0, 1, 3, 4), title=word("work_report.table.orders"))


def _heads(names: Sequence[str]) -> list[str]:
    return [word(f"work_head.{name}") for name in names]


def _day(day: date | None) -> str:
    return show_date(day) if day is not None else _DASH


def _hours(hours: float) -> str:
    return show_number(max(1, round(hours))) if hours else _DASH
