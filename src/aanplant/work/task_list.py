"""What has to be done on this block, from the first pit to the last guard, and in which order."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Literal, cast

from aanplant.brief import Brief
from aanplant.inputs import Inputs
from aanplant.layout import Layout
from aanplant.site import Site
from aanplant.tables import rows
from aanplant.trellis import Trellis
from aanplant.water import Irrigation
from aanplant.work.jobs import in_order
from aanplant.work.norms import Hours, hours_figures, hours_of
from aanplant.work.nursery_dates import months_before
from aanplant.work.order_times import days_to_come
from aanplant.work.own_tasks import check_names, own_tasks, refuse_ring
from aanplant.work.planting_days import warm_up_days
from aanplant.work.planting_pace import pace_of
from aanplant.work.programme import Programme
from aanplant.work.task_quantities import Quantity, task_quantities
from aanplant.work.tasks import Task
from aanplant.workforce import Crew
from aanplant.working import Input, Working

DoneBy = Literal["crew", "machine", "one", "office", "wait"]
"""crew: a crew is held up by it; machine: its driver alone; one: one person, no crew held up;
office: a day at a desk; wait: nobody."""
TABLE = "tasks.csv"
GATE = "gate"
ORDER = "order-materials"
"""What is ordered then comes after its lead time."""
BY_DELIVERY = ("receive", "plant", "water-in")
"""Tasks done for each delivery of vines by itself."""
DELIVERED = "delivered"
CREW = "crew"
"""Name of those who work where the estate names no crew."""


@dataclass(frozen=True, slots=True)
class Listed:
    """A task, and what its days hang on beside its hours.

    Parameters
    ----------
    task : Task
        Not yet given to a crew.
    done_by : str
        One of ``DoneBy``.
    season : tuple of str or None
        First and last day of the year it is done between, as they are in the south.
    """

    task: Task
    done_by: DoneBy
    season: tuple[str, str] | None = None


@dataclass(frozen=True)
class TaskList:
    """All tasks of a block, and who there is to do them.

    Parameters
    ----------
    listed : tuple of Listed
        Each behind those it waits for.
    crews : tuple of Crew
        Of the estate; those who plant where it names none.
    machines : mapping of str to int
        How many there are of each that is needed.
    deliveries : tuple of int
        Vines in each delivery.
    hours_per_day : float
        Hours worked in a day. [h]
    figures : tuple of Working
        The hours of each task.
    """

    listed: tuple[Listed, ...]
    crews: tuple[Crew, ...]
    machines: Mapping[str, int]
    deliveries: tuple[int, ...]
    hours_per_day: float
    figures: tuple[Working, ...]
    findings: tuple[()] = ()

    @property
    def tasks(self) -> tuple[Task, ...]:
        """The tasks alone."""
        return tuple(item.task for item in self.listed)


def list_tasks(  # noqa: PLR0917 - one argument a stage, in the order of the job
    brief: Brief,
    inputs: Inputs,
    site: Site,
    layout: Layout,
    trellis: Trellis,
    water: Irrigation,
    work: Programme,
) -> TaskList:
    """List the tasks of a block with their hours.

    Raises
    ------
    InputError
        If tasks wait for one another in a ring, or the estate's names can't be understood.
    """
    crews = inputs.crews or (Crew(name=CREW, people=brief.work.crew),)
    check_names(inputs, {row["task"]: row["group"] for row in rows(TABLE)})
    amounts = task_quantities(brief, site, layout, trellis, water, work, start=first_day(brief))
    needed = {
        row["task"]: row
        for row in rows(TABLE)
        if row["task"] == GATE or row["quantity"] in amounts or row["quantity"] == DELIVERED
    }
    pace = _pace(brief, inputs, layout, water)
    found: dict[str, Listed] = {}
    figures: list[Working] = []
    for name, row in needed.items():
        for item, made in _listed(brief, inputs, site, work, name, row, amounts, pace):
            found[item.task.id] = item
            figures += made
    for task, made in own_tasks(inputs):
        found[task.id] = Listed(task, "crew" if task.person_hours else _without_people(task))
        figures += made
    chained = _chained(found, needed, inputs, days_to_come(work.orders, inputs.prices))
    order, ring = in_order({name: [one for one, _ in item.task.after]
                            for name, item in chained.items()})  # fmt: skip
    if ring:
        raise refuse_ring(ring, inputs)
    machines = {
        item.task.machine: inputs.machines[item.task.machine].count
        if item.task.machine in inputs.machines
        else 1
        for item in chained.values()
        if item.task.machine
    }
    return TaskList(
        tuple(chained[name] for name in order), crews, machines,
        tuple(count for count in work.nursery.deliveries if count),
        inputs.labour.hours_per_day, (*figures, *hours_figures(tuple(figures))),
    )  # fmt: skip


def first_day(brief: Brief) -> date | None:
    """First day of all work: months before planting, but not before the day it is judged on."""
    if not brief.work.planting:
        return None
    start = date.fromisoformat(
        f"{months_before(brief.work.planting, brief.schedule.months_before)}-01"
    )
    if brief.nursery.as_of:
        start = max(start, date.fromisoformat(brief.nursery.as_of))
    return start


def planting_span(brief: Brief) -> tuple[date, date] | None:
    """First day of planting, and the last day by which it must be over."""
    if not brief.work.planting:
        return None
    first = date.fromisoformat(f"{brief.work.planting}-01")
    return first, first + timedelta(days=round(brief.schedule.planting_weeks * 7.0) - 1)


def _without_people(task: Task) -> DoneBy:
    return "machine" if task.machine_hours else "wait"


def _listed(  # noqa: PLR0917 - what a task is made from
    brief: Brief,
    inputs: Inputs,
    site: Site,
    work: Programme,
    name: str,
    row: Mapping[str, str],
    amounts: Mapping[str, Quantity],
    pace: Working,
) -> Iterator[tuple[Listed, tuple[Working, ...]]]:
    """Yield the tasks of a row: one, or one a delivery."""
    if name not in BY_DELIVERY:
        yield _one(
            brief, inputs, name, name, row, amounts.get(row["quantity"], Quantity(1.0)), amounts
        )
        return
    counts = [count for count in work.nursery.deliveries if count]
    places = amounts["vines"].value / sum(counts) if name != "receive" else 1.0
    for number, count in enumerate(counts, 1):
        vines = round(count * places)
        amount = Quantity(float(vines), (Input("quantity", vines, "vines", "measured"),))
        item, made = _one(brief, inputs, f"{name}-{number}", name, row, amount, amounts)
        if name == "plant" and name not in inputs.labour.norms:
            hours = _by_pace(brief, inputs, item.task.id, amount, pace)
            item = replace(item, task=replace(item.task, person_hours=hours.person))
            made = hours.figures
        yield (
            replace(
                item, task=replace(item.task, after=_delivery_after(brief, site, name, number))
            ),
            made,
        )


def _by_pace(brief: Brief, inputs: Inputs, task: str, amount: Quantity, pace: Working) -> Hours:
    """Hours of planting: as many days as the pace takes, for all who plant."""
    people = brief.as_input("work.crew", "people")
    hours = Input("hours_per_day", inputs.labour.hours_per_day, "h", "file:estate.toml")
    rate = pace.as_input("pace")
    person = amount.value / float(rate.value) * float(people.value) * float(hours.value)
    figure = Working(
        f"work.task.{task}.hours", person, "h", (*amount.inputs, rate, people, hours), "arithmetic",
        about=task.replace("-", " "), message="work.task_hours_by_pace",
    )  # fmt: skip
    return Hours(person, 0.0, (figure,))


def _pace(brief: Brief, inputs: Inputs, layout: Layout, water: Irrigation) -> Working:
    """Vines planted in a day, as the days of planting reckon them."""
    known = {figure.key: figure for figure in (*layout.figures, *water.figures)}
    sets = int(known["water.sets"].value) if "water.sets" in known else 0
    pace = pace_of(
        brief, hours=inputs.labour.hours_per_day, sets=sets, vines=known["layout.vines"],
        vine_flow=known["water.vine_flow"],
    )  # fmt: skip
    return next(figure for figure in pace.figures if figure.key == "work.planting_pace")


def _delivery_after(
    brief: Brief, site: Site, name: str, number: int
) -> tuple[tuple[str, int], ...]:
    """Tell what a task of one delivery waits for; deliveries come in their order."""
    if name == "receive":
        # On the same day as the delivery before it or later.
        earlier = ((f"receive-{number - 1}", -1),) if number > 1 else ()
        return ((GATE, 0), *earlier)
    if name == "plant":
        return ((f"receive-{number}", _warm_days(brief, site, number)), ("peg-vines", 0))
    return ((f"plant-{number}", 0),)


def _warm_days(brief: Brief, site: Site, number: int) -> int:
    """Days that a delivery stands in the warm between the store and the field.

    The first may be planted as planting begins; a later one is there in time for any of its days.
    """
    span = planting_span(brief)
    if span is None:
        return 0
    length = (span[1] - span[0]).days if number > 1 else 0
    return max(
        warm_up_days(brief, span[0] + timedelta(days=at), is_south=site.frame.latitude_deg < 0.0)
        for at in range(max(0, length) + 1)
    )


def _one(  # noqa: PLR0917 - what a task is made from
    brief: Brief,
    inputs: Inputs,
    task: str,
    base: str,
    row: Mapping[str, str],
    amount: Quantity,
    amounts: Mapping[str, Quantity],
) -> tuple[Listed, tuple[Working, ...]]:
    done_by = cast("DoneBy", row["done_by"])
    is_worked = done_by in {"crew", "machine", "one"}
    hours = (
        hours_of(task, amount, row["machine"], inputs, base=base, unit=row["unit"])
        if is_worked
        else Hours()
    )
    days = row["days"]
    if days and not days.isdigit():
        days = str(round(amounts[days].value)) if days in amounts else "0"
    earliest, latest = _window(brief, row)
    return Listed(
        Task(
            task, row["group"], amount.value, row["unit"], hours.person, "", row["machine"],
            hours.machine, int(days or 0), (), earliest, latest,
            (row["conditions"],) if row["conditions"] else (),
            hours.figures[0].key if hours.figures else "", row["gate"] == "gate",
        ),
        done_by,
        (row["season_first"], row["season_last"]) if row["season_first"] else None,
    ), hours.figures  # fmt: skip


def _window(brief: Brief, row: Mapping[str, str]) -> tuple[date | None, date | None]:
    """First and last day by the months before planting, and the days of planting itself."""
    span = planting_span(brief)
    if span is None:
        return None, None
    earliest = latest = None
    if row["months_first"]:
        earliest = date.fromisoformat(
            f"{months_before(brief.work.planting, int(row['months_first']))}-01"
        )
    if row["months_last"]:
        first = f"{months_before(brief.work.planting, int(row['months_last']))}-01"
        latest = date.fromisoformat(first) - timedelta(days=1)
    if row["task"] in {"receive", "plant"}:
        earliest = span[0]
    if row["task"] == "plant":
        latest = span[1]
    return earliest, latest


def _chained(
    found: Mapping[str, Listed],
    needed: Mapping[str, Mapping[str, str]],
    inputs: Inputs,
    to_come: Mapping[str, int],
) -> dict[str, Listed]:
    """Give every task those it waits for; the gate waits for all that must be ready."""
    last = {name: [one for one in found if one.rpartition("-")[0] == name] for name in BY_DELIVERY}
    behind: dict[str, list[str]] = {}
    for own in inputs.own_tasks:
        for name in own.before:
            behind.setdefault(name, []).append(own.id)
    chained = {}
    for name, item in found.items():
        base = name.rpartition("-")[0] if name.rpartition("-")[0] in BY_DELIVERY else name
        after = [(each, lag) for one, lag in item.task.after for each in last.get(one) or (one,)]
        if base in needed and base not in BY_DELIVERY:
            for one in needed[base]["after"].split(";"):
                lag = to_come.get(name, 0) if one == ORDER else 0
                after += [(each, lag) for each in last.get(one) or (one,)]
        if name == GATE:
            after += [(one, 0) for one, other in found.items() if other.task.is_gate]
        after += [(one, 0) for one in (*behind.get(name, ()), *behind.get(base, ()))]
        known = {one: lag for one, lag in after if one in found and one != name}
        chained[name] = replace(item, task=replace(item.task, after=tuple(known.items())))
    return chained
