"""The calendar as lists of a plan: every task with its days, deliveries, chances, days off."""

import dataclasses
from datetime import date
from typing import Any

from aanplant.messages import catalogue, word
from aanplant.plan import Plan
from aanplant.work.tasks import TASK_WORD, Task

Table = list[dict[str, Any]]


def task_name(task: Task) -> str:
    """Say in words what a task is; that of a delivery bears its number."""
    return task.name or named(f"{TASK_WORD}{task.id}")


def named(name: str) -> str:
    """Return a word of the catalogue, also one with a number behind it; else the name itself."""
    known = catalogue()["word"]
    base, _, number = name.rpartition("-")
    if name in known:
        return word(name)
    if number.isdigit() and base in known:
        return f"{word(base)} {number}"
    return name.partition(".")[2]


def calendar_tables(plan: Plan) -> dict[str, Table]:
    """Return the lists of the calendar; a task without days has none there."""
    calendar = plan.calendar
    days = {item.task.id: item for item in calendar.booked}
    made: dict[str, Table] = {}
    made["tasks"] = [
        {
            "task": task.id,
            "name": task_name(task),
            "group": task.group,
            "start": days[task.id].start.isoformat() if task.id in days else None,
            "end": days[task.id].end.isoformat() if task.id in days else None,
            "float_days": days[task.id].float_days if task.id in days else None,
            "crew": task.crew or None,
            "person_hours": task.person_hours,
            "machine": task.machine or None,
            "machine_hours": task.machine_hours,
            "quantity": task.quantity,
            "unit": task.unit,
            "after": [name for name, _ in task.after],
            "conditions": list(task.conditions),
            "is_gate": task.is_gate,
        }
        for task in calendar.tasks
    ]
    made["calendar_deliveries"] = [_dated(dataclasses.asdict(one)) for one in calendar.deliveries]
    made["finish_chance"] = [_dated(dataclasses.asdict(one)) for one in calendar.chance]
    made["days_off"] = [{"day": day.isoformat()} for day in calendar.days_off]
    return {name: lines for name, lines in made.items() if lines}


def _dated(line: dict[str, Any]) -> dict[str, Any]:
    return {name: _text(value) for name, value in line.items()}


def _text(value: object) -> object:
    if isinstance(value, tuple):
        return [_text(one) for one in value]
    return value.isoformat() if isinstance(value, date) else value
