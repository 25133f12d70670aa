"""The charts of work and money: the calendar, cash by month and year, and what it hangs on."""

from collections.abc import Iterator, Mapping
from datetime import UTC, date, datetime
from itertools import accumulate
from typing import Literal

from aanplant.files.calendar_ics import task_lines
from aanplant.messages import fill, show_date, show_month, word
from aanplant.plan import Plan
from aanplant.report.gantt import grouped
from aanplant.report.gantt_marks import gate_of
from aanplant.report.money_bars import thousands
from aanplant.report.money_chapter import money_chapter
from aanplant.report.money_charts import moved_to, yearly
from aanplant.report.work_chapters import work_chapters
from aanplant.server.chart_shapes import TableShape
from aanplant.server.row_charts import told_table
from aanplant.server.work_chart_shapes import (
    CalendarShape,
    ChanceShape,
    DeliveryShape,
    MoneyShape,
    MovedShape,
    SensitivityShape,
    TaskRowShape,
    TaskShape,
)
from aanplant.units import UnitSystem, show, show_number
from aanplant.work.held_back import HeldBack, held_back
from aanplant.work.listed import GATE
from aanplant.work.money import Money
from aanplant.work.task_names import task_name
from aanplant.work.tasks import Booked

_KEY = ("tight", "spare", "wait", "desk", "gate", "delivery", "keeps", "off")
_MONEY_WORDS = ("cost", "income", "balance", "year_axis", "months", "net_month", "so_far")


def calendar(plan: Plan, system: UnitSystem, today: date) -> CalendarShape:
    """Tell the tasks of a block in time, each with what holds it to its first day."""
    found = plan.calendar
    chapter = work_chapters(plan, datetime(today.year, today.month, today.day, tzinfo=UTC),
                            system)[0]  # fmt: skip
    gate = gate_of(found)
    names = {item.task.id: task_name(item.task) for item in found.booked}
    groups = grouped(found)
    words = {name: word(f"work_key.{name}") for name in _KEY}
    words["chance"] = word("work_file.chance")
    if gate is not None:
        words["gate_on"] = fill("work_file.gate_on", day=show_date(gate))
    return CalendarShape(
        chart="calendar", title=chapter.title, paragraphs=list(chapter.paragraphs),
        missing=list(chapter.missing), tables=[told_table(one) for one in chapter.tables],
        groups={group: word(f"work_group.{group}") for group in groups},
        rows=[
            TaskRowShape(group=group, name=row.name,
                         tasks=[_task(plan, item, names, system) for item in row.items])
            for group, rows in groups.items() for row in rows
        ],
        days_off=[day.isoformat() for day in found.days_off],
        deliveries=[
            DeliveryShape(
                arrives=one.arrives.isoformat(), keeps_until=one.keeps_until.isoformat(),
                text=fill("work_entry.delivery_vines", vines=show_number(one.vines),
                          first=show_date(one.planted_from), last=show_date(one.planted_by)),
            )
            for one in found.deliveries
        ],
        chance=[ChanceShape(day=one.day.isoformat(), chance_pct=100.0 * one.probability)
                for one in found.chance],
        gate=None if gate is None else gate.isoformat(),
        today=today.isoformat(), words=words,
    )  # fmt: skip


def _task(plan: Plan, item: Booked, names: Mapping[str, str], system: UnitSystem) -> TaskShape:
    held = held_back(item, plan.calendar, plan.inputs.work_calendar.work_days)
    return TaskShape(
        id=item.task.id,
        name=names[item.task.id],
        start=item.start.isoformat(),
        end=item.end.isoformat(),
        float_days=item.float_days,
        mark=_mark(item),
        crew=item.task.crew,
        days="–".join(show_date(day) for day in dict.fromkeys((item.start, item.end))),
        held_by=held.task.task.id if held.task else "",
        told=[_held_told(held, item, names), *task_lines(item, names, system)],
    )


def _mark(item: Booked) -> Literal["work", "wait", "desk", "gate"]:
    """How the report draws a task."""
    if item.task.id == GATE:
        return "gate"
    if item.task.is_worked:
        return "work"
    return "desk" if item.start == item.end else "wait"


def _held_told(held: HeldBack, item: Booked, names: Mapping[str, str]) -> str:
    name = names[held.task.task.id] if held.task else ""
    kind = "after_wait" if held.cause == "after" and held.wait_days else held.cause
    return fill(f"work_held.{kind}", task=name, days=held.wait_days, crew=item.task.crew)


def money(plan: Plan, system: UnitSystem) -> MoneyShape:
    """Tell cost, income and balance by year, and the money of each month."""
    found = plan.money
    chapter = money_chapter(plan, system)
    years, costs, incomes, balances = yearly(found)
    nets = [float(net) for net in found.by_month.values()]
    words = {name: word(f"money_report.{name}") for name in _MONEY_WORDS}
    words["axis"] = fill("money_report.axis", currency=found.currency)
    months = list(found.by_month)
    so_far = [round(each, 2) for each in accumulate(nets)]
    return MoneyShape(
        chart="money", title=word("money_report.cash"), paragraphs=list(chapter.paragraphs),
        missing=list(chapter.missing),
        tables=[*(told_table(one) for one in chapter.tables[-1:]), *_month_table(found, so_far)],
        currency=found.currency, years=[int(year) for year in years.tolist()],
        costs=costs.round(2).tolist(), incomes=incomes.round(2).tolist(),
        balances=balances.round(2).tolist(), months=months,
        month_names=[_month(month) for month in months], nets=nets, so_far=so_far, words=words,
    )  # fmt: skip


def _month(month: str) -> str:
    return show_month(int(month[:4]), int(month[5:7]))


def _month_table(found: Money, so_far: list[float]) -> Iterator[TableShape]:
    if not so_far:
        return
    heads = [fill(f"money_head.{name}", currency=found.currency)
             for name in ("month", "net", "so_far")]  # fmt: skip
    rows = [
        [_month(month), show_number(round(net)), show_number(round(total))]
        for (month, net), total in zip(found.by_month.items(), so_far, strict=True)
    ]
    yield TableShape(title=word("money_report.months"), heads=heads, rows=rows, left=[0])


def sensitivity(plan: Plan, system: UnitSystem) -> SensitivityShape:
    """Tell how far the worth moves with each thing moved alone, the widest first."""
    found = plan.money
    returns = found.returns
    shape = SensitivityShape(
        chart="sensitivity", title=word("money_report.hangs_on"), paragraphs=[],
        missing=[] if returns else [word("money_report.missing.price")], tables=[],
        axis=fill("money_report.npv_axis", currency=found.currency), npv=None, npv_text="",
        moved=[],
    )  # fmt: skip
    if returns is None:
        return shape
    shape.npv = returns.npv
    shape.npv_text = fill("money_report.as_planned", npv=thousands(returns.npv / 1e3))
    shape.paragraphs = list(money_chapter(plan, system).paragraphs)
    shape.moved = [
        MovedShape(
            name=one.name, label=word(f"money_moved.{one.name}"),
            low=moved_to(one.name, one.low), high=moved_to(one.name, one.high),
            npv_low=one.npv_low, npv_high=one.npv_high,
        )
        for one in returns.tornado
    ]  # fmt: skip
    heads = [fill(f"money_head.{name}", currency=found.currency)
             for name in ("moved", "down", "npv_down", "up", "npv_up")]  # fmt: skip
    rows = [[one.label, one.low, show(round(one.npv_low), ""), one.high,
             show(round(one.npv_high), "")] for one in shape.moved]  # fmt: skip
    shape.tables = [TableShape(title="", heads=heads, rows=rows, left=[0])]
    return shape
