"""The report's chapters on work: the calendar, planting, young vines, and by when to order."""

from collections.abc import Iterator, Sequence
from datetime import datetime
from functools import partial

from aanplant.messages import fill, show_date, word
from aanplant.plan import Plan
from aanplant.report.calendar_sheet import aftercare_of, calendar_of
from aanplant.report.gantt_marks import gate_of
from aanplant.report.gantt_strips import day_of_chance
from aanplant.report.key_dates import planting_dates
from aanplant.report.site_words import Chapter, figure_table, of_topics
from aanplant.report.work_tables import day_table, order_table, round_table, task_table
from aanplant.units import UnitSystem, show, show_number
from aanplant.work.aftercare import Round
from aanplant.work.order_times import VINE
from aanplant.work.task_names import kind_and_delivery, kind_name, task_name
from aanplant.work.tasks import Calendar

_CALENDAR = (
    "work.calendar.begins", "work.calendar.gate", "work.calendar.planted", "work.calendar.bound",
    "work.calendar.gap", "work.calendar.chance", "work.calendar.chance_window",
    "work.calendar.hours",
)  # fmt: skip
_PLANTING = (
    "work.planting_pace", "work.planting_days", "work.planting_longest_wait",
    "work.planting_water_day", "work.planting_pumped", "work.water_at_planting",
)  # fmt: skip
_EVEN, _SURE = 0.5, 0.9
_SEASONS = 3


def work_chapters(plan: Plan, made: datetime, system: UnitSystem) -> tuple[Chapter, ...]:
    """Return the chapters on work, with or without a month of planting."""
    return (
        _calendar(plan, made, system),
        _planting(plan, system),
        _aftercare(plan, made),
        _orders(plan, system),
    )


def _calendar(plan: Plan, made: datetime, system: UnitSystem) -> Chapter:
    calendar = plan.calendar
    figures = figure_table(plan, system, _CALENDAR)
    tables = [*([figures] if figures else []), *([task_table(calendar)] if calendar.booked else [])]
    reason = "calendar" if plan.brief.work.planting else "month"
    return Chapter(
        "calendar",
        tables=tuple(tables),
        findings=of_topics(plan, "calendar."),
        missing=() if calendar.booked else (word(f"work_missing.{reason}"),),
        paragraphs=tuple(_calendar_told(calendar)),
        title=word("work_report.chapter.calendar"),
        plates=((word("work_report.caption.calendar"), partial(calendar_of, plan, made)),)
        if calendar.booked
        else (),
    )


def _calendar_told(calendar: Calendar) -> Iterator[str]:
    span = calendar.span
    if span is None:
        return
    hours = sum(item.task.person_hours for item in calendar.booked)
    yield fill(
        "work_report.say.span", count=len(calendar.booked), first=show_date(span[0]),
        last=show_date(span[1]), hours=show(round(hours), "h"),
    )  # fmt: skip
    gate = gate_of(calendar)
    waits = [task_name(item.task) for item in calendar.booked if item.task.is_gate]
    if gate is not None and waits:
        yield fill("work_report.say.gate", gate=show_date(gate), tasks=", ".join(waits))
    if calendar.deliveries:
        told = [fill("work_report.say.delivery", vines=show_number(one.vines),
                     day=show_date(one.arrives)) for one in calendar.deliveries]  # fmt: skip
        yield fill("work_report.say.deliveries", count=len(told), told="; ".join(told))
    even, sure = (day_of_chance(calendar, probability) for probability in (_EVEN, _SURE))
    if even is not None:
        yield (
            fill("work_report.say.chance", even=show_date(even), sure=show_date(sure))
            if sure is not None
            else fill("work_report.say.chance_even", even=show_date(even))
        )
    tight = [item.task for item in calendar.booked
             if item.float_days == 0 and not kind_and_delivery(item.task)[1]]  # fmt: skip
    if tight:
        yield fill("work_report.say.tight", tasks=", ".join(kind_name(task) for task in tight))


def _planting(plan: Plan, system: UnitSystem) -> Chapter:
    days = plan.planting.days
    figures = figure_table(plan, system, _PLANTING)
    return Chapter(
        "planting",
        tables=(*([figures] if figures else []), *([day_table(days, system)] if days else [])),
        findings=of_topics(plan, "planting.", "work."),
        paragraphs=(_days_told(plan),) if days else (),
        title=word("work_report.chapter.planting"),
    )


def _days_told(plan: Plan) -> str:
    days = plan.planting.days
    return fill(
        "work_report.say.days",
        days=len(days),
        when=planting_dates(plan),
        most=show_number(max(day.vines for day in days)),
        wait=show(max(day.wait_h for day in days), "h"),
    )


def _aftercare(plan: Plan, made: datetime) -> Chapter:
    rounds = plan.planting.rounds
    return Chapter(
        "aftercare",
        tables=(round_table(rounds),) if rounds else (),
        findings=of_topics(plan, "aftercare."),
        paragraphs=(_rounds_told(rounds),) if rounds else (),
        title=word("work_report.chapter.aftercare"),
        plates=((word("work_report.caption.aftercare"), partial(aftercare_of, plan, made)),)
        if rounds
        else (),
    )


def _rounds_told(rounds: Sequence[Round]) -> str:
    all_of_them = sum(one.person_hours for one in rounds if one.year < _SEASONS)
    young = sum(one.person_hours for one in rounds if one.year == 0)
    return fill("work_report.say.aftercare", hours=show(round(all_of_them), "h"),
                young=show(round(young), "h"))  # fmt: skip


def _orders(plan: Plan, system: UnitSystem) -> Chapter:
    dated = [
        (by.latest, by, line)
        for by, line in zip(plan.planting.orders, plan.work.orders, strict=True)
        if by.latest is not None
    ]
    told = []
    if dated:
        latest, _, first = min(dated, key=lambda item: item[0])
        told.append(fill("work_report.say.orders", first=first.name, latest=show_date(latest)))
    told += [fill("plan_report.say.vines_by", day=show_date(latest))
             for latest, by, _ in dated if by.item == VINE]  # fmt: skip
    return Chapter(
        "orders",
        tables=(order_table(plan, system),) if dated else (),
        findings=of_topics(plan, "ordering."),
        paragraphs=tuple(told),
        title=word("work_report.chapter.orders"),
    )
