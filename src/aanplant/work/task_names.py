"""What tasks are called, in the reader's language."""

import re

from aanplant.messages import fill, word
from aanplant.units import UnitSystem, show
from aanplant.work.tasks import TASK_WORD, Task

COUNTED = frozenset((
    "anchors", "block", "days", "gaps", "guards", "laterals", "pegs", "permissions", "pits",
    "posts", "pumps", "row ends", "samples", "sets", "tanker", "vines",
))  # fmt: skip
"""Units of tasks and rounds that are things to count; the others are measures."""
_NUMBERED = re.compile(r"(.+)-(\d+)")


def task_name(task: Task) -> str:
    """Return what a task is called, with the number of its delivery."""
    number = kind_and_delivery(task)[1]
    return f"{kind_name(task)} {number}" if number else kind_name(task)


def kind_name(task: Task) -> str:
    """Return what a task is called, whatever delivery it is for."""
    return task.name or word(f"{TASK_WORD}{kind_and_delivery(task)[0]}")


def kind_and_delivery(task: Task) -> tuple[str, int]:
    """Return the kind of a task and the number of its delivery, 0 for none."""
    found = None if task.name else _NUMBERED.fullmatch(task.id)
    return (found[1], int(found[2])) if found else (task.id, 0)


def amount_text(quantity: float, unit: str, system: UnitSystem) -> str:
    """Write how much there is to do: 1 block, 24 posts, 6.9 ha."""
    if unit in COUNTED:
        return fill(f"work_unit.{unit}", count=show(quantity, ""))
    return show(quantity, unit, system)
