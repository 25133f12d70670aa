"""Write the calendar of work as an iCalendar file, for any program that shows days (RFC 5545)."""

import uuid
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from aanplant.messages import fill, show_date, speech, term, word
from aanplant.plan import Plan
from aanplant.units import UnitSystem, show
from aanplant.work.aftercare import ROUND_WORD, Round
from aanplant.work.listed import GATE
from aanplant.work.order_times import OrderBy
from aanplant.work.quantities import OrderLine
from aanplant.work.task_names import amount_text, task_name
from aanplant.work.tasks import Booked, Delivery, Task

if TYPE_CHECKING:
    from icalendar import Event

PRODUCER = "-//aanplant//calendar of work//{language}"
_NAMESPACE = uuid.UUID("6f1c9a52-7d1f-4c83-9d0e-2f4d3b8c5a17")
"""Of all events of this program, so that an event made again takes the old one's place."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One event of whole days.

    Parameters
    ----------
    id : str
        Stable within its block, such as ``task/plant-1``.
    name : str
        What it is called.
    first, last : date
        First and last day.
    lines : tuple of str
        What there is to know.
    category : str
        Stage of the job it belongs to, in words.
    """

    id: str
    name: str
    first: date
    last: date
    lines: tuple[str, ...]
    category: str


def write_calendar_ics(
    plan: Plan, path: Path, *, made: datetime, system: UnitSystem = "metric"
) -> None:
    """Write the calendar: tasks, gate, deliveries, rounds of aftercare and dates of orders.

    Parameters
    ----------
    plan : Plan
        A whole plan.
    path : Path
        Where to write.
    made : datetime
        When the plan is made, with its time zone; each event's DTSTAMP.
    system : {"metric", "imperial"}
        Units shown.
    """
    from icalendar import Calendar

    estate, block = plan.inputs.estate, plan.brief.block.name
    calendar = Calendar()
    calendar.add("prodid", PRODUCER.format(language=speech().language.upper()))
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add("x-wr-calname", _name(plan))
    for entry in entries(plan, system):
        calendar.add_component(_event(entry, estate, block, made))
    path.write_bytes(calendar.to_ical())


def entries(plan: Plan, system: UnitSystem) -> tuple[Entry, ...]:
    """All events of a plan, by their first day."""
    names = {item.task.id: task_name(item.task) for item in plan.calendar.booked}
    found = [
        *(_of_task(item, names, system) for item in plan.calendar.booked),
        *(_of_delivery(one) for one in plan.calendar.deliveries),
        *(_of_round(one, system) for one in plan.planting.rounds),
        *_of_orders(plan),
    ]
    return tuple(sorted(found, key=lambda entry: (entry.first, entry.id)))


def _name(plan: Plan) -> str:
    block = plan.brief.block.name
    return f"{plan.inputs.estate}, {block}" if plan.inputs.estate else block


def _event(entry: Entry, estate: str, block: str, made: datetime) -> "Event":
    from icalendar import Event

    event = Event()
    event.add("uid", str(uuid.uuid5(_NAMESPACE, f"{estate}\n{block}\n{entry.id}")))
    event.add("dtstamp", made)
    event.add("dtstart", entry.first)
    event.add("dtend", entry.last + timedelta(days=1))  # the first day behind it
    event.add("summary", fill("work_entry.summary", task=entry.name, block=block))
    told = fill("work_entry.of", estate=estate, block=block) if estate else block
    event.add("description", "\n".join([told, *entry.lines]))
    event.add("categories", [entry.category])
    event.add("transp", "TRANSPARENT")  # the reader's own day stays free
    return event


def _of_task(item: Booked, names: Mapping[str, str], system: UnitSystem) -> Entry:
    task = item.task
    return Entry(
        f"task/{task.id}",
        names[task.id],
        item.start,
        item.end,
        tuple(task_lines(item, names, system)),
        word(f"work_group.{task.group}"),
    )


