"""What tasks are called, in the reader's language."""

import re

from aanplant.messages import word
from aanplant.work.tasks import TASK_WORD, Task

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
