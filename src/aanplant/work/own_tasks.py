"""Tasks of the estate's own, and whether the names in its settings mean anything."""

from collections.abc import Iterator, Mapping, Sequence

from aanplant.errors import InputError
from aanplant.inputs import Inputs
from aanplant.tables import rows
from aanplant.work.aftercare import TABLE as ROUNDS
from aanplant.work.tasks import Task
from aanplant.workforce import TASK_GROUPS, OwnTask
from aanplant.working import Input, Working

ESTATE = "estate.toml"


def own_tasks(inputs: Inputs) -> Iterator[tuple[Task, tuple[Working, ...]]]:
    """Yield each task of the estate's own, with the figure of its hours."""
    for own in inputs.own_tasks:
        made: list[Working] = []
        about = own.name or own.id
        if own.hours:
            given = Input("hours", own.hours, "h", f"file:{ESTATE}")
            made.append(
                Working(f"work.task.{own.id}.hours", own.hours, "h", (given,), "brief",
                        about=about, message="work.own_task_hours")
            )  # fmt: skip
        if own.machine_hours:
            given = Input("machine_hours", own.machine_hours, "h", f"file:{ESTATE}")
            made.append(
                Working(f"work.task.{own.id}.machine_hours", own.machine_hours, "h", (given,),
                        "brief", about=about, message="work.own_task_machine_hours")
            )  # fmt: skip
        yield (
            Task(
                own.id, own.group, 1.0, "", own.hours, "", own.machine, own.machine_hours,
                own.days, tuple((name, own.wait) for name in own.after), own.earliest,
                own.latest, own.conditions, made[0].key if made else "", own.gate,
                own.name or own.id,
            ),
            tuple(made),
        )  # fmt: skip


def check_names(inputs: Inputs, catalogue: Mapping[str, str]) -> None:
    """Refuse what the settings of the estate name and nobody knows.

    Parameters
    ----------
    inputs : Inputs
        Norms, crews and tasks of the estate.
    catalogue : mapping of str to str
        Group of each task of the program.

    Raises
    ------
    InputError
        For the first name that means nothing.
    """
    own = [task.id for task in inputs.own_tasks]
    normed = (*catalogue, *dict.fromkeys(row["round"] for row in rows(ROUNDS)))
    for name in inputs.labour.norms:
        if name not in normed:
            raise _unknown(f"labour.norms.{name}", name, "a task or round of the program", normed)
    named = (*TASK_GROUPS, *catalogue, *own)
    for number, crew in enumerate(inputs.crews):
        for name in crew.tasks:
            if name not in named:
                raise _unknown(f"crews.{number}.tasks", name, "a group of tasks or a task", named)
    for number, task in enumerate(inputs.own_tasks):
        _check_own(f"tasks.{number}", task, catalogue)
        for key, others in (("after", task.after), ("before", task.before)):
            for name in others:
                if name not in {*catalogue, *own}:
                    raise _unknown(f"tasks.{number}.{key}", name, "a task", (*catalogue, *own))


def _check_own(where: str, task: OwnTask, catalogue: Mapping[str, str]) -> None:
    if task.id in catalogue:
        raise InputError(
            f"{ESTATE}: {where}.id", f"{task.id!r}, a task of the program", "an id of its own"
        )
    if not (task.hours or task.machine_hours or task.days):
        raise InputError(
            f"{ESTATE}: {where}",
            f"the task {task.id!r} without a norm",
            "its hours, machine_hours or days",
        )
    if task.machine_hours and not task.machine:
        raise InputError(
            f"{ESTATE}: {where}.machine_hours",
            f"hours of a machine in {task.id!r}, which names none",
            "the machine it needs",
        )
    conditions = [row["condition"] for row in rows("work_conditions.csv")]
    for name in task.conditions:
        if name not in conditions:
            raise _unknown(f"{where}.conditions", name, "one of the conditions", conditions)


def _unknown(
    where: str, name: str, what: str, known: Sequence[str] | Mapping[str, str]
) -> InputError:
    return InputError(f"{ESTATE}: {where}", repr(name), f"{what}: {', '.join(known)}")


def refuse_ring(ring: Sequence[str], inputs: Inputs) -> InputError:
    """Make the error for tasks that wait for one another, at the estate's own among them."""
    number = next((at for at, task in enumerate(inputs.own_tasks) if task.id in ring), 0)
    return InputError(
        f"{ESTATE}: tasks.{number}",
        f"tasks that wait for one another in a ring: {' after '.join(ring)}",
        "an order in which each can be done",
    )