def task_lines(item: Booked, names: Mapping[str, str], system: UnitSystem) -> Iterator[str]:
    """Tell of a task in lines: how much, who, what before it, what it needs, what it may slip.

    Parameters
    ----------
    item : Booked
        The task with its days.
    names : mapping of str to str
        What each task is called, by id.
    system : {"metric", "imperial"}
        Units shown.
    """
    task = item.task
    if task.id == GATE:
        yield word("work_entry.opens")
    elif task.quantity:
        yield fill("work_entry.amount", amount=amount_text(task.quantity, task.unit, system))
    if task.person_hours:
        hours = _hours(task.person_hours)
        yield (fill("work_entry.crew", crew=task.crew, hours=hours) if task.crew
               else fill("work_entry.hours", hours=hours))  # fmt: skip
    if task.machine:
        yield _machine(task.machine, task.machine_hours)
    if before := _before(task, names):
        yield fill("work_entry.after", tasks="; ".join(before))
    if task.conditions:
        told = "; ".join(word(f"work_condition.{name}") for name in task.conditions)
        yield fill("work_entry.conditions", conditions=told)
    if task.is_gate:
        yield word("work_entry.gate")
    yield (fill("work_entry.slack", days=item.float_days) if item.float_days
           else word("work_entry.tight"))  # fmt: skip


def _before(task: Task, names: Mapping[str, str]) -> list[str]:
    return [_with_wait(names[name], lag) for name, lag in task.after if name in names]


def _with_wait(name: str, lag: int) -> str:
    """Name a task with its wait; a wait below none ends on the day on which the next begins."""
    if lag < 0:
        return fill("work_entry.after_same_day", task=name)
    return fill("work_entry.after_wait", task=name, days=lag) if lag else name


def _hours(hours: float) -> str:
    return show(max(1, round(hours)), "h")


def _machine(name: str, hours: float) -> str:
    return fill("work_entry.machine", machine=term(name.replace("-", " ")), hours=_hours(hours))


def _of_delivery(one: Delivery) -> Entry:
    told = fill("work_entry.delivery_vines", vines=show(one.vines, ""),
                first=show_date(one.planted_from), last=show_date(one.planted_by))  # fmt: skip
    keeps = fill("work_entry.delivery_keeps", day=show_date(one.keeps_until))
    return Entry(
        f"delivery/{one.number}",
        fill("work_entry.delivery", number=one.number),
        one.arrives,
        one.arrives,
        (told, keeps),
        word("work_group.planting"),
    )


def _of_round(one: Round, system: UnitSystem) -> Entry:
    lines = [
        fill("work_entry.round", season=one.year + 1),
        fill("work_entry.amount", amount=amount_text(one.quantity, one.unit, system)),
    ]
    if one.person_hours:
        lines.append(fill("work_entry.hours", hours=_hours(one.person_hours)))
    if one.machine:
        lines.append(_machine(one.machine, one.machine_hours))
    if one.note:
        lines.append(word(one.note))
    return Entry(
        f"round/{one.id}/{one.year}/{one.first.isoformat()}",
        word(f"{ROUND_WORD}{one.id}"),
        one.first,
        one.last,
        tuple(lines),
        word("work_group.aftercare"),
    )


def _of_orders(plan: Plan) -> Iterator[Entry]:
    """One event for all that must be ordered from one supplier by one day."""
    together: dict[tuple[date, str], list[tuple[OrderBy, OrderLine]]] = {}
    for by, line in zip(plan.planting.orders, plan.work.orders, strict=True):
        if by.latest is not None:
            together.setdefault((by.latest, by.supplier), []).append((by, line))
    for (latest, supplier), items in together.items():
        first = term(items[0][1].name)
        rest = len(items) - 1
        things = fill("work_entry.order_more", first=first, count=rest) if rest else first
        lines = [fill("work_entry.order_from", supplier=supplier)] if supplier else []
        lines += [term(line.name) for _, line in items]
        needed = min(by.needed for by, _ in items if by.needed is not None)
        lines.append(fill("work_entry.order_needed", day=show_date(needed)))
        yield Entry(
            f"order/{supplier}/{items[0][0].item}",
            fill("work_entry.order", things=things),
            latest,
            latest,
            tuple(lines),
            word("work_group.stock"),
        )
