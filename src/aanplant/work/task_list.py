"""What has to be done on this block, from the first pit to the last guard, and in which order."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date, timedelta
from typing import cast

from aanplant.brief import Brief
from aanplant.inputs import Inputs
from aanplant.layout import Layout
from aanplant.site import Site
from aanplant.tables import rows
from aanplant.trellis import Trellis
from aanplant.water import Irrigation
from aanplant.work.jobs import in_order
from aanplant.work.listed import (
    BY_DELIVERY,
    DELIVERED,
    GATE,
    ORDER,
    ORDER_VINES,
    PLANT,
    RECEIVE,
    DoneBy,
    Listed,
    TaskList,
    base_of,
    first_day,
    planting_span,
)
from aanplant.work.norms import Hours, hours_figures, hours_of
from aanplant.work.nursery_dates import months_before
from aanplant.work.order_times import days_to_come
from aanplant.work.own_tasks import check_names, own_tasks, refuse_ring
from aanplant.work.planting_pace import Pace, pace_of
from aanplant.work.programme import Programme
from aanplant.work.roots_out import days_between
from aanplant.work.task_quantities import Quantity, task_quantities
from aanplant.work.tasks import Task
from aanplant.workforce import Crew
from aanplant.working import Input, Working

TABLE = "tasks.csv"
CREW = "crew"
"""Name of those who work where the estate names no crew."""
_DAYS_OFF = 7
"""Days on end, at most, on which nobody is there to receive vines before planting begins."""
_MOST_CREWS = 3
"""Of one kind that are ever reckoned with."""


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


def moved_to(tasks: TaskList, brief: Brief, site: Site, *, begins_later: int) -> TaskList:
    """Return the tasks with the windows they have by another brief.

    Parameters
    ----------
    tasks : TaskList
        As they are.
    brief : Brief
        With another month of planting, or other months before it.
    site : Site
        North or south.
    begins_later : int
        Days by which the work begins later than it did, by which less of a fallow is left. [d]
    """
    table = {row["task"]: row for row in rows(TABLE)}
    warm = _warm_days(brief, site)
    listed = []
    for item in tasks.listed:
        task = item.task
        if not task.name:
            earliest, latest = _window(brief, table[base_of(task.id)])
            if base_of(task.id) == RECEIVE:
                earliest = _first_arrival(brief, site)
            task = replace(task, earliest=earliest, latest=latest)
        if task.id == "rest-fallow" and not task.after:
            task = replace(task, duration_days=max(0, task.duration_days - begins_later))
        if base_of(task.id) == PLANT:
            after = tuple((name, warm if base_of(name) == RECEIVE else lag)
                          for name, lag in task.after)  # fmt: skip
            task = replace(task, after=after)
        listed.append(replace(item, task=task))
    return replace(tasks, listed=tuple(listed))


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
    pace: Pace,
) -> Iterator[tuple[Listed, tuple[Working, ...]]]:
    """Yield the tasks of a row: one, or one a delivery."""
    if name not in BY_DELIVERY:
        yield _one(
            brief, inputs, name, name, row, amounts.get(row["quantity"], Quantity(1.0)), amounts
        )
        return
    counts = [count for count in work.nursery.deliveries if count]
    places = amounts["vines"].value / sum(counts) if name != RECEIVE else 1.0
    for number, count in enumerate(counts, 1):
        vines = round(count * places)
        amount = Quantity(float(vines), (Input("quantity", vines, "vines", "measured"),))
        item, made = _one(brief, inputs, f"{name}-{number}", name, row, amount, amounts)
        if name == RECEIVE:
            item = replace(item, task=replace(item.task, earliest=_first_arrival(brief, site)))
        if name == PLANT:
            crews = range(1, _MOST_CREWS + 1)
            item = replace(item, by_crews=tuple(pace.days(vines, crews=many) for many in crews))
        if name == PLANT and name not in inputs.labour.norms:
            hours = _by_pace(brief, inputs, item.task.id, amount, pace.figures[-1])
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


def _pace(brief: Brief, inputs: Inputs, layout: Layout, water: Irrigation) -> Pace:
    """Vines planted in a day, as the days of planting reckon them."""
    known = {figure.key: figure for figure in (*layout.figures, *water.figures)}
    sets = int(known["water.sets"].value) if "water.sets" in known else 0
    return pace_of(
        brief, hours=inputs.labour.hours_per_day, sets=sets, vines=known["layout.vines"],
        vine_flow=known["water.vine_flow"], norm=inputs.labour.norms.get(PLANT),
    )  # fmt: skip


def _delivery_after(
    brief: Brief, site: Site, name: str, number: int
) -> tuple[tuple[str, int], ...]:
    """Tell what a task of one delivery waits for; deliveries come in their order."""
    if name == RECEIVE:
        # On the same day as the delivery before it or later.
        earlier = ((f"receive-{number - 1}", -1),) if number > 1 else ()
        return ((GATE, 0), *earlier)
    if name == PLANT:
        # Whoever plants, and whatever the pace hangs on, serves one delivery after the other.
        earlier = ((f"plant-{number - 1}", 0),) if number > 1 else ()
        wait = _warm_days(brief, site)
        return ((f"receive-{number}", wait), ("peg-vines", 0), *earlier)
    return ((f"plant-{number}", 0),)


def _first_arrival(brief: Brief, site: Site) -> date | None:
    """First day on which vines may come: in time to warm up for the first day of planting."""
    span = planting_span(brief)
    if span is None:
        return None
    return span[0] - timedelta(days=_warm_days(brief, site) + _DAYS_OFF)


def _warm_days(brief: Brief, site: Site) -> int:
    """Days between a delivery and its planting, whatever day that falls on. [d].

    It is called for as late as the day of planting asks, once that is known.
    """
    span = planting_span(brief)
    if span is None:
        return 0
    return max(
        days_between(brief, span[0] + timedelta(days=at), is_south=site.frame.latitude_deg < 0.0)
        for at in range((span[1] - span[0]).days + 1)
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
    if row["task"] == PLANT:
        earliest, latest = span
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
        if base == RECEIVE:
            after.append((ORDER_VINES, to_come.get("receive-1", 0)))
        if name == GATE:
            after += [(one, 0) for one, other in found.items() if other.task.is_gate]
        after += [(one, 0) for one in (*behind.get(name, ()), *behind.get(base, ()))]
        known = {one: lag for one, lag in after if one in found and one != name}
        chained[name] = replace(item, task=replace(item.task, after=tuple(known.items())))
    return chained
